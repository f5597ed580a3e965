#include "core/intake/own_columns_internal.hpp"

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct OwnColumn {
  const char *theirs, *ours;  // ours empty: told for reading, or worked out
};

struct OwnLayer {
  ImportKind kind;
  const char* signature;  // headings that stand together in no other table
  std::vector<OwnColumn> columns;
};

const std::vector<OwnLayer>& own_layers() {
  static const std::vector<OwnLayer> kLayers = {{ImportKind::kSites,
                                                 "uuid|code|water_kind",
                                                 {{"code", "locationID"},
                                                  {"name", "locality"},
                                                  {"water_kind", "waterKind"},
                                                  {"status", "siteStatus"},
                                                  {"accuracy_m", "coordinateUncertaintyInMeters"},
                                                  {"note", "locationRemarks"},
                                                  {"sample", ""}}},
                                                {ImportKind::kSamples,
                                                 "uuid|code|visit_uuid|site",
                                                 {{"code", "eventID"},
                                                  {"date", "eventDate"},
                                                  {"local_time", "eventTime"},
                                                  {"local_offset_min", "utcOffset"},
                                                  {"kind", "sampleKind"},
                                                  {"note", "sampleRemarks"}}},
                                                {ImportKind::kRecords,
                                                 "uuid|sample_uuid|verbatim_name",
                                                 {{"verbatim_name", "scientificName"},
                                                  {"verbatim_quantity", "organismQuantity"},
                                                  {"class_scheme", "organismQuantityType"},
                                                  {"quantity_kind", "occurrenceStatus"},
                                                  {"taxon", ""},
                                                  {"note", "occurrenceRemarks"}}},
                                                {ImportKind::kMeasurements,
                                                 "uuid|visit_uuid|verbatim_value",
                                                 {{"verbatim_value", "measurementValue"},
                                                  {"date", "eventDate"},
                                                  {"local_time", "eventTime"},
                                                  {"local_offset_min", "utcOffset"},
                                                  {"value", ""},
                                                  {"note", "measurementRemarks"}}}};
  return kLayers;
}

// As the table spells it: some forms change the case of a heading.
const std::string* heading(const Table& table, std::string_view name) {
  for (const std::string& column : table.columns)
    if (to_lower_ascii(column) == name) return &column;
  return nullptr;
}

bool has_all(const Table& table, std::string_view names) {
  for (const std::string_view name : split(names, '|'))
    if (heading(table, name) == nullptr) return false;
  return true;
}

}  // namespace

std::map<std::string, std::string> own_columns(ImportKind kind, const Table& table) {
  std::map<std::string, std::string> chosen;
  for (const OwnLayer& layer : own_layers()) {
    if (layer.kind != kind || !has_all(table, layer.signature)) continue;
    for (const auto& [theirs, ours] : layer.columns)
      if (const std::string* column = heading(table, theirs)) chosen[*column] = ours;
  }
  return chosen;
}

}  // namespace brookmark::core

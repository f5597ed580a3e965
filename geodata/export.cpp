#include "geodata/export.hpp"

#include <cpl_conv.h>

#include <algorithm>
#include <cstdlib>
#include <vector>

#include "core/base/text.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

std::string utc_of_epoch(std::int64_t seconds) {
  constexpr std::int64_t kDay = 86400;
  const std::int64_t days = seconds / kDay, rest = seconds % kDay;
  const auto two = [](std::int64_t value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  return core::format_date({static_cast<std::int32_t>(days)}) + "T" + two(rest / 3600) + ":" +
         two(rest / 60 % 60) + ":" + two(rest % 60) + "Z";
}

}  // namespace

std::string time_of_export(const std::string& clock_utc) {
  if (!clock_utc.empty()) return clock_utc;
  if (const char* epoch = std::getenv("SOURCE_DATE_EPOCH"))
    if (const auto seconds = core::parse_integer(epoch); seconds && *seconds >= 0 && *seconds < 253402300800)
      return utc_of_epoch(*seconds);
  const char* fixed = CPLGetConfigOption("OGR_CURRENT_DATE", "");
  return *fixed != '\0' ? fixed : core::now_utc();
}

namespace {

// GDAL stamps what it writes with the same clock.
class FixedClock {
 public:
  explicit FixedClock(const std::string& utc) {
    const char* before = CPLGetThreadLocalConfigOption("OGR_CURRENT_DATE", nullptr);
    if (before != nullptr) before_ = before;
    had_one_ = before != nullptr;
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", utc.c_str());
  }
  ~FixedClock() { CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", had_one_ ? before_.c_str() : nullptr); }
  FixedClock(const FixedClock&) = delete;
  FixedClock& operator=(const FixedClock&) = delete;

 private:
  std::string before_;
  bool had_one_ = false;
};

struct Layer {
  const char* name;
  ExportTable (*table)(const ExportSource& source);
};

// The survey table stands in every GeoPackage and is no layer to choose.
constexpr Layer kLayers[] = {{"sites", sites_table},
                             {"catchments", catchments_table},
                             {"reaches", reaches_table},
                             {"channel_classes", channel_classes_table},
                             {"drops", drops_table},
                             {"outfalls", outfalls_table},
                             {"waters", waters_table},
                             {"visits", visits_table},
                             {"samples", samples_table},
                             {"scores", scores_table},
                             {"taxa", taxa_table},
                             {"records", records_table},
                             {"measurements", measurements_table}};

void check_layers(const std::vector<std::string>& only) {
  for (const std::string& name : only)
    if (std::none_of(std::begin(kLayers), std::end(kLayers), [&](const Layer& l) { return l.name == name; }))
      throw Error(ErrorCode::kBadUse, "there is no layer \"" + name + "\" to export; the layers are " +
                                          core::joined(export_layer_names(), ", "));
}

}  // namespace

void expect_one_method(const ExportSource& source) {
  if (source.assessment.method == nullptr || source.scores.method != source.assessment.method)
    throw Error(ErrorCode::kBadUse,
                "an export needs the scores and the assessment of one and the same method");
}

std::vector<ExportTable> chosen_tables(const ExportSource& source, const std::vector<std::string>& only) {
  check_layers(only);
  std::vector<ExportTable> tables;
  for (const Layer& layer : kLayers)
    if (only.empty() || std::find(only.begin(), only.end(), layer.name) != only.end())
      tables.push_back(layer.table(source));
  return tables;
}

namespace {

// Of a format that holds one layer.
ExportTable one_table(const ExportSource& source, const ExportOptions& options, const std::string& ending) {
  if (options.only.size() > 1)
    throw Error(ErrorCode::kBadUse,
                "a " + ending + " file holds one layer; name one, or write a .gpkg, which holds them all");
  return std::move(
      chosen_tables(source, options.only.empty() ? std::vector<std::string>{"sites"} : options.only).front());
}

}  // namespace

ExportSource source_of(const core::HandOver& handed) {
  return {handed.shared, handed.scores, handed.assessment, handed.nesting, handed.channels};
}

std::vector<std::string> export_layer_names() {
  std::vector<std::string> names;
  for (const Layer& layer : kLayers) names.emplace_back(layer.name);
  return names;
}

std::vector<ExportFormat> export_formats() {
  return {{".gpkg", "GeoPackage: all layers, with styles, column descriptions and metadata"},
          {".geojson", "GeoJSON (RFC 7946): one layer"},
          {".csv", "CSV: one layer, with its data dictionary in a second file"},
          {".fgb", "FlatGeobuf: one layer with shapes; what has no place is left out"},
          {".kml", "KML: one layer with shapes"},
          {".gpx", "GPX: the sites as waypoints"},
          {".zip", "Darwin Core Archive: events, occurrences and measurements"}};
}

void export_survey(const ExportSource& source, const std::filesystem::path& target_path,
                   const ExportOptions& options) {
  const std::string ending = core::to_lower_ascii(target_path.extension().string());
  const std::vector<ExportFormat> formats = export_formats();
  if (std::none_of(formats.begin(), formats.end(),
                   [&](const ExportFormat& f) { return f.ending == ending; })) {
    std::vector<std::string> endings;
    for (const ExportFormat& format : formats) endings.emplace_back(format.ending);
    throw Error(ErrorCode::kBadUse, "the ending says the format; use one of " + core::joined(endings, ", "),
                target_path.string());
  }
  expect_one_method(source);
  check_layers(options.only);
  start_geodata();
  const ExportFrame frame(options.crs, source.snapshot, target_path);
  if (!frame.is_wgs84() && ending != ".gpkg" && ending != ".fgb")
    throw Error(ErrorCode::kBadUse,
                "a " + ending +
                    " file is in WGS 84 (EPSG:4326) by its standard or by custom; leave out the coordinate "
                    "system, or write a .gpkg or .fgb",
                target_path.string());
  TargetFile target(target_path, options.overwrite);
  const SurveyTableWords words{time_of_export(options.clock_utc), frame.name(), options.licence};
  const FixedClock clock(utc_with_milliseconds(words.exported_utc));
  if (ending == ".gpkg") {
    std::vector<ExportTable> tables = chosen_tables(source, options.only);
    tables.push_back(survey_table(source, words));
    write_gpkg(source, tables, frame, words, target);
  } else if (ending == ".geojson") {
    write_geojson(source, one_table(source, options, ending), words, target);
  } else if (ending == ".csv") {
    write_csv(one_table(source, options, ending), options.overwrite, target_path, target);
  } else if (ending == ".fgb" || ending == ".kml") {
    write_one_layer(source, one_table(source, options, ending), frame, ending, target);
  } else if (ending == ".gpx") {
    if (!options.only.empty() && options.only != std::vector<std::string>{"sites"})
      throw Error(ErrorCode::kBadUse, "a .gpx file holds sites; leave out the layers, or write a .gpkg",
                  target_path.string());
    write_gpx(source, target);
  } else {
    if (!options.only.empty())
      throw Error(
          ErrorCode::kBadUse,
          "a Darwin Core Archive holds events, occurrences and measurements together; leave out the layers",
          target_path.string());
    write_darwin_core(source, words, target);
  }
  target.commit();
}

}  // namespace brookmark::geodata

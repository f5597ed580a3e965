#include "core/intake/import.hpp"

#include <array>
#include <filesystem>
#include <variant>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"
#include "core/intake/wide_table.hpp"

namespace brookmark::core {

namespace {

struct KindWords {
  ImportKind kind;
  const char* plural;
  const char* one;
  const char* many;
  void (*plan)(Plan&);
};

constexpr std::array<KindWords, 10> kKinds{{
    {ImportKind::kSites, "sites", "site", "sites", plan_sites},
    {ImportKind::kSamples, "samples", "sample", "samples", plan_samples},
    {ImportKind::kRecords, "records", "record", "records", plan_records},
    {ImportKind::kMeasurements, "measurements", "measurement", "measurements", plan_measurements},
    {ImportKind::kWatercourses, "watercourses", "reach", "reaches", plan_watercourses},
    {ImportKind::kOutfalls, "outfalls", "outfall", "outfalls", plan_outfalls},
    {ImportKind::kCatchments, "catchments", "catchment", "catchments", plan_catchments},
    {ImportKind::kWaters, "waters", "water", "waters", plan_waters},
    {ImportKind::kGround, "ground", "piece of ground", "pieces of ground", plan_ground},
    {ImportKind::kKit, "kit", "entry of kit", "entries of kit", plan_kit},
}};

const KindWords& words_of(ImportKind kind) {
  return kKinds[static_cast<std::size_t>(kind)];
}

bool is_thing(ImportKind kind, const Edit& edit) {
  switch (kind) {
    case ImportKind::kSites:
      return edit.as<AddSite>() != nullptr;
    case ImportKind::kSamples:
      return edit.as<AddSample>() != nullptr;
    case ImportKind::kRecords:
      return edit.as<AddRecord>() != nullptr;
    case ImportKind::kMeasurements:
      return edit.as<AddMeasurement>() != nullptr;
    case ImportKind::kWatercourses:
      return edit.as<AddReach>() != nullptr;
    case ImportKind::kOutfalls:
      return edit.as<AddOutfall>() != nullptr;
    case ImportKind::kCatchments:
      return edit.as<AddCatchment>() != nullptr;
    case ImportKind::kWaters:
      return edit.as<AddWater>() != nullptr;
    case ImportKind::kGround:
      return edit.as<AddGround>() != nullptr;
    case ImportKind::kKit:
      return edit.as<AddKitUse>() != nullptr || edit.as<AddCleaning>() != nullptr;
  }
  return false;
}

void summarise(ImportKind kind, const Table& table, const ColumnMatch& columns, ImportReport& report) {
  std::size_t things = 0;
  for (const Edit& edit : report.batch.edits) things += is_thing(kind, edit) ? 1 : 0;
  const KindWords& words = words_of(kind);
  report.batch.kind = std::string("import ") + words.plural;
  report.batch.summary = std::to_string(things) + " " + (things == 1 ? words.one : words.many) + " from " +
                         std::filesystem::path(table.file).filename().string();
  for (std::size_t column = 0; column < table.columns.size(); ++column) {
    bool used = false;
    for (std::size_t f = 0; f < kFieldCount; ++f)
      if (columns.column[f] == column) {
        used = true;
        report.columns_used.emplace_back(table.columns[column], field_name(static_cast<Field>(f)));
      }
    if (!used) report.columns_ignored.push_back(table.columns[column]);
  }
}

ImportReport plan_table(ImportKind kind, const Table& table, const Snapshot& snapshot,
                        const ImportOptions& options, const std::vector<std::string>* measured_in = nullptr) {
  Plan plan(kind, table, snapshot, options);
  if (measured_in != nullptr) plan.measured_in(*measured_in);
  words_of(kind).plan(plan);
  summarise(kind, table, plan.columns(), plan.outcome());
  if (table.rows.empty())
    plan.outcome().issues.push_back({Severity::kError, table.file, 0, "",
                                     table.has_shapes
                                         ? "The layer has no features; there is nothing to import."
                                         : "The file has a header but no rows; there is nothing to import."});
  return std::move(plan.outcome());
}

}  // namespace

std::optional<ImportKind> parse_import_kind(std::string_view text) {
  const std::string folded = fold_name(text);
  for (const KindWords& words : kKinds)
    if (folded == words.plural) return words.kind;
  return std::nullopt;
}

const char* import_kind_name(ImportKind kind) {
  return words_of(kind).plural;
}

ImportReport plan_import(ImportKind kind, const Table& table, const Snapshot& snapshot,
                         const ImportOptions& options) {
  ImportOptions long_options = options;
  const std::vector<MeasuredColumn> measured = take_measured_columns(long_options.columns);
  if (measured.empty()) return plan_table(kind, table, snapshot, options);
  if (kind != ImportKind::kMeasurements)
    throw Error(ErrorCode::kBadUse, "columns of measurements belong to an import of measurements",
                table.file);
  std::vector<std::string> measured_in;
  const Table one_each = long_table(table, measured, &measured_in);
  ImportReport report = plan_table(kind, one_each, snapshot, long_options, &measured_in);
  std::erase_if(report.columns_used, [](const auto& used) { return used.first.starts_with("measurement"); });
  for (const MeasuredColumn& column : measured)
    report.columns_used.emplace_back(column.theirs,
                                     column.quantity + (column.unit.empty() ? "" : " in " + column.unit));
  return report;
}

}  // namespace brookmark::core

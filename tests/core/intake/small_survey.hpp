// Why: a survey small enough to know by heart, made by hand, so that import tests need no file. Sites S1
// and S2 on an invented stream at 10 E 60 N, one catchment C1 around both, one visit to S1 on 2024-05-03
// at 09:30 +01:00 with sample S1-A (one record: Baetis, 7) and one visit to S2 without a time and with no
// sample.
#pragma once

#include <string>

#include "core/base/csv.hpp"
#include "core/base/uuid.hpp"
#include "core/intake/import.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::test {

inline core::MultiPolygon square(double west, double south, double size) {
  const double east = west + size, north = south + size;
  return {core::Polygon{{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}}};
}

inline void add_site(core::Snapshot& s, const std::string& code, core::LonLat position,
                     core::WaterKind kind) {
  s.sites.key.append("key-" + code);
  s.sites.code.append(code);
  for (core::TextColumn* column :
       {&s.sites.name, &s.sites.water, &s.sites.habitat, &s.sites.note, &s.sites.type})
    column->append("");
  s.sites.kind.push_back(kind);
  s.sites.reference.push_back(false);
  s.sites.sharing.push_back(core::Sharing::kOpen);
  s.sites.status.push_back(core::SiteStatus::kActive);
  s.sites.position.push_back(position);
  s.sites.accuracy_m.emplace_back();
  s.sites.raw.emplace_back();
}

inline void add_visit(core::Snapshot& s, const std::string& key, std::size_t site, const std::string& start) {
  s.visits.key.append(key);
  for (core::TextColumn* column : {&s.visits.people, &s.visits.weather, &s.visits.conditions, &s.visits.note})
    column->append("");
  s.visits.site.emplace_back(site);
  s.visits.start.push_back(*core::parse_moment(start));
}

// Call in the order of Snapshot: by site, date, code. Records of the sample follow by add_record.
inline void add_sample(core::Snapshot& s, const std::string& code, std::size_t visit,
                       core::SampleKind kind = core::SampleKind::kRoutine) {
  if (s.samples.record_begin.empty()) s.samples.record_begin.push_back(0);
  s.samples.key.append("key-" + code);
  s.samples.code.append(code);
  s.samples.protocol.append("");
  s.samples.visit.emplace_back(visit);
  s.samples.site.push_back(s.visits.site[visit]);
  s.samples.date.push_back(s.visits.start[visit].date);
  s.samples.kind.push_back(kind);
  s.samples.subsample_share.emplace_back();
  s.samples.effort.emplace_back();
  s.samples.effort_unit.append("");
  s.samples.record_begin.push_back(s.records.size());
}

inline std::size_t add_taxon(core::Snapshot& s, const std::string& key, const std::string& name, bool listed,
                             core::TaxonIndex parent = core::TaxonIndex::none()) {
  s.taxa.key.append(key);
  s.taxa.name.append(name);
  s.taxa.rank.push_back(core::Rank::kGenus);
  s.taxa.parent.push_back(parent);
  s.taxa.listed.push_back(listed);
  return s.taxa.size() - 1;
}

inline void add_record(core::Snapshot& s, std::size_t taxon, std::int64_t count,
                       core::LifeStage stage = core::LifeStage::kUnknown) {
  s.records.key.append("key-record-" + std::to_string(s.records.size()));
  s.records.verbatim_name.append(s.taxa.name[taxon]);
  s.records.verbatim_quantity.append(std::to_string(count));
  s.records.class_code.append("");
  s.records.qualifier.append("");
  s.records.sample.emplace_back(s.samples.size() - 1);
  s.records.taxon.emplace_back(taxon);
  s.records.match.push_back(core::NameMatch::kAccepted);
  s.records.quantity.push_back(count == 0 ? core::QuantityKind::kAbsent : core::QuantityKind::kCount);
  s.records.count_min.push_back(count);
  s.records.count_max.push_back(count);
  s.records.stage.push_back(stage);
  s.records.certainty.push_back(1);
  s.samples.record_begin.back() = s.records.size();
}

inline void add_measurement(core::Snapshot& s, std::size_t visit, const std::string& quantity,
                            const std::string& verbatim, const std::string& unit) {
  s.measurements.key.append("key-measurement-" + std::to_string(s.measurements.size()));
  s.measurements.quantity.append(quantity);
  s.measurements.unit.append(unit);
  s.measurements.verbatim_value.append(verbatim);
  s.measurements.visit.emplace_back(visit);
  s.measurements.sample.push_back(core::SampleIndex::none());
  s.measurements.value.push_back(std::stoi(verbatim));
  s.measurements.below_detection.push_back(false);
}

inline core::Snapshot small_survey() {
  core::Snapshot s;
  add_site(s, "S1", {10.00, 60.00}, core::WaterKind::kStream);
  add_site(s, "S2", {10.01, 60.00}, core::WaterKind::kStream);
  add_visit(s, "visit-1", 0, "2024-05-03T09:30+01:00");
  add_visit(s, "visit-2", 1, "2024-05-04");
  const std::size_t baetis = add_taxon(s, "checklist:Baetis", "Baetis", true);
  add_sample(s, "S1-A", 0);
  add_record(s, baetis, 7);
  s.catchments.push_back({"key-C1", "C1", "", square(9.95, 59.95, 0.1)});
  return s;
}

inline core::ImportOptions options() {
  core::ImportOptions options;
  options.latest_day = *core::parse_date("2024-12-31");
  options.new_key = core::seeded_uuids(1);
  return options;
}

inline core::ImportReport plan_csv(core::ImportKind kind, const std::string& csv,
                                   const core::Snapshot& survey = small_survey(),
                                   const core::ImportOptions& chosen = options()) {
  return core::plan_import(kind, core::read_csv(csv, "sheet.csv"), survey, chosen);
}

// The edits of one type.
template <class Wanted>
std::vector<Wanted> edits_of(const core::ImportReport& report) {
  std::vector<Wanted> found;
  for (const core::Edit& edit : report.batch.edits)
    if (const auto* wanted = edit.as<Wanted>()) found.push_back(*wanted);
  return found;
}

// "error 2 lat: sentence" for each finding.
inline std::string issues_text(const core::ImportReport& report) {
  std::string text;
  for (const core::Issue& issue : report.issues)
    text += std::string(core::severity_name(issue.severity)) + " " + std::to_string(issue.line) + " " +
            issue.column + ": " + issue.text + "\n";
  return text;
}

// True where some finding has this severity, line and column and its sentence holds `part`.
inline bool has_issue(const core::ImportReport& report, core::Severity severity, std::size_t line,
                      const std::string& column, const std::string& part) {
  for (const core::Issue& issue : report.issues)
    if (issue.severity == severity && issue.line == line && issue.column == column &&
        issue.file == "sheet.csv" && issue.text.find(part) != std::string::npos)
      return true;
  return false;
}

// A table with shapes, as a vector layer gives it.
inline core::Table layer(std::vector<std::string> columns, std::vector<core::TableRow> rows) {
  core::Table table;
  table.file = "sheet.csv";
  table.columns = std::move(columns);
  table.rows = std::move(rows);
  table.has_shapes = true;
  return table;
}

// What an error says; empty when nothing is thrown.
template <class Work>
std::string error_of(const Work& work) {
  try {
    work();
  } catch (const std::exception& error) {
    return error.what();
  }
  return "";
}

}  // namespace brookmark::test

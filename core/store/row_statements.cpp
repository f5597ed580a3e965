#include <array>

#include "core/base/text.hpp"
#include "core/store/row_statements_internal.hpp"

namespace brookmark::core {
namespace {

struct TableColumns {
  TableName table;
  const char* name;
  const char* columns;
};

// In the order of TableName; the columns in the order in which writer.cpp gives their values.
constexpr TableColumns kTables[] = {
    {TableName::kWater, "water", "name, kind, geom"},
    {TableName::kSite, "site",
     "code, name, water, habitat, kind, status, accuracy_m, raw_x, raw_y, raw_crs, raw_note, note, geom, "
     "type, "
     "reference, sharing"},
    {TableName::kVisit, "visit",
     "site_id, date, minute_of_day, utc_offset_min, people, weather, conditions, note"},
    {TableName::kSample, "sample",
     "code, visit_id, kind, protocol, effort, effort_unit, mesh_um, subsample_share, note"},
    {TableName::kRecord, "record",
     "sample_id, taxon_id, name_match, quantity, count_min, count_max, life_stage, certainty, verbatim_name, "
     "verbatim_quantity, class_code, class_scheme, qualifier, note"},
    {TableName::kMeasurement, "measurement",
     "visit_id, sample_id, quantity, unit, value, below_detection, verbatim_value, note"},
    {TableName::kOutfall, "outfall",
     "code, name, kind, since, until, raw_x, raw_y, raw_crs, raw_note, note, geom, strength"},
    {TableName::kReach, "reach", "name, geom, two_way, note"},
    {TableName::kCatchment, "catchment", "code, name, geom"},
    {TableName::kPhoto, "photo", "site_id, visit_id, file, caption"},
    {TableName::kLayer, "layer", "title, file, attribution, look, shown"},
    {TableName::kPerson, "person", "name, agreed, note"},
    {TableName::kSensitiveTaxon, "sensitive_taxon", "name, sharing, cell_m, note"},
    {TableName::kKit, "kit", "code, name, kind, kit_set, note, retired"},
    {TableName::kKitUse, "kit_use",
     "kit_id, site_id, visit_id, date, minute_of_day, utc_offset_min, override_reason, note"},
    {TableName::kCleaning, "cleaning",
     "kit_id, date, minute_of_day, utc_offset_min, agent, concentration_pct, temperature_c, contact_min, "
     "note"},
    {TableName::kHolding, "holding", "kit_id, site_id, what, since, until, outcome, note"},
    {TableName::kWaterRisk, "water_risk", "site_id, target, status, since, told_by, note"},
    {TableName::kGround, "ground", "name, kind, geom, note"},
};

RowStatements statements_of(const TableColumns& table) {
  RowStatements made{table.name, table.columns, {}, {}, {}};
  std::string values = "?1", changes;
  int at = 1;
  for (const std::string& column : split(made.columns, ',')) {
    const std::string parameter = "?" + std::to_string(++at);
    values += ", " + parameter;
    changes += std::string(trim(column)) + " = " + parameter + ", ";
  }
  const std::string now = "?" + std::to_string(at + 1), device = "?" + std::to_string(at + 2);
  made.add = "INSERT INTO " + made.table + " (key, " + made.columns +
             ", created_utc, changed_utc, device) VALUES (" + values + ", " + now + ", " + now + ", " +
             device + ")";
  made.replace = "UPDATE " + made.table + " SET " + changes + "changed_utc = " + now +
                 ", device = " + device + " WHERE key = ?1";
  made.remove = "DELETE FROM " + made.table + " WHERE key = ?1";
  return made;
}

const std::array<RowStatements, std::size(kTables)>& all_tables() {
  static const auto tables = [] {
    std::array<RowStatements, std::size(kTables)> made;
    for (std::size_t i = 0; i < made.size(); ++i) made[i] = statements_of(kTables[i]);
    return made;
  }();
  return tables;
}

}  // namespace

const RowStatements& row_statements(TableName table) {
  return all_tables().at(static_cast<std::size_t>(table));
}

std::vector<std::string_view> all_row_statements() {
  std::vector<std::string_view> all;
  for (const RowStatements& table : all_tables())
    for (const std::string_view sql :
         {std::string_view(table.add), std::string_view(table.replace), std::string_view(table.remove)})
      all.push_back(sql);
  return all;
}

}  // namespace brookmark::core

#include <algorithm>
#include <functional>

#include "geodata/gpkg_parts_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTables = R"sql(
CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, title TEXT, description TEXT, mime_type TEXT, constraint_name TEXT, CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name), CONSTRAINT gdc_tn UNIQUE (table_name, name));
CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL, constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN, max NUMERIC, max_is_inclusive BOOLEAN, description TEXT, CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value));
INSERT INTO gpkg_extensions VALUES ('gpkg_data_columns', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec121/#extension_schema', 'read-write');
INSERT INTO gpkg_extensions VALUES ('gpkg_data_column_constraints', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec121/#extension_schema', 'read-write');
)sql";

template <class Kind>
std::vector<std::string> words_up_to(Kind last, const char* (*name)(Kind)) {
  std::vector<std::string> words;
  for (int i = 0; i <= static_cast<int>(last); ++i) words.emplace_back(name(static_cast<Kind>(i)));
  return words;
}

// Columns that hold one of a few words.
struct SetWords {
  const char *layer, *column, *constraint;
  std::function<std::vector<std::string>()> words;
};

std::vector<SetWords> set_words() {
  const auto water = [] { return words_up_to(core::WaterKind::kLakeMargin, core::water_kind_name); };
  return {{"sites", "water_kind", "water_kind", water},
          {"waters", "kind", "water_kind", water},
          {"sites", "status", "site_status",
           [] { return words_up_to(core::SiteStatus::kRetired, core::site_status_name); }},
          {"samples", "kind", "sample_kind",
           [] { return words_up_to(core::SampleKind::kBlank, core::sample_kind_name); }},
          {"outfalls", "kind", "outfall_kind",
           [] { return words_up_to(core::OutfallKind::kTrade, core::outfall_kind_name); }},
          {"records", "life_stage", "life_stage",
           [] { return words_up_to(core::LifeStage::kAdult, core::life_stage_name); }},
          {"records", "quantity_kind", "quantity_kind",
           [] { return words_up_to(core::QuantityKind::kAbsent, core::quantity_kind_name); }},
          {"records", "name_match", "name_match",
           [] { return words_up_to(core::NameMatch::kChosen, core::name_match_name); }}};
}

std::string title_of(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

}  // namespace

void add_column_descriptions(const core::Database& database, std::span<const ExportTable> tables) {
  database.execute(kTables);
  core::Statement describe(
      database,
      "INSERT INTO gpkg_data_columns (table_name, column_name, name, title, description, "
      "constraint_name) VALUES (?, ?, ?, ?, ?, ?)");
  core::Statement allow(
      database,
      "INSERT OR IGNORE INTO gpkg_data_column_constraints (constraint_name, constraint_type, value) "
      "VALUES (?, 'enum', ?)");
  const std::vector<SetWords> known = set_words();
  for (const ExportTable& table : tables)
    for (const Column& column : table.columns) {
      std::optional<std::string> constraint;
      for (const SetWords& set : known) {
        if (table.name != set.layer || std::string(column.name) != set.column) continue;
        constraint = set.constraint;
        for (const std::string& word : set.words()) allow.run(*constraint, word);
      }
      describe.run(table.name, column.name, column.name, title_of(column.name), column.what, constraint);
    }
}

}  // namespace brookmark::geodata

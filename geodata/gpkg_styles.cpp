#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/layer_styles_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTable = R"sql(
CREATE TABLE layer_styles (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT(256), f_table_schema TEXT(256), f_table_name TEXT(256), f_geometry_column TEXT(256), styleName TEXT(30), styleQML TEXT, styleSLD TEXT, useAsDefault BOOLEAN, description TEXT, owner TEXT(30), ui TEXT(30), update_time DATETIME);
)sql";

}  // namespace

void add_styles(const core::Database& database, const ExportSource& source,
                std::span<const ExportTable> tables, const std::string& utc) {
  const std::map<std::string, LayerStyle> styles = layer_styles(source);
  database.execute(kTable);
  register_attributes(database, "layer_styles", "How a desktop GIS shows the layers when it opens them.",
                      utc);
  core::Statement add(
      database,
      "INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, "
      "styleName, styleQML, styleSLD, useAsDefault, description, owner, ui, update_time) VALUES "
      "('', '', ?, 'geom', ?, ?, ?, 1, ?, '', NULL, ?)");
  for (const ExportTable& table : tables) {
    const auto style = styles.find(table.name);
    if (style == styles.end()) continue;
    add.run(table.name, table.name, qml_of(style->second), sld_of(table.name, style->second),
            style->second.title, utc_with_milliseconds(utc));
  }
}

}  // namespace brookmark::geodata

#include <algorithm>
#include <map>

#include "core/scoring/class_colours.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/layer_style_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTable = R"sql(
CREATE TABLE layer_styles (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT(256), f_table_schema TEXT(256), f_table_name TEXT(256), f_geometry_column TEXT(256), styleName TEXT(30), styleQML TEXT, styleSLD TEXT, useAsDefault BOOLEAN, description TEXT, owner TEXT(30), ui TEXT(30), update_time DATETIME);
)sql";

// The rest of the map's colours, light and calm, under the classes.
constexpr core::ClassColour kNoClass{158, 164, 166}, kChannel{92, 134, 168}, kWater{186, 212, 228},
    kOutfall{66, 40, 62}, kDrop{30, 24, 34};

std::vector<StyleClass> classes_of(const core::Metric& metric, const char* otherwise) {
  std::vector<StyleClass> classes;
  const auto colours = core::colours_of_classes(metric.bands.size());
  for (std::size_t i = 0; i < metric.bands.size(); ++i)
    classes.push_back({std::to_string(metric.bands[i].rank),
                       std::to_string(metric.bands[i].rank) + "  " + metric.bands[i].name,
                       colours[std::min(static_cast<std::size_t>(std::max(metric.bands[i].rank, 1)) - 1,
                                        colours.size() - 1)]});
  classes.push_back({"", otherwise, kNoClass});
  return classes;
}

}  // namespace

void add_styles(const core::Database& database, const ExportSource& source,
                std::span<const ExportTable> tables, const std::string& utc) {
  const core::Metric& metric = source.assessment.metric_info();
  const std::string by = source.assessment.method->title + ", " + metric.title;
  const std::map<std::string, LayerStyle> styles = {
      {"sites",
       {StyleShape::kPoint, "class_rank", "code", by, classes_of(metric, "no class that holds"), 3.6}},
      {"channel_classes", {StyleShape::kLine, "class_rank", "", by, classes_of(metric, "unknown"), 0.9}},
      {"catchments",
       {StyleShape::kArea, "worst_rank", "code", by + ", worst site", classes_of(metric, "no class known"),
        0.4}},
      {"reaches", {StyleShape::kLine, "", "", "Watercourses", {{"", "watercourse", kChannel}}, 0.35}},
      {"drops",
       {StyleShape::kLine, "", "", "Falls between neighbours", {{"", "neighbouring sites", kDrop}}, 0.5}},
      {"outfalls", {StyleShape::kPoint, "", "code", "Outfalls", {{"", "outfall", kOutfall}}, 2.8}},
      {"waters", {StyleShape::kArea, "", "name", "Waters", {{"", "water", kWater}}, 0.3}}};
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

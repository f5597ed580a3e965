#include "geodata/layer_styles_internal.hpp"

#include <algorithm>

#include "core/scoring/class_colours.hpp"

namespace brookmark::geodata {

namespace {

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

std::map<std::string, LayerStyle> layer_styles(const ExportSource& source) {
  const core::Metric& metric = source.assessment.metric_info();
  const std::string by = source.assessment.method->title + ", " + metric.title;
  return {{"sites",
           {StyleShape::kPoint, "class_rank", "code", by, classes_of(metric, "no class that holds"), 3.6}},
          {"channel_classes", {StyleShape::kLine, "class_rank", "", by, classes_of(metric, "unknown"), 0.9}},
          {"catchments",
           {StyleShape::kArea, "worst_rank", "code", by + ", worst site",
            classes_of(metric, "no class known"), 0.4}},
          {"reaches", {StyleShape::kLine, "", "", "Watercourses", {{"", "watercourse", kChannel}}, 0.35}},
          {"drops",
           {StyleShape::kLine, "", "", "Falls between neighbours", {{"", "neighbouring sites", kDrop}}, 0.5}},
          {"outfalls", {StyleShape::kPoint, "", "code", "Outfalls", {{"", "outfall", kOutfall}}, 2.8}},
          {"waters", {StyleShape::kArea, "", "name", "Waters", {{"", "water", kWater}}, 0.3}}};
}

}  // namespace brookmark::geodata

// Why: a layer is drawn alike by every desktop GIS: as QML (the XML that the column styleQML of layer_styles holds) and as
// SLD 1.0.0 (OGC 02-070).
// Use: LayerStyle s{StyleShape::kPoint, "class_rank", "code", "Sites", {{"1", "1  good", {43, 108, 214}}}, 3.6};  qml_of(s)
#pragma once

#include <string>
#include <vector>

#include "core/scoring/class_colours.hpp"

namespace brookmark::geodata {

struct StyleClass {
  std::string value;  // of the column; empty: every other value, and none
  std::string label;  // in the legend
  core::ClassColour colour;
};

enum class StyleShape { kPoint, kLine, kArea };

struct LayerStyle {
  StyleShape shape = StyleShape::kPoint;
  std::string column;  // whole numbers; empty: one look for all
  std::string label;   // column written beside each; empty: none
  std::string title;
  std::vector<StyleClass> classes;  // at least one
  double size_mm = 3;               // of points; width of lines and borders
};

std::string qml_of(const LayerStyle& style);
std::string sld_of(const std::string& layer, const LayerStyle& style);

}  // namespace brookmark::geodata

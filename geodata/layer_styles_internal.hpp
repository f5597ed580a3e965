// Why: a GeoPackage and a server hand over the same layers, drawn alike.
// Use: const auto styles = layer_styles(source);  styles.find("sites")
#pragma once

#include <map>
#include <string>

#include "geodata/export.hpp"
#include "geodata/layer_style_internal.hpp"

namespace brookmark::geodata {

// By layer; of those that are drawn.
std::map<std::string, LayerStyle> layer_styles(const ExportSource& source);

}  // namespace brookmark::geodata

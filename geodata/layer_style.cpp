#include "geodata/layer_style_internal.hpp"

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

// Common practice, no source: 96 pixels an inch, of 25.4 mm.
constexpr double kPixelsPerMm = 96 / 25.4;
constexpr const char* kBorder = "35,35,35,255";

std::string decimal(const core::ClassColour& c, int alpha) {
  return std::to_string(c.r) + "," + std::to_string(c.g) + "," + std::to_string(c.b) + "," +
         std::to_string(alpha);
}

std::string hexadecimal(const core::ClassColour& c) {
  constexpr const char* kDigits = "0123456789abcdef";
  std::string text = "#";
  for (const unsigned part : {c.r, c.g, c.b}) {
    text += kDigits[part >> 4];
    text += kDigits[part & 0xF];
  }
  return text;
}

std::string pixels(double mm) {
  return core::format_fixed(mm * kPixelsPerMm, 1);
}

// Both ways in which versions of the form write a property.
std::string property(const std::string& key, const std::string& value) {
  return "<Option type=\"QString\" name=\"" + key + "\" value=\"" + xml_text(value) + "\"/>";
}
std::string old_property(const std::string& key, const std::string& value) {
  return "<prop k=\"" + key + "\" v=\"" + xml_text(value) + "\"/>";
}

std::string symbol(const LayerStyle& style, const StyleClass& look, std::size_t number) {
  using Properties = std::vector<std::pair<std::string, std::string>>;
  const std::string size = core::format_number(style.size_mm);
  const char* type = "marker";
  const char* kind = "SimpleMarker";
  Properties properties = {{"name", style.column.empty() ? "diamond" : "circle"},
                           {"color", decimal(look.colour, 255)},
                           {"outline_color", kBorder},
                           {"outline_width", "0.2"},
                           {"size", size},
                           {"size_unit", "MM"}};
  if (style.shape == StyleShape::kLine) {
    type = "line";
    kind = "SimpleLine";
    properties = {{"line_color", decimal(look.colour, 255)},
                  {"line_width", size},
                  {"line_width_unit", "MM"},
                  {"line_style", look.value.empty() && !style.column.empty() ? "dot" : "solid"},
                  {"capstyle", "round"}};
  } else if (style.shape == StyleShape::kArea) {
    type = "fill";
    kind = "SimpleFill";
    properties = {{"color", decimal(look.colour, style.column.empty() ? 255 : 60)},
                  {"style", "solid"},
                  {"outline_color", kBorder},
                  {"outline_width", size},
                  {"outline_width_unit", "MM"}};
  }
  std::string xml = "<symbol type=\"" + std::string(type) + "\" name=\"" + std::to_string(number) +
                    "\" alpha=\"1\" clip_to_extent=\"1\" force_rhr=\"0\"><layer class=\"" + kind +
                    "\" enabled=\"1\" locked=\"0\" pass=\"0\"><Option type=\"Map\">";
  for (const auto& [key, value] : properties) xml += property(key, value);
  xml += "</Option>";
  for (const auto& [key, value] : properties) xml += old_property(key, value);
  return xml + "</layer></symbol>\n";
}

std::string sld_symbol(const LayerStyle& style, const StyleClass& look) {
  const std::string colour = hexadecimal(look.colour);
  const auto fill = [&](const char* opacity) {
    return "<sld:Fill><sld:CssParameter name=\"fill\">" + colour +
           "</sld:CssParameter><sld:CssParameter name=\"fill-opacity\">" + opacity +
           "</sld:CssParameter></sld:Fill>";
  };
  const auto stroke = [](const std::string& ink, const std::string& width, bool dotted) {
    return "<sld:Stroke><sld:CssParameter name=\"stroke\">" + ink +
           "</sld:CssParameter><sld:CssParameter name=\"stroke-width\">" + width + "</sld:CssParameter>" +
           (dotted ? "<sld:CssParameter name=\"stroke-dasharray\">1 3</sld:CssParameter>" : "") +
           "</sld:Stroke>";
  };
  if (style.shape == StyleShape::kLine)
    return "<sld:LineSymbolizer>" +
           stroke(colour, pixels(style.size_mm), look.value.empty() && !style.column.empty()) +
           "</sld:LineSymbolizer>";
  if (style.shape == StyleShape::kArea)
    return "<sld:PolygonSymbolizer>" + fill(style.column.empty() ? "1" : "0.24") +
           stroke("#232323", pixels(style.size_mm), false) + "</sld:PolygonSymbolizer>";
  return "<sld:PointSymbolizer><sld:Graphic><sld:Mark><sld:WellKnownName>" +
         std::string(style.column.empty() ? "square" : "circle") + "</sld:WellKnownName>" + fill("1") +
         stroke("#232323", "0.8", false) + "</sld:Mark><sld:Size>" + pixels(style.size_mm) +
         "</sld:Size></sld:Graphic></sld:PointSymbolizer>";
}

std::string sld_filter(const LayerStyle& style, const StyleClass& look) {
  if (style.column.empty()) return {};
  const std::string name = "<ogc:PropertyName>" + xml_text(style.column) + "</ogc:PropertyName>";
  if (look.value.empty())
    return "<ogc:Filter><ogc:PropertyIsNull>" + name + "</ogc:PropertyIsNull></ogc:Filter>";
  return "<ogc:Filter><ogc:PropertyIsEqualTo>" + name + "<ogc:Literal>" + xml_text(look.value) +
         "</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>";
}

}  // namespace

std::string qml_of(const LayerStyle& style) {
  std::string xml =
      "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n<qgis version=\"3.22\" "
      "styleCategories=\"Symbology|Labeling\" labelsEnabled=\"" +
      std::string(style.label.empty() ? "0" : "1") + "\">\n";
  if (style.column.empty()) {
    xml += "<renderer-v2 type=\"singleSymbol\" symbollevels=\"0\" enableorderby=\"0\" forceraster=\"0\">\n";
  } else {
    xml += "<renderer-v2 type=\"categorizedSymbol\" attr=\"" + xml_text(style.column) +
           "\" symbollevels=\"0\" enableorderby=\"0\" forceraster=\"0\">\n<categories>\n";
    for (std::size_t i = 0; i < style.classes.size(); ++i)
      xml += "<category symbol=\"" + std::to_string(i) + "\" value=\"" + xml_text(style.classes[i].value) +
             "\" type=\"" + (style.classes[i].value.empty() ? "NULL" : "long") + "\" label=\"" +
             xml_text(style.classes[i].label) + "\" render=\"true\"/>\n";
    xml += "</categories>\n";
  }
  xml += "<symbols>\n";
  for (std::size_t i = 0; i < style.classes.size(); ++i) xml += symbol(style, style.classes[i], i);
  xml += "</symbols>\n</renderer-v2>\n";
  if (!style.label.empty())
    xml += "<labeling type=\"simple\"><settings calloutType=\"simple\"><text-style fieldName=\"" +
           xml_text(style.label) +
           "\" isExpression=\"0\" fontSize=\"8\" fontSizeUnit=\"Point\" fontWeight=\"50\" "
           "textColor=\"24,34,40,255\" "
           "textOpacity=\"1\"><text-buffer bufferDraw=\"1\" bufferSize=\"0.8\" bufferSizeUnits=\"MM\" "
           "bufferColor=\"255,255,255,255\" bufferOpacity=\"0.8\"/></text-style><placement placement=\"" +
           std::string(style.shape == StyleShape::kPoint ? "6" : "1") +
           // Without a priority it is 0, and no label is ever worth its place.
           "\" priority=\"5\" dist=\"1\" distUnits=\"MM\"/></settings></labeling>\n";
  return xml + "</qgis>\n";
}

std::string sld_of(const std::string& layer, const LayerStyle& style) {
  std::string xml =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<sld:StyledLayerDescriptor version=\"1.0.0\" "
      "xmlns:sld=\"http://www.opengis.net/sld\" "
      "xmlns:ogc=\"http://www.opengis.net/ogc\">\n<sld:NamedLayer><sld:Name>" +
      xml_text(layer) + "</sld:Name><sld:UserStyle><sld:Title>" + xml_text(style.title) +
      "</sld:Title><sld:IsDefault>1</sld:IsDefault><sld:FeatureTypeStyle>\n";
  for (const StyleClass& look : style.classes)
    xml += "<sld:Rule><sld:Title>" + xml_text(look.label) + "</sld:Title>" + sld_filter(style, look) +
           sld_symbol(style, look) + "</sld:Rule>\n";
  if (!style.label.empty())
    xml +=
        "<sld:Rule><sld:TextSymbolizer><sld:Label><ogc:PropertyName>" + xml_text(style.label) +
        "</ogc:PropertyName></sld:Label><sld:Font><sld:CssParameter name=\"font-size\">10</sld:CssParameter>"
        "</sld:Font><sld:Halo><sld:Radius>1</sld:Radius><sld:Fill><sld:CssParameter "
        "name=\"fill\">#ffffff</sld:CssParameter></sld:Fill></sld:Halo></sld:TextSymbolizer></sld:Rule>\n";
  return xml + "</sld:FeatureTypeStyle></sld:UserStyle></sld:NamedLayer></sld:StyledLayerDescriptor>\n";
}

}  // namespace brookmark::geodata

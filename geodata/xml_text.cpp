#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

std::string xml_text(std::string_view text) {
  std::string xml;
  xml.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        xml += "&amp;";
        break;
      case '<':
        xml += "&lt;";
        break;
      case '>':
        xml += "&gt;";
        break;
      case '"':
        xml += "&quot;";
        break;
      case '\n':
        xml += "&#10;";
        break;
      case '\t':
        xml += "&#9;";
        break;
      case '\r':
        xml += "&#13;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20) xml += c;
    }
  }
  return xml;
}

}  // namespace brookmark::geodata

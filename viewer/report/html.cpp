#include <string>

#include "core/base/text.hpp"
#include "viewer/report/document.hpp"

namespace brookmark::viewer {

namespace {

std::string escaped(const std::string& text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

constexpr const char* kStyle = R"(
@page { size: A4; margin: 12mm; }
body { font: 15px/1.4 Roboto, "DejaVu Sans", sans-serif; color: #111; background: #fff; max-width: 50rem; margin: 1rem auto; padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.1rem; margin: 1.1rem 0 .3rem; }
.subtitle, footer { color: #444; margin: .2rem 0 .8rem; }
.strong { border: 2px solid #8a1f11; padding: .5rem .7rem; font-weight: 600; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin: .4rem 0; }
caption { text-align: left; font-weight: 600; padding: .2rem 0; }
th, td { border: 1px solid #888; padding: .25rem .4rem; text-align: left; vertical-align: top; }
th { background: #eceff1; } td.blank { height: 1.6rem; }
@media print { body { font-size: 9.5pt; margin: 0; max-width: none; padding: 0; } tr { break-inside: avoid; } .wide { overflow: visible; } }
)";

struct Writer {
  std::string& html;

  void operator()(const HeadingBlock& block) const { html += "<h2>" + escaped(block.text) + "</h2>\n"; }
  void operator()(const TextBlock& block) const {
    html += (block.strong ? "<p class=\"strong\">" : "<p>") + escaped(block.text) + "</p>\n";
  }
  void operator()(const ListBlock& block) const {
    html += "<ul>\n";
    for (const std::string& item : block.items) html += "<li>" + escaped(item) + "</li>\n";
    html += "</ul>\n";
  }
  void operator()(const TableBlock& block) const {
    html += "<div class=\"wide\"><table>\n";
    if (!block.caption.empty()) html += "<caption>" + escaped(block.caption) + "</caption>\n";
    double sum = 0;
    for (const double share : block.shares) sum += share;
    if (sum > 0) {
      html += "<colgroup>";
      for (const double share : block.shares)
        html += "<col style=\"width:" + core::format_fixed(100 * share / sum, 1) + "%\">";
      html += "</colgroup>\n";
    }
    html += "<thead><tr>";
    for (const std::string& column : block.columns) html += "<th scope=\"col\">" + escaped(column) + "</th>";
    html += "</tr></thead>\n<tbody>\n";
    for (const auto& row : block.rows) {
      html += "<tr>";
      for (const std::string& cell : row) html += "<td>" + escaped(cell) + "</td>";
      html += "</tr>\n";
    }
    constexpr std::size_t kFilled = 12;  // a page on a screen has no foot: so many rows to write on
    const std::size_t blank = block.fills_page && block.blank_rows < kFilled ? kFilled : block.blank_rows;
    for (std::size_t i = 0; i < blank; ++i) {
      html += "<tr>";
      for (std::size_t c = 0; c < block.columns.size(); ++c) html += "<td class=\"blank\">&nbsp;</td>";
      html += "</tr>\n";
    }
    html += "</tbody></table></div>\n";
  }
};

}  // namespace

std::string to_html(const Document& document) {
  std::string html =
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" +
      escaped(document.title) + "</title>\n<style>" + kStyle + "</style>\n</head>\n<body>\n<main>\n<h1>" +
      escaped(document.title) + "</h1>\n<p class=\"subtitle\">" + escaped(document.subtitle) + "</p>\n";
  for (const DocumentBlock& block : document.blocks) std::visit(Writer{html}, block);
  return html + "</main>\n<footer>" + escaped(document.footer) + "</footer>\n</body>\n</html>\n";
}

}  // namespace brookmark::viewer

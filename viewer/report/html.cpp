#include <string>

#include "core/base/text.hpp"
#include "viewer/report/document.hpp"
#include "viewer/report/html_internal.hpp"

namespace brookmark::viewer {

namespace {

std::string hex(Colour c) {
  static constexpr char kDigits[] = "0123456789abcdef";
  std::string text = "#";
  for (const unsigned v : {c.r, c.g, c.b}) {
    text += kDigits[v >> 4U];
    text += kDigits[v & 15U];
  }
  return text;
}

// Read aloud, the sign alone means nothing: the words behind it say the class.
std::string badge_html(const Badge& badge) {
  return "<span class=\"badge\" aria-hidden=\"true\" style=\"background:" + hex(badge.fill) +
         ";color:" + hex(badge.ink) + "\">" + html_escaped(badge.sign) + "</span> ";
}

struct Writer {
  std::string& html;
  std::size_t headings = 0, figures = 0, tables = 0;

  void operator()(const HeadingBlock& block) {
    const std::string tag = block.level <= 2 ? "h2" : "h3";
    html += "<" + tag + " id=\"s" + std::to_string(++headings) + "\"" +
            (block.new_page ? " class=\"new-page\"" : "") + ">" + html_escaped(block.text) + "</" + tag +
            ">\n";
  }
  void operator()(const TextBlock& block) const {
    html += (block.strong ? "<p class=\"strong\">" : "<p>") + html_escaped(block.text) + "</p>\n";
  }
  void operator()(const ListBlock& block) const {
    if (block.items.empty()) return;
    html += "<ul>\n";
    for (const std::string& item : block.items) html += "<li>" + html_escaped(item) + "</li>\n";
    html += "</ul>\n";
  }
  void operator()(const ResultBlock& block) const {
    html += "<div class=\"result\">" + badge_html(block.badge) + "<div><p class=\"big\">" +
            html_escaped(block.text) + "</p><p>" + html_escaped(block.below) + "</p></div></div>\n";
  }
  void operator()(const FigureBlock& block) {
    if (block.figures.empty()) return;
    html += std::string("<div class=\"figures") + (block.figures.size() == 1 ? " one" : "") +
            (block.key.empty() ? "" : " keyed") + "\">\n";
    (*this)(KeyBlock{block.key});
    for (const Figure& figure : block.figures) {
      const std::string name = "f" + std::to_string(++figures);
      html += "<figure>";
      if (!figure.title.empty()) html += "<p class=\"figure-title\">" + html_escaped(figure.title) + "</p>";
      html += drawn_svg(figure.width, figure.height, figure.draw, name + "-",
                        "role=\"img\" aria-labelledby=\"" + name + "t " + name + "d\"",
                        "<title id=\"" + name + "t\">" +
                            html_escaped(figure.title.empty() ? "Figure" : figure.title) +
                            "</title><desc id=\"" + name + "d\">" + html_escaped(figure.alt) + "</desc>");
      if (!figure.caption.empty()) html += "<figcaption>" + html_escaped(figure.caption) + "</figcaption>";
      html += "</figure>\n";
    }
    html += "</div>\n";
  }
  void operator()(const KeyBlock& block) {
    if (block.entries.empty()) return;
    html += "<ul class=\"key\">\n";
    for (const KeyEntry& entry : block.entries) {
      const std::string size =
          "style=\"width:" + core::format_fixed(entry.width * 1.45, 1) + "px\" aria-hidden=\"true\"";
      html += "<li>" +
              drawn_svg(entry.width, entry.height, entry.draw, "k" + std::to_string(++figures) + "-", size) +
              " " + html_escaped(entry.text) + "</li>\n";
    }
    html += "</ul>\n";
  }

  static std::string classes(const TableBlock& block, std::size_t column) {
    return column < block.numeric.size() && block.numeric[column] ? " class=\"n\"" : "";
  }
  void operator()(const TableBlock& block) {
    const std::string name = "t" + std::to_string(++tables);
    html +=
        "<p class=\"hint\" aria-hidden=\"true\">Scroll the table to the right for the rest →</p>\n"
        "<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"" +
        html_escaped(block.caption.empty() ? "Table" : block.caption) + "\"><table id=\"" + name + "\">\n";
    if (!block.caption.empty()) html += "<caption>" + html_escaped(block.caption) + "</caption>\n";
    double sum = 0;
    for (const double share : block.shares) sum += share;
    if (sum > 0) {
      html += "<colgroup>";
      for (const double share : block.shares)
        html += "<col style=\"width:" + core::format_fixed(100 * share / sum, 1) + "%\" />";
      html += "</colgroup>\n";
    }
    html += "<thead><tr>";
    for (std::size_t c = 0; c < block.columns.size(); ++c)
      html += "<th scope=\"col\"" + classes(block, c) + ">" + html_escaped(block.columns[c]) + "</th>";
    html += "</tr></thead>\n<tbody>\n";
    for (const auto& row : block.rows) {
      html += "<tr>";
      for (std::size_t c = 0; c < row.size(); ++c) {
        const bool head = c == 0 && block.row_heads;
        html += (head ? "<th scope=\"row\"" : "<td") + classes(block, c) + ">" +
                (row[c].badge ? badge_html(*row[c].badge) : "") + html_escaped(row[c].text) +
                (head ? "</th>" : "</td>");
      }
      html += "</tr>\n";
    }
    constexpr std::size_t kFilled = 12;  // a page on a screen has no foot: so many rows to write on
    const std::size_t blank = block.fills_page && block.blank_rows < kFilled ? kFilled : block.blank_rows;
    for (std::size_t i = 0; i < blank; ++i) {
      html += "<tr>";
      for (std::size_t c = 0; c < block.columns.size(); ++c) html += "<td class=\"blank\">&#160;</td>";
      html += "</tr>\n";
    }
    html += "</tbody></table></div>\n";
  }
};

std::string contents_of(const Document& document) {
  std::string html = "<nav aria-label=\"Contents\"><ol>\n";
  std::size_t heading = 0;
  for (const DocumentBlock& block : document.blocks)
    if (const auto* found = std::get_if<HeadingBlock>(&block)) {
      ++heading;
      if (found->level <= 2)
        html +=
            "<li><a href=\"#s" + std::to_string(heading) + "\">" + html_escaped(found->text) + "</a></li>\n";
    }
  return html + "</ol></nav>\n";
}

}  // namespace

std::string html_escaped(std::string_view text) {
  const bool valid = core::is_valid_utf8(text);
  std::string safe;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
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
      default:  // no page may hold signs of control, nor bytes that are no UTF-8
        safe += byte < 0x20 || byte == 0x7F ? ' ' : !valid && byte >= 0x80 ? '?' : c;
    }
  }
  return safe;
}

std::string to_html(const Document& document) {
  std::string html = std::string("<!DOCTYPE html>\n<html lang=\"") + kDocumentLanguage +
                     "\">\n<head>\n"
                     "<meta charset=\"utf-8\" />\n"
                     "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\" />\n";
  if (!document.subject.empty())
    html += "<meta name=\"description\" content=\"" + html_escaped(document.subject) + "\" />\n";
  html += "<meta name=\"generator\" content=\"Brookmark\" />\n<title>" + html_escaped(document.title) +
          "</title>\n<style>" + kPageStyle + "</style>\n</head>\n<body>\n<header>\n<h1>" +
          html_escaped(document.title) + "</h1>\n<p class=\"subtitle\">" + html_escaped(document.subtitle) +
          "</p>\n</header>\n";
  if (document.contents) html += contents_of(document);
  html += "<main>\n";
  Writer writer{html};
  for (const DocumentBlock& block : document.blocks) std::visit(writer, block);
  return html + "</main>\n<footer><p>" + html_escaped(document.footer) + "</p></footer>\n</body>\n</html>\n";
}

}  // namespace brookmark::viewer

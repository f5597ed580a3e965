// Why: what is handed over on paper or as a page is words, tables and figures in one order. One value, written as HTML or
// PDF, so that both say the same.
// Use: Document sheet{"Field sheet", "10 June 2025", "foot", "2025-06-10"};  sheet.add(TableBlock{...});
//      geodata::write_text_file("sheet.pdf", to_pdf(sheet), force);
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "viewer/report/canvas.hpp"

namespace brookmark::viewer {

struct HeadingBlock {
  std::string text;
  int level = 2;          // 2 or 3; the title of the document is 1
  bool new_page = false;  // on paper
};
struct TextBlock {
  std::string text;
  bool strong = false;  // set off by a frame: what must not be overlooked
};
struct ListBlock {
  std::vector<std::string> items;
};
// A class: its rank on its colour, so that colour is never needed.
struct Badge {
  std::string sign;
  Colour fill, ink;
};
struct TableCell {
  std::string text;
  std::optional<Badge> badge = {};                          // before the text
  TableCell(std::string words) : text(std::move(words)) {}  // NOLINT(google-explicit-constructor)
  TableCell(const char* words) : text(words) {}             // NOLINT(google-explicit-constructor)
  TableCell(std::string words, std::optional<Badge> mark) : text(std::move(words)), badge(std::move(mark)) {}
};
struct TableBlock {
  std::string caption;
  std::vector<std::string> columns;
  std::vector<double> shares;  // of the width, one a column; empty: all alike
  std::vector<std::vector<TableCell>> rows;
  std::size_t blank_rows = 0;      // to write on, behind the rows
  bool fills_page = false;         // as many more blank rows as the page has room for
  bool row_heads = false;          // the first cell of a row names it
  std::vector<bool> numeric = {};  // columns of numbers, to the right; may be shorter than columns
};
// A result in large letters beside its badge.
struct ResultBlock {
  Badge badge;
  std::string text, below;
};
struct Figure {
  std::string title;             // above it
  std::string alt;               // what it shows, for whoever does not see it; never empty
  std::string caption;           // below it; may be empty
  double width = 0, height = 0;  // points; stretched to the page's width on a screen
  Drawing draw;
};
// What a sign of a figure means.
struct KeyEntry {
  double width = 0, height = 0;  // of the sign, points
  Drawing draw;
  std::string text;
};
// Side by side as far as there is room. The key stands beside a figure that leaves room for it, else before it.
struct FigureBlock {
  std::vector<Figure> figures;
  std::vector<KeyEntry> key = {};
};
struct KeyBlock {
  std::vector<KeyEntry> entries;
};
using DocumentBlock =
    std::variant<HeadingBlock, TextBlock, ListBlock, TableBlock, ResultBlock, FigureBlock, KeyBlock>;

inline constexpr const char* kDocumentLanguage = "en";  // of every text in it

struct Document {
  std::string title, subtitle;
  std::string footer;  // at the foot of every page
  std::string date;    // "2025-06-10": the file's date, so that the same words give the same bytes
  std::vector<DocumentBlock> blocks = {};
  std::string subject = {};  // of the file, one sentence
  bool contents = false;     // a list of the main headings that leads to them
  bool may_shrink = true;    // on paper, down to four fifths, where that saves a page
  void add(DocumentBlock block) { blocks.push_back(std::move(block)); }
};

// One self-contained page: no script, nothing fetched; every text escaped. Also well-formed XML.
std::string to_html(const Document& document);
// A4 upright, each page numbered ("page 1 of 2" where there are more than one), real text in the program's own fonts, headings as bookmarks. Tagged (ISO 32000-1, 14.8): headings, paragraphs,
// lists, tables with heads, figures with what they show, so that it can be read aloud; what only decorates is in no tag.
// Throws Error(kStorage) where the drawing library fails.
std::string to_pdf(const Document& document);

// As to_pdf sets it.
std::size_t pages_of_pdf(const Document& document);

}  // namespace brookmark::viewer

// Why: what is handed over on paper or as a page is words and tables in one order. One value, written as HTML or PDF,
// so that both say the same.
// Use: Document sheet{"Field sheet", "10 June 2025", "en", {}, {}};  sheet.add(TableBlock{...});
//      geodata::write_text_file("sheet.pdf", to_pdf(sheet), force);
#pragma once

#include <cstddef>
#include <string>
#include <variant>
#include <vector>

namespace brookmark::viewer {

struct HeadingBlock {
  std::string text;
};
struct TextBlock {
  std::string text;
  bool strong = false;  // set off by a frame: what must not be overlooked
};
struct ListBlock {
  std::vector<std::string> items;
};
struct TableBlock {
  std::string caption;
  std::vector<std::string> columns;
  std::vector<double> shares;  // of the width, one a column; empty: all alike
  std::vector<std::vector<std::string>> rows;
  std::size_t blank_rows = 0;  // to write on, behind the rows
  bool fills_page = false;     // as many more blank rows as the page has room for
};
using DocumentBlock = std::variant<HeadingBlock, TextBlock, ListBlock, TableBlock>;

struct Document {
  std::string title, subtitle;
  std::string footer;  // at the foot of every page
  std::string date;    // "2025-06-10": the file's date, so that the same words give the same bytes
  std::vector<DocumentBlock> blocks;
  void add(DocumentBlock block) { blocks.push_back(std::move(block)); }
};

// One self-contained page: no script, nothing fetched; every text escaped.
std::string to_html(const Document& document);
// A4 upright, real text in the program's own fonts. Drawn smaller (down to four fifths) where that saves a page.
// Throws Error(kStorage) where the drawing library fails.
std::string to_pdf(const Document& document);

}  // namespace brookmark::viewer

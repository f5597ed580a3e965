// Why: every page beside the map, once: its place on the rail, its sign and word, and the function that draws it.
// A new page is a line in pages.cpp and a name in `Page`.
#pragma once

#include <span>

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

struct PageEntry {
  Page page;
  const char* sign;  // one character of the symbol font
  const char* word;  // at most eight letters
  const char* what;  // a line for the find box
  void (*draw)(const Ui& ui);
  bool wide = false;  // a table, or a sheet to fill in
};

// In the order of the rail, top to bottom.
std::span<const PageEntry> pages();
const PageEntry& entry_of(Page page);

void draw_rail(const Ui& ui);
// A button that opens the list of all pages, at the cursor; for windows without a rail.
void draw_page_menu(const Ui& ui, float width, float height);
void draw_survey_page(const Ui& ui);
void draw_help_page(const Ui& ui);
void draw_settings_page(const Ui& ui);
void draw_parts_page(const Ui& ui);
void draw_table_page(const Ui& ui);
void draw_suggest_page(const Ui& ui);
// The number in a suggestion's code, 3 of NEW-03: on the page, on the map and in the reasons of others it stays the same when some are taken.
std::size_t suggestion_number(const core::Suggestion& suggestion);

// Places in PoorParts::order, worst first: those that are poor, and those whose worst site is in the better half of the
// classes (of five the best two). Where a metric has no classes, all count as poor.
struct PartsByClass {
  std::vector<std::size_t> poor, better;
  std::size_t unknown = 0;   // without a site that has a class
  std::string better_words;  // "4 more are Good or Excellent"
  std::string none_poor;     // a sentence for an empty list of poor ones
};
PartsByClass parts_by_class(const PoorParts& parts);

}  // namespace brookmark::viewer

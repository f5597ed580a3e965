// Why: A4 pages through cairo: what is drawn on them, where each heading stands, and what the file says of itself. Private
// to viewer/report; cairo's headers stay in the .cpp.
#pragma once

#include <memory>
#include <string>

#include "viewer/report/document.hpp"

namespace brookmark::viewer {

// Points, 72 to the inch, from the top left.
inline constexpr double kPaperWidth = 595.276, kPaperHeight = 841.890;

class Paper {
 public:
  // Title, subject and date go into the file.
  explicit Paper(const Document& document);
  ~Paper();
  Paper(const Paper&) = delete;
  Paper& operator=(const Paper&) = delete;

  Canvas& canvas();
  // A bookmark to this height of the page; level 1 is the title's. One level below the last at most.
  void bookmark(const std::string& text, int level, double y);
  // What is drawn until close() is in the structure under this name of ISO 32000-1, 14.8.4 ("P", "Table"). Text and drawings
  // stand in innermost ones alone, and those are closed on the page on which they were opened.
  void open(const std::string& tag);
  void close(const std::string& tag);
  void open_figure(const std::string& alt);  // closed as "Figure"
  void open_head(bool of_row);               // of a table; closed as "TH"
  void open_link(const std::string& place);  // to a place(); closed as "Link"
  void place(const std::string& name);       // here, on this page
  void next_page();
  // The file. Nothing may be drawn afterwards. Throws Error(kStorage).
  std::string finish();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer

// Why: text and rules on A4 pages through cairo, in the program's own fonts. Private to viewer/report; cairo's headers
// stay in the .cpp.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::viewer {

// Points, 72 to the inch, from the top left.
inline constexpr double kPaperWidth = 595.276, kPaperHeight = 841.890;

enum class Face { kRegular, kBold };

class Paper {
 public:
  // `title` and `date` ("2025-06-10", may be empty) go into the file.
  Paper(const std::string& title, const std::string& date);
  ~Paper();
  Paper(const Paper&) = delete;
  Paper& operator=(const Paper&) = delete;

  double width(std::string_view text, Face face, double size) const;
  // `y` is the line on which letters stand.
  void text(std::string_view text, double x, double y, Face face, double size, double grey = 0);
  void box(double x, double y, double width, double height, double line, double grey = 0.5);
  void fill(double x, double y, double width, double height, double grey);
  void next_page();
  // The file. Nothing may be drawn afterwards. Throws Error(kStorage).
  std::string finish();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Words into lines no wider than that; a word that is wider alone is cut.
std::vector<std::string> wrapped(const Paper& paper, const std::string& text, Face face, double size,
                                 double width);

}  // namespace brookmark::viewer

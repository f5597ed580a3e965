// Why: sets the blocks of a document one below the other on pages. Private to viewer/report.
// Use: const std::size_t pages = PageSetter(document, paper, 1.0, true).set();
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "viewer/report/document.hpp"
#include "viewer/report/paper_internal.hpp"

namespace brookmark::viewer {

inline constexpr double kPageMargin = 36, kPageFoot = 22;
inline constexpr double kPageWidth = kPaperWidth - 2 * kPageMargin;  // of what is set
inline constexpr double kPageBottom = kPaperHeight - kPageMargin - kPageFoot;
inline constexpr Colour kPageText{17, 24, 28}, kPageRule{150, 158, 160};

class PageSetter {
 public:
  // With `draw` off it only counts pages.
  PageSetter(const Document& document, Paper& paper, double scale, bool draw)
      : document_(document), paper_(paper), canvas_(paper.canvas()), scale_(scale), draw_(draw) {}
  std::size_t set();

 private:
  double size() const { return 9 * scale_; }
  double small() const { return 8.2 * scale_; }

  void begin_page();
  void end_page();
  void new_page();
  void need(double height);  // a new page where so much is not left
  void put(const std::string& text, double x, double points, Face face, Colour colour);
  void set_line(const std::string& text, double x, double points, Face face, Colour colour);
  void set_lines(const std::string& text, double x, double width, double points, Face face, Colour colour);
  void set_badge(const Badge& badge, double x, double middle_y, double radius);

  void set_block(const HeadingBlock& block);
  void set_block(const TextBlock& block);
  void set_block(const ListBlock& block);
  void set_block(const ResultBlock& block);
  void set_block(const FigureBlock& block);
  void set_block(const KeyBlock& block);
  void set_block(const TableBlock& block);
  void set_figure(const Figure& figure, double x, double scale);
  // As a column or in rows from `left` on; returns the height taken.
  double set_key(const std::vector<KeyEntry>& key, double left, double width);
  double least_height(const DocumentBlock& block) const;  // of what must stay together at its beginning
  double figure_height(const Figure& figure, double scale) const;
  double row_height(const TableBlock& table, const std::vector<TableCell>& cells,
                    const std::vector<double>& widths, bool head) const;
  // Its title, head and first row.
  double table_top_height(const TableBlock& table) const;
  double item_height(const std::string& item) const;
  void set_row(const TableBlock& table, const std::vector<TableCell>& cells,
               const std::vector<double>& widths, bool head);

  const Document& document_;
  Paper& paper_;
  Canvas& canvas_;
  double scale_;
  bool draw_;
  double y_ = 0;
  std::size_t pages_ = 0;
  const TableBlock* open_table_ = nullptr;  // its heads are said again on the next page
  const std::vector<double>* open_widths_ = nullptr;
};

}  // namespace brookmark::viewer

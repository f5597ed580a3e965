// Why: sets the blocks of a document one below the other on pages. Private to viewer/report.
// Use: const std::size_t pages = PageSetter(document, paper, 1.0, true).set();
#pragma once

#include <cstddef>
#include <string>
#include <utility>
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
  // `pages_of_headings`: as an earlier setting found them, for the contents; empty: not known yet. `of_pages`: how many there will be.
  PageSetter(const Document& document, Paper& paper, double scale, bool draw,
             std::vector<std::size_t> pages_of_headings = {}, std::size_t of_pages = 0)
      : document_(document),
        paper_(paper),
        canvas_(paper.canvas()),
        scale_(scale),
        draw_(draw),
        of_pages_(of_pages),
        told_pages_(std::move(pages_of_headings)) {}
  std::size_t set();  // the number of pages
  const std::vector<std::size_t>& pages_of_headings() const { return heading_pages_; }

 private:
  // In the structure of the file for as long as it lives. Those that are not leaves hold others.
  class Tag {
   public:
    Tag(const PageSetter& setter, const char* name)
        : paper_(setter.draw_ ? &setter.paper_ : nullptr), name_(name) {
      if (paper_ != nullptr) paper_->open(name_);
    }
    ~Tag() {
      if (paper_ != nullptr) paper_->close(name_);
    }
    Tag(const Tag&) = delete;
    Tag& operator=(const Tag&) = delete;

   private:
    Paper* paper_;
    const char* name_;
  };
  // What is written until it ends; where a page ends in between, it goes on in another one of that name on the next.
  class Leaf {
   public:
    Leaf(PageSetter& setter, const char* name) : setter_(setter) {
      setter_.leaf_ = name;
      if (setter_.draw_) setter_.paper_.open(name);
    }
    ~Leaf() {
      if (setter_.draw_) setter_.paper_.close(setter_.leaf_);
      setter_.leaf_ = nullptr;
    }
    Leaf(const Leaf&) = delete;
    Leaf& operator=(const Leaf&) = delete;

   private:
    PageSetter& setter_;
  };

  double size() const { return 9 * scale_; }
  double small() const { return 8.2 * scale_; }

  void begin_page();
  void end_page();
  void new_page();
  void need(double height);  // a new page where so much is not left
  void put(const std::string& text, double x, double points, Face face, Colour colour);
  void set_line(const std::string& text, double x, double points, Face face, Colour colour);
  void set_lines(const std::string& text, double x, double width, double points, Face face, Colour colour);
  // The same in a tag of its own, as a paragraph; nothing for no text.
  void set_tagged(const char* tag, const std::string& text, double x, double width, double points, Face face,
                  Colour colour);
  void set_contents();
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
  // Heads that come again on the next page are in no tag.
  void set_row(const TableBlock& table, const std::vector<TableCell>& cells,
               const std::vector<double>& widths, bool head, bool again = false);

  const Document& document_;
  Paper& paper_;
  Canvas& canvas_;
  double scale_;
  bool draw_;
  double y_ = 0;
  std::size_t pages_ = 0, of_pages_ = 0;
  std::vector<std::size_t> told_pages_, heading_pages_;  // of each heading, from 1
  const char* leaf_ = nullptr;                           // the innermost tag that is open and holds text
  const TableBlock* open_table_ = nullptr;               // its heads are said again on the next page
  const std::vector<double>* open_widths_ = nullptr;
};

}  // namespace brookmark::viewer

#include <algorithm>

#include "viewer/report/document.hpp"
#include "viewer/report/paper_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kMargin = 36, kFoot = 22;

// Sets the blocks one below the other. With `draw` off it only counts pages.
class Setter {
 public:
  Setter(const Document& document, Paper& paper, double scale, bool draw)
      : document_(document), paper_(paper), scale_(scale), draw_(draw) {}

  std::size_t set() {
    begin_page();
    y_ += 14 * scale_;
    put(document_.title, kMargin, 15 * scale_, Face::kBold);
    y_ += 4 * scale_;
    for (const std::string& line : wrapped(paper_, document_.subtitle, Face::kRegular, small(), width()))
      set_line(line, kMargin, small(), Face::kRegular);
    for (const DocumentBlock& block : document_.blocks)
      std::visit([this](const auto& b) { set_block(b); }, block);
    end_page();
    return pages_;
  }

 private:
  double size() const { return 9 * scale_; }
  double small() const { return 8.5 * scale_; }
  double lead() const { return 1.28; }
  static double width() { return kPaperWidth - 2 * kMargin; }
  static double bottom() { return kPaperHeight - kMargin - kFoot; }

  void begin_page() {
    ++pages_;
    y_ = kMargin;
  }
  void end_page() {
    if (!draw_) return;
    double y = kPaperHeight - kMargin - 8;
    for (const std::string& line : wrapped(paper_, document_.footer, Face::kRegular, 6.5, width() - 40)) {
      paper_.text(line, kMargin, y, Face::kRegular, 6.5, 0.25);
      y += 8;
    }
    paper_.text(std::to_string(pages_), kPaperWidth - kMargin - 10, kPaperHeight - kMargin - 8,
                Face::kRegular, 7, 0.25);
  }
  void new_page() {
    end_page();
    if (draw_) paper_.next_page();
    begin_page();
  }
  void need(double height) {
    if (y_ + height > bottom()) new_page();
  }
  void put(const std::string& text, double x, double points, Face face) {
    if (draw_) paper_.text(text, x, y_, face, points);
  }
  void set_line(const std::string& text, double x, double points, Face face) {
    need(points * lead());
    y_ += points * lead();
    put(text, x, points, face);
  }

  void set_block(const HeadingBlock& block) {
    need(34 * scale_);
    y_ += 6 * scale_;
    set_line(block.text, kMargin, 10.5 * scale_, Face::kBold);
    y_ += 1.5 * scale_;
  }
  void set_block(const TextBlock& block) {
    const double inset = block.strong ? 6 : 0;
    const Face face = block.strong ? Face::kBold : Face::kRegular;
    const auto lines = wrapped(paper_, block.text, face, size(), width() - 2 * inset);
    const double height = static_cast<double>(lines.size()) * size() * lead() + (block.strong ? 8 : 0);
    need(std::min(height, bottom() - kMargin));
    y_ += 3 * scale_;
    const double top = y_;
    for (const std::string& line : lines) set_line(line, kMargin + inset, size(), face);
    if (!block.strong) return;
    y_ += 6;
    if (draw_ && y_ > top) paper_.box(kMargin, top, width(), y_ - top, 1.2, 0);
  }
  void set_block(const ListBlock& block) {
    for (const std::string& item : block.items) {
      bool first = true;
      for (const std::string& line : wrapped(paper_, item, Face::kRegular, small(), width() - 10)) {
        set_line(line, kMargin + 10, small(), Face::kRegular);
        if (first) put("–", kMargin + 1, small(), Face::kRegular);
        first = false;
      }
    }
  }

  std::vector<double> column_widths(const TableBlock& block) const {
    std::vector<double> widths(block.columns.size(), 1);
    if (block.shares.size() == widths.size()) widths = block.shares;
    double sum = 0;
    for (const double share : widths) sum += share;
    for (double& share : widths) share *= width() / sum;
    return widths;
  }
  void set_row(const std::vector<std::string>& cells, const std::vector<double>& widths, Face face,
               bool head) {
    std::vector<std::vector<std::string>> lines;
    std::size_t most = 1;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      lines.push_back(wrapped(paper_, cells[c], face, small(), widths[c] - 6));
      most = std::max(most, lines.back().size());
    }
    const double height = static_cast<double>(most) * small() * lead() + 4;
    if (y_ + height > bottom() && !head) {
      new_page();
      if (head_ != nullptr) set_row(*head_, widths, Face::kBold, true);
    }
    double x = kMargin;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (draw_ && head) paper_.fill(x, y_, widths[c], height, 0.92);
      if (draw_) paper_.box(x, y_, widths[c], height, 0.5);
      double line_y = y_ + small();
      for (const std::string& line : lines[c]) {
        if (draw_) paper_.text(line, x + 3, line_y + 1, face, small());
        line_y += small() * lead();
      }
      x += widths[c];
    }
    y_ += height;
  }
  void set_block(const TableBlock& block) {
    const auto widths = column_widths(block);
    const double blank = 17 * scale_;
    if (!block.caption.empty()) {
      need(50 * scale_ + (block.fills_page ? static_cast<double>(block.blank_rows) * blank : 0));
      y_ += 5 * scale_;
      set_line(block.caption, kMargin, 10 * scale_, Face::kBold);
    }
    y_ += 3 * scale_;
    head_ = &block.columns;
    set_row(block.columns, widths, Face::kBold, true);
    for (const auto& row : block.rows) set_row(row, widths, Face::kRegular, false);
    std::size_t left = block.blank_rows;
    if (block.fills_page)
      left = std::max(left, static_cast<std::size_t>(std::max(0.0, (bottom() - y_) / blank)));
    for (; left > 0; --left) {
      if (y_ + blank > bottom()) {
        new_page();
        set_row(block.columns, widths, Face::kBold, true);
      }
      double x = kMargin;
      for (const double w : widths) {
        if (draw_) paper_.box(x, y_, w, blank, 0.5);
        x += w;
      }
      y_ += blank;
    }
    head_ = nullptr;
    y_ += 2 * scale_;
  }

  const Document& document_;
  Paper& paper_;
  double scale_;
  bool draw_;
  double y_ = 0;
  std::size_t pages_ = 0;
  const std::vector<std::string>* head_ = nullptr;  // of the table being set, said again on the next page
};

}  // namespace

std::string to_pdf(const Document& document) {
  Paper paper(document.title, document.date);
  double best = 1;
  std::size_t fewest = Setter(document, paper, best, false).set();
  for (const double scale : {0.92, 0.86, 0.8}) {
    if (fewest == 1) break;
    if (const std::size_t pages = Setter(document, paper, scale, false).set(); pages < fewest) {
      fewest = pages;
      best = scale;
    }
  }
  Setter(document, paper, best, true).set();
  return paper.finish();
}

}  // namespace brookmark::viewer

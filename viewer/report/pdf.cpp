#include <algorithm>
#include <utility>

#include "viewer/report/page_setter_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kLead = 1.3;
constexpr double kRoomForTwo = 200;  // so wide a key stands in rows, a narrower one in a column
constexpr Colour kQuiet{74, 84, 90}, kAlarm{138, 31, 17}, kAccent{13, 92, 99};

}  // namespace

std::size_t PageSetter::set() {
  begin_page();
  if (draw_) paper_.bookmark(document_.title.empty() ? "Document" : document_.title, 1, 0);
  for (const std::string& line : wrapped(canvas_, document_.title, Face::kBold, 16 * scale_, kPageWidth))
    set_line(line, kPageMargin, 16 * scale_, Face::kBold, kPageText);
  y_ += 3 * scale_;
  set_lines(document_.subtitle, kPageMargin, kPageWidth, small(), Face::kRegular, kQuiet);
  y_ += 3 * scale_;
  for (std::size_t i = 0; i < document_.blocks.size(); ++i) {
    // A heading stays with what it is of.
    if (std::holds_alternative<HeadingBlock>(document_.blocks[i]) && i + 1 < document_.blocks.size())
      need(std::min(40 * scale_ + least_height(document_.blocks[i + 1]), kPageBottom - kPageMargin));
    std::visit([this](const auto& b) { set_block(b); }, document_.blocks[i]);
  }
  end_page();
  return pages_;
}

void PageSetter::begin_page() {
  ++pages_;
  y_ = kPageMargin;
}

void PageSetter::end_page() {
  if (!draw_) return;
  double y = kPaperHeight - kPageMargin - 8;
  for (const std::string& line : wrapped(canvas_, document_.footer, Face::kRegular, 6.5, kPageWidth - 40)) {
    canvas_.text(line, {kPageMargin, y}, Face::kRegular, 6.5, kQuiet);
    y += 8;
  }
  const std::string number = std::to_string(pages_);
  canvas_.text(
      number,
      {kPaperWidth - kPageMargin - canvas_.width(number, Face::kRegular, 7), kPaperHeight - kPageMargin - 8},
      Face::kRegular, 7, kQuiet);
}

void PageSetter::new_page() {
  end_page();
  if (draw_) paper_.next_page();
  begin_page();
  if (open_table_ == nullptr) return;
  const std::vector<TableCell> heads(open_table_->columns.begin(), open_table_->columns.end());
  set_row(*open_table_, heads, *open_widths_, true);
}

void PageSetter::need(double height) {
  if (y_ + height > kPageBottom) new_page();
}

void PageSetter::put(const std::string& text, double x, double points, Face face, Colour colour) {
  if (draw_) canvas_.text(text, {x, y_}, face, points, colour);
}

void PageSetter::set_line(const std::string& text, double x, double points, Face face, Colour colour) {
  need(points * kLead);
  y_ += points * kLead;
  put(text, x, points, face, colour);
}

void PageSetter::set_lines(const std::string& text, double x, double width, double points, Face face,
                           Colour colour) {
  for (const std::string& line : wrapped(canvas_, text, face, points, width))
    set_line(line, x, points, face, colour);
}

void PageSetter::set_badge(const Badge& badge, double x, double middle_y, double radius) {
  if (!draw_) return;
  canvas_.disc({x + radius, middle_y}, radius, kPageText);
  canvas_.disc({x + radius, middle_y}, radius - std::max(0.5, radius * 0.09), badge.fill);
  const double points = radius * 1.3, width = canvas_.width(badge.sign, Face::kBold, points);
  canvas_.text(badge.sign, {x + radius - width / 2, middle_y + points * 0.36}, Face::kBold, points,
               badge.ink);
}

void PageSetter::set_block(const HeadingBlock& block) {
  const bool main = block.level <= 2;
  const double points = (main ? 12.5 : 10) * scale_;
  if (block.new_page && y_ > kPageMargin + 1) new_page();
  need((main ? 60 : 46) * scale_);  // with something below it
  y_ += (main ? 9 : 6) * scale_;
  if (draw_) paper_.bookmark(block.text, std::clamp(block.level, 2, 3), y_);
  for (const std::string& line : wrapped(canvas_, block.text, Face::kBold, points, kPageWidth))
    set_line(line, kPageMargin, points, Face::kBold, main ? kAccent : kPageText);
  y_ += 2 * scale_;
}

void PageSetter::set_block(const TextBlock& block) {
  const double inset = block.strong ? 7 : 0;
  const Face face = block.strong ? Face::kBold : Face::kRegular;
  const auto lines = wrapped(canvas_, block.text, face, size(), kPageWidth - 2 * inset);
  const double height = static_cast<double>(lines.size()) * size() * kLead + (block.strong ? 12 : 0);
  if (block.strong || lines.size() <= 3) need(std::min(height, kPageBottom - kPageMargin));
  y_ += (block.strong ? 5 : 2) * scale_;
  const double top = y_;
  const std::size_t page = pages_;
  for (const std::string& line : lines) set_line(line, kPageMargin + inset, size(), face, kPageText);
  y_ += (block.strong ? 6 : 1) * scale_;
  if (!block.strong) return;
  const double begin = page == pages_ ? top : kPageMargin;
  if (draw_ && y_ > begin) canvas_.frame({kPageMargin, begin, kPageWidth, y_ - begin}, {kAlarm, 1.2});
  y_ += 3 * scale_;
}

double PageSetter::item_height(const std::string& item) const {
  return static_cast<double>(wrapped(canvas_, item, Face::kRegular, size(), kPageWidth - 11).size()) *
             size() * kLead +
         1.2 * scale_;
}

void PageSetter::set_block(const ListBlock& block) {
  for (std::size_t i = 0; i < block.items.size(); ++i) {
    const std::string& item = block.items[i];
    // No item alone at the end of a page or on top of the next one.
    const std::size_t left = block.items.size() - i;
    const std::size_t kept = i == 0 && left <= 3 ? left : i == 0 || left == 2 ? 2 : 1;
    double height = 0;
    for (std::size_t k = 0; k < kept; ++k) height += item_height(block.items[i + k]);
    if (kept > 1 && height < (kPageBottom - kPageMargin) / 3) need(height);
    bool first = true;
    for (const std::string& line : wrapped(canvas_, item, Face::kRegular, size(), kPageWidth - 11)) {
      set_line(line, kPageMargin + 11, size(), Face::kRegular, kPageText);
      if (first) put("–", kPageMargin + 1, size(), Face::kRegular, kQuiet);
      first = false;
    }
    y_ += 1.2 * scale_;
  }
  y_ += 1.5 * scale_;
}

void PageSetter::set_block(const ResultBlock& block) {
  const double radius = 17 * scale_, left = kPageMargin + 2 * radius + 9 * scale_;
  need(3 * radius);
  y_ += 3 * scale_;
  const double top = y_;
  set_badge(block.badge, kPageMargin, top + radius, radius);
  set_line(block.text, left, 15 * scale_, Face::kBold, kPageText);
  y_ += 1.5 * scale_;
  set_lines(block.below, left, kPaperWidth - kPageMargin - left, size(), Face::kRegular, kQuiet);
  y_ = std::max(y_, top + 2 * radius) + 4 * scale_;
}

double PageSetter::figure_height(const Figure& figure, double scale) const {
  const double width = figure.width * scale;
  double height = figure.height * scale + 6 * scale_;
  if (!figure.title.empty())
    height += static_cast<double>(wrapped(canvas_, figure.title, Face::kBold, size(), width).size()) *
                  size() * kLead +
              3;
  if (!figure.caption.empty())
    height +=
        static_cast<double>(wrapped(canvas_, figure.caption, Face::kRegular, 7.5 * scale_, width).size()) *
        7.5 * scale_ * kLead;
  return height;
}

void PageSetter::set_figure(const Figure& figure, double x, double scale) {
  const double width = figure.width * scale;
  if (!figure.title.empty()) {
    set_lines(figure.title, x, width, size(), Face::kBold, kPageText);
    y_ += 3;
  }
  if (draw_) canvas_.placed({x, y_}, scale, [&] { figure.draw(canvas_); });
  y_ += figure.height * scale;
  if (!figure.caption.empty()) set_lines(figure.caption, x, width, 7.5 * scale_, Face::kRegular, kQuiet);
}

double PageSetter::least_height(const DocumentBlock& block) const {
  if (const auto* table = std::get_if<TableBlock>(&block)) return table_top_height(*table);
  if (const auto* list = std::get_if<ListBlock>(&block); list != nullptr && !list->items.empty())
    return item_height(list->items.front()) + (list->items.size() > 1 ? item_height(list->items[1]) : 0);
  const auto* figures = std::get_if<FigureBlock>(&block);
  if (figures == nullptr || figures->figures.empty()) return 30 * scale_;
  const Figure& first = figures->figures.front();
  return figure_height(first, std::min(scale_, kPageWidth / first.width));
}

void PageSetter::set_block(const FigureBlock& block) {
  constexpr double kBetween = 14, kKeyWidth = 130;
  const bool beside = !block.key.empty() && block.figures.size() == 1 &&
                      block.figures.front().width * scale_ + kBetween + kKeyWidth <= kPageWidth;
  if (!block.key.empty() && !beside) set_block(KeyBlock{block.key});
  for (std::size_t i = 0; i < block.figures.size();) {
    // As many as fit beside each other.
    std::size_t end = i;
    double width = -kBetween, height = 0;
    while (end < block.figures.size()) {
      const double scale = std::min(scale_, kPageWidth / block.figures[end].width);
      const double more = kBetween + block.figures[end].width * scale;
      if (end > i && width + more > kPageWidth + 0.5) break;
      width += more;
      height = std::max(height, figure_height(block.figures[end], scale));
      ++end;
    }
    y_ += 3 * scale_;
    need(height);
    const double top = y_;
    double x = kPageMargin, lowest = y_;
    for (; i < end; ++i) {
      const double scale = std::min(scale_, kPageWidth / block.figures[i].width);
      y_ = top;
      set_figure(block.figures[i], x, scale);
      lowest = std::max(lowest, y_);
      x += block.figures[i].width * scale + kBetween;
    }
    if (beside) {
      y_ = top + 14 * scale_;
      lowest = std::max(lowest, y_ + set_key(block.key, x, kPageMargin + kPageWidth - x));
    }
    y_ = lowest + 4 * scale_;
  }
}

double PageSetter::set_key(const std::vector<KeyEntry>& key, double left, double width) {
  const double points = 8 * scale_, top = y_;
  double x = left, row = 0, y = y_;
  for (const KeyEntry& entry : key) {
    const double sign = std::max(entry.width * scale_, 15 * scale_);
    const auto lines = wrapped(canvas_, entry.text, Face::kRegular, points, width - sign - 4);
    double text = 0;
    for (const std::string& line : lines) text = std::max(text, canvas_.width(line, Face::kRegular, points));
    const double height =
        std::max(entry.height * scale_, static_cast<double>(lines.size()) * points * 1.15) + 3 * scale_;
    if (x > left && x + sign + 4 + text > left + width) y += std::exchange(row, 0), x = left;
    row = std::max(row, height);
    if (draw_) {
      const double head =
          y + std::max(entry.height * scale_, points * 1.15) / 2;  // middle of sign and first line
      canvas_.placed({x, head - entry.height * scale_ / 2}, scale_, [&] { entry.draw(canvas_); });
      double base = head + points * 0.35;
      for (const std::string& line : lines) {
        canvas_.text(line, {x + sign + 4, base}, Face::kRegular, points, kPageText);
        base += points * 1.15;
      }
    }
    x += sign + 4 + text + 12;
    if (width < kRoomForTwo) x = left + width;  // a column: one a row
  }
  return y + row - top;
}

void PageSetter::set_block(const KeyBlock& block) {
  y_ += 2 * scale_;
  need(20 * scale_);
  y_ += set_key(block.entries, kPageMargin, kPageWidth) + 3 * scale_;
}

std::string to_pdf(const Document& document) {
  Paper paper(document);
  double best = 1;
  if (document.may_shrink) {
    std::size_t fewest = PageSetter(document, paper, best, false).set();
    for (const double scale : {0.92, 0.86, 0.8}) {
      if (fewest == 1) break;
      if (const std::size_t pages = PageSetter(document, paper, scale, false).set(); pages < fewest) {
        fewest = pages;
        best = scale;
      }
    }
  }
  PageSetter(document, paper, best, true).set();
  return paper.finish();
}

}  // namespace brookmark::viewer

// Figures on pages: side by side as far as there is room, each with its title, words and key.
#include <algorithm>
#include <utility>

#include "core/base/text.hpp"
#include "viewer/report/page_setter_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kLead = 1.3;
constexpr double kRoomForTwo = 200;  // so wide a key stands in rows, a narrower one in a column
constexpr Colour kQuiet{74, 84, 90};

}  // namespace

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
    set_tagged("P", figure.title, x, width, size(), Face::kBold, kPageText);
    y_ += 3;
  }
  if (draw_) {
    paper_.open_figure(figure.alt);
    canvas_.placed({x, y_}, scale, [&] { figure.draw(canvas_); });
    paper_.close("Figure");
  }
  y_ += figure.height * scale;
  set_tagged("P", figure.caption, x, width, 7.5 * scale_, Face::kRegular, kQuiet);
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
  if (key.empty()) return 0;
  const Tag list(*this, "L");
  for (const KeyEntry& entry : key) {
    const double sign = std::max(entry.width * scale_, 15 * scale_);
    const auto lines = wrapped(canvas_, entry.text, Face::kRegular, points, width - sign - 4);
    double text = 0;
    for (const std::string& line : lines)
      text = std::max(text, canvas_.width(core::trim(line), Face::kRegular, points));
    const double height =
        std::max(entry.height * scale_, static_cast<double>(lines.size()) * points * 1.15) + 3 * scale_;
    if (x > left && x + sign + 4 + text > left + width) y += std::exchange(row, 0), x = left;
    row = std::max(row, height);
    if (draw_) {
      const double head =
          y + std::max(entry.height * scale_, points * 1.15) / 2;  // middle of sign and first line
      canvas_.placed({x, head - entry.height * scale_ / 2}, scale_, [&] { entry.draw(canvas_); });
      double base = head + points * 0.35;
      const Tag item(*this, "LI");
      const Leaf leaf(*this, "LBody");
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

}  // namespace brookmark::viewer

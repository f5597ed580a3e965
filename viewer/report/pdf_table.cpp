// Tables on pages: cells wrap, heads come again on each page.
#include <algorithm>
#include <optional>

#include "core/base/text.hpp"
#include "viewer/report/page_setter_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kLead = 1.22, kInset = 3;
constexpr double kBadge = 0.62;    // radius of a badge, of the size of letters
constexpr double kTextLead = 1.3;  // of the title
constexpr Colour kHead{233, 238, 236};

std::vector<double> column_widths(const TableBlock& block) {
  std::vector<double> widths(block.columns.size(), 1);
  if (block.shares.size() == widths.size()) widths = block.shares;
  double sum = 0;
  for (const double share : widths) sum += share;
  for (double& share : widths) share *= kPageWidth / sum;
  return widths;
}

}  // namespace

double PageSetter::row_height(const TableBlock& table, const std::vector<TableCell>& cells,
                              const std::vector<double>& widths, bool head) const {
  const double points = small();
  std::size_t most = 1;
  for (std::size_t c = 0; c < cells.size() && c < widths.size(); ++c) {
    const Face face = head || (c == 0 && table.row_heads) ? Face::kBold : Face::kRegular;
    const double taken = cells[c].badge ? 2 * points * kBadge + 3 : 0;
    most =
        std::max(most, wrapped(canvas_, cells[c].text, face, points, widths[c] - 2 * kInset - taken).size());
  }
  return static_cast<double>(most) * points * kLead + 4;
}

double PageSetter::table_top_height(const TableBlock& table) const {
  const auto widths = column_widths(table);
  const std::vector<TableCell> heads(table.columns.begin(), table.columns.end());
  double height = 3 * scale_ + row_height(table, heads, widths, true);
  if (!table.caption.empty())
    height +=
        4 * scale_ +
        static_cast<double>(wrapped(canvas_, table.caption, Face::kBold, 9.5 * scale_, kPageWidth).size()) *
            9.5 * scale_ * kTextLead;
  if (!table.rows.empty()) height += row_height(table, table.rows.front(), widths, false);
  if (table.rows.size() == 2) height += row_height(table, table.rows.back(), widths, false);
  return height;
}

void PageSetter::set_row(const TableBlock& table, const std::vector<TableCell>& cells,
                         const std::vector<double>& widths, bool head, bool again) {
  const double points = small(), badge = points * kBadge;
  std::vector<std::vector<std::string>> lines;
  std::size_t most = 1;
  const auto face = [&](std::size_t column) {
    return head || (column == 0 && table.row_heads) ? Face::kBold : Face::kRegular;
  };
  for (std::size_t c = 0; c < cells.size() && c < widths.size(); ++c) {
    const double taken = cells[c].badge ? 2 * badge + 3 : 0;
    lines.push_back(wrapped(canvas_, cells[c].text, face(c), points, widths[c] - 2 * kInset - taken));
    most = std::max(most, lines.back().size());
  }
  const double height = static_cast<double>(most) * points * kLead + 4;
  if (y_ + height > kPageBottom && !head) new_page();
  std::optional<Tag> row;
  if (!again) row.emplace(*this, "TR");
  double x = kPageMargin;
  for (std::size_t c = 0; c < lines.size(); ++c) {
    const PixelBox box{x, y_, widths[c], height};
    if (draw_ && head) canvas_.box(box, kHead);
    if (draw_) canvas_.frame(box, {kPageRule, 0.5});
    double line_y = y_ + points + 0.6, left = x + kInset;
    if (cells[c].badge) {
      set_badge(*cells[c].badge, left, y_ + 2 + points * kLead / 2, badge);
      left += 2 * badge + 3;
    }
    const bool row_head = c == 0 && table.row_heads, tagged = draw_ && !again;
    if (tagged && (head || row_head)) paper_.open_head(!head);
    if (tagged && !(head || row_head)) paper_.open("TD");
    const bool right = c < table.numeric.size() && table.numeric[c];
    for (const std::string& line : lines[c]) {
      const double shift =
          right ? x + widths[c] - kInset - canvas_.width(core::trim(line), face(c), points) - left : 0;
      if (draw_) canvas_.text(line, {left + shift, line_y}, face(c), points, kPageText);
      line_y += points * kLead;
    }
    if (tagged) paper_.close(head || row_head ? "TH" : "TD");
    x += widths[c];
  }
  y_ += height;
}

void PageSetter::set_block(const TableBlock& block) {
  const Tag whole(*this, "Table");
  const auto widths = column_widths(block);
  const double blank = 17 * scale_;
  // The title and the head do not stand alone at the end of a page, nor the last row on top of the next.
  need(std::min(table_top_height(block), kPageBottom - kPageMargin));
  if (!block.caption.empty()) {
    need(50 * scale_ + (block.fills_page ? static_cast<double>(block.blank_rows) * blank : 0));
    y_ += 4 * scale_;
    set_tagged("Caption", block.caption, kPageMargin, kPageWidth, 9.5 * scale_, Face::kBold, kPageText);
  }
  y_ += 3 * scale_;
  const std::vector<TableCell> heads(block.columns.begin(), block.columns.end());
  need(40 * scale_);
  set_row(block, heads, widths, true);
  open_table_ = &block;
  open_widths_ = &widths;
  for (std::size_t i = 0; i < block.rows.size(); ++i) {
    if (i > 0 && i + 2 == block.rows.size())
      if (const double two = row_height(block, block.rows[i], widths, false) +
                             row_height(block, block.rows[i + 1], widths, false);
          two < (kPageBottom - kPageMargin) / 2)
        need(two);
    set_row(block, block.rows[i], widths, false);
  }
  std::size_t left = block.blank_rows;
  if (block.fills_page)
    left = std::max(left, static_cast<std::size_t>(std::max(0.0, (kPageBottom - y_) / blank)));
  for (; left > 0; --left) {
    need(blank);
    double x = kPageMargin;
    for (const double w : widths) {
      if (draw_) canvas_.frame({x, y_, w, blank}, {kPageRule, 0.5});
      x += w;
    }
    y_ += blank;
  }
  open_table_ = nullptr;
  open_widths_ = nullptr;
  y_ += 4 * scale_;
}

}  // namespace brookmark::viewer

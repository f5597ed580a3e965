#include <algorithm>
#include <utility>

#include "viewer/report/page_setter_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kLead = 1.3;
constexpr Colour kQuiet{74, 84, 90}, kAlarm{138, 31, 17}, kAccent{13, 92, 99};

}  // namespace

std::size_t PageSetter::set() {
  const Tag whole(*this, "Document");
  begin_page();
  if (draw_) paper_.bookmark(document_.title.empty() ? "Document" : document_.title, 1, 0);
  set_tagged("H1", document_.title, kPageMargin, kPageWidth, 16 * scale_, Face::kBold, kPageText);
  y_ += 3 * scale_;
  set_tagged("P", document_.subtitle, kPageMargin, kPageWidth, small(), Face::kRegular, kQuiet);
  y_ += 3 * scale_;
  if (document_.contents) set_contents();
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
  for (const std::string& line : wrapped(canvas_, document_.footer, Face::kRegular, 6.5, kPageWidth - 60)) {
    canvas_.text(line, {kPageMargin, y}, Face::kRegular, 6.5, kQuiet);
    y += 8;
  }
  const std::string number = of_pages_ > 1
                                 ? "page " + std::to_string(pages_) + " of " + std::to_string(of_pages_)
                                 : std::to_string(pages_);
  canvas_.text(
      number,
      {kPaperWidth - kPageMargin - canvas_.width(number, Face::kRegular, 7), kPaperHeight - kPageMargin - 8},
      Face::kRegular, 7, kQuiet);
}

void PageSetter::new_page() {
  const char* leaf = std::exchange(leaf_, nullptr);
  if (leaf != nullptr && draw_) paper_.close(leaf);
  end_page();
  if (draw_) paper_.next_page();
  begin_page();
  if (open_table_ != nullptr) {
    const std::vector<TableCell> heads(open_table_->columns.begin(), open_table_->columns.end());
    set_row(*open_table_, heads, *open_widths_, true, true);
  }
  leaf_ = leaf;
  if (leaf != nullptr && draw_) paper_.open(leaf);
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

void PageSetter::set_tagged(const char* tag, const std::string& text, double x, double width, double points,
                            Face face, Colour colour) {
  if (text.empty()) return;
  const Tag group(*this, tag);
  const Leaf leaf(*this, "Span");
  set_lines(text, x, width, points, face, colour);
}

// The main headings in two columns, each with its page, and leading there.
void PageSetter::set_contents() {
  constexpr double kBetween = 18;
  const double points = small(), column = (kPageWidth - kBetween) / 2;
  std::vector<std::pair<std::size_t, const HeadingBlock*>> mains;
  std::size_t number = 0;
  for (const DocumentBlock& block : document_.blocks)
    if (const auto* heading = std::get_if<HeadingBlock>(&block)) {
      if (heading->level <= 2) mains.emplace_back(number, heading);
      ++number;
    }
  if (mains.empty()) return;
  const std::size_t rows = (mains.size() + 1) / 2;
  const double top = y_ + 2 * scale_, row_height = points * kLead;
  need(static_cast<double>(rows) * row_height);
  const Tag toc(*this, "TOC");
  for (std::size_t i = 0; draw_ && i < mains.size(); ++i) {
    const double x = kPageMargin + (i < rows ? 0 : column + kBetween);
    const double base = top + static_cast<double>(i % rows + 1) * row_height - points * (kLead - 1);
    const std::string page = mains[i].first < told_pages_.size()
                                 ? " " + std::to_string(told_pages_[mains[i].first])
                                 : std::string();
    const double page_width = canvas_.width(page, Face::kRegular, points);
    const std::string words =
        wrapped(canvas_, mains[i].second->text, Face::kRegular, points, column - page_width - 8).front();
    const Tag item(*this, "TOCI");
    paper_.open_link("heading-" + std::to_string(mains[i].first));
    canvas_.text(words, {x, base}, Face::kRegular, points, kAccent);
    canvas_.text(page, {x + column - page_width, base}, Face::kRegular, points, kAccent);
    paper_.close("Link");
  }
  y_ = top + static_cast<double>(rows) * row_height + 3 * scale_;
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
  if (draw_) {
    paper_.bookmark(block.text, std::clamp(block.level, 2, 3), y_);
    paper_.place("heading-" + std::to_string(heading_pages_.size()));
  }
  heading_pages_.push_back(pages_);
  set_tagged(main ? "H2" : "H3", block.text, kPageMargin, kPageWidth, points, Face::kBold,
             main ? kAccent : kPageText);
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
  if (!block.text.empty()) {
    const Tag paragraph(*this, "P");
    const Leaf leaf(*this, "Span");
    for (const std::string& line : lines) set_line(line, kPageMargin + inset, size(), face, kPageText);
  }
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
  if (block.items.empty()) return;
  const Tag list(*this, "L");
  for (std::size_t i = 0; i < block.items.size(); ++i) {
    const std::string& item = block.items[i];
    // No item alone at the end of a page or on top of the next one.
    const std::size_t left = block.items.size() - i;
    const std::size_t kept = i == 0 && left <= 3 ? left : i == 0 || left == 2 ? 2 : 1;
    double height = 0;
    for (std::size_t k = 0; k < kept; ++k) height += item_height(block.items[i + k]);
    if (kept > 1 && height < (kPageBottom - kPageMargin) / 3) need(height);
    need(size() * kLead);
    y_ += size() * kLead;
    put("–", kPageMargin + 1, size(), Face::kRegular, kQuiet);
    y_ -= size() * kLead;
    const Tag entry(*this, "LI");
    const Tag body(*this, "LBody");
    const Leaf leaf(*this, "Span");
    set_lines(item, kPageMargin + 11, kPageWidth - 11, size(), Face::kRegular, kPageText);
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
  const double room = kPaperWidth - kPageMargin - left;
  set_tagged("P", block.text, left, room, 15 * scale_, Face::kBold, kPageText);
  y_ += 1.5 * scale_;
  set_tagged("P", block.below, left, room, size(), Face::kRegular, kQuiet);
  y_ = std::max(y_, top + 2 * radius) + 4 * scale_;
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

namespace {

// How large it is set, and on how many pages: as large as it can without a page more.
struct Setting {
  double scale = 1;
  std::size_t pages = 0;
};
Setting setting_of(const Document& document, Paper& paper) {
  const auto count = [&](double scale) { return PageSetter(document, paper, scale, false).set(); };
  Setting best{1, count(1)};
  if (document.may_shrink)
    for (const double scale : {0.92, 0.86, 0.8}) {
      if (best.pages == 1) break;
      if (const std::size_t pages = count(scale); pages < best.pages) best = {scale, pages};
    }
  return best;
}

}  // namespace

std::size_t pages_of_pdf(const Document& document) {
  Paper paper(document);
  return setting_of(document, paper).pages;
}

std::string to_pdf(const Document& document) {
  Paper paper(document);
  const Setting best = setting_of(document, paper);
  std::vector<std::size_t> pages_of_headings;
  if (document.contents) {
    PageSetter before(document, paper, best.scale, false);
    before.set();
    pages_of_headings = before.pages_of_headings();
  }
  PageSetter(document, paper, best.scale, true, std::move(pages_of_headings), best.pages).set();
  return paper.finish();
}

}  // namespace brookmark::viewer

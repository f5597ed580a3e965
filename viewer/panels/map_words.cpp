// The words on the map: names that keep clear of one another, rings around what is chosen, outfalls that stand
// aside.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostNamedSites = 600;  // more in view: none is named, only the chosen one
constexpr double kLongestKeptFree_px =
    20000;  // of one straight piece; a longer one is seen from too near to matter

ImVec2 vec(Pixel p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}
bool is_place(core::PlanePoint p) {
  return std::isfinite(p.x) && std::isfinite(p.y);
}

class Words {
 public:
  Words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls)
      : ui_(ui), list_(list), space_(ui.layout.map), ageing_(ui.snapshot(), ui.state.date) {
    for (const PixelBox& box : controls)
      if (box.width > 0) space_.block(box);
    const PlaneBox shown = ui.state.view.shown();
    if (ui.state.layers[Layer::kSites]) {
      sites_.assign(ui.sites.singles().begin(), ui.sites.singles().end());
      for (const std::uint32_t sign : ui.sites.signs())
        add_mark(ui.sites.clusters().clusters()[sign].place, ui.sites.sign_radius_px(),
                 ui.sites.sign_radius_px() * 1.3);
    }
    if (ui.state.layers[Layer::kOutfalls]) outfalls_ = ui.model.outfall_grid().inside(shown);
    if (sites_.size() > kMostNamedSites) sites_.clear();
    if (outfalls_.size() > kMostNamedSites) outfalls_.clear();
    for (const std::uint32_t i : sites_) add_mark(ui.model.site_places()[i], site_radius(), site_gap());
    for (const std::uint32_t i : outfalls_)
      if (!is_covered(i)) add_mark(ui.model.outfall_places()[i], outfall_radius(), outfall_gap());
    if (falls_are_shown(ui)) {
      falls_ = worst_falls(ui);
      for (const core::Drop& drop : falls_) keep_free(drop.stretch.line);
    }
    // The worst first: they are what the map is opened for.
    std::stable_sort(sites_.begin(), sites_.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return rank_of(a) > rank_of(b); });
  }

  void all() {
    draw_cluster_signs(ui_, list_);
    draw_flow_arrows(ui_, list_, [this](Pixel at) {
      const double half = ui_.theme.em * 0.5;
      return space_.is_free({at.x - half, at.y - half, 2 * half, 2 * half});
    });
    const bool labels = ui_.state.layers[Layer::kLabels];
    falls();
    chosen();
    if (ui_.state.query.from != Query::From::kNone) {
      covered_outfalls();
      query();
      if (labels) worst_sites();
    } else {
      if (labels) worst_sites();
      covered_outfalls();
    }
    ui_.shown.catchment_classes = false;
    ui_.shown.leaders = !callouts_.empty();
    if (labels) names();
    ui_.shown.names = names_;
  }
  std::vector<Callout> callouts() const { return callouts_; }

 private:
  // A stretch between two sites that nearly touch is hidden below their marks: the number beside the lower one tells.
  void falls() {
    ui_.shown.falls.clear();
    for (std::size_t i = 0; i < falls_.size(); ++i) {
      const core::PlanePoint place = ui_.model.site_places()[falls_[i].down.value()];
      if (!is_place(place)) continue;
      const Pixel anchor = ui_.state.view.to_pixel(place);
      if (!ui_.state.view.box.contains(anchor)) continue;
      const ImVec2 size = fall_tag_size(ui_.theme, i);
      auto at =
          space_.place(anchor, site_radius() + ui_.theme.em * 0.1F, size.x, size.y, LabelSides::kAround);
      if (!at) at = space_.place(anchor, site_gap(), size.x, size.y, LabelSides::kAside);
      // Where nothing is free it lies over what is there, on the mark's lower right.
      const double r = site_radius() * 0.7;
      const Pixel corner = at.value_or(Pixel{anchor.x + r, anchor.y + r});
      draw_fall_tag(list_, vec(corner), ui_.theme, i);
      ui_.shown.falls.push_back({corner.x, corner.y, size.x, size.y});
    }
  }

  void chosen() {
    if (ui_.state.outfall) chosen_outfall_ = ui_.state.outfall->value();
    if (ui_.state.site && is_place(ui_.model.site_places()[ui_.state.site->value()])) {
      const std::size_t i = ui_.state.site->value();
      const Pixel at = ui_.state.view.to_pixel(ui_.model.site_places()[i]);
      ring(vec(at), site_radius(), ui_.theme.ink.text);
      const float gap = site_gap() + ui_.theme.em * 0.25F;
      if (!label(at, gap, ui_.theme.strong, ui_.theme.ink.text, site_words(i, true)) &&
          !label(at, gap, ui_.theme.strong, ui_.theme.ink.text, site_words(i, false)) &&
          !led_label(at, gap, ui_.theme.strong, site_words(i, false)))
        return;
      names_.sites.insert(i);
    }
  }

  void query() {
    const Query& query = ui_.state.query;
    const ImVec2 start = vec(ui_.state.view.to_pixel(ui_.model.frame().to_plane(query.point)));
    const float em = ui_.theme.em;
    if (query.from == Query::From::kPoint) {
      list_.AddCircleFilled(start, em * 0.5F, im(ui_.theme.ink.halo), 24);
      list_.AddCircleFilled(start, em * 0.38F, im(ui_.theme.ink.query), 24);
      list_.AddCircleFilled(start, em * 0.14F, im(ui_.theme.ink.halo), 12);
    } else {
      ring(start, site_radius(), ui_.theme.ink.query);
    }
    for (const core::ChannelDistance& d : query.distances)
      if (d.distance_m) outfall_label(d.target);
  }

  void worst_sites() {
    const int worst = sites_.empty() ? 0 : rank_of(sites_.front());
    if (worst < 2) return;  // the best class is no reason to hurry
    for (const std::uint32_t i : sites_) {
      if (rank_of(i) != worst) break;
      if (!site_label(i) && led_label(ui_.state.view.to_pixel(ui_.model.site_places()[i]), site_gap(),
                                      ui_.theme.small, site_words(i, false)))
        names_.sites.insert(i);
    }
  }

  // An outfall below a site's mark moves aside, or the one that matters most would not be seen.
  void covered_outfalls() {
    for (const std::uint32_t i : outfalls_)
      if (is_covered(i)) stand_aside(i);
    hide_marks();
    if (chosen_outfall_) ring(vec(outfall_pixel(*chosen_outfall_)), outfall_radius(), ui_.theme.ink.text);
  }

  void names() {
    for (const std::uint32_t i : sites_) site_label(i);
    for (const std::uint32_t i : outfalls_) outfall_label(i);
    if (ui_.state.layers[Layer::kWaters])
      for (const MapScene::Name& name : ui_.scene.water_names) water_label(name);
    if (ui_.state.layers[Layer::kCatchments]) names_.catchments = name_catchments(ui_, list_, space_);
  }

  int rank_of(std::size_t site) const { return ui_.assessment ? ui_.assessment->sites[site].class_rank : 0; }
  float site_radius() const { return ui_.paint.frame.site_radius_px; }
  float outfall_radius() const { return ui_.paint.frame.outfall_radius_px; }
  float site_gap() const { return site_radius() + ui_.theme.em * 0.3F; }
  float outfall_gap() const { return outfall_radius() + ui_.theme.em * 0.35F; }

  void add_mark(core::PlanePoint place, double radius, double gap) {
    const Pixel p = ui_.state.view.to_pixel(place);
    const double h = gap * 0.85;
    space_.block({p.x - h, p.y - h, 2 * h, 2 * h});
    space_.add_mark(p, radius);
  }

  bool is_covered(std::size_t outfall) const {
    if (!ui_.paint.frame.show_signs || !ui_.state.layers[Layer::kSites]) return false;
    const core::PlanePoint place = ui_.model.outfall_places()[outfall];
    const double reach = (site_radius() + outfall_radius() * 0.25) * ui_.state.view.metres_per_pixel;
    const auto near =
        ui_.model.site_grid().inside({place.x - reach, place.y - reach, place.x + reach, place.y + reach});
    return std::any_of(near.begin(), near.end(), [&](std::uint32_t s) {
      if (!ui_.sites.stands_alone(s)) return false;
      const core::PlanePoint p = ui_.model.site_places()[s];
      return std::hypot(p.x - place.x, p.y - place.y) < reach;
    });
  }

  // The marks that a line of this length from a pixel could meet.
  std::vector<Disc> discs_about(Pixel at, double reach_px) const {
    std::vector<Disc> discs;
    const core::PlanePoint place = ui_.state.view.to_plane(at);
    const auto around = [&](double reach) {
      reach *= ui_.state.view.metres_per_pixel;
      return PlaneBox{place.x - reach, place.y - reach, place.x + reach, place.y + reach};
    };
    const double rim = ui_.theme.em * 0.12;
    for (const std::uint32_t i : ui_.model.site_grid().inside(around(reach_px + site_radius())))
      if (ui_.sites.stands_alone(i))
        discs.push_back({ui_.state.view.to_pixel(ui_.model.site_places()[i]), site_radius() + rim});
    for (const std::uint32_t i : ui_.model.outfall_grid().inside(around(reach_px + outfall_radius())))
      if (!is_covered(i))
        discs.push_back({ui_.state.view.to_pixel(ui_.model.outfall_places()[i]), outfall_radius() + rim});
    return discs;
  }

  // The mark with its words beside it where both find room together, else the mark alone; and a line that ends
  // at its place, but never crosses out a mark.
  void stand_aside(std::uint32_t i) {
    const Pixel anchor = ui_.state.view.to_pixel(ui_.model.outfall_places()[i]);
    const double gap = site_radius() * 1.5 + outfall_radius(), side = outfall_radius() * 2.6;
    const std::vector<Disc> discs = discs_about(anchor, gap * 2.5 + side * 2);
    for (const OutfallWords& form : outfall_words(i)) {
      const ImVec2 extent = form.font->CalcTextSizeA(form.font->FontSize, 1e6F, 0, form.words.c_str());
      const double pad = form.words.empty() ? 0 : ui_.theme.em * 0.2, width = side + pad + extent.x;
      const auto mark_box = [&](const PixelBox& box) {  // the mark is at the end that is nearer to its place
        const bool to_the_left = box.left + box.width / 2 < anchor.x;
        return PixelBox{to_the_left ? box.right() - side : box.left, box.top, side, side};
      };
      const auto leader = [&](const PixelBox& box) {
        const PixelBox mark = mark_box(box);
        return outside({{mark.left + side / 2, mark.top + side / 2}, anchor}, discs);
      };
      const auto suits = [&](const PixelBox& box) {  // one unbroken line over nothing
        const auto lines = leader(box);
        return lines.size() == 1 && crosses_nothing(lines.front(), mark_box(box), anchor);
      };
      auto at = space_.place(anchor, gap, width, side, LabelSides::kAside, suits);
      if (!at && form.words.empty()) at = space_.place(anchor, gap, width, side, LabelSides::kAside);
      if (!at) continue;
      const PixelBox box{at->x, at->y, width, side}, mark = mark_box(box);
      const Pixel middle{mark.left + side / 2, mark.top + side / 2};
      for (const Stroke& line : leader(box)) {
        list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.halo), ui_.theme.em * 0.3F);
        list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.outfall), ui_.theme.em * 0.13F);
        keep_free(line);
      }
      draw_mark(list_, vec(middle), outfall_radius(), ui_.paint.frame.outfall_marks[i], ui_.colours,
                ui_.theme);
      space_.add_mark(middle, outfall_radius());
      callouts_.push_back({mark, core::OutfallIndex(i), anchor});
      if (form.words.empty()) return;
      const double x = mark.left > box.left ? box.left : mark.right() + pad;
      text_with_halo(list_, ui_.theme, form.font, vec({x, box.top + (side - extent.y) / 2}), form.colour,
                     form.words);
      names_.outfalls.insert(i);
      return;
    }
  }

  static constexpr int kLineSteps = 12;
  static Pixel along(const Stroke& line, int step) {
    const double t = static_cast<double>(step) / kLineSteps;
    return {line.from.x + (line.to.x - line.from.x) * t, line.from.y + (line.to.y - line.from.y) * t};
  }
  // Words lie on a square box around each mark: near the end of the line that box is its own.
  bool crosses_nothing(const Stroke& line, const PixelBox& mark, Pixel place) const {
    for (int i = 1; i < kLineSteps; ++i) {
      const Pixel p = along(line, i);
      const double to_place = std::hypot(p.x - place.x, p.y - place.y);
      if (!mark.contains(p) && to_place > site_gap() * 1.5 && !space_.is_free({p.x - 1, p.y - 1, 2, 2}))
        return false;
    }
    return true;
  }
  void keep_free(const Stroke& line) {
    for (int i = 1; i < kLineSteps; ++i) {
      const Pixel p = along(line, i);
      space_.block({p.x - 2, p.y - 2, 4, 4});
    }
  }

  // The painter leaves out what stands aside.
  void hide_marks() {
    PaintCall& paint = ui_.paint;
    std::vector<Mark> marks(paint.frame.outfall_marks.begin(), paint.frame.outfall_marks.end());
    for (const Callout& c : callouts_) marks[c.outfall.value()].shape = MarkShape::kHidden;
    if (marks != paint.outfall_marks) {
      paint.outfall_marks = std::move(marks);
      ++paint.frame.outfall_marks_version;
    }
    paint.frame.outfall_marks = paint.outfall_marks;
  }

  // Words keep off the edge of a stretch on which the index falls.
  void keep_free(const core::Line& stretch) {
    const double half = ui_.theme.em * 0.4;
    const auto line = to_plane(ui_.model.frame(), stretch);
    for (std::size_t i = 1; i < line.size(); ++i) {
      const Pixel from = ui_.state.view.to_pixel(line[i - 1]), to = ui_.state.view.to_pixel(line[i]);
      const double length = std::hypot(to.x - from.x, to.y - from.y);
      if (!std::isfinite(length) || length > kLongestKeptFree_px) continue;
      const int steps = std::max(1, static_cast<int>(length / half));
      for (int k = 0; k <= steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        const Pixel p{from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t};
        if (ui_.state.view.box.contains(p)) space_.block({p.x - half, p.y - half, 2 * half, 2 * half});
      }
    }
  }

  std::string site_words(std::size_t i, bool with_name) const {
    const core::SiteColumns& sites = ui_.snapshot().sites;
    std::string words(sites.code[i]);
    if (with_name && !sites.name[i].empty() && sites.name[i] != sites.code[i])
      words += "  " + std::string(sites.name[i]);
    if (!ui_.assessment) return words;
    // Under a metric without classes the mark holds the value only where it is a small whole number.
    const core::SiteAssessment& known = ui_.assessment->sites[i];
    const core::Metric& metric = ui_.assessment->metric_info();
    if (standing_of(known, metric) == Standing::kValue && site_mark(known, metric).first >= kSignCount)
      words += " \u00B7 " + value_in_words(metric, known.value);
    const core::SampleIndex sample = known.sample.has_value() ? known.sample : known.newest_sample;
    if (sample.has_value() && ageing_.is_faded(i, known))
      words +=
          " \u00B7 " + std::to_string(core::year_month_day(ui_.snapshot().samples.date[sample.value()]).year);
    return words;
  }
  bool site_label(std::size_t i) {
    if (ui_.state.site && ui_.state.site->value() == i) return true;  // has its own, larger one
    if (names_.sites.contains(i)) return true;
    const bool named = label(ui_.state.view.to_pixel(ui_.model.site_places()[i]), site_gap(), ui_.theme.small,
                             ui_.theme.ink.text, site_words(i, false));
    if (named) names_.sites.insert(i);
    return named;
  }

  struct OutfallWords {
    std::string words;
    ImFont* font;
    Colour colour;
  };
  // Its code, its distance where a query reaches it, and whether it is in use; then shorter forms.
  std::vector<OutfallWords> outfall_words(std::size_t i) const {
    const core::Outfall& outfall = ui_.snapshot().outfalls[i];
    std::vector<OutfallWords> forms;
    for (const core::ChannelDistance& d : ui_.state.query.distances) {
      if (d.target != i || !d.distance_m) continue;
      const char* sign = d.relation == core::Relation::kUpstream     ? "  \u2191 "
                         : d.relation == core::Relation::kDownstream ? "  \u2193 "
                                                                     : "  \u2194 ";
      forms.push_back(
          {outfall.code + sign + distance_in_words(*d.distance_m), ui_.theme.strong, ui_.theme.ink.query});
    }
    if (ui_.state.layers[Layer::kLabels]) {
      const std::string use = use_in_words(outfall, ui_.state.date);
      if (!use.empty() && forms.empty())
        forms.push_back({outfall.code + " \u00B7 " + use, ui_.theme.small, ui_.theme.ink.outfall});
      if (forms.empty() || use.empty())
        forms.push_back({outfall.code, ui_.theme.small, ui_.theme.ink.outfall});
      else
        forms.push_back({outfall.code, ui_.theme.small, ui_.theme.ink.muted});
    }
    forms.push_back({"", ui_.theme.small, ui_.theme.ink.outfall});
    return forms;
  }
  void outfall_label(std::size_t i) {
    if (names_.outfalls.contains(i)) return;
    for (const OutfallWords& form : outfall_words(i))
      if (label(outfall_pixel(i), outfall_gap(), form.font, form.colour, form.words)) {
        names_.outfalls.insert(i);
        return;
      }
  }

  // Where its mark stands: at its place, or beside it.
  Pixel outfall_pixel(std::size_t i) const {
    for (const Callout& c : callouts_)
      if (c.outfall.value() == i) return {c.box.left + c.box.width / 2, c.box.top + c.box.height / 2};
    return ui_.state.view.to_pixel(ui_.model.outfall_places()[i]);
  }

  void ring(ImVec2 at, float radius, Colour colour) {
    const float em = ui_.theme.em, r = radius + em * 0.34F;
    list_.AddCircle(at, r, im(ui_.theme.ink.halo), 48, em * 0.3F);
    list_.AddCircle(at, r, im(colour), 48, em * 0.17F);
  }

  bool label(Pixel anchor, float gap_px, ImFont* font, Colour colour, const std::string& words) {
    if (words.empty()) return false;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const auto at = space_.place(anchor, gap_px, extent.x, extent.y, LabelSides::kAround);
    if (at) text_with_halo(list_, ui_.theme, font, vec(*at), colour, words);
    return at.has_value();
  }

  // Farther away, at the end of a thin line: for the sites that must be named.
  bool led_label(Pixel anchor, float gap_px, ImFont* font, const std::string& words) {
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const double gap = gap_px * 1.6;
    const std::vector<Disc> discs = discs_about(anchor, gap * 2.5 + extent.x);
    const auto leader = [&](const PixelBox& box) {
      const Pixel near{std::clamp(anchor.x, box.left - 2, box.right() + 2),
                       std::clamp(anchor.y, box.top + 2, box.bottom() - 2)};
      return outside({near, anchor}, discs);
    };
    const auto at =
        space_.place(anchor, gap, extent.x, extent.y, LabelSides::kAside, [&](const PixelBox& box) {
          const auto lines = leader(box);
          return lines.size() == 1 && crosses_nothing(lines.front(), {}, anchor);
        });
    if (!at) return false;
    const Stroke line = leader({at->x, at->y, extent.x, extent.y}).front();
    list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.halo), ui_.theme.em * 0.25F);
    list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.text), ui_.theme.em * 0.08F);
    keep_free(line);
    text_with_halo(list_, ui_.theme, font, vec(*at), ui_.theme.ink.text, words);
    return true;
  }

  // A name as wide as its water allows: one that would cover much more waits for a nearer map.
  void water_label(const MapScene::Name& name) {
    ImFont* font = ui_.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, name.text.c_str());
    const Pixel anchor = ui_.state.view.to_pixel(name.place);
    if (extent.x * 0.5 > name.extent_m / ui_.state.view.metres_per_pixel) return;
    if (!ui_.state.view.box.contains(anchor)) return;
    const auto at = space_.place(anchor, 0, extent.x, extent.y, LabelSides::kCentred);
    if (at) text_with_halo(list_, ui_.theme, font, vec(*at), ui_.theme.ink.flow, name.text);
  }

  const Ui& ui_;
  ImDrawList& list_;
  LabelSpace space_;
  Ageing ageing_;
  std::vector<std::uint32_t> sites_, outfalls_;
  MapNames names_;
  std::optional<std::size_t> chosen_outfall_;
  std::vector<Callout> callouts_;
  std::span<const core::Drop> falls_;
};

}  // namespace

std::vector<Callout> draw_map_words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls) {
  Words words(ui, list, controls);
  words.all();
  return words.callouts();
}

}  // namespace brookmark::viewer

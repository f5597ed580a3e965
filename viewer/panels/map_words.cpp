// The words on the map: names that keep clear of one another, rings around what is chosen, outfalls that stand
// aside.
#include <algorithm>
#include <cmath>
#include <utility>

#include "viewer/panels/label_ground_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostNamedSites = 600;  // more in view: none is named, only the chosen one
constexpr std::size_t kMostSitesWithLines = 120, kMostTries = 60,
                      kMostSitesMoved = 200;   // for names farther from their marks
constexpr std::size_t kMostLinesInCrowd = 12;  // tried for the worst, where more sites are in view than that

ImVec2 vec(Pixel p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}
Pixel middle_of(const PixelBox& box) {
  return {box.left + box.width / 2, box.top + box.height / 2};
}
bool is_place(core::PlanePoint p) {
  return std::isfinite(p.x) && std::isfinite(p.y);
}

class Words : private LabelGround {
 public:
  Words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls)
      : LabelGround(ui, controls), list_(list), ageing_(ui.snapshot(), ui.state.date) {
    const PlaneBox shown = ui.state.view.shown();
    if (ui.state.layers[Layer::kSites]) {
      sites_.assign(ui.sites.singles().begin(), ui.sites.singles().end());
      for (const std::uint32_t sign : ui.sites.signs())
        add_mark(ui.sites.clusters().clusters()[sign].place, ui.sites.sign_radius_px(),
                 ui.sites.sign_radius_px() * 1.3);
    }
    if (ui.state.layers[Layer::kOutfalls]) outfalls_ = ui.model.outfall_grid().inside(shown);
    for (const std::uint32_t i : sites_) add_mark(ui.model.site_places()[i], site_radius(i), site_gap(i));
    if (sites_.size() > kMostNamedSites) sites_.clear();
    if (outfalls_.size() > kMostNamedSites) outfalls_.clear();
    for (const std::uint32_t i : outfalls_)
      if (!is_covered(i)) add_mark(ui.model.outfall_places()[i], outfall_radius(), outfall_gap());
    if (falls_are_shown(ui)) {
      falls_ = worst_falls(ui);
      for (const core::Drop& drop : falls_) keep_free(drop.stretch.line);
    }
    keep_measured_free();
    // The worst first: they are what the map is opened for.
    std::stable_sort(sites_.begin(), sites_.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return rank_of(a) > rank_of(b); });
  }

  void all() {
    write_cluster_counts(ui_, list_);
    draw_flow_arrows(ui_, list_, [this](Pixel at) {
      const double half = ui_.theme.em * 0.5;
      const PixelBox box{at.x - half, at.y - half, 2 * half, 2 * half};
      if (!space_.is_free(box)) return false;
      space_.block(box);
      return true;
    });
    const bool labels = ui_.state.layers[Layer::kLabels];
    chosen();
    falls();
    if (ui_.state.query_is_shown()) {
      covered_outfalls();
      query();
      if (labels) worst_sites();
    } else {
      if (labels) worst_sites();
      covered_outfalls();
    }
    ui_.shown.catchment_classes = false;
    ui_.shown.leaders = !ui_.shown.asides.empty();
    if (labels) names();
    write();
    for (const MapBadge& badge : badges_) draw_map_badge(ui_, list_, badge);
    ui_.shown.names = std::move(names_);
    ui_.shown.map_words = std::move(told_);
    ui_.shown.controls = controls_;
  }

 private:
  // What is written at the end, when every label has its place.
  struct Text {
    std::optional<std::size_t> label;  // of the space, else in `box`
    PixelBox box;
    ImFont* font;
    Colour colour;
    std::string words;
    MapWord told;
  };

  void write() {
    for (Text& text : texts_) {
      if (text.label) text.box = space_.box_of(*text.label);
      text_with_halo(list_, ui_.theme, text.font, vec({text.box.left, text.box.top}), text.colour,
                     text.words);
      text.told.box = text.box;
      text.told.words = text.words;
      told_.push_back(std::move(text.told));
    }
  }

  // A stretch between two sites that nearly touch is hidden below their marks: the number beside the lower one tells.
  void falls() {
    ui_.shown.falls.clear();
    for (std::size_t i = 0; i < falls_.size(); ++i) {
      const std::size_t lower = falls_[i].down.value();
      if (!is_place(ui_.model.site_places()[lower])) continue;
      const bool alone = ui_.sites.stands_alone(lower);
      const SiteClusters& clusters = ui_.sites.clusters();
      const Pixel anchor =
          alone ? site_pixel(lower)
                : ui_.state.view.to_pixel(clusters.clusters()[clusters.cluster_of(lower)].place);
      if (!can_be_named(anchor)) continue;
      const double radius = alone ? site_radius(lower) : ui_.sites.sign_radius_px() * 1.3;
      const ImVec2 size = fall_tag_size(ui_.theme, i);
      auto at = space_.place(anchor, radius + ui_.theme.em * 0.25, size.x, size.y, LabelSides::kAround);
      if (!at) at = beside(falls_[i].stretch.line, size);
      if (!at) {
        if (const auto led = led_box(anchor, radius, size, true)) {
          for (const Stroke& line : led->pieces) keep_free(line);
          draw_leader(*led);
          at = Pixel{led->box.left, led->box.top};
        }
      }
      // Where nothing is free it lies over what is there, on the mark's lower right.
      const double r = radius * 0.7;
      const Pixel corner = at.value_or(Pixel{anchor.x + r, anchor.y + r});
      if (!at) space_.block_words({corner.x, corner.y, size.x, size.y});
      draw_fall_tag(list_, vec(corner), ui_.theme, i);
      ui_.shown.falls.push_back({corner.x, corner.y, size.x, size.y});
    }
  }

  void chosen() {
    if (ui_.state.outfall) chosen_outfall_ = ui_.state.outfall->value();
    if (!ui_.state.site || !is_place(ui_.model.site_places()[ui_.state.site->value()])) return;
    const std::size_t i = ui_.state.site->value();
    const Pixel at = site_pixel(i);
    ring(vec(at), ui_.paint.frame.site_radius_px, ui_.theme.ink.text);
    if (!can_be_named(at)) return;
    for (const bool with_name : {true, false})
      if (site_text(i, ui_.theme.strong, with_name, false)) return;
    for (const bool with_name : {true, false})
      if (led_label(i, ui_.theme.strong, with_name)) return;
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
      ring(start, ui_.paint.frame.site_radius_px, ui_.theme.ink.query);
    }
    for (const core::ChannelDistance& d : query.distances)
      if (d.distance_m) outfall_label(d.target, false);
  }

  void worst_sites() {
    const int worst = sites_.empty() ? 0 : rank_of(sites_.front());
    if (worst < 2) return;  // the best class is no reason to hurry
    // In a crowd hardly any finds a place farther away, and looking for it would cost milliseconds a frame.
    std::size_t lines_left = sites_.size() > kMostSitesWithLines ? kMostLinesInCrowd : kMostNamedSites;
    for (const std::uint32_t i : sites_) {
      if (rank_of(i) != worst) break;
      if (site_text(i, ui_.theme.small, false, false) || lines_left == 0) continue;
      --lines_left;
      led_label(i, ui_.theme.small, false);
    }
  }

  // An outfall below a site's mark moves aside, or the one that matters most would not be seen.
  void covered_outfalls() {
    for (const std::uint32_t i : outfalls_)
      if (is_covered(i)) stand_aside(i);
    hide_marks();
    if (chosen_outfall_) ring(vec(outfall_pixel(*chosen_outfall_)), outfall_radius(), ui_.theme.ink.text);
  }

  // Beside their marks; then, for those that found no room, others step aside; then farther away at the end of a line.
  void names() {
    for (const std::uint32_t i : sites_) site_text(i, ui_.theme.small, false, false);
    for (const std::uint32_t i : outfalls_) outfall_label(i, false);
    // In a crowd of hundreds hardly any finds another side, and looking for it would cost milliseconds a frame.
    std::size_t tries = sites_.size() > kMostSitesMoved ? kMostTries : 0;
    for (const std::uint32_t i : outfalls_)
      if (!names_.outfalls.contains(i) && ++tries < kMostTries) outfall_label(i, true);
    for (const std::uint32_t i : sites_)
      if (!names_.sites.contains(i) && ++tries < kMostTries) site_text(i, ui_.theme.small, false, true);
    if (sites_.size() <= kMostSitesMoved) space_.settle_labels();
    if (sites_.size() <= kMostSitesWithLines) led_labels();
    for (const GroundWords& words : ground_.words) ground_label(words);
    if (ui_.state.layers[Layer::kWaters])
      for (const MapScene::Name& name : ui_.scene.water_names) water_label(name);
    if (ui_.state.layers[Layer::kCatchments]) names_.catchments = name_catchments(ui_, list_, space_, told_);
  }

  int rank_of(std::size_t site) const { return ui_.assessment ? ui_.assessment->sites[site].class_rank : 0; }
  void stand_aside(std::uint32_t i) {
    const Pixel anchor = ui_.state.view.to_pixel(ui_.model.outfall_places()[i]);
    if (can_be_named(anchor)) draw_aside(place_aside(i, anchor), core::OutfallIndex(i));
  }

  void draw_aside(const Aside& aside, core::OutfallIndex i) {
    const PixelBox mark = aside.mark_box(aside.box);
    const Pixel middle = middle_of(mark);
    for (const Stroke& line : aside.lines) {
      list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.halo), ui_.theme.em * 0.3F);
      list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.outfall), ui_.theme.em * 0.13F);
      keep_free(line);
    }
    draw_mark(list_, vec(middle), outfall_radius(), ui_.paint.frame.outfall_marks[i.value()], ui_.colours,
              ui_.theme);
    space_.add_mark(middle, outfall_radius());
    add_disc({middle, outfall_radius() + ui_.theme.em * 0.12});
    ui_.shown.asides.push_back({mark, i, aside.anchor});
    if (aside.form.words.empty()) return;
    const double x = mark.left > aside.box.left ? aside.box.left : mark.right() + aside.pad;
    texts_.push_back({{},
                      {x, aside.box.top + (aside.side - aside.extent.y) / 2, aside.extent.x, aside.extent.y},
                      aside.form.font,
                      aside.form.colour,
                      aside.form.words,
                      {{}, {}, middle, outfall_radius(), {}}});
    names_.outfalls.insert(i.value());
  }

  // The painter leaves out what stands aside.
  void hide_marks() {
    PaintCall& paint = ui_.paint;
    std::vector<Mark> marks(paint.frame.outfall_marks.begin(), paint.frame.outfall_marks.end());
    for (const AsideMark& c : ui_.shown.asides) marks[c.outfall.value()].shape = MarkShape::kHidden;
    if (marks != paint.outfall_marks) {
      paint.outfall_marks = std::move(marks);
      ++paint.frame.outfall_marks_version;
    }
    paint.frame.outfall_marks = paint.outfall_marks;
  }

  // Whether it has its name now; `by_moving`: others may step aside for it.
  bool site_text(std::size_t i, ImFont* font, bool with_name, bool by_moving) {
    if (names_.sites.contains(i)) return true;
    const Pixel at = site_pixel(i);
    if (!can_be_named(at)) return false;
    const bool named = label(at, site_gap(i), font, ui_.theme.ink.text,
                             site_label_words(ui_, ageing_, i, with_name), by_moving);
    if (named) names_.sites.insert(i);
    return named;
  }
  void outfall_label(std::size_t i, bool by_moving) {
    if (names_.outfalls.contains(i) || !can_be_named(outfall_pixel(i))) return;
    for (const OutfallWords& form : outfall_label_words(ui_, i))
      if (label(outfall_pixel(i), outfall_gap(), form.font, form.colour, form.words, by_moving)) {
        names_.outfalls.insert(i);
        return;
      }
  }

  // Where its mark stands: at its place, or beside it.
  Pixel outfall_pixel(std::size_t i) const {
    for (const AsideMark& c : ui_.shown.asides)
      if (c.outfall.value() == i) return middle_of(c.box);
    return ui_.state.view.to_pixel(ui_.model.outfall_places()[i]);
  }

  void ring(ImVec2 at, float radius, Colour colour) {
    const float em = ui_.theme.em, r = radius + em * 0.34F;
    list_.AddCircle(at, r, im(ui_.theme.ink.halo), 48, em * 0.3F);
    list_.AddCircle(at, r, im(colour), 48, em * 0.17F);
  }

  bool label(Pixel anchor, float gap_px, ImFont* font, Colour colour, const std::string& words,
             bool by_moving) {
    if (words.empty()) return false;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const auto label = by_moving ? space_.add_label_by_moving(anchor, gap_px, extent.x, extent.y)
                                 : space_.add_label(anchor, gap_px, extent.x, extent.y);
    if (!label) return false;
    texts_.push_back({label, {}, font, colour, words, {{}, {}, anchor, gap_px, {}}});
    return true;
  }

  void draw_leader(const Led& led) {
    for (const Stroke& line : led.pieces) {
      list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.halo), ui_.theme.em * 0.25F);
      list_.AddLine(vec(line.from), vec(line.to), im(ui_.theme.ink.text), ui_.theme.em * 0.08F);
    }
  }

  // A label at the end of a thin line.
  struct Named {
    bool is_site;
    std::size_t index;
  };
  struct LedLabel {
    Named what;
    Led led;
    Text text;
  };
  // Takes the place of words and line.
  std::optional<LedLabel> place_led(const Named& what, ImFont* font, bool with_name) {
    const std::size_t i = what.index;
    const Pixel anchor = what.is_site ? site_pixel(i) : outfall_pixel(i);
    if (!can_be_named(anchor)) return std::nullopt;
    Text text{{}, {}, font, ui_.theme.ink.text, {}, {}};
    if (what.is_site) {
      text.words = site_label_words(ui_, ageing_, i, with_name);
    } else {
      const OutfallWords form = outfall_label_words(ui_, i).front();
      text.words = form.words;
      text.font = form.font;
      text.colour = form.colour;
    }
    if (text.words.empty()) return std::nullopt;
    const ImVec2 size = text.font->CalcTextSizeA(text.font->FontSize, 1e6F, 0, text.words.c_str());
    const bool anyhow = what.is_site && is_chosen(i);
    const auto led = led_box(anchor, what.is_site ? site_radius(i) : outfall_radius(), size, anyhow);
    if (!led) return std::nullopt;
    for (const Stroke& line : led->pieces) keep_free(line);
    text.box = led->box;
    text.told = {
        {}, {}, anchor, what.is_site ? site_gap(i) : outfall_gap(), led->pieces.back(), led->below_marks};
    return LedLabel{what, *led, std::move(text)};
  }
  void write_led(LedLabel label) {
    draw_leader(label.led);
    (label.what.is_site ? names_.sites : names_.outfalls).insert(label.what.index);
    texts_.push_back(std::move(label.text));
  }
  // For what must be named.
  bool led_label(std::size_t site, ImFont* font, bool with_name) {
    if (names_.sites.contains(site)) return false;
    if (!is_chosen(site) && !led_tried_.insert(site).second) return false;
    auto label = place_led({true, site}, font, with_name);
    if (label) write_led(std::move(*label));
    return label.has_value();
  }

  // All that have no name yet; where some find no place, once more with these first, if more of them are named then.
  void led_labels() {
    std::vector<Named> wanted;
    for (const std::uint32_t i : sites_)
      if (!names_.sites.contains(i) && !led_tried_.contains(i)) wanted.push_back({true, i});
    for (const std::uint32_t i : outfalls_)
      if (!names_.outfalls.contains(i)) wanted.push_back({false, i});
    const auto place_all = [this](const std::vector<Named>& in_order, std::vector<Named>& missed) {
      std::vector<LedLabel> placed;
      for (const Named& what : in_order)
        if (auto label = place_led(what, ui_.theme.small, false))
          placed.push_back(std::move(*label));
        else
          missed.push_back(what);
      return placed;
    };
    LabelSpace before = space_;
    std::vector<Named> missed, still_missed;
    std::vector<LedLabel> placed = place_all(wanted, missed);
    if (!missed.empty() && !placed.empty()) {
      LabelSpace after = std::exchange(space_, std::move(before));
      for (const LedLabel& label : placed) missed.push_back(label.what);
      std::vector<LedLabel> others = place_all(missed, still_missed);
      if (others.size() > placed.size())
        placed = std::move(others);
      else
        space_ = std::move(after);
    }
    for (LedLabel& label : placed) write_led(std::move(label));
  }

  // Beside its square; or on its area or along its line, where there is room.
  void ground_label(const GroundWords& ground) {
    ImFont* font = ui_.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, ground.words.c_str());
    const double gap = ground.radius > 0 ? ground.radius + ui_.theme.em * 0.25 : 0;
    for (const Pixel place : ground.at) {
      if (!can_be_named(place)) continue;
      const auto at = space_.place(place, gap, extent.x, extent.y,
                                   ground.radius > 0 ? LabelSides::kAround : LabelSides::kCentred);
      if (!at) continue;
      MapWord told;
      if (ground.radius > 0) told.mark = place, told.reach_px = gap;
      texts_.push_back(
          {{}, {at->x, at->y, extent.x, extent.y}, font, ui_.theme.ink.text, ground.words, std::move(told)});
      return;
    }
  }

  // A name as wide as its water allows: one that would cover much more waits for a nearer map.
  void water_label(const MapScene::Name& name) {
    ImFont* font = ui_.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, name.text.c_str());
    const Pixel anchor = ui_.state.view.to_pixel(name.place);
    if (extent.x * 0.5 > name.extent_m / ui_.state.view.metres_per_pixel) return;
    if (!ui_.state.view.box.contains(anchor)) return;
    const auto at = space_.place(anchor, 0, extent.x, extent.y, LabelSides::kCentred);
    if (at)
      texts_.push_back({{}, {at->x, at->y, extent.x, extent.y}, font, ui_.theme.ink.flow, name.text, {}});
  }

  ImDrawList& list_;
  Ageing ageing_;
  std::vector<std::uint32_t> sites_, outfalls_;
  MapNames names_;
  std::set<std::size_t> led_tried_;  // found no place for a label at the end of a line
  std::vector<Text> texts_;
  std::vector<MapWord> told_;
  std::optional<std::size_t> chosen_outfall_;
  std::span<const core::Drop> falls_;
};

}  // namespace

void draw_map_words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls) {
  ui.shown.asides.clear();
  Words(ui, list, controls).all();
}

}  // namespace brookmark::viewer

// The words on the map: names that keep clear of one another, rings around what is chosen, arrows along the
// flow.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostNamedSites = 600;  // more in view: none is named, only the chosen one
constexpr Colour kCatchmentInk{92, 80, 58};
constexpr std::size_t kMostArrowRuns = 20000;

ImVec2 vec(Pixel p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

class Words {
 public:
  Words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls)
      : ui_(ui), list_(list), space_(ui.layout.map) {
    for (const PixelBox& box : controls)
      if (box.width > 0) space_.block(box);
    const PlaneBox shown = ui.state.view.shown();
    if (ui.state.layers[Layer::kSites]) sites_ = ui.model.site_grid().inside(shown);
    if (ui.state.layers[Layer::kOutfalls]) outfalls_ = ui.model.outfall_grid().inside(shown);
    if (sites_.size() > kMostNamedSites) sites_.clear();
    for (const std::uint32_t i : sites_) block_mark(ui.model.site_places()[i], site_gap());
    if (outfalls_.size() > kMostNamedSites) outfalls_.clear();
    for (const std::uint32_t i : outfalls_) block_mark(ui.model.outfall_places()[i], outfall_gap());
  }

  // An outfall below a site's mark moves aside, or the one that matters most would not be seen.
  void covered_outfalls() {
    const float site_radius = ui_.paint.frame.site_radius_px, radius = ui_.paint.frame.outfall_radius_px;
    const bool needed = ui_.paint.frame.show_signs && ui_.state.layers[Layer::kSites];
    for (const std::uint32_t i : outfalls_) {
      if (!needed) break;
      const core::PlanePoint place = ui_.model.outfall_places()[i];
      const double reach = (site_radius + radius * 0.25) * ui_.state.view.metres_per_pixel;
      const auto near =
          ui_.model.site_grid().inside({place.x - reach, place.y - reach, place.x + reach, place.y + reach});
      const bool covered = std::any_of(near.begin(), near.end(), [&](std::uint32_t s) {
        const core::PlanePoint p = ui_.model.site_places()[s];
        return std::hypot(p.x - place.x, p.y - place.y) < reach;
      });
      if (!covered) continue;
      stand_aside(i, ui_.state.view.to_pixel(place), site_radius + radius, radius * 2.6);
    }
    hide_marks();
  }
  std::vector<Callout> callouts() const { return callouts_; }

  void query() {
    const Query& query = ui_.state.query;
    if (query.from == Query::From::kNone) return;
    const ImVec2 start = vec(ui_.state.view.to_pixel(ui_.model.frame().to_plane(query.point)));
    const float em = ui_.theme.em;
    if (query.from == Query::From::kPoint) {
      list_.AddCircleFilled(start, em * 0.5F, im(ink::kWhite), 24);
      list_.AddCircleFilled(start, em * 0.38F, im(ink::kQuery), 24);
      list_.AddCircleFilled(start, em * 0.14F, im(ink::kWhite), 12);
    } else {
      ring(start, ui_.paint.frame.site_radius_px, ink::kQuery);
    }
    for (const core::ChannelDistance& d : query.distances)
      if (d.distance_m) outfall_label(d.target);
  }

  void chosen() {
    if (ui_.state.site) {
      const std::size_t i = ui_.state.site->value();
      const core::PlanePoint place = ui_.model.site_places()[i];
      ring(vec(ui_.state.view.to_pixel(place)), ui_.paint.frame.site_radius_px, ink::kText);
      label(place, site_gap() + 4, ui_.theme.strong, ink::kText, site_words(i, true));
    }
    if (ui_.state.outfall) {
      const std::size_t i = ui_.state.outfall->value();
      ring(vec(outfall_pixel(i)), ui_.paint.frame.outfall_radius_px, ink::kText);
    }
  }

  void names() {
    for (const std::uint32_t i : sites_)
      if (!ui_.state.site || ui_.state.site->value() != i)
        label(ui_.model.site_places()[i], site_gap(), ui_.theme.small, ink::kText, site_words(i, false));
    for (const std::uint32_t i : outfalls_) outfall_label(i);
    if (ui_.state.layers[Layer::kWaters])
      for (const MapScene::Name& name : ui_.scene.water_names)
        area_label(name, {40, 92, 128}, name.text, 0.5);
    if (ui_.state.layers[Layer::kCatchments])
      for (const MapScene::Name& name : ui_.scene.catchment_names) catchment_label(name);
  }

  bool free_for_arrow(ImVec2 at) const {
    const double half = ui_.theme.em * 0.5;
    return space_.is_free({at.x - half, at.y - half, 2 * half, 2 * half});
  }

 private:
  // What its sites say of it, under the name of a catchment.
  std::string catchment_words(std::size_t index) const {
    if (!ui_.assessment || index >= ui_.assessment->catchments.size()) return {};
    const core::CatchmentAssessment& c = ui_.assessment->catchments[index];
    if (c.assessed_sites == 0 || c.worst_rank == 0) return {};
    return "\nmiddle " + std::to_string(c.median_rank) + " \u00B7 worst " + std::to_string(c.worst_rank) +
           " \u00B7 " + count_of(c.assessed_sites, "site", "sites");
  }
  float site_gap() const { return ui_.paint.frame.site_radius_px + ui_.theme.em * 0.3F; }
  float outfall_gap() const { return ui_.paint.frame.outfall_radius_px + ui_.theme.em * 0.35F; }

  std::string site_words(std::size_t i, bool with_name) const {
    const core::SiteColumns& sites = ui_.snapshot().sites;
    std::string words(sites.code[i]);
    if (with_name && !sites.name[i].empty() && sites.name[i] != sites.code[i])
      words += "  " + std::string(sites.name[i]);
    // Under a metric without classes the mark holds the value only where it is a small whole number.
    if (ui_.assessment) {
      const core::SiteAssessment& known = ui_.assessment->sites[i];
      const core::Metric& metric = ui_.assessment->metric_info();
      if (standing_of(known, metric) == Standing::kValue && site_mark(known, metric).first >= kSignCount)
        words += " \u00B7 " + value_in_words(metric, known.value);
    }
    return words;
  }

  // The mark with its words beside it where both find room together, else the mark alone.
  void stand_aside(std::uint32_t i, Pixel anchor, double gap_px, double side) {
    const auto [words, font, colour] = outfall_words(i);
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const double pad = ui_.theme.em * 0.2, width = side + pad + extent.x;
    auto at = words.empty() ? std::nullopt : space_.place(anchor, gap_px, width, side, LabelSides::kAround);
    const bool together = at.has_value();
    if (!together) at = space_.place(anchor, gap_px, side, side, LabelSides::kAround);
    if (!at) return;
    const bool to_the_left = together && at->x + width / 2 < anchor.x;
    const PixelBox box{to_the_left ? at->x + width - side : at->x, at->y, side, side};
    const ImVec2 middle = vec({box.left + side / 2, box.top + side / 2});
    // The line ends at the rim of the mark on top, whose rank it must not cross out.
    const Pixel from{anchor.x + (middle.x - anchor.x) * 0.42, anchor.y + (middle.y - anchor.y) * 0.42};
    list_.AddLine(vec(from), middle, im(ink::kWhite), ui_.theme.em * 0.3F);
    list_.AddLine(vec(from), middle, im(ink::kOutfall), ui_.theme.em * 0.13F);
    draw_mark(list_, middle, ui_.paint.frame.outfall_radius_px, ui_.paint.frame.outfall_marks[i], ui_.colours,
              ui_.theme);
    callouts_.push_back({box, core::OutfallIndex(i)});
    if (!together) return;
    const double x = to_the_left ? at->x : box.right() + pad;
    text_with_halo(list_, font, vec({x, at->y + (side - extent.y) / 2}), colour, words);
    named_outfalls_.push_back(i);
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

  struct OutfallWords {
    std::string words;
    ImFont* font;
    Colour colour;
  };
  // Code and distance where a query reaches it, else its code.
  OutfallWords outfall_words(std::size_t i) const {
    const std::string& code = ui_.snapshot().outfalls[i].code;
    for (const core::ChannelDistance& d : ui_.state.query.distances) {
      if (d.target != i || !d.distance_m) continue;
      const char* sign = d.relation == core::Relation::kUpstream     ? "  \u2191 "
                         : d.relation == core::Relation::kDownstream ? "  \u2193 "
                                                                     : "  \u2194 ";
      return {code + sign + distance_in_words(*d.distance_m), ui_.theme.strong, ink::kQuery};
    }
    return {ui_.state.layers[Layer::kLabels] ? code : "", ui_.theme.small, ink::kOutfall};
  }
  bool outfall_named(std::size_t i) const {
    return std::find(named_outfalls_.begin(), named_outfalls_.end(), i) != named_outfalls_.end();
  }
  void outfall_label(std::size_t i) {
    if (outfall_named(i)) return;
    const auto [words, font, colour] = outfall_words(i);
    if (label(outfall_pixel(i), outfall_gap(), font, colour, words)) named_outfalls_.push_back(i);
  }

  // Where its mark stands: at its place, or beside it.
  Pixel outfall_pixel(std::size_t i) const {
    for (const Callout& c : callouts_)
      if (c.outfall.value() == i) return {c.box.left + c.box.width / 2, c.box.top + c.box.height / 2};
    return ui_.state.view.to_pixel(ui_.model.outfall_places()[i]);
  }

  void block_mark(core::PlanePoint place, float half) {
    const Pixel p = ui_.state.view.to_pixel(place);
    const double h = half * 0.85;
    space_.block({p.x - h, p.y - h, 2 * h, 2 * h});
  }

  void ring(ImVec2 at, float radius, Colour colour) {
    const float em = ui_.theme.em, r = radius + em * 0.34F;
    list_.AddCircle(at, r, im(ink::kWhite), 48, em * 0.3F);
    list_.AddCircle(at, r, im(colour), 48, em * 0.17F);
  }

  bool label(core::PlanePoint place, float gap_px, ImFont* font, Colour colour, const std::string& words) {
    return label(ui_.state.view.to_pixel(place), gap_px, font, colour, words);
  }
  bool label(Pixel anchor, float gap_px, ImFont* font, Colour colour, const std::string& words) {
    if (words.empty()) return false;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const auto at = space_.place(anchor, gap_px, extent.x, extent.y, LabelSides::kAround);
    if (at) text_with_halo(list_, font, vec(*at), colour, words);
    return at.has_value();
  }

  // With what is known of it, or the bare name where there is no room for more.
  void catchment_label(const MapScene::Name& name) {
    const core::MultiPolygon& shape = ui_.snapshot().catchments[name.index].shape;
    const std::string more = catchment_words(name.index);
    if (more.empty() || !area_label(name, kCatchmentInk, name.text + more, 0.7, &shape))
      area_label(name, kCatchmentInk, name.text, 0.7, &shape);
  }

  // A name as wide as its thing allows: one that would cover more than the thing waits for a nearer map.
  bool area_label(const MapScene::Name& name, Colour colour, const std::string& words, double share,
                  const core::MultiPolygon* inside = nullptr) {
    ImFont* font = ui_.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const Pixel anchor = ui_.state.view.to_pixel(name.place);
    if (extent.x * share > name.extent_m / ui_.state.view.metres_per_pixel) return false;
    if (!ui_.state.view.box.contains(anchor)) return false;
    // A catchment's name beside the catchment would name its neighbour.
    const auto suits = [&](const PixelBox& box) {
      const double y = box.top + box.height / 2;
      for (const double x : {box.left, box.left + box.width / 2, box.right()})
        if (inside && !core::contains(*inside, ui_.model.frame().to_lonlat(ui_.state.view.to_plane({x, y}))))
          return false;
      return true;
    };
    const auto at = space_.place(anchor, 0, extent.x, extent.y, LabelSides::kCentred, suits);
    if (at) text_with_halo(list_, font, vec(*at), colour, words);
    return at.has_value();
  }

  const Ui& ui_;
  ImDrawList& list_;
  LabelSpace space_;
  std::vector<std::uint32_t> sites_, outfalls_;
  std::vector<std::size_t> named_outfalls_;
  std::vector<Callout> callouts_;
};

void draw_flow_arrows(const Ui& ui, ImDrawList& list, const Words& words) {
  if (!ui.state.layers[Layer::kChannels] || ui.scene.runs.size() > kMostArrowRuns) return;
  const Viewport& view = ui.state.view;
  const PlaneBox shown = view.shown();
  const double spacing = ui.theme.em * 9.0;
  const float s = ui.theme.em * 0.32F;
  for (const MapScene::Run& run : ui.scene.runs) {
    if (run.box.max_x < shown.min_x || run.box.min_x > shown.max_x || run.box.max_y < shown.min_y ||
        run.box.min_y > shown.max_y)
      continue;
    const Segment* segments = ui.scene.channels.data();
    double total = 0;
    for (std::uint32_t i = run.segments.begin; i < run.segments.end; ++i)
      total += std::hypot(segments[i].to.x - segments[i].from.x, segments[i].to.y - segments[i].from.y);
    total /= view.metres_per_pixel;
    if (total < spacing * 0.5 || !std::isfinite(total)) continue;
    const double count = std::max(1.0, std::min(std::floor(total / spacing), 2000.0));
    double next = total / (2 * count), run_px = 0;
    for (std::uint32_t i = run.segments.begin; i < run.segments.end; ++i) {
      const Pixel a = view.to_pixel({segments[i].from.x, segments[i].from.y});
      const Pixel b = view.to_pixel({segments[i].to.x, segments[i].to.y});
      const double length = std::hypot(b.x - a.x, b.y - a.y);
      while (length > 0 && next <= run_px + length) {
        const double t = (next - run_px) / length;
        const Pixel at{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
        next += total / count;
        if (!view.box.contains(at)) continue;
        const auto dx = static_cast<float>((b.x - a.x) / length),
                   dy = static_cast<float>((b.y - a.y) / length);
        const ImVec2 c = vec(at);
        if (!words.free_for_arrow(c)) continue;
        list.AddTriangleFilled({c.x + dx * s * 1.5F, c.y + dy * s * 1.5F},
                               {c.x - dx * s - dy * s * 1.1F, c.y - dy * s + dx * s * 1.1F},
                               {c.x - dx * s + dy * s * 1.1F, c.y - dy * s - dx * s * 1.1F},
                               IM_COL32(46, 86, 122, 255));
      }
      run_px += length;
    }
  }
}

}  // namespace

std::vector<Callout> draw_map_words(const Ui& ui, ImDrawList& list, const std::vector<PixelBox>& controls) {
  Words words(ui, list, controls);
  draw_flow_arrows(ui, list, words);
  words.covered_outfalls();
  words.query();
  words.chosen();
  if (ui.state.layers[Layer::kLabels]) words.names();
  return words.callouts();
}

}  // namespace brookmark::viewer

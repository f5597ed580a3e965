// Signs beside the marks of sites while the page of going clean is open: that a water has a risk, or a number of a planned
// round; and what belongs to them below the marks: rings, and the way of the round.
#include <algorithm>
#include <cmath>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kRoundAside_ems = 1.3,
                 kRoundRadius_ems = 1.05;  // of a stop's number, from the middle of its site

bool clean_is_shown(const Ui& ui) {
  return ui.state.panel_open && ui.state.page == Page::kClean;
}

const core::VisitPlan* round_plan(const Ui& ui) {
  const Round& round = ui.desk.clean.round;
  return clean_is_shown(ui) && round.plan && round.revision == ui.model.revision() ? &*round.plan : nullptr;
}

ImVec2 vec(Pixel p) {
  return {static_cast<float>(p.x), static_cast<float>(p.y)};
}

Pixel pixel_of(const Ui& ui, core::SiteIndex site) {
  return ui.state.view.to_pixel(ui.model.site_places()[site.value()]);
}

bool overlap(const PixelBox& a, const PixelBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}

// Of the four boxes diagonally beside a site the first that lies over nothing.
class Corners {
 public:
  Corners(const Ui& ui, const std::vector<PixelBox>& controls, const std::vector<MapBadge>& badges)
      : ui_(ui), controls_(controls), badges_(badges) {}

  // `away`: of the nearest corner of the box from the middle of the site, both ways.
  PixelBox choose(core::SiteIndex site, double away, ImVec2 size, bool right_first) const {
    const Pixel p = pixel_of(ui_, site);
    const double w = size.x, h = size.y, left = p.x - away - w, right = p.x + away, up = p.y - away - h,
                 down = p.y + away;
    const PixelBox boxes[] = {{right_first ? right : left, up, w, h},
                              {right_first ? left : right, up, w, h},
                              {right_first ? right : left, down, w, h},
                              {right_first ? left : right, down, w, h}};
    for (const PixelBox& box : boxes)
      if (is_free(box, site)) return box;
    return boxes[0];
  }

 private:
  bool is_free(const PixelBox& box, core::SiteIndex own) const {
    if (std::any_of(badges_.begin(), badges_.end(), [&](const MapBadge& b) { return overlap(b.box, box); }))
      return false;
    return is_free_of_marks(ui_, box, controls_, own);
  }
  const Ui& ui_;
  const std::vector<PixelBox>& controls_;
  const std::vector<MapBadge>& badges_;
};

}  // namespace

bool is_free_of_marks(const Ui& ui, const PixelBox& box, const std::vector<PixelBox>& controls,
                      std::optional<core::SiteIndex> own) {
  const PixelBox& map = ui.layout.map;
  if (box.left < map.left || box.top < map.top || box.right() > map.right() || box.bottom() > map.bottom())
    return false;
  if (std::any_of(controls.begin(), controls.end(),
                  [&](const PixelBox& o) { return o.width > 0 && overlap(o, box); }))
    return false;
  const auto covers = [&](core::PlanePoint place, double r) {
    const Pixel p = ui.state.view.to_pixel(place);
    return overlap({p.x - r, p.y - r, 2 * r, 2 * r}, box);
  };
  const MapFrame& frame = ui.paint.frame;
  const double reach = (std::max(box.width, box.height) + ui.theme.em * 4) * ui.state.view.metres_per_pixel;
  const core::PlanePoint middle =
      ui.state.view.to_plane({box.left + box.width / 2, box.top + box.height / 2});
  const PlaneBox around{middle.x - reach, middle.y - reach, middle.x + reach, middle.y + reach};
  if (ui.state.layers[Layer::kSites]) {
    for (const std::uint32_t i : ui.model.site_grid().inside(around))
      if (!(own && own->value() == i) && ui.sites.stands_alone(i) &&
          covers(ui.model.site_places()[i], static_cast<double>(frame.site_radius_px)))
        return false;
    for (const std::uint32_t sign : ui.sites.signs())
      if (covers(ui.sites.clusters().clusters()[sign].place, ui.sites.sign_radius_px())) return false;
  }
  if (ui.state.layers[Layer::kOutfalls])
    for (const std::uint32_t i : ui.model.outfall_grid().inside(around))
      if (covers(ui.model.outfall_places()[i], static_cast<double>(frame.outfall_radius_px))) return false;
  return true;
}

std::vector<MapBadge> map_badges(const Ui& ui, const std::vector<PixelBox>& controls) {
  std::vector<MapBadge> badges;
  const Corners corners(ui, controls, badges);
  const double em = ui.theme.em;
  for (const TraceMark& mark : trace_marks(ui)) {
    const ImVec2 words = ui.theme.strong->CalcTextSizeA(ui.theme.em, 1e6F, 0, mark.sign.c_str());
    badges.push_back(
        {corners.choose(mark.site, kTraceRing_ems * em * 0.62, {words.x + ui.theme.em * 0.5F, words.y}, true),
         mark.sign,
         mark.site,
         {}});
  }
  if (const core::VisitPlan* plan = round_plan(ui))
    for (std::size_t i = 0; i < plan->stops.size(); ++i) {
      const core::SiteIndex site = plan->stops[i].site;
      if (!ui.layout.map.contains(pixel_of(ui, site))) continue;
      const auto side = static_cast<float>(2 * kRoundRadius_ems * em);
      badges.push_back({corners.choose(site, (kRoundAside_ems - kRoundRadius_ems) * em, {side, side}, false),
                        {},
                        site,
                        i});
    }
  return badges;
}

void draw_below_marks(const Ui& ui, ImDrawList& list) {
  draw_ground_shapes(ui, list);
  if (!clean_is_shown(ui)) return;
  const float em = ui.theme.em, wide = std::max(2.0F, em * 0.16F);
  if (const core::VisitPlan* plan = round_plan(ui))
    for (const bool halo : {true, false})
      for (std::size_t i = 1; i < plan->stops.size(); ++i)
        list.AddLine(vec(pixel_of(ui, plan->stops[i - 1].site)), vec(pixel_of(ui, plan->stops[i].site)),
                     im(halo ? ui.theme.ink.halo : ui.theme.ink.query), halo ? wide * 2.4F : wide);
  for (const TraceMark& mark : trace_marks(ui)) {
    const ImVec2 at = vec(pixel_of(ui, mark.site));
    list.AddCircle(at, em * kTraceRing_ems, im(ui.theme.ink.halo), 32, wide * 2);
    list.AddCircle(at, em * kTraceRing_ems, im(ui.theme.ink.query), mark.source ? 32 : 6, wide);
  }
}

std::vector<Stroke> round_way(const Ui& ui) {
  std::vector<Stroke> way;
  if (const core::VisitPlan* plan = round_plan(ui))
    for (std::size_t i = 1; i < plan->stops.size(); ++i)
      way.push_back({pixel_of(ui, plan->stops[i - 1].site), pixel_of(ui, plan->stops[i].site)});
  return way;
}

void draw_map_badge(const Ui& ui, ImDrawList& list, const MapBadge& badge) {
  const ImVec2 low = vec({badge.box.left, badge.box.top});
  if (badge.stop) {
    draw_suggestion_tag(list,
                        vec({badge.box.left + badge.box.width / 2, badge.box.top + badge.box.height / 2}),
                        ui.theme, *badge.stop + 1, ui.state.site == badge.site);
    return;
  }
  const float em = ui.theme.em;
  list.AddRectFilled(low, vec({badge.box.right(), badge.box.bottom()}), im(ui.theme.ink.query), em * 0.25F);
  list.AddText(ui.theme.strong, em, {low.x + em * 0.25F, low.y}, im(ui.theme.ink.on_query),
               badge.sign.c_str());
}

}  // namespace brookmark::viewer

#include "viewer/panels/label_ground_internal.hpp"

#include <algorithm>
#include <cmath>

#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kLongestKeptFree_px =
    20000;  // of one straight piece; a longer one is seen from too near to matter
constexpr int kLineSteps = 24;
constexpr double kSameMark_px = 1.5;
constexpr double kStretchHalf_ems = 0.4;  // of what words leave free on both sides of a stretch
constexpr int kMostBeside = 60;           // places tried along a stretch
// Segments in view. With more, the map is so full of lines that no place is clear of them.
constexpr std::size_t kMostLinesKept = 8000;
constexpr double kWithHalo = 1.275;  // radii of a site's mark that it hides, as the painter draws it
constexpr double kCoveredShare =
    0.3;  // of an outfall's radius: with less of it beyond, it cannot be told; taste
constexpr double kFaintLine = 0.4;  // of a thin or dashed line, beside 1 for a watercourse; taste

Pixel along(const Stroke& line, int step) {
  const double t = static_cast<double>(step) / kLineSteps;
  return {line.from.x + (line.to.x - line.from.x) * t, line.from.y + (line.to.y - line.from.y) * t};
}

}  // namespace

LabelGround::LabelGround(const Ui& ui, const std::vector<PixelBox>& controls)
    : ui_(ui),
      controls_(controls),
      space_(ui.layout.map, ui.theme.em * 0.2, ui.state.view.to_pixel({0, 0})),
      traced_(trace_marks(ui)),
      badges_(map_badges(ui, controls)),
      ground_(ground_on_map(ui)) {
  for (const PixelBox& box : controls)
    if (box.width > 0) space_.block_words(box);
  std::vector<PixelBox>& signs = ui.shown.badges;
  signs.clear();
  std::vector<PixelBox> others = controls;
  for (const MapBadge& badge : badges_) others.push_back(badge.box);
  ui.shown.suggestions = place_suggestions(ui, others);
  for (const SuggestionTag& tag : ui.shown.suggestions) signs.push_back(tag.box);
  for (const MapBadge& badge : badges_) signs.push_back(badge.box);
  signs.insert(signs.end(), ground_.squares.begin(), ground_.squares.end());
  for (const PixelBox& box : signs) space_.block_words(box);
  for (const SuggestionTag& tag : ui.shown.suggestions)
    if (tag.aside) {
      keep_free(line_of(tag));
      const double half = ui.theme.em * 0.3;  // of the dot at the spot
      space_.block_words({tag.place.x - half, tag.place.y - half, 2 * half, 2 * half});
    }
  keep_off_lines();
}

void LabelGround::keep_off_lines() {
  const Viewport& view = ui_.state.view;
  const MapFrame& frame = ui_.paint.frame;
  const auto keep = [&](const LineDetail& lines, const LineDetail::View& shown, double weight) {
    if (shown.segments > kMostLinesKept) return;
    for (const DetailRange& range : shown.ranges) {
      const std::span<const Segment> segments = lines.segments(range.grade);
      for (std::uint32_t i = range.segments.begin; i < range.segments.end; ++i) {
        const Segment& s = segments[i];
        space_.add_line(view.to_pixel({s.from.x, s.from.y}), view.to_pixel({s.to.x, s.to.y}), weight);
      }
    }
  };
  const Layers& layers = ui_.state.layers;
  if (layers[Layer::kChannels]) keep(ui_.scene.channels, frame.channels, 1);
  if (layers[Layer::kCatchments]) keep(ui_.scene.catchments, frame.catchments, kFaintLine);
  for (const Stroke& edge : ground_.edges) space_.add_line(edge.from, edge.to);
  for (const Stroke& way : round_way(ui_)) space_.add_line(way.from, way.to);
}

bool LabelGround::is_below_control(Pixel at) const {
  return std::any_of(controls_.begin(), controls_.end(),
                     [at](const PixelBox& box) { return box.width > 0 && box.contains(at); });
}

float LabelGround::site_radius(std::size_t site) const {
  const float em = ui_.theme.em;
  float radius = ui_.paint.frame.site_radius_px;
  if (is_chosen(site)) radius += em * 0.45F;
  for (const TraceMark& mark : traced_)
    if (mark.site.value() == site) radius = std::max(radius, kTraceRing_ems * em + em * 0.16F);
  return radius;
}

void LabelGround::add_mark(core::PlanePoint place, double radius, double gap) {
  const Pixel p = ui_.state.view.to_pixel(place);
  const double h = gap * 0.85;
  space_.block({p.x - h, p.y - h, 2 * h, 2 * h});
  space_.add_mark(p, radius);
}

bool LabelGround::is_covered(std::size_t outfall) const {
  if (!ui_.paint.frame.show_signs || !ui_.state.layers[Layer::kSites]) return false;
  const core::PlanePoint place = ui_.model.outfall_places()[outfall];
  const double radius = ui_.paint.frame.site_radius_px * kWithHalo;
  const double reach = (radius + outfall_radius() * kCoveredShare) * ui_.state.view.metres_per_pixel;
  const auto near =
      ui_.model.site_grid().inside({place.x - reach, place.y - reach, place.x + reach, place.y + reach});
  return std::any_of(near.begin(), near.end(), [&](std::uint32_t s) {
    if (!ui_.sites.stands_alone(s)) return false;
    const core::PlanePoint p = ui_.model.site_places()[s];
    return std::hypot(p.x - place.x, p.y - place.y) < reach;
  });
}

std::vector<Disc>& LabelGround::discs() const {
  if (discs_) return *discs_;
  std::vector<Disc>& discs = discs_.emplace();
  const Viewport& view = ui_.state.view;
  const double em = ui_.theme.em, rim = em * 0.12;
  if (ui_.state.layers[Layer::kSites]) {
    for (const std::uint32_t i : ui_.sites.singles()) discs.push_back({site_pixel(i), site_radius(i) + rim});
    for (const std::uint32_t sign : ui_.sites.signs())
      discs.push_back(
          {view.to_pixel(ui_.sites.clusters().clusters()[sign].place), ui_.sites.sign_radius_px() + rim});
  }
  if (ui_.state.layers[Layer::kOutfalls])
    for (const std::uint32_t i : ui_.model.outfall_grid().inside(view.shown(em)))
      if (!is_covered(i))
        discs.push_back({view.to_pixel(ui_.model.outfall_places()[i]), outfall_radius() + rim});
  return discs;
}

std::vector<Disc> LabelGround::discs_about(Pixel at, double reach_px) const {
  std::vector<Disc> near;
  for (const Disc& disc : discs())
    if (std::abs(disc.middle.x - at.x) < reach_px + disc.radius &&
        std::abs(disc.middle.y - at.y) < reach_px + disc.radius)
      near.push_back(disc);
  return near;
}

bool LabelGround::crosses_no_words(const Stroke& line, const PixelBox& own) const {
  for (int i = 0; i <= kLineSteps; ++i) {
    const Pixel p = along(line, i);
    if (!own.contains(p) && !space_.is_free_of_words({p.x - 1, p.y - 1, 2, 2})) return false;
  }
  return true;
}

bool LabelGround::crosses_nothing(const Stroke& line, const PixelBox& mark, Pixel place) const {
  if (!crosses_no_words(line, mark)) return false;
  for (int i = 1; i < kLineSteps; ++i) {
    const Pixel p = along(line, i);
    const double to_place = std::hypot(p.x - place.x, p.y - place.y);
    const double own = (ui_.paint.frame.site_radius_px + ui_.theme.em * 0.3) * 1.5;
    if (!mark.contains(p) && to_place > own && !space_.is_free({p.x - 1, p.y - 1, 2, 2})) return false;
  }
  return true;
}

void LabelGround::keep_free(const Stroke& line) {
  for (int i = 1; i < kLineSteps; ++i) {
    const Pixel p = along(line, i);
    space_.block_words({p.x - 2, p.y - 2, 4, 4});
  }
}

std::vector<Pixel> LabelGround::pixels(const core::Line& line) const {
  std::vector<Pixel> all;
  for (const core::PlanePoint p : to_plane(ui_.model.frame(), line))
    all.push_back(ui_.state.view.to_pixel(p));
  return all;
}

void LabelGround::keep_free(const core::Line& stretch) {
  const std::vector<Pixel> line = pixels(stretch);
  const double half = ui_.theme.em * kStretchHalf_ems;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const Pixel from = line[i - 1], to = line[i];
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

void LabelGround::keep_measured_free() {
  const Measure& measure = ui_.state.map.measure;
  if (!measure.on) return;
  keep_free(core::Line(measure.corners.begin(), measure.corners.end()));
  if (measure.along && measure.along->distance_m) keep_free(measure.along->path);
}

std::optional<LabelGround::Led> LabelGround::led_box(Pixel anchor, double radius, ImVec2 size, bool anyhow) {
  const double em = ui_.theme.em, gap = radius + em * 0.65, step = em;
  const std::vector<Disc> discs = discs_about(anchor, gap + 5 * step + size.x);
  const auto beside_box = [&](const PixelBox& box) {
    return Pixel{std::clamp(anchor.x, box.left - 2, box.right() + 2),
                 std::clamp(anchor.y, box.top + 2, box.bottom() - 2)};
  };
  const auto leader = [&](const PixelBox& box) { return outside({beside_box(box), anchor}, discs); };
  const auto clear = [&](const PixelBox& box) {
    const auto lines = leader(box);
    if (lines.size() != 1 || !(lines.front().from == beside_box(box))) return false;
    const Pixel end = lines.front().to;
    // A line that ended where another mark covers the rim of its own would seem to lead to that one.
    const bool to_another = std::any_of(discs.begin(), discs.end(), [&](const Disc& disc) {
      return std::hypot(disc.middle.x - anchor.x, disc.middle.y - anchor.y) > kSameMark_px &&
             std::hypot(disc.middle.x - end.x, disc.middle.y - end.y) < disc.radius;
    });
    return !to_another && std::hypot(end.x - anchor.x, end.y - anchor.y) <= radius + em * 0.2 &&
           crosses_nothing(lines.front(), {}, anchor);
  };
  const auto over_no_words = [&](const PixelBox& box) {
    const auto lines = leader(box);
    return !lines.empty() && std::all_of(lines.begin(), lines.end(),
                                         [&](const Stroke& line) { return crosses_no_words(line, {}); });
  };
  const double width = size.x, height = size.y;
  auto at = space_.place(anchor, gap, width, height, LabelSides::kAside, clear, step);
  const bool below_marks = !at;
  if (!at && anyhow) at = space_.place(anchor, gap, width, height, LabelSides::kAside, over_no_words, step);
  if (!at) return std::nullopt;
  const PixelBox box{at->x, at->y, width, height};
  return Led{box, leader(box), below_marks};
}

std::optional<Pixel> LabelGround::beside(const core::Line& stretch, ImVec2 size) {
  const std::vector<Pixel> line = pixels(stretch);
  const double em = ui_.theme.em, away = em * (kStretchHalf_ems + 0.08), every = em * 0.75;
  const double width = size.x, height = size.y;
  int tries = 0;
  for (std::size_t i = line.size(); i-- > 1;) {
    const Pixel low = line[i], high = line[i - 1];
    const double length = std::hypot(high.x - low.x, high.y - low.y);
    if (!(length > 0) || length > kLongestKeptFree_px) continue;
    const double dx = (high.x - low.x) / length, dy = (high.y - low.y) / length;
    for (double way = std::min(every, length) / 2; way < length; way += every) {
      const Pixel p{low.x + dx * way, low.y + dy * way};
      if (!can_be_named(p)) continue;
      const std::vector<Disc> discs = discs_about(p, em);
      if (std::any_of(discs.begin(), discs.end(), [p](const Disc& d) {
            return std::hypot(d.middle.x - p.x, d.middle.y - p.y) < d.radius;
          }))
        continue;
      if (++tries > kMostBeside) return std::nullopt;
      // So far to its side that the box just leaves the stretch free.
      const double off =
          (std::abs(dy) * width + std::abs(dx) * height) / 2 + away * (std::abs(dx) + std::abs(dy));
      for (const double side : {1.0, -1.0}) {
        const PixelBox box{p.x - dy * off * side - width / 2, p.y + dx * off * side - height / 2, width,
                           height};
        if (!space_.has_room(box)) continue;
        space_.block_words(box);
        return Pixel{box.left, box.top};
      }
    }
  }
  return std::nullopt;
}
}  // namespace brookmark::viewer

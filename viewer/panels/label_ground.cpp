#include "viewer/panels/label_ground_internal.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr double kLongestKeptFree_px =
    20000;  // of one straight piece; a longer one is seen from too near to matter
constexpr int kLineSteps = 24;

Pixel along(const Stroke& line, int step) {
  const double t = static_cast<double>(step) / kLineSteps;
  return {line.from.x + (line.to.x - line.from.x) * t, line.from.y + (line.to.y - line.from.y) * t};
}

}  // namespace

LabelGround::LabelGround(const Ui& ui, const std::vector<PixelBox>& controls)
    : ui_(ui), controls_(controls), space_(ui.layout.map, ui.theme.em * 0.2), traced_(trace_marks(ui)) {
  for (const PixelBox& box : controls)
    if (box.width > 0) space_.block_words(box);
  for (const TraceMark& mark : traced_) space_.block_words(trace_tag(ui, mark));
  for (const PixelBox& box : round_boxes(ui)) space_.block_words(box);
  for (const PixelBox& box : suggestion_boxes(ui)) space_.block_words(box);
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
  const double radius = ui_.paint.frame.site_radius_px;
  const double reach = (radius + outfall_radius() * 0.25) * ui_.state.view.metres_per_pixel;
  const auto near =
      ui_.model.site_grid().inside({place.x - reach, place.y - reach, place.x + reach, place.y + reach});
  return std::any_of(near.begin(), near.end(), [&](std::uint32_t s) {
    if (!ui_.sites.stands_alone(s)) return false;
    const core::PlanePoint p = ui_.model.site_places()[s];
    return std::hypot(p.x - place.x, p.y - place.y) < reach;
  });
}

std::vector<Disc> LabelGround::discs_about(Pixel at, double reach_px) const {
  std::vector<Disc> discs;
  const core::PlanePoint place = ui_.state.view.to_plane(at);
  const auto around = [&](double reach) {
    reach *= ui_.state.view.metres_per_pixel;
    return PlaneBox{place.x - reach, place.y - reach, place.x + reach, place.y + reach};
  };
  const double em = ui_.theme.em, rim = em * 0.12;
  if (ui_.state.layers[Layer::kSites]) {
    for (const std::uint32_t i : ui_.model.site_grid().inside(around(reach_px + em * 1.5)))
      if (ui_.sites.stands_alone(i)) discs.push_back({site_pixel(i), site_radius(i) + rim});
    for (const std::uint32_t sign : ui_.sites.signs()) {
      const Pixel p = ui_.state.view.to_pixel(ui_.sites.clusters().clusters()[sign].place);
      if (std::abs(p.x - at.x) < reach_px + em * 2 && std::abs(p.y - at.y) < reach_px + em * 2)
        discs.push_back({p, ui_.sites.sign_radius_px() + rim});
    }
  }
  for (const std::uint32_t i : ui_.model.outfall_grid().inside(around(reach_px + outfall_radius())))
    if (ui_.state.layers[Layer::kOutfalls] && !is_covered(i))
      discs.push_back({ui_.state.view.to_pixel(ui_.model.outfall_places()[i]), outfall_radius() + rim});
  return discs;
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

void LabelGround::keep_free(const core::Line& stretch) {
  std::vector<Pixel> line;
  for (const core::PlanePoint p : to_plane(ui_.model.frame(), stretch))
    line.push_back(ui_.state.view.to_pixel(p));
  const double half = ui_.theme.em * 0.4;
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
}  // namespace brookmark::viewer

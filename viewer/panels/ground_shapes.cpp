// While the page of suggestions is open, the ground that keeps them away, as wide as it does: below every mark and word.
// Its names stand among the map's other words.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kWordsBelowM = 6;  // a pixel; from farther away the marks of sites need the room

bool ground_is_shown(const Ui& ui) {
  return ui.state.page == Page::kSuggest && ui.state.panel_open;
}

std::vector<ImVec2> pixels(const Ui& ui, std::span<const core::LonLat> line) {
  std::vector<ImVec2> all;
  for (const core::LonLat p : line) {
    const Pixel pixel = ui.state.view.to_pixel(ui.model.frame().to_plane(p));
    all.emplace_back(static_cast<float>(pixel.x), static_cast<float>(pixel.y));
  }
  return all;
}

Pixel pixel_of(const Ui& ui, core::LonLat place) {
  return ui.state.view.to_pixel(ui.model.frame().to_plane(place));
}

float square_radius(const Ui& ui) {
  return std::max(3.0F, ui.theme.em * 0.3F);
}

bool is_road(const core::Ground& ground) {
  return ground.kind == core::GroundKind::kRoad || ground.kind == core::GroundKind::kBridge;
}

std::string words_of(const core::Ground& ground) {
  return std::string(core::ground_kind_name(ground.kind)) + (ground.kind == core::GroundKind::kRefused
                                                                 ? ": " + ground.note
                                                             : ground.name.empty() ? ""
                                                                                   : ": " + ground.name);
}

struct GroundPen {
  const Ui& ui;
  ImDrawList& list;

  Colour see_through(std::uint8_t a) const {
    Colour colour = ui.theme.ink.text;
    colour.a = a;
    return colour;
  }
  // Slanting lines inside an area, so that it reads in every look and without colour.
  void hatch(const std::vector<std::vector<ImVec2>>& rings) {
    const PixelBox& map = ui.layout.map;
    const auto left = static_cast<float>(map.left), top = static_cast<float>(map.top);
    const auto right = left + static_cast<float>(map.width), bottom = static_cast<float>(map.bottom());
    const float step = std::max(7.0F, ui.theme.em * 0.7F);
    std::vector<float> crossings;
    for (float c = left + top; c < right + bottom; c += step) {  // of the slants x + y = c
      crossings.clear();
      for (const auto& ring : rings)
        for (std::size_t i = 1; i < ring.size(); ++i) {
          const float a = ring[i - 1].x + ring[i - 1].y - c, b = ring[i].x + ring[i].y - c;
          if ((a < 0) == (b < 0)) continue;
          crossings.push_back(ring[i - 1].x + (ring[i].x - ring[i - 1].x) * (a / (a - b)));
        }
      std::sort(crossings.begin(), crossings.end());
      for (std::size_t i = 1; i < crossings.size(); i += 2) {
        const float from = std::max({crossings[i - 1], left, c - bottom});
        const float to = std::min({crossings[i], right, c - top});
        if (from < to) list.AddLine({from, c - from}, {to, c - to}, im(see_through(90)), 1.0F);
      }
    }
  }

  void draw(const core::Ground& ground) {
    const bool access = ground.kind == core::GroundKind::kAccess;
    const DesignQuestion& asked = ui.state.design.question;  // as wide as spots are kept away
    const auto kept = static_cast<float>((is_road(ground) ? asked.road_m : asked.around_m) /
                                         ui.state.view.metres_per_pixel);
    const float em = ui.theme.em;
    if (const auto* point = std::get_if<core::LonLat>(&ground.shape)) {
      const ImVec2 at = pixels(ui, std::span(point, 1))[0];
      const float r = square_radius(ui);
      if (!access) list.AddCircleFilled(at, kept, im(see_through(36)));
      list.AddRectFilled({at.x - r - 1, at.y - r - 1}, {at.x + r + 1, at.y + r + 1}, im(ui.theme.ink.halo));
      if (access)
        list.AddRect({at.x - r, at.y - r}, {at.x + r, at.y + r}, im(ui.theme.ink.text), 0, 0, 2);
      else
        list.AddRectFilled({at.x - r, at.y - r}, {at.x + r, at.y + r}, im(ui.theme.ink.text));
    } else if (const auto* line = std::get_if<core::Line>(&ground.shape)) {
      const std::vector<ImVec2> points = pixels(ui, *line);
      const auto count = static_cast<int>(points.size());
      if (!access)
        list.AddPolyline(points.data(), count, im(see_through(36)), 0, std::max(2 * kept, em * 0.5F));
      list.AddPolyline(points.data(), count, im(ui.theme.ink.halo), 0, em * 0.34F);
      list.AddPolyline(points.data(), count, im(ui.theme.ink.text), 0, std::max(1.5F, em * 0.12F));
    } else if (const auto* shape = std::get_if<core::MultiPolygon>(&ground.shape)) {
      for (const core::Polygon& polygon : *shape) {
        std::vector<std::vector<ImVec2>> rings;
        for (const core::Line& ring : polygon.rings) rings.push_back(pixels(ui, ring));
        if (!access) hatch(rings);
        for (const auto& ring : rings)
          list.AddPolyline(ring.data(), static_cast<int>(ring.size()), im(ui.theme.ink.text), 0, 1.5F);
      }
    }
  }
};

}  // namespace

void draw_ground_shapes(const Ui& ui, ImDrawList& list) {
  if (!ground_is_shown(ui)) return;
  const PixelBox& map = ui.layout.map;
  list.PushClipRect({static_cast<float>(map.left), static_cast<float>(map.top)},
                    {static_cast<float>(map.right()), static_cast<float>(map.bottom())}, true);
  GroundPen pen{ui, list};
  for (const core::Ground& ground : ui.snapshot().grounds) pen.draw(ground);
  list.PopClipRect();
}

GroundOnMap ground_on_map(const Ui& ui) {
  GroundOnMap all;
  if (!ground_is_shown(ui)) return all;
  const bool with_words = ui.state.view.metres_per_pixel <= kWordsBelowM;
  const auto add_edge = [&](std::span<const core::LonLat> line) {
    for (std::size_t i = 1; i < line.size(); ++i)
      all.edges.push_back({pixel_of(ui, line[i - 1]), pixel_of(ui, line[i])});
  };
  for (const core::Ground& ground : ui.snapshot().grounds) {
    GroundWords words{words_of(ground), {}, 0};
    if (const auto* point = std::get_if<core::LonLat>(&ground.shape)) {
      const Pixel at = pixel_of(ui, *point);
      const double r = static_cast<double>(square_radius(ui)) + 1;
      if (ui.layout.map.contains(at)) all.squares.push_back({at.x - r, at.y - r, 2 * r, 2 * r});
      words.at = {at};
      words.radius = r;
    } else if (const auto* line = std::get_if<core::Line>(&ground.shape)) {
      add_edge(*line);
      const std::size_t n = line->size();
      if (n == 0) continue;
      // A bridge often lies in the middle.
      for (const std::size_t i : {n * 3 / 4, n / 4, n / 2, n - 1, std::size_t{0}})
        words.at.push_back(pixel_of(ui, (*line)[std::min(i, n - 1)]));
    } else if (const auto* shape = std::get_if<core::MultiPolygon>(&ground.shape)) {
      for (const core::Polygon& polygon : *shape)
        for (const core::Line& ring : polygon.rings) add_edge(ring);
      if (const auto inside = core::inner_point(*shape)) words.at = {pixel_of(ui, *inside)};
    }
    if (with_words) all.words.push_back(std::move(words));
  }
  return all;
}

}  // namespace brookmark::viewer

// The suggested spots on the map, numbered as on their page, and the hand that drags one; and, while that page is open, the ground that
// keeps suggestions away, as wide as it does.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

core::LonLat place_of(const Ui& ui, std::size_t row) {
  const Design& design = ui.state.design;
  return design.held == row && design.dragged_to ? *design.dragged_to : design.answer.list[row].spot.position;
}

Pixel pixel_of(const Ui& ui, std::size_t row) {
  return ui.state.view.to_pixel(ui.model.frame().to_plane(place_of(ui, row)));
}

struct GroundPen {
  const Ui& ui;
  ImDrawList& list;
  std::vector<PixelBox> worded;

  std::vector<ImVec2> pixels(std::span<const core::LonLat> line) const {
    std::vector<ImVec2> all;
    for (const core::LonLat p : line) {
      const Pixel pixel = ui.state.view.to_pixel(ui.model.frame().to_plane(p));
      all.emplace_back(static_cast<float>(pixel.x), static_cast<float>(pixel.y));
    }
    return all;
  }
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
  // Not on top of other ground's words, and not while the map shows so much that the marks of sites need the room.
  void say(ImVec2 at, const std::string& words) {
    constexpr double kWordsBelowM = 6;  // a pixel
    if (ui.state.view.metres_per_pixel > kWordsBelowM) return;
    ImFont* font = ui.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const PixelBox box{at.x - extent.x / 2, at.y - extent.y / 2, extent.x, extent.y};
    const PixelBox& map = ui.layout.map;
    if (!map.contains({box.left, box.top}) || !map.contains({box.left + box.width, box.bottom()})) return;
    for (const PixelBox& other : worded)
      if (box.left < other.left + other.width && other.left < box.left + box.width &&
          box.top < other.bottom() && other.top < box.bottom())
        return;
    worded.push_back(box);
    text_with_halo(list, ui.theme, font, {at.x - extent.x / 2, at.y - extent.y / 2}, ui.theme.ink.text,
                   words);
  }
};

void draw_one_ground(GroundPen& pen, const core::Ground& ground) {
  const bool road = ground.kind == core::GroundKind::kRoad || ground.kind == core::GroundKind::kBridge;
  const bool access = ground.kind == core::GroundKind::kAccess;
  const core::KeepOutOptions usual;
  const auto kept =
      static_cast<float>((road ? usual.road_m : usual.around_m) / pen.ui.state.view.metres_per_pixel);
  const float em = pen.ui.theme.em;
  const std::string words = std::string(core::ground_kind_name(ground.kind)) +
                            (ground.kind == core::GroundKind::kRefused ? ": " + ground.note
                             : ground.name.empty()                     ? ""
                                                                       : ": " + ground.name);
  if (const auto* point = std::get_if<core::LonLat>(&ground.shape)) {
    const ImVec2 at = pen.pixels(std::span(point, 1))[0];
    const float r = std::max(3.0F, em * 0.3F);
    if (!access) pen.list.AddCircleFilled(at, kept, im(pen.see_through(36)));
    pen.list.AddRectFilled({at.x - r - 1, at.y - r - 1}, {at.x + r + 1, at.y + r + 1},
                           im(pen.ui.theme.ink.halo));
    if (access)
      pen.list.AddRect({at.x - r, at.y - r}, {at.x + r, at.y + r}, im(pen.ui.theme.ink.text), 0, 0, 2);
    else
      pen.list.AddRectFilled({at.x - r, at.y - r}, {at.x + r, at.y + r}, im(pen.ui.theme.ink.text));
    pen.say({at.x, at.y + r + em * 0.7F}, words);
  } else if (const auto* line = std::get_if<core::Line>(&ground.shape)) {
    const std::vector<ImVec2> pixels = pen.pixels(*line);
    const auto count = static_cast<int>(pixels.size());
    if (!access)
      pen.list.AddPolyline(pixels.data(), count, im(pen.see_through(36)), 0, std::max(2 * kept, em * 0.5F));
    pen.list.AddPolyline(pixels.data(), count, im(pen.ui.theme.ink.halo), 0, em * 0.34F);
    pen.list.AddPolyline(pixels.data(), count, im(pen.ui.theme.ink.text), 0, std::max(1.5F, em * 0.12F));
    pen.say(pixels[pixels.size() * 3 / 4], words);  // a bridge often lies in the middle
  } else if (const auto* shape = std::get_if<core::MultiPolygon>(&ground.shape)) {
    for (const core::Polygon& polygon : *shape) {
      std::vector<std::vector<ImVec2>> rings;
      for (const core::Line& ring : polygon.rings) rings.push_back(pen.pixels(ring));
      if (!access) pen.hatch(rings);
      for (const auto& ring : rings)
        pen.list.AddPolyline(ring.data(), static_cast<int>(ring.size()), im(pen.ui.theme.ink.text), 0, 1.5F);
    }
    if (const auto inside = core::inner_point(*shape)) pen.say(pen.pixels(std::span(&*inside, 1))[0], words);
  }
}

void draw_ground(const Ui& ui, ImDrawList& list) {
  const PixelBox& map = ui.layout.map;
  list.PushClipRect({static_cast<float>(map.left), static_cast<float>(map.top)},
                    {static_cast<float>(map.left + map.width), static_cast<float>(map.bottom())}, true);
  GroundPen pen{ui, list, {}};
  for (const core::Ground& ground : ui.snapshot().grounds) draw_one_ground(pen, ground);
  list.PopClipRect();
}

}  // namespace

std::size_t suggestion_number(const core::Suggestion& suggestion) {
  std::size_t number = 0;
  for (const char c : suggestion.code)
    if (c >= '0' && c <= '9') number = number * 10 + static_cast<std::size_t>(c - '0');
  return number;
}

void draw_suggestion_tag(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t number, bool focus) {
  const float r = std::round(theme.em * (focus ? 1.05F : 0.85F)), edge = std::max(2.0F, theme.em * 0.16F);
  const ImVec2 corners[] = {
      {at.x, at.y - r - edge}, {at.x + r + edge, at.y}, {at.x, at.y + r + edge}, {at.x - r - edge, at.y}};
  const ImVec2 inner[] = {{at.x, at.y - r}, {at.x + r, at.y}, {at.x, at.y + r}, {at.x - r, at.y}};
  list.AddConvexPolyFilled(corners, 4, im(focus ? theme.ink.text : theme.ink.halo));
  list.AddConvexPolyFilled(inner, 4, im(theme.ink.query));
  const std::string words = std::to_string(number);
  const float size = theme.small->FontSize;
  const ImVec2 extent = theme.small->CalcTextSizeA(size, 1e6F, 0, words.c_str());
  list.AddText(theme.small, size, {std::round(at.x - extent.x / 2), std::round(at.y - extent.y / 2)},
               im(theme.ink.on_query), words.c_str());
}

void draw_suggestion_marks(const Ui& ui, ImDrawList& list) {
  if (ui.state.page == Page::kSuggest && ui.state.panel_open) draw_ground(ui, list);
  const Design& design = ui.state.design;
  for (std::size_t i = design.answer.list.size(); i-- > 0;) {
    const Pixel p = pixel_of(ui, i);
    if (!ui.layout.map.contains(p)) continue;
    draw_suggestion_tag(list, {static_cast<float>(p.x), static_cast<float>(p.y)}, ui.theme,
                        suggestion_number(design.answer.list[i]), design.focus == i || design.held == i);
  }
}

std::vector<PixelBox> suggestion_boxes(const Ui& ui) {
  std::vector<PixelBox> boxes;
  const double r = ui.theme.em * 1.05 + std::max(2.0, ui.theme.em * 0.16);
  for (std::size_t i = 0; i < ui.state.design.answer.list.size(); ++i) {
    const Pixel p = pixel_of(ui, i);
    if (ui.layout.map.contains(p)) boxes.push_back({p.x - r, p.y - r, 2 * r, 2 * r});
  }
  return boxes;
}

bool take_suggestion_pointer(const Ui& ui, bool active) {
  const Design& design = ui.state.design;
  if (ui.state.edit.tool != EditTool::kNone || ui.state.picking_point || ui.state.map.measure.on)
    return false;
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  if (active && ImGui::IsMouseClicked(ImGuiMouseButton_Left)) {
    const double reach = std::max<double>(ui.theme.target / 2, ui.theme.em);
    for (std::size_t i = 0; i < design.answer.list.size(); ++i) {
      const Pixel p = pixel_of(ui, i);
      if (std::hypot(p.x - at.x, p.y - at.y) > reach) continue;
      ui.push(GrabSuggestion{i});
      return true;
    }
  }
  if (!design.held) return false;
  if (!active) {
    ui.push(LetGoSuggestion{});
  } else if (ImGui::IsMouseDragging(ImGuiMouseButton_Left, ui.theme.em * 0.4F) &&
             (io.MouseDelta.x != 0 || io.MouseDelta.y != 0)) {
    ui.push(DragSuggestion{ui.model.frame().to_lonlat(ui.state.view.to_plane(at))});
  }
  return true;
}

}  // namespace brookmark::viewer

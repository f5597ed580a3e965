// The suggested spots on the map, numbered as on their page, and the hand that drags one.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

// Sizes in font heights; taste.
constexpr double kTag_ems = 1.05;  // half of a number's diamond that is in focus
constexpr double kHidden = 0.72;   // of it: a square as large as what a diamond hides
constexpr double kAside_ems[] = {2.1, 2.7, 3.4};
constexpr double kApart = 0.95;  // of the distance at which two diamonds touch
constexpr int kTurns = 16;
constexpr std::size_t kMostAside = 200;  // with more of them there is no room beside them

core::LonLat place_of(const Ui& ui, std::size_t row) {
  const Design& design = ui.state.design;
  return design.held == row && design.dragged_to ? *design.dragged_to : design.answer.list[row].spot.position;
}

Pixel pixel_of(const Ui& ui, std::size_t row) {
  return ui.state.view.to_pixel(ui.model.frame().to_plane(place_of(ui, row)));
}

// Marks of sites near a place: a line that ends there stops at their rim.
std::vector<Disc> sites_about(const Ui& ui, Pixel at) {
  std::vector<Disc> discs;
  if (!ui.state.layers[Layer::kSites]) return discs;
  const double radius = ui.paint.frame.site_radius_px, reach = radius * 9 * ui.state.view.metres_per_pixel;
  const core::PlanePoint p = ui.state.view.to_plane(at);
  for (const std::uint32_t i :
       ui.model.site_grid().inside({p.x - reach, p.y - reach, p.x + reach, p.y + reach}))
    if (ui.sites.stands_alone(i))
      discs.push_back({ui.state.view.to_pixel(ui.model.site_places()[i]), radius * 1.275});
  return discs;
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

Stroke line_of(const SuggestionTag& tag) {
  return {{tag.box.left + tag.box.width / 2, tag.box.top + tag.box.height / 2}, tag.place};
}

std::vector<SuggestionTag> place_suggestions(const Ui& ui, const std::vector<PixelBox>& controls) {
  const Design& design = ui.state.design;
  const double em = ui.theme.em, r = em * kTag_ems + std::max(2.0, em * 0.16);
  std::vector<SuggestionTag> tags;
  const auto box_at = [r](Pixel p) { return PixelBox{p.x - r, p.y - r, 2 * r, 2 * r}; };
  // A diamond hides less than the box around it.
  const auto is_free = [&](Pixel p) {
    const PixelBox core{p.x - r * kHidden, p.y - r * kHidden, 2 * r * kHidden, 2 * r * kHidden};
    return std::none_of(tags.begin(), tags.end(),
                        [&](const SuggestionTag& tag) {
                          const Pixel other = line_of(tag).from;
                          return std::abs(other.x - p.x) + std::abs(other.y - p.y) < 2 * r * kApart;
                        }) &&
           is_free_of_marks(ui, core, controls);
  };
  for (std::size_t i = 0; i < design.answer.list.size(); ++i) {
    const Pixel p = pixel_of(ui, i);
    if (!ui.layout.map.contains(p)) continue;
    SuggestionTag tag{box_at(p), i, p, false};
    // In a hand it stands where it is held.
    if (design.held != i && design.answer.list.size() <= kMostAside && !is_free(p)) {
      const std::vector<Disc> sites = sites_about(ui, p);
      for (const bool over_nothing : {true, false})
        for (const double away : kAside_ems)
          for (int turn = 0; turn < kTurns && !tag.aside; ++turn) {
            const double angle = turn * 2 * 3.14159265358979 / kTurns;
            const Pixel at{p.x + std::cos(angle) * away * em, p.y + std::sin(angle) * away * em};
            if (!ui.layout.map.contains(at) || !is_free(at)) continue;
            if (over_nothing && outside({at, p}, sites).size() != 1) continue;
            tag.box = box_at(at);
            tag.aside = true;
          }
    }
    tags.push_back(tag);
  }
  return tags;
}

void draw_suggestion_marks(const Ui& ui, ImDrawList& list) {
  const Design& design = ui.state.design;
  const float em = ui.theme.em;
  const auto vec = [](Pixel p) { return ImVec2{static_cast<float>(p.x), static_cast<float>(p.y)}; };
  const std::vector<SuggestionTag>& tags = ui.shown.suggestions;
  for (const bool halo : {true, false})
    for (const SuggestionTag& tag : tags) {
      if (!tag.aside) continue;
      const Colour ink = halo ? ui.theme.ink.halo : ui.theme.ink.query;
      const std::vector<Disc> sites = sites_about(ui, tag.place);
      for (const Stroke& line : outside(line_of(tag), sites)) {
        list.AddLine(vec(line.from), vec(line.to), im(ink), em * (halo ? 0.36F : 0.14F));
        if (line.to == tag.place) list.AddCircleFilled(vec(line.to), em * (halo ? 0.3F : 0.19F), im(ink), 16);
      }
    }
  for (auto tag = tags.rbegin(); tag != tags.rend(); ++tag) {
    if (tag->row >= design.answer.list.size()) continue;
    draw_suggestion_tag(list, vec(line_of(*tag).from), ui.theme,
                        suggestion_number(design.answer.list[tag->row]),
                        design.focus == tag->row || design.held == tag->row);
  }
}

bool take_suggestion_pointer(const Ui& ui, bool active) {
  const Design& design = ui.state.design;
  if (ui.state.edit.tool != EditTool::kNone || ui.state.picking_point || ui.state.map.measure.on)
    return false;
  const ImGuiIO& io = ImGui::GetIO();
  const Pixel at{io.MousePos.x, io.MousePos.y};
  if (active && ImGui::IsMouseClicked(ImGuiMouseButton_Left)) {
    const double reach = std::max<double>(ui.theme.target / 2, ui.theme.em);
    for (const SuggestionTag& tag : ui.shown.suggestions) {
      const Pixel p = line_of(tag).from;
      if (std::hypot(p.x - at.x, p.y - at.y) > reach) continue;
      ui.push(GrabSuggestion{tag.row});
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

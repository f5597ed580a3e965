// What is measured on the map: the straight line, the way along the channel, and both in words.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kFar_px =
    30000;  // a line to farther outside is cut there, or its dashes would take for ever

ImVec2 pixel_of(const Ui& ui, core::LonLat at) {
  const Pixel p = ui.state.view.to_pixel(ui.model.frame().to_plane(at));
  const auto kept = [](double v) {
    return static_cast<float>(std::isfinite(v) ? std::clamp(v, -kFar_px, kFar_px) : -kFar_px);
  };
  return {kept(p.x), kept(p.y)};
}

void dashed(ImDrawList& list, ImVec2 a, ImVec2 b, Colour colour, float width, float dash) {
  const float length = std::hypot(b.x - a.x, b.y - a.y);
  if (!(length > 0) || length > 2 * static_cast<float>(kFar_px)) return;
  const ImVec2 step{(b.x - a.x) / length, (b.y - a.y) / length};
  const float from = length > 4000 ? length - 4000 : 0;  // the end near the pointer
  for (float at = from; at < length; at += dash * 1.8F) {
    const float to = std::min(at + dash, length);
    list.AddLine({a.x + step.x * at, a.y + step.y * at}, {a.x + step.x * to, a.y + step.y * to}, im(colour),
                 width);
  }
}

std::string along_words(const core::ChannelDistance& d) {
  if (!d.distance_m) {  // how far it is straight is told already
    std::string note = d.note.substr(0, d.note.find("; "));
    const auto call = [&](std::string_view end, std::string_view name) {
      if (const std::size_t at = note.find(end); at != std::string::npos) note.replace(at, end.size(), name);
    };
    call("this place", "the first place");
    call("the other place", "the last place");
    return note.empty() ? "No way along a channel." : as_sentence(note);
  }
  std::string words = distance_in_words(*d.distance_m) + " along the channel";
  if (d.relation == core::Relation::kUpstream) words += ", upstream";
  if (d.relation == core::Relation::kDownstream) words += ", downstream";
  if (d.relation == core::Relation::kViaConfluence) words += ", over a confluence";
  return words;
}

}  // namespace

void draw_measured_line(const Ui& ui, ImDrawList& list) {
  const Measure& measure = ui.state.map.measure;
  if (!measure.on) return;
  const float em = ui.theme.em;
  const Colour ink = ui.theme.ink.query, halo = ui.theme.ink.halo;
  if (measure.along && measure.along->distance_m) {  // the channel's way, below the straight one
    std::vector<ImVec2> way;
    for (const core::LonLat p : measure.along->path) way.push_back(pixel_of(ui, p));
    for (const bool ground : {true, false})
      for (std::size_t i = 1; i < way.size(); ++i)
        list.AddLine(way[i - 1], way[i], im(ground ? halo : ink), em * (ground ? 0.5F : 0.26F));
  }
  std::vector<ImVec2> corners;
  for (const core::LonLat p : measure.corners) corners.push_back(pixel_of(ui, p));
  for (std::size_t i = 1; i < corners.size(); ++i) {
    dashed(list, corners[i - 1], corners[i], halo, em * 0.3F, em * 0.9F);
    dashed(list, corners[i - 1], corners[i], ui.theme.ink.text, em * 0.14F, em * 0.9F);
  }
  if (!corners.empty() && ui.state.map.pointer) {
    const Pixel p = ui.state.view.to_pixel(*ui.state.map.pointer);
    dashed(list, corners.back(), {static_cast<float>(p.x), static_cast<float>(p.y)}, ui.theme.ink.muted,
           em * 0.1F, em * 0.5F);
  }
  for (const ImVec2 p : corners) {
    list.AddCircleFilled(p, em * 0.42F, im(halo), 24);
    list.AddCircleFilled(p, em * 0.3F, im(ui.theme.ink.text), 24);
  }
}

PixelBox draw_measure_card(const Ui& ui) {
  const Measure& measure = ui.state.map.measure;
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, button = ui.theme.row(2.0F);
  if (!measure.on || map.width < em * 14 || map.height < em * 9) return {};
  std::string first, second;
  if (measure.corners.empty()) {
    first = "Tap the first place on the map.";
  } else if (measure.corners.size() == 1) {
    first = "Tap the next place.";
    if (ui.state.map.pointer)
      first = distance_in_words(core::geodesic_m(measure.corners.back(),
                                                 ui.model.frame().to_lonlat(*ui.state.map.pointer))) +
              " straight to the pointer";
  } else {
    first = distance_in_words(measure.total_m()) + " straight";
    if (measure.legs_m.size() > 1)
      first += ", in " + std::to_string(measure.legs_m.size()) + " legs, the last " +
               distance_in_words(measure.legs_m.back());
    if (measure.along) second = along_words(*measure.along);
  }
  const float buttons = em * 12.5F, most = static_cast<float>(map.width) - em * 2;
  const float wished = std::max(ImGui::CalcTextSize(first.c_str()).x, ImGui::CalcTextSize(second.c_str()).x);
  // The buttons stand beside the words where there is room, or the card would hide much of a low map.
  const bool beside = most - buttons - em * 1.5F > std::min(wished, em * 16);
  const float words_room = std::min(most - em * 1.5F - (beside ? buttons : 0), em * 34);
  const auto lines = [&](const std::string& words) {
    return words.empty() ? 0 : ImGui::CalcTextSize(words.c_str(), nullptr, false, words_room).y;
  };
  const float words_width = std::min(wished, words_room), words_height = lines(first) + lines(second);
  const float width =
      (beside ? words_width + buttons : std::min(most - em * 1.5F, std::max(words_width, buttons))) +
      em * 1.5F;
  const float height = beside ? std::max(words_height, button) + em : words_height + button + em * 1.5F;
  const PixelBox box{std::round(map.left + (map.width - width) / 2),
                     std::round(map.bottom() - height - em * 2.8F), width, height};
  ImDrawList& list = *ImGui::GetWindowDrawList();
  draw_card(ui, list, box);
  list.AddRect({static_cast<float>(box.left), static_cast<float>(box.top)},
               {static_cast<float>(box.right()), static_cast<float>(box.bottom())}, im(ui.theme.ink.edge),
               em * 0.3F);
  const float left = static_cast<float>(box.left) + em * 0.75F;
  float top = static_cast<float>(box.top) + (beside ? std::round((height - words_height) / 2) : em * 0.5F);
  list.AddText(ui.theme.body, em, {left, top}, im(ui.theme.ink.text), first.c_str(), nullptr, words_room);
  top += lines(first);
  if (!second.empty())
    list.AddText(ui.theme.body, em, {left, top},
                 im(measure.along && measure.along->distance_m ? ui.theme.ink.query : ui.theme.ink.muted),
                 second.c_str(), nullptr, words_room);
  top = beside ? static_cast<float>(box.top) + std::round((height - button) / 2)
               : top + lines(second) + em * 0.5F;
  const float buttons_left = beside ? left + words_width + em : left;
  ImGui::SetCursorScreenPos({buttons_left, top});
  ImGui::BeginDisabled(measure.corners.empty());
  if (push_button(ui.theme, "Take back", {em * 6, button})) ui.push(DropCorner{});
  ImGui::EndDisabled();
  ImGui::SetCursorScreenPos({buttons_left + em * 6.5F, top});
  if (push_button(ui.theme, "Done", {em * 5, button})) ui.push(EndMeasure{});
  return box;
}

}  // namespace brookmark::viewer

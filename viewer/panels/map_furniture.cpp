// What stands over the map in its corners: buttons, the scale bar with north, the position, thanks for the ground.
#include <algorithm>
#include <cmath>
#include <span>

#include "core/base/text.hpp"
#include "viewer/map/position_words.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

ImVec2 small_size(const Ui& ui, const std::string& words) {
  return ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, 0, words.c_str());
}

void small_text(const Ui& ui, ImDrawList& list, ImVec2 at, Colour colour, const std::string& words) {
  list.AddText(ui.theme.small, ui.theme.small->FontSize, {std::round(at.x), std::round(at.y)}, im(colour),
               words.c_str());
}

// Two corners and the line between them.
void draw_measure_sign(ImDrawList& list, ImVec2 low, float side, Colour colour) {
  const ImVec2 a{low.x + side * 0.26F, low.y + side * 0.7F}, b{low.x + side * 0.74F, low.y + side * 0.3F};
  list.AddLine(a, b, im(colour), side * 0.06F);
  for (const ImVec2 p : {a, b}) list.AddCircleFilled(p, side * 0.1F, im(colour), 16);
}

constexpr float kNeedle_ems = 1.5F;

struct ScaleBar {
  float width = 0;  // of its line, pixels
  std::string words;
  PixelBox box;  // empty where there is no room
};

ScaleBar scale_bar_of(const Ui& ui) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const double metre_per_pixel = true_metres_per_pixel(ui.state.view, ui.model.frame());
  const double wish = std::min(map.width * 0.25, em * 9.0) * metre_per_pixel;
  if (!(wish > 0) || !std::isfinite(wish) || map.height < 6 * em || map.width < 12 * em) return {};
  const double power = std::pow(10, std::floor(std::log10(wish)));
  const double metres = wish >= 5 * power ? 5 * power : wish >= 2 * power ? 2 * power : power;
  ScaleBar bar;
  bar.width = static_cast<float>(metres / metre_per_pixel);
  bar.words =
      metres >= 1000 ? core::format_number(metres / 1000) + " km" : core::format_number(metres) + " m";
  const float wide = std::max(bar.width, small_size(ui, bar.words).x), height = em * 1.9F;
  bar.box = {map.left + em * 0.6, map.bottom() - height - em * 0.4,
             em * kNeedle_ems + em * 0.5 + wide + em * 0.8, height};
  return bar;
}

// Of the pointer, else of the middle of the map: the longest wording that stands beside the scale bar, however long that is
// at another nearness; empty where none does.
std::string position_shown(const Ui& ui) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const bool pointed = ui.state.map.pointer.has_value();
  const core::LonLat at = ui.model.frame().to_lonlat(ui.state.map.pointer.value_or(ui.state.view.centre));
  const std::string words = position_words(at, ui.state.settings.positions, ui.grid);
  if (words.empty() || map.height < em * 8) return {};
  const double scale = em * (kNeedle_ems + 1.9) + std::min(map.width * 0.25, em * 9.0);
  const auto room =
      static_cast<float>(map.width - scale - em * 2.2);  // less its own edge and what is between
  const std::string wordings[] = {"middle  " + words, "\u2295 " + words, words};
  if (pointed) return first_that_fits(std::span(wordings).last(1), ui.theme.small, room);
  return first_that_fits(wordings, ui.theme.small, room);
}

PixelBox position_box(const Ui& ui, const std::string& words) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, height = ui.theme.row(1.6F);
  if (words.empty()) return {};
  // As wide as most of them, so that it seldom changes.
  const double width = std::max<double>(small_size(ui, words).x + em,
                                        map.width < em * 26 ? 0 : std::min(em * 15.0, map.width * 0.4));
  return {map.right() - width - em * 0.6, map.bottom() - height - em * 0.4, width, height};
}

}  // namespace

void draw_card(const Ui& ui, ImDrawList& list, const PixelBox& box) {
  list.AddRectFilled({static_cast<float>(box.left), static_cast<float>(box.top)},
                     {static_cast<float>(box.right()), static_cast<float>(box.bottom())},
                     im(see_through(ui.theme.ink.panel, 235)), ui.theme.em * 0.3F);
  draw_card_edge(ui, list, box);
}

void draw_card_edge(const Ui& ui, ImDrawList& list, const PixelBox& box) {
  if (ui.theme.look != Look::kSunlight) return;
  list.AddRect({static_cast<float>(box.left) + 0.5F, static_cast<float>(box.top) + 0.5F},
               {static_cast<float>(box.right()) - 0.5F, static_cast<float>(box.bottom()) - 0.5F},
               im(ui.theme.ink.text), ui.theme.em * 0.3F, 0, std::max(1.0F, ui.theme.em * 0.08F));
}

constexpr int kButtons = 4;

PixelBox map_buttons_box(const Ui& ui) {
  const float em = ui.theme.em, side = ui.theme.row(2.5F), edge = std::round(em * 0.7F);
  const PixelBox& map = ui.layout.map;
  const double below = ui.theme.row(1.6F) + em * (ui.background.attribution().empty() ? 0.6 : 2.1);
  for (const int columns : {1, 2, kButtons}) {
    const double width = columns * (side + 1.0) - 1, height = kButtons / columns * (side + 1.0) - 1;
    if (height + edge + below <= map.height && width + 2 * edge <= map.width)
      return {map.right() - width - edge, map.top + edge, width, height};
  }
  return {};
}

PixelBox draw_map_buttons(const Ui& ui) {
  const float side = ui.theme.row(2.5F);
  const PixelBox box = map_buttons_box(ui);
  if (box.width <= 0) return {};
  const int columns = static_cast<int>(std::lround((box.width + 1) / (side + 1)));
  const FontScope font(ui.theme.title);
  const char* signs[kButtons] = {"+", "\u2212", "\u25A3", "##measure"};
  const bool measuring = ui.state.map.measure.on;
  const char* hints[kButtons] = {"Nearer (+)", "Farther (\u2212)", "Show everything (F)",
                                 measuring ? "End measuring (M)" : "Measure on the map (M)"};
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(0, 0));
  for (int i = 0; i < kButtons; ++i) {
    const bool chosen = i == 3 && measuring;
    ImGui::PushStyleColor(ImGuiCol_Button, im(chosen ? ui.theme.ink.accent : ui.theme.ink.panel));
    const ImVec2 low{static_cast<float>(box.left) + static_cast<float>(i % columns) * (side + 1),
                     static_cast<float>(box.top) + static_cast<float>(i / columns) * (side + 1)};
    ImGui::SetCursorScreenPos(low);
    const bool clicked = ImGui::Button(signs[i], {side, side});
    ImGui::PopStyleColor();
    if (i == 3)
      draw_measure_sign(*ImGui::GetWindowDrawList(), low, side,
                        chosen ? ui.theme.ink.on_accent : ui.theme.ink.text);
    hint(ui.theme, hints[i]);
    if (!clicked) continue;
    if (i == 3) {
      if (measuring)
        ui.push(EndMeasure{});
      else
        ui.push(StartMeasure{});
    } else if (i == 2) {
      ui.push(Fit{});
    } else {
      ui.push(ZoomCentre{i == 0 ? 1.6 : 1 / 1.6});
    }
  }
  ImGui::PopStyleVar();
  draw_card_edge(ui, *ImGui::GetWindowDrawList(), box);
  return box;
}

// A round number of metres on the ground, near a quarter of the map's width; and a needle to north.
PixelBox draw_scale_bar(const Ui& ui, ImDrawList& list) {
  const float em = ui.theme.em;
  const ScaleBar bar = scale_bar_of(ui);
  const PixelBox& box = bar.box;
  if (!(box.width > 0)) return {};
  draw_card(ui, list, box);
  const float needle = em * kNeedle_ems;
  const ImVec2 at{static_cast<float>(box.left) + em * 0.4F + needle + em * 0.5F,
                  static_cast<float>(box.bottom()) - em * 0.4F};
  list.AddRectFilled({at.x, at.y - 2}, {at.x + bar.width, at.y + 2}, im(ui.theme.ink.text));
  list.AddRectFilled({at.x + bar.width / 2, at.y - 1}, {at.x + bar.width - 1, at.y + 1},
                     im(ui.theme.ink.panel));
  small_text(ui, list, {at.x, at.y - em * 1.35F}, ui.theme.ink.text, bar.words);
  // Where no place is known yet the plane lies anywhere on the earth: the needle stands straight.
  const bool known = ui.model.bounds() || ui.model.has_area() || ui.state.map.found;
  if (const auto north = known ? north_on_map(ui.state.view, ui.model.frame()) : std::optional(0.0)) {
    const ImVec2 middle{static_cast<float>(box.left) + em * 0.4F + needle / 2,
                        static_cast<float>(box.top + box.height / 2)};
    const auto turned = [&](float x, float y) {  // y upwards, before turning
      const auto a = static_cast<float>(*north);
      return ImVec2{middle.x + x * std::cos(a) + y * std::sin(a),
                    middle.y + x * std::sin(a) - y * std::cos(a)};
    };
    const float r = em * 0.8F, w = em * 0.3F;
    list.AddTriangleFilled(turned(0, r), turned(w, -r * 0.75F), turned(0, -r * 0.4F), im(ui.theme.ink.text));
    list.AddTriangleFilled(turned(0, r), turned(0, -r * 0.4F), turned(-w, -r * 0.75F),
                           im(ui.theme.ink.muted));
    const ImVec2 n = small_size(ui, "N");
    small_text(ui, list, {middle.x - needle / 2 - em * 0.05F, static_cast<float>(box.top) + em * 0.02F},
               ui.theme.ink.text, "N");
    static_cast<void>(n);
  }
  return box;
}

PixelBox draw_position(const Ui& ui, ImDrawList& list) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em;
  const std::string words = position_shown(ui);
  const PixelBox box = position_box(ui, words);
  if (!(box.width > 0)) return {};
  const auto width = static_cast<float>(box.width), height = static_cast<float>(box.height);
  draw_card(ui, list, box);
  ImGui::SetCursorScreenPos({static_cast<float>(box.left), static_cast<float>(box.top)});
  if (ImGui::InvisibleButton("position", {width, height})) {
    Settings settings = ui.state.settings;
    auto next = (static_cast<std::size_t>(settings.positions) + 1) % kPositionFormCount;
    if (static_cast<PositionForm>(next) == PositionForm::kGrid && ui.grid == nullptr) next = 0;
    settings.positions = static_cast<PositionForm>(next);
    ui.push(ChangeSettings{settings});
  }
  hint(ui.theme, ui.grid != nullptr ? "Degrees, minutes or the survey's grid" : "Degrees or minutes");
  small_text(ui, list,
             {static_cast<float>(box.right()) - em * 0.5F - small_size(ui, words).x,
              static_cast<float>(box.top) + (height - ui.theme.small->FontSize) / 2},
             ui.theme.ink.text, words);
  const std::string& thanks = ui.background.attribution();
  if (thanks.empty()) return box;
  const float most = static_cast<float>(map.width) * 0.6F;
  const ImVec2 size = ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, most, thanks.c_str());
  const PixelBox above{map.right() - size.x - em * 1.4, box.top - size.y - em * 0.3, size.x + em * 0.8,
                       size.y + em * 0.2};
  draw_card(ui, list, above);
  put_words(list, ui.theme.small,
            {static_cast<float>(above.left) + em * 0.4F, static_cast<float>(above.top) + em * 0.1F}, most,
            ui.theme.ink.muted, thanks);
  const double left = std::min(above.left, box.left);
  return {left, above.top, box.right() - left, box.bottom() - above.top};
}

PixelBox draw_background_words(const Ui& ui, ImDrawList& list) {
  const std::string& words = ui.background.status().trouble;
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, width = std::min(static_cast<float>(map.width) - 5 * em, em * 30);
  if (words.empty() || width < em * 8) return {};
  const ImVec2 extent =
      ui.theme.small->CalcTextSizeA(ui.theme.small->FontSize, 1e6F, width - em, words.c_str());
  const PixelBox box{map.left + em * 0.6, map.bottom() - extent.y - em * 3.4, extent.x + em,
                     extent.y + em * 0.6};
  if (box.top < map.top + em * 3) return {};
  list.AddRectFilled({static_cast<float>(box.left), static_cast<float>(box.top)},
                     {static_cast<float>(box.right()), static_cast<float>(box.bottom())},
                     im(ui.theme.ink.alarm), em * 0.3F);
  list.AddText(ui.theme.small, ui.theme.small->FontSize,
               {std::round(static_cast<float>(box.left) + em * 0.5F),
                std::round(static_cast<float>(box.top) + em * 0.3F)},
               im(ui.theme.ink.text), words.c_str(), nullptr, width - em);
  return box;
}

}  // namespace brookmark::viewer

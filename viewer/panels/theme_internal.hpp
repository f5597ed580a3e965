// Why: one calm look in three variants, sized from one number: the height of the body font.
// Use: list.AddText(theme.small, theme.small->FontSize, at, im(theme.ink.muted), words);
//      ImGui::Selectable(name, on, 0, {0, theme.row(1.8F)})
#pragma once

#include <imgui.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "viewer/map/painter.hpp"
#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {

struct Theme {
  Look look = Look::kDay;
  Inks ink = inks(Look::kDay);
  bool touch = false;
  float scale = 1;   // user and display scale together
  float em = 16;     // height of the body font, pixels
  float target = 0;  // the least side of what is tapped, pixels; 0 for a mouse
  ImFont* body = nullptr;
  ImFont* strong = nullptr;
  ImFont* small = nullptr;
  ImFont* title = nullptr;
  ImFont* signs = nullptr;  // what stands inside marks

  // The height of something that is tapped: so many font heights, and never less than a fingertip.
  float row(float ems) const { return std::max(std::round(ems * em), target); }
};

inline constexpr double kSmallestScale = 0.75, kLargestScale = 6;

// Builds the font atlas of the current ImGui context anew and sets colours and sizes from a pristine style.
Theme make_theme(const Display& display, const Settings& settings);
// Where the signs lie in the atlas that make_theme built.
std::array<SignGlyph, kSignCount> sign_glyphs(const Theme& theme);

inline ImU32 im(Colour c) {
  return IM_COL32(c.r, c.g, c.b, c.a);
}
inline ImVec4 im4(Colour c) {
  return ImGui::ColorConvertU32ToFloat4(im(c));
}
inline Colour see_through(Colour c, std::uint8_t alpha) {
  return {c.r, c.g, c.b, alpha};
}

}  // namespace brookmark::viewer

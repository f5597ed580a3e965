// Why: one light, calm look with strong contrast, sized from one number: the height of the body font.
#pragma once

#include <imgui.h>

#include <array>

#include "viewer/map/painter.hpp"
#include "viewer/map/palette.hpp"

namespace brookmark::viewer {

struct Theme {
  float scale = 1;  // user and display scale together
  float em = 16;    // height of the body font, pixels
  ImFont* body = nullptr;
  ImFont* strong = nullptr;
  ImFont* small = nullptr;
  ImFont* title = nullptr;
  ImFont* signs = nullptr;  // what stands inside marks
};

inline constexpr double kSmallestScale = 0.75, kLargestScale = 4;

// Builds the font atlas of the current ImGui context anew and sets colours and sizes from a pristine style.
Theme make_theme(float scale);
// Where the signs lie in the atlas that make_theme built.
std::array<SignGlyph, kSignCount> sign_glyphs(const Theme& theme);

inline ImU32 im(Colour c) {
  return IM_COL32(c.r, c.g, c.b, c.a);
}
inline ImVec4 im4(Colour c) {
  return ImGui::ColorConvertU32ToFloat4(im(c));
}

namespace look {
inline constexpr Colour kPanel{252, 252, 249};
inline constexpr Colour kBar{28, 58, 64};  // top bar, dark for daylight contrast
inline constexpr Colour kBarText{246, 248, 245};
inline constexpr Colour kLine{206, 210, 204};
inline constexpr Colour kField{235, 238, 233};
inline constexpr Colour kFieldHover{221, 229, 224};
inline constexpr Colour kFieldActive{203, 219, 214};
inline constexpr Colour kBadge{255, 226, 150};
inline constexpr Colour kBadgeText{92, 58, 0};
inline constexpr Colour kNote{255, 245, 214};  // ground of a notice
}  // namespace look

}  // namespace brookmark::viewer

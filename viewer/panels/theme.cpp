#include "viewer/panels/theme_internal.hpp"

#include <imgui_freetype.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "viewer/platform/fonts.hpp"

namespace brookmark::viewer {
namespace {

// Latin with all its accents, Greek and Cyrillic from Roboto; signs, arrows and shapes from DejaVu Sans.
constexpr ImWchar kWords[] = {0x0020, 0x007E, 0x00A0, 0x024F, 0x0370, 0x03FF, 0x0400, 0x052F, 0x1E00,
                              0x1EFF, 0x2010, 0x2027, 0x202F, 0x205E, 0x20A0, 0x20BF, 0};
constexpr ImWchar kSymbols[] = {0x02B0, 0x02FF, 0x2000, 0x206F, 0x2070, 0x209F, 0x2100,
                                0x214F, 0x2150, 0x218F, 0x2190, 0x21FF, 0x2200, 0x22FF,
                                0x25A0, 0x25FF, 0x2600, 0x26FF, 0x2700, 0x27BF, 0};
constexpr ImWchar kSigns[] = {0x002D, 0x002D, 0x0030, 0x0039, 0x003F, 0x003F,
                              0x00D7, 0x00D7, 0x2013, 0x2013, 0};

ImFont* add(std::span<const unsigned char> file, float size, const ImWchar* ranges, bool merge) {
  ImFontConfig config;
  config.FontDataOwnedByAtlas = false;
  config.MergeMode = merge;
  config.OversampleH = config.OversampleV = 1;
  config.PixelSnapH = true;
  config.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
  config.EllipsisChar = 0x2026;
  // The atlas only reads it; the interface has no const.
  void* data = const_cast<unsigned char*>(file.data());
  return ImGui::GetIO().Fonts->AddFontFromMemoryTTF(data, static_cast<int>(file.size()), size, &config,
                                                    ranges);
}

ImFont* add_text(std::span<const unsigned char> file, float size) {
  ImFont* font = add(file, size, kWords, false);
  add(font_symbols(), size, kSymbols, true);
  return font;
}

void set_colours(ImGuiStyle& style, const Inks& ink) {
  const auto set = [&](ImGuiCol where, Colour c) { style.Colors[where] = im4(c); };
  set(ImGuiCol_Text, ink.text);
  set(ImGuiCol_TextDisabled, ink.muted);
  set(ImGuiCol_WindowBg, ink.panel);
  set(ImGuiCol_ChildBg, {0, 0, 0, 0});
  set(ImGuiCol_PopupBg, ink.raised);
  set(ImGuiCol_Border, ink.line);
  set(ImGuiCol_FrameBg, ink.field);
  set(ImGuiCol_FrameBgHovered, ink.field_hover);
  set(ImGuiCol_FrameBgActive, ink.field_active);
  set(ImGuiCol_Button, ink.field);
  set(ImGuiCol_ButtonHovered, ink.field_hover);
  set(ImGuiCol_ButtonActive, ink.field_active);
  set(ImGuiCol_Header, ink.field_hover);
  set(ImGuiCol_HeaderHovered, ink.field_hover);
  set(ImGuiCol_HeaderActive, ink.field_active);
  set(ImGuiCol_Separator, ink.line);
  set(ImGuiCol_CheckMark, ink.accent);
  set(ImGuiCol_SliderGrab, ink.accent);
  set(ImGuiCol_SliderGrabActive, ink.accent);
  set(ImGuiCol_TextSelectedBg, see_through(ink.accent, 90));
  set(ImGuiCol_TableRowBg, {0, 0, 0, 0});
  set(ImGuiCol_TableRowBgAlt, see_through(ink.field, 110));
  set(ImGuiCol_PlotHistogram, ink.accent);
  set(ImGuiCol_NavHighlight, ink.accent);
  set(ImGuiCol_ScrollbarBg, ink.field);
  set(ImGuiCol_ScrollbarGrab, ink.edge);
  set(ImGuiCol_ScrollbarGrabHovered, ink.muted);
  set(ImGuiCol_ScrollbarGrabActive, ink.accent);
  set(ImGuiCol_TableBorderLight, ink.line);
  set(ImGuiCol_TableBorderStrong, ink.line);
  set(ImGuiCol_TableHeaderBg, ink.field);
  set(ImGuiCol_ModalWindowDimBg, ink.dim);
}

void set_sizes(ImGuiStyle& style, const Theme& theme) {
  const auto ems = [em = theme.em](float f) { return std::round(f * em); };
  style.WindowPadding = {ems(0.8F), ems(0.7F)};
  // A button is a line of words and twice this: at least as high as a fingertip where it is tapped.
  style.FramePadding = {ems(0.7F), std::max(ems(0.5F), std::ceil((theme.target - theme.em) / 2))};
  style.ItemSpacing = {ems(0.5F), ems(0.4F)};
  style.ItemInnerSpacing = {ems(0.4F), ems(0.3F)};
  style.CellPadding = {ems(0.35F), ems(0.25F)};
  style.TouchExtraPadding = {0, 0};
  style.ScrollbarSize = ems(theme.touch ? 1.3F : 0.9F);
  style.GrabMinSize = ems(1.4F);
  style.IndentSpacing = ems(1.0F);
  style.WindowRounding = 0;
  style.ChildRounding = ems(0.25F);
  style.FrameRounding = ems(0.3F);
  style.PopupRounding = ems(0.3F);
  style.ScrollbarRounding = ems(0.45F);
  style.SelectableTextAlign = {0, 0.5F};  // in the middle of a tall row
  style.WindowBorderSize = 0;
  style.PopupBorderSize = 1;
  // In the sun pale grounds are not told from the page: whatever is tapped has an outline.
  style.FrameBorderSize = theme.look == Look::kSunlight ? std::max(1.0F, std::round(theme.scale)) : 0;
  style.DisplaySafeAreaPadding = {0, 0};
}

}  // namespace

Theme make_theme(const Display& display, const Settings& settings) {
  Theme theme;
  theme.look = settings.look;
  theme.ink = inks(settings.look);
  theme.touch = settings.touch;
  theme.scale = static_cast<float>(
      std::clamp<double>(display.scale * within_limits(settings).scale, kSmallestScale, kLargestScale));
  theme.em = std::round(16 * theme.scale);
  if (settings.touch) theme.target = std::ceil(static_cast<float>(kTouchTarget_mm * display.px_per_mm));
  ImGuiIO& io = ImGui::GetIO();
  io.Fonts->Clear();
  io.Fonts->FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  io.Fonts->TexDesiredWidth = theme.scale > 1.6F ? 4096 : 2048;
  // In the sun thin strokes go first.
  const bool sunny = settings.look == Look::kSunlight;
  const auto plain = sunny ? font_strong() : font_regular();
  const auto heavy = sunny ? font_bold() : font_strong();
  theme.body = add_text(plain, theme.em);
  theme.strong = add_text(heavy, theme.em);
  theme.small = add_text(plain, std::round(theme.em * 0.86F));
  theme.title = add_text(heavy, std::round(theme.em * 1.3F));
  theme.signs = add(font_strong(), std::round(theme.em * 0.95F), kSigns, false);
  io.FontDefault = theme.body;
  io.Fonts->Build();
  ImGuiStyle& style = ImGui::GetStyle();
  style = ImGuiStyle();
  set_colours(style, theme.ink);
  set_sizes(style, theme);
  return theme;
}

std::array<SignGlyph, kSignCount> sign_glyphs(const Theme& theme) {
  static constexpr ImWchar kOrder[kSignCount] = {'0', '1', '2', '3',    '4',    '5', '6',
                                                 '7', '8', '9', 0x2013, 0x00D7, '?'};
  std::array<SignGlyph, kSignCount> signs{};
  for (std::size_t i = 0; i < kSignCount; ++i) {
    const ImFontGlyph* g = theme.signs->FindGlyphNoFallback(kOrder[i]);
    if (!g) continue;
    const float w = g->X1 - g->X0, h = g->Y1 - g->Y0;
    // Around the middle of the mark's middle pixel: a half, so that texels fall on pixels.
    const float left = std::floor(-w / 2) + 0.5F, top = std::floor(-h / 2) + 0.5F;
    signs[i] = {g->U0, g->V0, g->U1, g->V1, left, top, left + w, top + h};
  }
  return signs;
}

}  // namespace brookmark::viewer

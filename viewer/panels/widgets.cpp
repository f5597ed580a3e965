#include "viewer/panels/widgets_internal.hpp"

#include <imgui_internal.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace brookmark::viewer {

bool begin_part(const char* id, const PixelBox& box, Colour ground, bool scrolls) {
  ImGui::SetNextWindowPos({static_cast<float>(box.left), static_cast<float>(box.top)});
  ImGui::SetNextWindowSize({static_cast<float>(box.width), static_cast<float>(box.height)});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, im(ground));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2(1, 1));
  ImGuiWindowFlags flags = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                           ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus;
  if (scrolls)
    flags &= ~ImGuiWindowFlags_NoScrollbar;
  else
    flags |= ImGuiWindowFlags_NoScrollWithMouse;
  const bool open = ImGui::Begin(id, nullptr, flags);
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
  return open;
}

void text(std::string_view words) {
  ImGui::TextUnformatted(words.data(), words.data() + words.size());
}

void wrapped(std::string_view words) {
  ImGui::PushTextWrapPos(0);
  text(words);
  ImGui::PopTextWrapPos();
}

void muted(std::string_view words) {
  ImGui::PushStyleColor(ImGuiCol_Text, ImGui::GetStyleColorVec4(ImGuiCol_TextDisabled));
  wrapped(words);
  ImGui::PopStyleColor();
}

void small_muted(const Theme& theme, std::string_view words) {
  const FontScope font(theme.small);
  muted(words);
}

void heading(const Theme& theme, std::string_view words) {
  const FontScope font(theme.strong);
  wrapped(words);
}

void gap(const Theme& theme, float ems) {
  ImGui::Dummy({1, std::round(theme.em * ems)});
}

void rule(const Theme& theme) {
  gap(theme, 0.15F);
  ImGui::Separator();
  gap(theme, 0.15F);
}

namespace {

// The outlines of the map's shader, as corners around (0, 0) for a radius of 1; `grow` widens them.
std::array<ImVec2, 12> corners_of(MarkShape shape, ImVec2 at, float r, float grow, int& count) {
  std::array<ImVec2, 12> p{};
  count = 0;
  const auto add = [&](float x, float y) { p[static_cast<std::size_t>(count++)] = {at.x + x, at.y + y}; };
  switch (shape) {
    case MarkShape::kSquare: {
      const float s = r * 0.86F + grow;
      add(-s, -s), add(s, -s), add(s, s), add(-s, s);
      break;
    }
    case MarkShape::kDiamond: {
      const float s = (r * 0.82F + grow) * 1.4142F;
      add(0, -s), add(s, 0), add(0, s), add(-s, 0);
      break;
    }
    case MarkShape::kTriangleDown:
    case MarkShape::kTriangleUp: {
      const float sign = shape == MarkShape::kTriangleDown ? 1.0F : -1.0F;
      const float flat = r * 0.72F + grow, slope = r * 0.58F + grow;
      const float tip = slope * 2, half = (slope + flat * 0.5F) / 0.866F;
      add(-half, -flat * sign), add(half, -flat * sign), add(0, tip * sign);
      break;
    }
    case MarkShape::kCross: {
      const float a = r * 0.42F + grow, b = r * 1.05F + grow;
      add(-a, -b), add(a, -b), add(a, -a), add(b, -a), add(b, a), add(a, a);
      add(a, b), add(-a, b), add(-a, a), add(-b, a), add(-b, -a), add(-a, -a);
      break;
    }
    default: {
      const float s = (r * 0.9F + grow) / 0.866F;
      for (int i = 0; i < 6; ++i) {
        const auto angle = static_cast<float>(i) * 1.0471976F;
        add(s * std::cos(angle), s * std::sin(angle));
      }
    }
  }
  return p;
}

void fill_shape(ImDrawList& list, ImVec2 at, float r, float grow, MarkShape shape, ImU32 colour) {
  if (shape == MarkShape::kDisc || shape == MarkShape::kStillDisc || is_ring(shape)) {
    list.AddCircleFilled(at, r + grow, colour, 32);
    return;
  }
  if (shape == MarkShape::kCross) {  // not convex: two bars
    const float a = r * 0.42F + grow, b = r * 1.05F + grow;
    list.AddRectFilled({at.x - a, at.y - b}, {at.x + a, at.y + b}, colour);
    list.AddRectFilled({at.x - b, at.y - a}, {at.x + b, at.y + a}, colour);
    return;
  }
  int count = 0;
  const auto p = corners_of(shape, at, r, grow, count);
  list.AddConvexPolyFilled(p.data(), count, colour);
}

Colour darker(Colour c, float share) {
  const auto part = [share](std::uint8_t v) {
    return static_cast<std::uint8_t>(static_cast<float>(v) * share);
  };
  return {part(c.r), part(c.g), part(c.b), 255};
}

}  // namespace

void draw_mark(ImDrawList& list, ImVec2 at, float radius, Mark mark, const MarkColours& colours,
               const Theme& theme) {
  const Colour fill = colours.fill[mark.colour];
  const bool ring = is_ring(mark.shape);
  const float stroke = std::max(1.0F, radius / 8);
  fill_shape(list, at, radius, stroke * 2.2F, mark.shape, im(theme.ink.mark_ground));
  fill_shape(list, at, radius, stroke * 0.7F, mark.shape,
             im(ring ? fill : darker(fill, mark.colour >= kFaded ? kFadedOutline : kOutline)));
  fill_shape(list, at, radius, -stroke * (ring ? 1.3F : 0.6F), mark.shape,
             im(ring ? theme.ink.mark_ground : fill));
  static constexpr const char* kSigns[kSignCount] = {"0", "1", "2", "3",      "4",      "5", "6",
                                                     "7", "8", "9", "\u2013", "\u00D7", "?"};
  std::string written;
  if (mark.first < kSignCount) written += kSigns[mark.first];
  if (mark.second < kSignCount) written += kSigns[mark.second];
  if (written.empty()) return;
  const float size = std::min(theme.signs->FontSize, radius * kSignHeight);
  const ImVec2 extent = theme.signs->CalcTextSizeA(size, 1000, 0, written.c_str());
  list.AddText(theme.signs, size, {std::round(at.x - extent.x / 2), std::round(at.y - extent.y / 2)},
               im(colours.ink[mark.colour]), written.c_str());
}

void mark_item(const Theme& theme, Mark mark, const MarkColours& colours, float radius_ems) {
  const float side = std::round(theme.em * 1.7F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  draw_mark(*ImGui::GetWindowDrawList(), {at.x + side / 2, at.y + side / 2}, theme.em * radius_ems, mark,
            colours, theme);
  ImGui::Dummy({side, side});
}

void badge(const Theme& theme, const std::string& words) {
  const FontScope font(theme.small);
  const ImVec2 extent = ImGui::CalcTextSize(words.c_str());
  const float pad = std::round(theme.em * 0.4F), height = std::round(extent.y + theme.em * 0.35F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + extent.x + 2 * pad, at.y + height}, im(theme.ink.badge), theme.em * 0.25F);
  list.AddText({at.x + pad, at.y + std::round((height - extent.y) / 2)}, im(theme.ink.badge_text),
               words.c_str());
  ImGui::Dummy({extent.x + 2 * pad, height});
}

namespace {

void sentence_on(const Theme& theme, Colour ground, const std::string& words) {
  const float width = ImGui::GetContentRegionAvail().x, pad = std::round(theme.em * 0.5F);
  const ImVec2 extent = ImGui::CalcTextSize(words.c_str(), nullptr, false, width - 2 * pad);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + width, at.y + extent.y + 2 * pad}, im(ground), theme.em * 0.25F);
  list.AddText(ImGui::GetFont(), ImGui::GetFontSize(), {at.x + pad, at.y + pad}, im(theme.ink.text),
               words.c_str(), nullptr, width - 2 * pad);
  ImGui::Dummy({width, extent.y + 2 * pad});
}

}  // namespace

void notice(const Theme& theme, const std::string& words) {
  sentence_on(theme, theme.ink.note, words);
}

void alarm(const Theme& theme, const std::string& words) {
  sentence_on(theme, theme.ink.alarm, words);
}

int choices(const Theme& theme, const char* id, std::span<const char* const> names, int chosen, float width) {
  int clicked = -1;
  ImGui::PushID(id);
  // Where the words do not fit into equal parts, they stand in several rows.
  float widest = 0;
  for (const char* name : names) widest = std::max(widest, ImGui::CalcTextSize(name).x + theme.em * 0.4F + 5);
  const auto count = static_cast<int>(names.size());
  const int fit = std::clamp(static_cast<int>(width / widest), 1, std::max(count, 1));
  const int rows = (count + fit - 1) / fit, across = (count + rows - 1) / rows;
  const float step = std::floor(width / static_cast<float>(across));
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(2, ImGui::GetStyle().FramePadding.y));
  const ImVec2 spacing = ImGui::GetStyle().ItemSpacing;
  for (int i = 0; i < count; ++i) {
    if (i % across != 0) ImGui::SameLine(0, 1);
    const bool last_row = i / across == rows - 1;
    ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, last_row ? spacing : ImVec2(spacing.x, 1));
    if (choice_button(theme, names[static_cast<std::size_t>(i)], i == chosen, {step - 1, 0})) clicked = i;
    ImGui::PopStyleVar();
  }
  ImGui::PopStyleVar();
  ImGui::PopID();
  return clicked;
}

bool choice_button(const Theme& theme, const char* name, bool on, ImVec2 size) {
  if (on) {
    ImGui::PushStyleColor(ImGuiCol_Button, im(theme.ink.accent));
    ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(theme.ink.accent));
    ImGui::PushStyleColor(ImGuiCol_Text, im(theme.ink.on_accent));
  }
  const bool clicked = ImGui::Button(name, size);
  tell_target(name);
  if (on) ImGui::PopStyleColor(3);
  return clicked;
}

std::vector<Target>& told_targets() {
  static std::vector<Target> targets;  // there is one window, and one Stage at a time
  return targets;
}

void tell_target(std::string_view words) {
  const ImVec2 low = ImGui::GetItemRectMin(), size = ImGui::GetItemRectSize();
  const bool possible = (ImGui::GetCurrentContext()->LastItemData.InFlags & ImGuiItemFlags_Disabled) == 0;
  told_targets().push_back(
      {std::string(words.substr(0, words.find("##"))), {low.x, low.y, size.x, size.y}, possible});
}

bool push_button(const Theme& theme, const char* label, ImVec2 size) {
  ImGui::PushStyleColor(ImGuiCol_Button, im(theme.ink.raised));
  ImGui::PushStyleColor(ImGuiCol_Text, im(theme.ink.accent));
  ImGui::PushStyleColor(ImGuiCol_Border, im(theme.ink.accent));
  ImGui::PushStyleVar(ImGuiStyleVar_FrameBorderSize, std::max(1.0F, std::round(theme.scale * 1.25F)));
  const FontScope font(theme.strong);
  const bool clicked = ImGui::Button(label, size);
  tell_target(label);
  ImGui::PopStyleVar();
  ImGui::PopStyleColor(3);
  return clicked;
}

namespace {

// The item whose hint stands open in touch mode, and whether a finger lies on one whose hint is to come.
struct HeldHint {
  ImGuiID item = 0;
  int coming = -1;  // the frame in which that was so
};
HeldHint held_hint;

}  // namespace

bool hint_wanted(const Theme& theme) {
  if (!theme.touch) return ImGui::IsItemHovered();
  ImGuiContext& context = *ImGui::GetCurrentContext();
  const ImGuiIO& io = context.IO;
  const ImVec2 low = ImGui::GetItemRectMin();
  const ImGuiID own = ImGui::GetItemID();
  const ImGuiID item = own != 0 ? own : ImHashData(&low, sizeof low, context.CurrentWindow->ID);
  if (ImGui::IsMouseClicked(ImGuiMouseButton_Left)) held_hint.item = 0;
  const bool over = ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenBlockedByActiveItem |
                                         ImGuiHoveredFlags_AllowWhenDisabled);
  const bool still = io.MouseDragMaxDistanceSqr[0] < theme.target * theme.target / 4;
  if (over && own == 0 && ImGui::IsMouseReleased(ImGuiMouseButton_Left) && still) held_hint.item = item;
  if (over && ImGui::IsMouseDown(ImGuiMouseButton_Left) && still && held_hint.item != item) {
    if (io.MouseDownDuration[0] < kHold_s) {
      held_hint.coming = context.FrameCount;
    } else {
      held_hint.item = item;
      if (context.ActiveId == own) ImGui::ClearActiveID();  // letting go does nothing then
    }
  }
  return held_hint.item == item;
}

bool hint_is_coming() {
  return held_hint.coming == ImGui::GetFrameCount();
}

void hint(const Theme& theme, const std::string& words) {
  if (!hint_wanted(theme)) return;
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax(),
               window = ImGui::GetIO().DisplaySize;
  const bool on_the_right = low.x > window.x / 2, low_down = low.y > window.y / 2;
  ImGui::SetNextWindowPos(
      {on_the_right ? high.x : low.x, low_down ? low.y - theme.em * 0.4F : high.y + theme.em * 0.4F},
      ImGuiCond_Always, {on_the_right ? 1.0F : 0.0F, low_down ? 1.0F : 0.0F});
  const FontScope font(theme.body);
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(std::min(theme.em * 26, window.x * 0.8F));
  text(words);
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

void text_with_halo(ImDrawList& list, const Theme& theme, ImFont* font, ImVec2 at, Colour colour,
                    const std::string& words) {
  const ImVec2 p{std::round(at.x), std::round(at.y)};
  const float d = std::max(1.0F, std::round(font->FontSize / 12));
  Colour halo = theme.ink.halo;
  halo.a = 215;
  // Towards the corners: what lies between them is covered too, for no stroke is thinner than the shift.
  for (const ImVec2 shift : {ImVec2(-d, -d), ImVec2(d, d), ImVec2(-d, d), ImVec2(d, -d)})
    list.AddText(font, font->FontSize, {p.x + shift.x, p.y + shift.y}, im(halo), words.c_str());
  list.AddText(font, font->FontSize, p, im(colour), words.c_str());
}

}  // namespace brookmark::viewer

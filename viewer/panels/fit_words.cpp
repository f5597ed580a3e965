// Words that need room: lines as many as they take, rows and boxes as high as their words.
#include <algorithm>
#include <cmath>

#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr float kRowPad_ems = 0.25F;    // above and below the words of a row
constexpr float kBelowGap_ems = 0.12F;  // between a row's words and what stands below them

ImFont* font_of(const Theme& theme, const RowWords& row) {
  return row.font != nullptr ? row.font : theme.body;
}

struct RowHeights {
  float words = 0, below = 0, side = 0;  // side: the width that it takes away from the words
  float all(float em) const { return words + (below > 0 ? below + std::round(em * kBelowGap_ems) : 0); }
  float row(float em, float least) const {
    return std::max(least, std::ceil(all(em) + 2 * kRowPad_ems * em));
  }
};

// Of a row whose words have `room`.
RowHeights heights_of(const Theme& theme, const RowWords& row, float room) {
  RowHeights h;
  if (!row.side.empty())
    h.side = theme.body->CalcTextSizeA(theme.em, 1e6F, 0, row.side.c_str()).x + std::round(theme.em * 0.6F);
  h.words = height_of(font_of(theme, row), row.words, room - h.side);
  if (!row.below.empty()) h.below = height_of(theme.small, row.below, room);
  return h;
}

}  // namespace

float height_of(ImFont* font, std::string_view words, float width) {
  return font
      ->CalcTextSizeA(font->FontSize, 1e6F, std::max(width, font->FontSize), words.data(),
                      words.data() + words.size())
      .y;
}

void put_words(ImDrawList& list, ImFont* font, ImVec2 at, float width, Colour ink, std::string_view words) {
  list.AddText(font, font->FontSize, {std::round(at.x), std::round(at.y)}, im(ink), words.data(),
               words.data() + words.size(), std::max(width, font->FontSize));
}

std::string first_that_fits(std::span<const std::string> words, ImFont* font, float width) {
  for (const std::string& w : words)
    if (font->CalcTextSizeA(font->FontSize, 1e6F, 0, w.c_str()).x <= width) return w;
  return {};
}

float row_height(const Theme& theme, const RowWords& row, float left, float width, float least) {
  return heights_of(theme, row, width - left - theme.em * 0.2F).row(theme.em, least);
}

DrawnRow words_row(const Theme& theme, const char* id, bool on, const RowWords& row, float left,
                   float least) {
  const float em = theme.em;
  DrawnRow drawn;
  drawn.at = ImGui::GetCursorScreenPos();
  drawn.width = ImGui::GetContentRegionAvail().x;
  const float room = drawn.width - left - em * 0.2F;
  const RowHeights h = heights_of(theme, row, room);
  drawn.height = h.row(em, least);
  drawn.tapped = ImGui::Selectable(id, on, 0, {0, drawn.height});
  ImDrawList& list = *ImGui::GetWindowDrawList();
  ImFont* font = font_of(theme, row);
  const float top = drawn.at.y + std::round((drawn.height - h.all(em)) / 2);
  drawn.middle = top + font->FontSize / 2;
  put_words(list, font, {drawn.at.x + left, top}, room - h.side, theme.ink.text, row.words);
  if (!row.side.empty())
    put_words(list, theme.body, {drawn.at.x + drawn.width - em * 0.2F - h.side + std::round(em * 0.6F), top},
              1e6F, row.side_ink, row.side);
  if (!row.below.empty())
    put_words(list, theme.small, {drawn.at.x + left, top + h.words + std::round(em * kBelowGap_ems)}, room,
              theme.ink.muted, row.below);
  return drawn;
}

std::pair<std::size_t, std::size_t> rows_in_sight(const RowTops& rows, float top) {
  const ImDrawList& list = *ImGui::GetWindowDrawList();
  const float high = list.GetClipRectMin().y - top, low = list.GetClipRectMax().y - top;
  const auto row_at = [&](float y) {
    const auto behind = std::upper_bound(rows.tops.begin(), rows.tops.end(), y) - rows.tops.begin();
    return static_cast<std::size_t>(std::max<std::ptrdiff_t>(behind - 1, 0));
  };
  const std::size_t count = rows.tops.size() - 1;
  return {std::min(row_at(high), count), std::min(row_at(low) + 1, count)};
}

bool begin_chooser(const Theme& theme, const char* id, const std::string& shown, ImGuiComboFlags flags) {
  const ImVec2 pad = ImGui::GetStyle().FramePadding, at = ImGui::GetCursorScreenPos();
  ImFont* font = ImGui::GetFont();
  const float width = ImGui::CalcItemWidth(), size = font->FontSize;
  // The list below the box or above it, where there is more room, and never beyond the window.
  const float screen = ImGui::GetIO().DisplaySize.y;
  const float most = std::max(screen - at.y - ImGui::GetFrameHeight() - theme.em, at.y - theme.em);
  const bool all = (flags & ImGuiComboFlags_HeightLargest) != 0;
  const float lines = (flags & ImGuiComboFlags_HeightLarge) != 0 ? 14 : 9;
  ImGui::SetNextWindowSizeConstraints(
      {0, 0}, {width, std::max(all ? most : std::min(most, theme.row(1.8F) * lines), theme.row(1.8F) * 2)});
  if (font->CalcTextSizeA(size, 1e6F, 0, shown.c_str()).x <= width - ImGui::GetFrameHeight() - 2 * pad.x)
    return ImGui::BeginCombo(id, shown.c_str(), flags);
  // The box of ImGui has one line: a higher one is drawn, and the words into it.
  const float sign = std::round(theme.em * 1.2F), room = width - 2 * pad.x - sign;
  const float words = height_of(font, shown, room);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(pad.x, pad.y + (words - size) / 2));
  const bool open = ImGui::BeginCombo(id, "", flags | ImGuiComboFlags_NoArrowButton);
  ImGui::PopStyleVar();
  put_words(list, font, {at.x + pad.x, at.y + pad.y}, room, theme.ink.text, shown);
  put_words(list, font, {at.x + width - pad.x - sign * 0.7F, at.y + pad.y + (words - size) / 2}, 1e6F,
            theme.ink.text, "\u25BE");
  return open;
}

}  // namespace brookmark::viewer

// Why: the few things ImGui lacks, drawn the same way everywhere: a mark as on the map, wrapped text, a
// badge, a notice, a row of choices.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/map/marks.hpp"
#include "viewer/panels/theme_internal.hpp"

namespace brookmark::viewer {

class FontScope {
 public:
  explicit FontScope(ImFont* font) { ImGui::PushFont(font); }
  ~FontScope() { ImGui::PopFont(); }
  FontScope(const FontScope&) = delete;
  FontScope& operator=(const FontScope&) = delete;
};

// Opens a borderless window that fills the box exactly; close with ImGui::End().
bool begin_part(const char* id, const PixelBox& box, Colour ground, bool scrolls = false);

void text(std::string_view words);
void wrapped(std::string_view words);
void muted(std::string_view words);  // wrapped, in the quieter ink
void small_muted(const Theme& theme, std::string_view words);
void heading(const Theme& theme, std::string_view words);
void gap(const Theme& theme, float ems = 0.5F);
void rule(const Theme& theme);

// A mark as on the map, centred on `at`.
void draw_mark(ImDrawList& list, ImVec2 at, float radius, Mark mark, const MarkColours& colours,
               const Theme& theme);
// The same in the flow of a panel; takes a square of one and a half font heights.
void mark_item(const Theme& theme, Mark mark, const MarkColours& colours, float radius_ems = 0.66F);
void badge(const Theme& theme, const std::string& words);
// A sentence on a soft ground that must not be overlooked.
void notice(const Theme& theme, const std::string& words);
// The same where something went wrong.
void alarm(const Theme& theme, const std::string& words);
// Buttons of equal width, one chosen, in one row or in as many as their words need; the one clicked, or -1.
int choices(const Theme& theme, const char* id, std::span<const char* const> names, int chosen, float width);
// One of them alone, for what is on or off.
bool choice_button(const Theme& theme, const char* name, bool on, ImVec2 size);
// Text cut with an ellipsis where it would pass `width`.
std::string fitted(std::string_view words, float width);
// Tells the item just drawn as something that can be tapped; Stage::targets() has them. `words` up to "##".
void tell_target(std::string_view words);
std::vector<Target>& told_targets();
// A button that does something, outlined: what is filled in the accent colour is a choice that stands.
bool push_button(const Theme& theme, const char* label, ImVec2 size = {0, 0});
// Whether words about the item just drawn are wanted: a pointer rests on it; in touch mode a finger has lain on it for a
// while. That press then does nothing else, and the words stay until the next touch. What does nothing when it is tapped
// needs a tap alone.
bool hint_wanted(const Theme& theme);
// While a finger lies on something, whether time alone will bring a hint.
bool hint_is_coming();
inline constexpr float kHold_s = 0.5F;  // a long press, seconds; common practice, no source
// A hint to the item just drawn, below it or, in the lower half of the window, above, so that its neighbours stay in
// sight.
void hint(const Theme& theme, const std::string& words);
void text_with_halo(ImDrawList& list, const Theme& theme, ImFont* font, ImVec2 at, Colour colour,
                    const std::string& words);

}  // namespace brookmark::viewer

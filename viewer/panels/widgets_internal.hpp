// Why: the few things ImGui lacks, drawn the same way everywhere: a mark as on the map, wrapped text, a
// badge, a notice, a row of choices.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <utility>
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
// Nothing is cut: words take as many lines as they need within `width`. How high they then are, pixels; and the words
// themselves, at a place of their own.
float height_of(ImFont* font, std::string_view words, float width);
void put_words(ImDrawList& list, ImFont* font, ImVec2 at, float width, Colour ink, std::string_view words);
// Of several wordings the first that stands in one line of `width`; empty where none does.
std::string first_that_fits(std::span<const std::string> words, ImFont* font, float width);
// A row that can be tapped, as high as its words need.
struct RowWords {
  std::string words;
  std::string side = {};   // at the right end of their first line
  std::string below = {};  // in small under them
  ImFont* font = nullptr;  // of `words`; null: the body's
  Colour side_ink = {};
};
struct DrawnRow {
  bool tapped = false;
  ImVec2 at;  // its upper left corner
  float width = 0, height = 0;
  float middle = 0;  // of the first line of words, down the window
};
// `left`: where the words begin, for a mark before them; `least` high.
DrawnRow words_row(const Theme& theme, const char* id, bool on, const RowWords& row, float left, float least);
// How high that will be in a list `width` wide.
float row_height(const Theme& theme, const RowWords& row, float left, float width, float least);
// Where the rows of a long list stand: measured only when its words or its width have changed, so that ten thousand are
// no more work in a frame than ten.
struct RowTops {
  std::string of;           // what it was measured for
  std::vector<float> tops;  // of each row below the list's top, and the end of the last
};
// Measures anew where `of` is another; `height_of_row` says how high a row is, what is between two of them included.
template <class HeightOfRow>
void follow_rows(RowTops& rows, const std::string& of, std::size_t count, const HeightOfRow& height_of_row) {
  if (rows.of == of && rows.tops.size() == count + 1) return;
  rows.of = of;
  rows.tops.assign(1, 0);
  for (std::size_t i = 0; i < count; ++i) rows.tops.push_back(rows.tops.back() + height_of_row(i));
}
// The rows that are in sight of a list that begins at `top` down the window: the first, and one behind the last.
std::pair<std::size_t, std::size_t> rows_in_sight(const RowTops& rows, float top);
// A box as wide as SetNextItemWidth() says that opens a list, as high as the words in it need; where it is true close
// with ImGui::EndCombo().
bool begin_chooser(const Theme& theme, const char* id, const std::string& shown, ImGuiComboFlags flags = 0);
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

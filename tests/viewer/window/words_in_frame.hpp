// Why: whether words are cut off or lie on others is read from what ImGui is about to draw, without graphics.
// Use: room.draw(3);  CHECK(trouble_with_words() == "");
#pragma once

#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <tuple>
#include <vector>

namespace brookmark::test {

struct Glyph {
  float left, top, right, bottom;
  ImVec4 clip;
  bool whole;               // not trimmed by the clip box of its button or line
  std::size_t turn = 0;     // in the order of drawing
  bool dots = false;        // the sign of three dots
  float pen = 0, next = 0;  // where the pen was before it, and behind it
};

// Where every glyph of the fonts lies in their texture: a drawn box that is none of them was trimmed.
using TexelBox = std::tuple<float, float, float, float>;
using GlyphBoxes = std::map<TexelBox, const ImFontGlyph*>;
inline GlyphBoxes glyph_boxes() {
  GlyphBoxes boxes;
  for (const ImFont* font : ImGui::GetIO().Fonts->Fonts)
    for (const ImFontGlyph& g : font->Glyphs) boxes.insert({{g.U0, g.V0, g.U1, g.V1}, &g});
  return boxes;
}

// The glyphs of one draw list. Fills and lines have no extent in the texture in one of the two directions.
inline std::vector<Glyph> glyphs_of(const ImDrawList& list, const GlyphBoxes& known) {
  constexpr ImWchar kDots = 0x2026;
  std::vector<Glyph> glyphs;
  for (const ImDrawCmd& command : list.CmdBuffer) {
    if (command.UserCallback != nullptr) continue;
    for (unsigned i = 0; i + 5 < command.ElemCount; ++i) {
      const auto at = [&](unsigned k) -> const ImDrawVert& {
        return list.VtxBuffer[static_cast<int>(command.VtxOffset +
                                               list.IdxBuffer[static_cast<int>(command.IdxOffset + i + k)])];
      };
      // A glyph is two triangles a b c, a c d around a box; anything else moves on by one triangle.
      const ImDrawVert &a = at(0), &b = at(1), &c = at(2), &d = at(5);
      const bool box = at(3).pos.x == a.pos.x && at(3).pos.y == a.pos.y && at(4).pos.x == c.pos.x &&
                       a.pos.y == b.pos.y && b.pos.x == c.pos.x && c.pos.y == d.pos.y && d.pos.x == a.pos.x;
      const bool printed = a.uv.x != c.uv.x && a.uv.y != c.uv.y;
      if (box && printed) {
        Glyph glyph{a.pos.x, a.pos.y, c.pos.x, c.pos.y, command.ClipRect, false};
        if (const auto sign = known.find({a.uv.x, a.uv.y, c.uv.x, c.uv.y}); sign != known.end()) {
          const ImFontGlyph& g = *sign->second;
          glyph.whole = true;
          glyph.dots = g.Codepoint == kDots;
          glyph.pen = a.pos.x - g.X0;
          glyph.next = glyph.pen + g.AdvanceX;
        }
        glyphs.push_back(glyph);
        i += 5;
      } else {
        i += 2;
      }
    }
  }
  return glyphs;
}

// Whether a sign of the fonts is among what the newest frame draws in windows whose name holds `owner`.
inline bool is_drawn(ImWchar sign, const std::string& owner) {
  std::set<TexelBox> wanted;
  for (const ImFont* font : ImGui::GetIO().Fonts->Fonts)
    if (const ImFontGlyph* g = font->FindGlyphNoFallback(sign)) wanted.insert({g->U0, g->V0, g->U1, g->V1});
  const ImDrawData& data = *ImGui::GetDrawData();
  for (int l = 0; l < data.CmdListsCount; ++l) {
    const ImDrawList& list = *data.CmdLists[l];
    if (list._OwnerName == nullptr || std::string(list._OwnerName).find(owner) == std::string::npos) continue;
    for (int i = 0; i + 3 < list.VtxBuffer.Size; ++i) {
      const ImDrawVert &a = list.VtxBuffer[i], &c = list.VtxBuffer[i + 2];
      if (wanted.contains({a.uv.x, a.uv.y, c.uv.x, c.uv.y})) return true;
    }
  }
  return false;
}

// What stands in the windows whose name holds `owner` and not `without`, as letters in the order of drawing: without
// blanks, which leave nothing to draw. Letters of the fonts' texture, so a mark of the map is none.
inline std::string letters_in(const std::string& owner, const std::string& without = "\n") {
  const GlyphBoxes letters = glyph_boxes();
  std::string words;
  const ImDrawData& data = *ImGui::GetDrawData();
  for (int l = 0; l < data.CmdListsCount; ++l) {
    const ImDrawList& list = *data.CmdLists[l];
    const std::string name = list._OwnerName ? list._OwnerName : "";
    if (name.find(owner) == std::string::npos || name.find(without) != std::string::npos) continue;
    for (int i = 0; i + 3 < list.VtxBuffer.Size;) {
      const ImDrawVert &a = list.VtxBuffer[i], &c = list.VtxBuffer[i + 2];
      const auto letter = letters.find({a.uv.x, a.uv.y, c.uv.x, c.uv.y});
      if (letter == letters.end() || a.uv.x == c.uv.x) {
        ++i;
        continue;
      }
      char bytes[5] = {};
      words += ImTextCharToUtf8(bytes, static_cast<unsigned>(letter->second->Codepoint));
      i += 4;
    }
    words += '\n';
  }
  return words;
}

// As letters_in() has them.
inline std::string without_blanks(std::string words) {
  std::erase_if(words, [](char c) { return c == ' ' || c == '\n'; });
  return words;
}

inline bool contains(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

// Where a word ends in three dots, whoever put them there; empty where none does. "Import \u2026" has a blank before them:
// there something follows. Words that were cut have none.
inline std::string cut_with_dots(const std::vector<Glyph>& glyphs) {
  for (std::size_t i = 1; i < glyphs.size(); ++i) {
    const Glyph &dots = glyphs[i], &before = glyphs[i - 1];
    if (!dots.dots || !before.whole || before.top >= dots.bottom) continue;
    // The narrowest blank is two and a half pixels wide; a pen is set to whole ones.
    if (std::abs(dots.pen - before.next) < 1.5F)
      return "words are cut with dots at " + std::to_string(static_cast<int>(before.left)) + ", " +
             std::to_string(static_cast<int>(before.top));
  }
  return {};
}

// What is wrong with the words of the newest frame; empty when nothing is.
inline std::string trouble_with_words() {
  const auto known = glyph_boxes();
  const ImDrawData& data = *ImGui::GetDrawData();
  for (int l = 0; l < data.CmdListsCount; ++l) {
    const ImDrawList& list = *data.CmdLists[l];
    const std::string owner = list._OwnerName ? list._OwnerName : "";
    if (const std::string cut = cut_with_dots(glyphs_of(list, known)); !cut.empty())
      return cut + " in " + owner;
    if (owner == "map") continue;  // words with halos, laid out by themselves: LabelSpace has its own tests
    // Children and lists that open do, and cut at their upper and lower edge.
    const bool scrolls = contains(owner, "/") || contains(owner, "##");
    const auto glyphs = glyphs_of(list, known);
    for (const Glyph& g : glyphs) {
      const std::string where = " in " + owner + " at " + std::to_string(static_cast<int>(g.left)) + ", " +
                                std::to_string(static_cast<int>(g.top));
      // Lines to write in are cut at the edge of what scrolls, like everything else there.
      const bool at_edge = scrolls && (g.top <= g.clip.y + 0.5F || g.bottom >= g.clip.w - 0.5F);
      if (!g.whole && !at_edge) return "words are trimmed" + where;
      const bool sideways = contains(owner, "/samples");  // the table can be pushed sideways
      const ImVec2 screen = ImGui::GetIO().DisplaySize;
      const bool drawn = g.right > g.clip.x && g.left < g.clip.z && g.bottom > g.clip.y && g.top < g.clip.w;
      if (drawn && !at_edge &&
          (g.right > screen.x + 1 || g.bottom > screen.y + 1 || g.left < -1 || g.top < -1))
        return "words go beyond the window" + where;
      if (!sideways && (g.left < g.clip.x - 1 || g.right > g.clip.z + 1))
        return "words go over the side" + where;
      if (!scrolls && (g.top < g.clip.y - 1 || g.bottom > g.clip.w + 1))
        return "words go over the edge" + where;
    }
    // On one another: by more than a third of the smaller; accents stay far below. Two letters drawn one after the other
    // may: a narrow pair (an "f" and a "j") in small print overlaps by whole pixels, and words on words meet elsewhere too.
    std::vector<Glyph> sorted = glyphs;
    for (std::size_t i = 0; i < sorted.size(); ++i) sorted[i].turn = i;
    std::sort(sorted.begin(), sorted.end(), [](const Glyph& a, const Glyph& b) { return a.left < b.left; });
    for (std::size_t i = 0; i < sorted.size(); ++i)
      for (std::size_t k = i + 1; k < sorted.size() && sorted[k].left < sorted[i].right; ++k) {
        const Glyph &a = sorted[i], &b = sorted[k];
        const float wide = std::min(a.right, b.right) - b.left,
                    high = std::min(a.bottom, b.bottom) - std::max(a.top, b.top);
        if (a.turn + 1 == b.turn || b.turn + 1 == a.turn) continue;
        if (wide <= 1 || high <= 1) continue;  // boxes are rounded out to whole pixels
        const float smaller =
            std::min((a.right - a.left) * (a.bottom - a.top), (b.right - b.left) * (b.bottom - b.top));
        if (wide * high > smaller / 3)
          return "words lie on others in " + owner + " at " + std::to_string(static_cast<int>(b.left)) +
                 ", " + std::to_string(static_cast<int>(b.top));
      }
  }
  return {};
}

}  // namespace brookmark::test

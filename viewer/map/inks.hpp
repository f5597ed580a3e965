// Why: everything that is drawn takes its colour from here, by what it means; one look for a room, one for the
// night, one for glaring sun.
// Use: const Inks& ink = inks(Look::kDay);  im(ink.text)
#pragma once

#include <string_view>

#include "viewer/map/palette.hpp"

namespace brookmark::viewer {

enum class Look : std::uint8_t {
  kDay,
  kDark,
  kSunlight  // strong contrast for a screen in the sun: at least 7 : 1 for words, 4.5 : 1 for lines
};
inline constexpr std::size_t kLookCount = 3;

struct Inks {
  // Panels and bars.
  Colour panel, raised;      // ground of panels; of what stands on them (buttons, cards)
  Colour text, muted;        // on panels, fields, cards and the map's paper
  Colour accent, on_accent;  // what is chosen or can be done; words on that colour
  Colour line, edge;         // rules between parts; the outline of a control
  Colour field, field_hover, field_active;
  Colour bar, bar_text, bar_muted, bar_field;  // the strip along the top
  Colour badge, badge_text;
  Colour note, alarm, caution;  // grounds of a sentence that must not be overlooked, in `text`
  Colour dim;                   // laid over everything below a dialog; see-through
  // The map.
  Colour paper;
  Colour halo;           // around words and lines, so that they stand off what lies below
  Colour mark_ground;    // rim around marks, inside of hollow ones
  Colour channel, flow;  // watercourses; arrows on them
  Colour unknown_reach;  // a channel for which no site speaks
  Colour water, catchment, catchment_text;
  Colour drop, on_drop;   // the edge of a stretch on which the index falls; words on that colour
  Colour unclassed;       // outline and sign of a hollow mark
  Colour value_only;      // a value under a metric without classes
  Colour outfall, query;  // query: path and outfalls of the distance query
  Colour on_query;
  std::uint8_t
      fill_strength;  // of 255: of a class's colour over the ground, so that words and marks on it can be read
};

const Inks& inks(Look look);
// "day", "dark", "sunlight": in scripts and in the settings' file.
const char* look_name(Look look);
// False, and nothing changed, for any other word.
bool read_look(std::string_view word, Look& look);

}  // namespace brookmark::viewer

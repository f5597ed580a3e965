// Why: coordinates on a note or from a phone lead to a place on the map, written in any of the ways in which the window
// writes them. Two bare numbers can be meant in two ways: both are offered, each with its words, and nothing is guessed.
// Use: const TypedPlace typed = read_place("45.001, -30.002", nullptr);
//      for (const PlaceReading& r : typed.readings) ... r.at, r.how
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/crs.hpp"
#include "viewer/actions/find.hpp"

namespace brookmark::viewer {

// One way to read what was typed.
struct PlaceReading {
  core::LonLat at;
  std::string how;  // "latitude, then longitude"
};

struct TypedPlace {
  std::vector<PlaceReading> readings;  // latitude or easting first before the other way round
  std::string trouble;  // why what looks like coordinates is no place, as a sentence; empty for anything else
};

// Degrees as read_position() takes them, two bare numbers also longitude first; degrees, minutes and seconds with their
// letters; decimal commas where a blank or a semicolon parts the numbers; geo: addresses in wgs84, whose height is left out
// (RFC 5870, Mayrhofer and Spanring 2010, section 3.3; memory); easting and northing of `grid`, with or without the letters
// E and N, where the place lies in the system's area of use. `grid` is null where the survey's own system is degrees.
TypedPlace read_place(std::string_view words, const core::CrsConverter* grid);

// What the find box offers for coordinates: to go there, the reading that lies near the survey's sites first; and for that
// one also to measure from there and to add a site there. A hit without actions tells the trouble. Nothing for words that
// are no coordinates.
std::vector<FindHit> place_hits(std::string_view words, const Model& model, PositionForm form,
                                const core::CrsConverter* grid);

}  // namespace brookmark::viewer

// Why: where something is, said in the form a person wants to read or to write down; and what is true of the map at the
// place that it shows: the length of its scale bar and the way to north.
// Use: position_words({9.5, 54.2}, PositionForm::kMinutes, nullptr)   "54° 12' 0.0" N  9° 30' 0.0" E"
//      read_position("54.2 N 9.5 E")   {9.5, 54.2}
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/crs.hpp"
#include "viewer/state/settings.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Latitude first, as everywhere in the window. Degrees to 0.00001 (about a metre), seconds to a tenth (about three metres), metres of
// the grid, easting first. For kGrid `grid` is the survey's own system; where it is null, counts in degrees or does not reach there, the
// answer is in degrees. Empty for a place that is none.
std::string position_words(core::LonLat at, PositionForm form, const core::CrsConverter* grid);

// What was typed: with letters in any order ("45.001 N 30.002 W", "W 30° 0' 7.2\" N 45° 0' 3.6\""), without them latitude
// first ("45.001, -30.002"). Decimal points; minutes and seconds with a letter, their marks or blanks ("45 0 3.6 N"). Nothing for what is no
// place on Earth or could be read in two ways.
std::optional<core::LonLat> read_position(std::string_view words);

// Farther from every site than this, metres, a typed place is asked back: a survey is rarely wider (common practice, no
// source).
inline constexpr double kFarPlace_m = 200000;
// The way to the nearest of `places` along the Earth, metres; nothing where none of them is placed.
std::optional<double> nearest_place_m(core::LonLat at, std::span<const core::LonLat> places);

// Metres on the ground in one pixel of the map, east to west through its middle (the plane is true only at the survey's
// centre). The plane's own where the middle is not on Earth.
double true_metres_per_pixel(const Viewport& view, const core::LocalFrame& frame);
// Clockwise from the top of the map to north, radians; nothing where no north can be told (at a pole, off the Earth).
std::optional<double> north_on_map(const Viewport& view, const core::LocalFrame& frame);

}  // namespace brookmark::viewer

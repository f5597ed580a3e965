// Why: where something is, said in the form a person wants to read or to write down; and what is true of the map at the
// place that it shows: the length of its scale bar and the way to north.
// Use: position_words({9.5, 54.2}, PositionForm::kMinutes, nullptr)   "9° 30' 0.0" E  54° 12' 0.0" N"
#pragma once

#include <optional>
#include <string>

#include "core/base/crs.hpp"
#include "viewer/state/settings.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Longitude first, as everywhere. Degrees to 0.00001 (about a metre), seconds to a tenth (about three metres), metres of
// the grid. For kGrid `grid` is the survey's own system; where it is null, counts in degrees or does not reach there, the
// answer is in degrees. Empty for a place that is none.
std::string position_words(core::LonLat at, PositionForm form, const core::CrsConverter* grid);

// Metres on the ground in one pixel of the map, east to west through its middle (the plane is true only at the survey's
// centre). The plane's own where the middle is not on Earth.
double true_metres_per_pixel(const Viewport& view, const core::LocalFrame& frame);
// Clockwise from the top of the map to north, radians; nothing where no north can be told (at a pole, off the Earth).
std::optional<double> north_on_map(const Viewport& view, const core::LocalFrame& frame);

}  // namespace brookmark::viewer

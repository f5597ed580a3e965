// Why: nobody should stand in a stream in the dark. When the sun rises and sets at a place on a day, and when it is dark after that.
// Use: const Daylight light = daylight({-1.5, 52}, day);  if (light.rise_utc_min) ...
#pragma once

#include <optional>

#include "core/base/date.hpp"
#include "core/base/geometry.hpp"

namespace brookmark::core {

struct Daylight {
  // Minutes of the UTC day, 0 up to 1440; the upper limb on the horizon with common refraction (zenith 90 degrees 50').
  // Nothing where the sun does not rise or does not set that day.
  std::optional<double> rise_utc_min, set_utc_min;
  bool always_up = false;  // else, without times: never up
  // The end of civil twilight in the evening (zenith 96 degrees): after it one does not see where to step. Nothing where it does not
  // get as dark as that, or where there is no sunset.
  std::optional<double> dusk_utc_min;
};

// After the Almanac for Computers 1990 (US Naval Observatory; see sources.csv): within two minutes between 60 degrees
// south and north, as checked against its worked example and printed times (dusk: against a program for astronomers, within
// two minutes); worse near the polar circles. No hills, no trees: in a valley it is dark earlier.
Daylight daylight(LonLat place, Date day);

}  // namespace brookmark::core

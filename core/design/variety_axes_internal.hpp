// Why: variables in metres, orders and words are compared only once each is brought to the same scatter; and what a spot differs by is
// told in the trade's own units. Private to core/design.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/design/habitat.hpp"

namespace brookmark::core {

// A variable over all spots that are chosen among, and where its columns of the values stand.
struct HabitatAxis {
  HabitatColumn column;
  std::size_t first = 0, width = 1;
  double mean = 0, deviation = 0, median = 0;  // of numbers
};

struct HabitatAxes {
  std::vector<HabitatAxis> axes;
  std::size_t width = 0;       // columns in all
  std::vector<double> values;  // by spot, then column
  std::vector<std::string> constant;
};

// Columns that are known at each of so many spots.
HabitatAxes standardise(std::vector<HabitatColumn> wanted, std::size_t spots);

// By what a spot differs most, and by what else if it does by more than the usual scatter. The farthest from those chosen may be the
// most usual one of all. There is an axis at least.
std::string differences(const HabitatAxes& standard, std::size_t row);

}  // namespace brookmark::core

#include "geodata/terrain/hillshade.hpp"

#include <doctest/doctest.h>

#include "tests/geodata/terrain/grids.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

namespace {

// A plane that rises by `east` a metre to the east and `north` to the north.
Raster<float> plane(double east, double north) {
  Raster<float> z({5, 5});
  for (std::size_t r = 0; r < 5; ++r)
    for (std::size_t c = 0; c < 5; ++c)
      z.at(r, c) = static_cast<float>(10 * (east * static_cast<double>(c) - north * static_cast<double>(r)));
  return z;
}

int shade(double east, double north) {
  const Raster<float> z = plane(east, north);
  return hillshade(z, square_cells(z, 10)).at(2, 2);
}

}  // namespace

TEST_CASE("level ground has the light of the sun's height") {
  // sin 45 = 0.7071; 1 + 254 x 0.7071 = 180.6
  CHECK(shade(0, 0) == 181);
}

TEST_CASE("a slope of 45 degrees that faces the sun is brightest, one that faces away is dark") {
  const double half = std::sqrt(0.5);
  CHECK(shade(half, -half) == 255);  // falls to the north-west: the sun stands right above it
  CHECK(shade(-half, half) == 1);    // falls to the south-east: the light just grazes it
}

TEST_CASE("a slope to the west of 1 in 1 gets what the angle says") {
  // Normal (-1, 0, 1) / 1.414, light (-0.5, 0.5, 0.7071): 1.2071 / 1.4142 = 0.8536; 1 + 254 x 0.8536 = 217.8
  CHECK(shade(1, 0) == 218);
  // To the east: 0.2071 / 1.4142 = 0.1464; 1 + 37.2 = 38.2
  CHECK(shade(-1, 0) == 38);
}

TEST_CASE("cells without a height stay without light and their neighbours get some") {
  Raster<float> z = plane(0, 0);
  z.at(2, 2) = kNoHeight;
  const Raster<std::uint8_t> lit = hillshade(z, square_cells(z));
  CHECK(lit.at(2, 2) == 0);
  CHECK(lit.at(2, 1) == 181);
  CHECK(lit.at(0, 0) == 181);
}

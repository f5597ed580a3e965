#include "geodata/terrain/upstream_area.hpp"

#include <doctest/doctest.h>

#include <fstream>

#include "core/base/error.hpp"
#include "dems.hpp"
#include "geodata/terrain/dem.hpp"
#include "grids.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

// A valley of 5 x 6 cells of 10 m that falls to the right along its middle row. Counted by hand: through the cell of column c of the
// middle row drain the five cells of each column up to it.
TEST_CASE(
    "the land upstream of a spot is that of the nearest channel cell, also where several spots lie on one "
    "channel") {
  const TemporaryFolder folder;
  const auto file = folder / "valley.tif";
  write_dem(file,
            heights_of({"40 39 38 37 36 35", "30 29 28 27 26 25", "10 9 8 7 6 5", "30 29 28 27 26 25",
                        "40 39 38 37 36 35"}),
            {});
  const DemFile dem(file, {});
  const auto at = [&](double x, double y) { return dem.to_lonlat({x, y}).value(); };
  const std::vector<brookmark::core::LonLat> places{at(500025, 5999975), at(500055, 5999975),
                                                    at(500025, 5999965), at(510000, 5999975),
                                                    at(500005, 5999975)};
  const auto areas = upstream_areas(file, places, 10, {});
  REQUIRE(areas.size() == 5);
  REQUIRE(areas[0].km2);
  // UTM lengths are 0.9996 of those on the ground in the middle of the zone: areas 0.9992; 0.2 % covers it.
  CHECK(near_relative(*areas[0].km2, 15 * 100e-6, 0.002));
  CHECK(near_relative(areas[1].km2.value(), 30 * 100e-6, 0.002));
  CHECK(areas[2].km2 == areas[0].km2);  // beside the channel
  CHECK_FALSE(areas[3].km2);
  CHECK(areas[3].note == "it lies outside the terrain model, so the land upstream is not known");
  CHECK(near_relative(areas[4].km2.value(), 10 * 100e-6, 0.002));  // the channel begins a cell farther down
  const auto none = upstream_areas(file, places, 1000, {});
  CHECK_FALSE(none[0].km2);
  CHECK(none[0].note ==
        "no channel of 1000 cells of the terrain model within 100 m, so the land upstream is not known");
  CHECK_THROWS_AS(upstream_areas(folder / "missing.tif", places, 10, {}), brookmark::Error);
}

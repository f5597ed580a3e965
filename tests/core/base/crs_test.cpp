// Where a coordinate system is meant to be used.
#include <doctest/doctest.h>

#include "core/base/crs.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::near;

TEST_CASE("the area of use of a coordinate system is the one of its register") {
  // EPSG Geodetic Parameter Dataset, extents 2860 (ETRS89 / UTM zone 32N, code 25832: Europe between 6 and 12 degrees
  // east) and 4390 (British National Grid, code 27700), as PROJ 9.1 carries them.
  const auto utm = CrsConverter("EPSG:25832").area_of_use();
  REQUIRE(utm.has_value());
  CHECK(near(utm->min_lon, 6, 0.05));  // the register's box passes the zone by hundredths of a degree
  CHECK(near(utm->max_lon, 12, 0.05));
  CHECK(utm->min_lat > 36);
  CHECK(utm->max_lat < 85);
  const auto british = CrsConverter("EPSG:27700").area_of_use();
  REQUIRE(british.has_value());
  CHECK(british->min_lon < -7);
  CHECK(british->max_lon > 1);
  CHECK(british->max_lon < 3);
  CHECK(british->min_lat > 49);
  CHECK(british->max_lat < 62);
}

TEST_CASE(
    "a system of the whole Earth, or one that runs over the 180th meridian, has no area to begin with") {
  CHECK_FALSE(CrsConverter("EPSG:4326").area_of_use());
  CHECK_FALSE(CrsConverter("EPSG:4167").area_of_use());  // New Zealand, from 160 east to 171 west
  CHECK_FALSE(CrsConverter("+proj=utm +zone=32 +datum=WGS84 +type=crs").area_of_use());  // nobody tells
}

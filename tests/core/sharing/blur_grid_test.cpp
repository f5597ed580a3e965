#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <limits>

#include "core/base/error.hpp"
#include "core/sharing/blur_grid.hpp"

using brookmark::Error;
using brookmark::core::blur_cell;
using brookmark::core::BlurCell;
using brookmark::core::geodesic_m;
using brookmark::core::LonLat;

namespace {

bool holds(const BlurCell& cell, LonLat p) {
  return p.lon >= cell.box.min_lon && p.lon <= cell.box.max_lon && p.lat >= cell.box.min_lat &&
         p.lat <= cell.box.max_lat;
}

// Places all over the Earth, the same every run.
LonLat place(std::uint64_t i) {
  const double u = static_cast<double>(i * 2654435761U % 1000003U) / 1000003.0,
               v = static_cast<double>(i * 40503U % 999983U) / 999983.0;
  return {u * 360 - 180, v * 178 - 89};
}

}  // namespace

TEST_CASE(
    "a cell holds its place, is as large as asked for and at most about twice, and says how far it reaches") {
  for (std::uint64_t i = 1; i <= 2000; ++i)
    for (const double size : {10.0, 137.0, 1000.0, 25'000.0}) {
      const LonLat p = place(i);
      const BlurCell cell = blur_cell(p, size);
      CAPTURE(i);
      CAPTURE(size);
      CHECK(holds(cell, p));
      CHECK(geodesic_m(cell.centre, p) <= cell.uncertainty_m);
      // The Earth is no sphere: a degree of latitude is up to 0.6 % shorter than on the sphere of 6371 km.
      const double high =
          geodesic_m({cell.centre.lon, cell.box.min_lat}, {cell.centre.lon, cell.box.max_lat});
      CHECK(high >= size * 0.994);
      CHECK(high <= size * 2.01);
      if (std::abs(p.lat) > 80) continue;
      const double far =
          std::abs(cell.box.min_lat) > std::abs(cell.box.max_lat) ? cell.box.min_lat : cell.box.max_lat;
      const double wide = geodesic_m({cell.box.min_lon, far}, {cell.box.max_lon, far});
      CHECK(wide >= size * 0.994);
      CHECK(wide <= size * 2.1);
    }
}

TEST_CASE("cells of every place within one are that one, and smaller cells lie within larger ones") {
  for (std::uint64_t i = 1; i <= 500; ++i) {
    const LonLat p = place(i);
    const BlurCell large = blur_cell(p, 4000), small = blur_cell(p, 700);
    CHECK(blur_cell(large.centre, 4000).centre == large.centre);
    CHECK(small.box.min_lon >= large.box.min_lon);
    CHECK(small.box.max_lon <= large.box.max_lon);
    CHECK(small.box.min_lat >= large.box.min_lat);
    CHECK(small.box.max_lat <= large.box.max_lat);
  }
}

TEST_CASE("poles, the line of 180 degrees and sizes out of range") {
  for (const LonLat p :
       {LonLat{180, 90}, LonLat{-180, -90}, LonLat{0, 90}, LonLat{180, 0}, LonLat{-180, 12}}) {
    const BlurCell cell = blur_cell(p, 1000);
    CHECK(holds(cell, p));
    CHECK(brookmark::core::is_valid(cell.centre));
  }
  CHECK_THROWS_AS(blur_cell({0, 0}, 9), Error);
  CHECK_THROWS_AS(blur_cell({0, 0}, 2e6), Error);
  CHECK_THROWS_AS(blur_cell({0, 0}, std::numeric_limits<double>::quiet_NaN()), Error);
  CHECK_THROWS_AS(blur_cell(brookmark::core::kUnplaced, 1000), Error);
}

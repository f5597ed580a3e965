#include "core/analysis/catchments.hpp"

#include <doctest/doctest.h>

#include <cstddef>
#include <random>
#include <vector>

#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::core::Catchment;
using brookmark::core::CatchmentIndex;
using brookmark::core::LonLat;
using brookmark::core::nest_catchments;
using brookmark::core::Snapshot;
using brookmark::test::near_relative;

namespace {

// Squares in thousandths of a degree around an invented place in the Atlantic.
LonLat at(double east, double north) {
  return {-38 + east / 1000, 40 + north / 1000};
}

core::Line square(double west, double south, double east, double north) {
  return {at(west, south), at(east, south), at(east, north), at(west, north), at(west, south)};
}

Catchment catchment(std::vector<core::Line> rings) {
  Catchment c;
  c.shape = {core::Polygon{std::move(rings)}};
  return c;
}

Snapshot survey(std::vector<Catchment> catchments, std::vector<LonLat> sites = {}) {
  Snapshot s;
  s.catchments = std::move(catchments);
  for (const LonLat site : sites) {
    s.sites.position.push_back(site);
    s.sites.kind.push_back(core::WaterKind::kStream);
  }
  return s;
}

constexpr CatchmentIndex kNone = CatchmentIndex::none();

}  // namespace

TEST_CASE("catchments nest in the smallest larger one, in whatever order they are listed") {
  const Snapshot s = survey({catchment({square(2, 2, 4, 4)}), catchment({square(0, 0, 10, 10)}),
                             catchment({square(1, 1, 5, 5)}), catchment({square(6, 6, 8, 8)})},
                            {at(3, 3), at(1.5, 1.5), at(7, 7), at(9, 1), at(20, 20)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  REQUIRE(nesting.parent.size() == 4);
  CHECK(nesting.parent[0] == CatchmentIndex(2));
  CHECK(nesting.parent[1] == kNone);
  CHECK(nesting.parent[2] == CatchmentIndex(1));
  CHECK(nesting.parent[3] == CatchmentIndex(1));
  REQUIRE(nesting.site_smallest.size() == 5);
  CHECK(nesting.site_smallest[0] == CatchmentIndex(0));
  CHECK(nesting.site_smallest[1] == CatchmentIndex(2));
  CHECK(nesting.site_smallest[2] == CatchmentIndex(3));
  CHECK(nesting.site_smallest[3] == CatchmentIndex(1));
  CHECK(nesting.site_smallest[4] == kNone);
}

TEST_CASE("areas are square metres on the ellipsoid, holes taken off, parts added up") {
  // A thousandth of a degree at 40 degrees north: M = 6361821 m gives 111.0347 m of latitude (at 40.005),
  // N cos(lat) gives 85.388 m of longitude; 10 by 10 of them is 948,100 m2. Good to 1e-4 by hand.
  const double whole = 948100;
  Catchment parts = catchment({square(0, 0, 10, 5)});
  parts.shape.push_back(core::Polygon{{square(0, 5, 10, 10)}});
  const core::CatchmentNesting nesting =
      nest_catchments(survey({catchment({square(0, 0, 10, 10)}), parts,
                              catchment({square(0, 0, 10, 10), square(5, 0, 10, 10)}), Catchment{}}));
  CHECK(near_relative(nesting.area_m2[0], whole, 1e-4));
  CHECK(near_relative(nesting.area_m2[1], nesting.area_m2[0], 1e-9));
  CHECK(near_relative(nesting.area_m2[2], nesting.area_m2[0] / 2, 1e-9));
  CHECK(nesting.area_m2[3] == 0);
}

TEST_CASE("what lies in a hole is not inside") {
  const Snapshot s = survey({catchment({square(0, 0, 10, 10), square(4, 4, 8, 8)}),
                             catchment({square(5, 5, 7, 7)}), catchment({square(-5, -5, 15, 15)})},
                            {at(6, 6), at(4.5, 4.5), at(2, 2)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  CHECK(nesting.parent[1] == CatchmentIndex(2));
  CHECK(nesting.parent[0] == CatchmentIndex(2));
  CHECK(nesting.site_smallest[0] == CatchmentIndex(1));
  CHECK(nesting.site_smallest[1] == CatchmentIndex(2));
  CHECK(nesting.site_smallest[2] == CatchmentIndex(0));
}

TEST_CASE("a site on the border of two siblings belongs to exactly one of them") {
  // The border runs along a meridian, then slants; both draw it with the same vertices, one up, one down.
  const std::vector<LonLat> border{at(5, 0), at(5, 4), at(7, 10)};
  const Catchment west = catchment({{at(0, 0), border[0], border[1], border[2], at(0, 10), at(0, 0)}});
  const Catchment east = catchment({{border[2], border[1], border[0], at(20, 0), at(20, 10), border[2]}});
  std::vector<LonLat> sites{border[1]};
  std::mt19937 random(11);
  for (int i = 0; i < 200; ++i) {
    const double t = static_cast<double>(random() % 1000) / 1000;
    const LonLat a = border[static_cast<std::size_t>(i % 2)], b = border[static_cast<std::size_t>(i % 2) + 1];
    if (t > 0) sites.push_back({a.lon + t * (b.lon - a.lon), a.lat + t * (b.lat - a.lat)});
  }
  const core::CatchmentNesting nesting = nest_catchments(survey({west, east}, sites));
  CHECK(nesting.parent[0] == kNone);
  CHECK(nesting.parent[1] == kNone);
  for (std::size_t i = 0; i < sites.size(); ++i) {
    CAPTURE(i);
    CHECK(nesting.site_smallest[i].has_value());
    CHECK(core::contains(west.shape, sites[i]) != core::contains(east.shape, sites[i]));
  }
}

TEST_CASE("a catchment of several parts holds the sites and the smaller catchments of each part") {
  Catchment islands = catchment({square(0, 0, 4, 4)});
  islands.shape.push_back(core::Polygon{{square(10, 0, 16, 6)}});
  const Snapshot s = survey({islands, catchment({square(1, 1, 2, 2)}), catchment({square(11, 1, 12, 2)}),
                             catchment({square(6, 0, 8, 4)}), catchment({square(-1, -1, 17, 7)})},
                            {at(3, 3), at(15, 5), at(7, 1), at(9, 1)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  CHECK(nesting.parent[0] == CatchmentIndex(4));
  CHECK(nesting.parent[1] == CatchmentIndex(0));
  CHECK(nesting.parent[2] == CatchmentIndex(0));
  CHECK(nesting.parent[3] == CatchmentIndex(4));
  CHECK(nesting.site_smallest[0] == CatchmentIndex(0));
  CHECK(nesting.site_smallest[1] == CatchmentIndex(0));
  CHECK(nesting.site_smallest[2] == CatchmentIndex(3));
  CHECK(nesting.site_smallest[3] == CatchmentIndex(4));
}

TEST_CASE("the same shape twice does not nest in itself, and a site in both goes to the one listed first") {
  const Snapshot s = survey({catchment({square(0, 0, 4, 4)}), catchment({square(0, 0, 4, 4)})}, {at(1, 1)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  CHECK(nesting.parent[0] == kNone);
  CHECK(nesting.parent[1] == kNone);
  CHECK(nesting.site_smallest[0] == CatchmentIndex(0));
}

TEST_CASE("empty and flat shapes hold nothing and have no parent") {
  const Snapshot s =
      survey({Catchment{}, catchment({{at(1, 1), at(2, 2), at(1, 1)}}), catchment({square(0, 0, 4, 4)})},
             {at(1.5, 1.5)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  CHECK(nesting.parent[0] == kNone);
  CHECK(nesting.parent[1] == kNone);
  CHECK(nesting.area_m2[1] == 0);
  CHECK(nesting.site_smallest[0] == CatchmentIndex(2));
}

TEST_CASE("a survey without catchments leaves every site outside") {
  const core::CatchmentNesting nesting = nest_catchments(survey({}, {at(0, 0), at(1, 1)}));
  CHECK(nesting.parent.empty());
  REQUIRE(nesting.site_smallest.size() == 2);
  CHECK(nesting.site_smallest[0] == kNone);
}

TEST_CASE("on random nested and scattered squares parents and sites agree with trying every catchment") {
  std::mt19937 random(20240507);
  std::uniform_real_distribution<double> place(0, 50);
  std::vector<Catchment> catchments;
  for (int i = 0; i < 120; ++i) {
    const double x = place(random), y = place(random), size = 0.5 + place(random) / 3;
    catchments.push_back(catchment({square(x, y, x + size, y + size)}));
  }
  std::vector<LonLat> sites;
  for (int i = 0; i < 500; ++i) sites.push_back(at(place(random), place(random)));
  const Snapshot s = survey(catchments, sites);
  const core::CatchmentNesting nesting = nest_catchments(s);
  const auto smallest = [&](LonLat point, double above_m2) {
    CatchmentIndex best = kNone;
    for (std::size_t c = 0; c < catchments.size(); ++c) {
      if (nesting.area_m2[c] <= above_m2 || !core::contains(catchments[c].shape, point)) continue;
      if (!best.has_value() || nesting.area_m2[c] < nesting.area_m2[best.value()]) best = CatchmentIndex(c);
    }
    return best;
  };
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    CHECK(nesting.parent[c] == smallest(*core::inner_point(catchments[c].shape), nesting.area_m2[c]));
  }
  for (std::size_t i = 0; i < sites.size(); ++i) CHECK(nesting.site_smallest[i] == smallest(sites[i], -1));
}

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
  CHECK(nesting.overlaps.size() == 1);
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

TEST_CASE(
    "a catchment that straddles another's border has no place in it, and its sites do not count there") {
  // The inner point of the small one lies in the large one, and so does the larger part of it.
  const Snapshot s = survey({catchment({square(0, 0, 10, 10)}), catchment({square(6, 4, 12, 6)}),
                             catchment({square(-5, -5, 20, 20)})},
                            {at(11, 5), at(7, 5), at(1, 1)});
  const core::CatchmentNesting nesting = nest_catchments(s);
  REQUIRE(core::contains(s.catchments[0].shape, *core::inner_point(s.catchments[1].shape)));
  CHECK(nesting.parent[1] == CatchmentIndex(2));
  CHECK(nesting.parent[0] == CatchmentIndex(2));
  CHECK(nesting.site_smallest[0] == CatchmentIndex(1));
  CHECK(nesting.site_smallest[1] == CatchmentIndex(1));
  REQUIRE(nesting.overlaps.size() == 1);
  CHECK(nesting.overlaps[0].first == CatchmentIndex(0));
  CHECK(nesting.overlaps[0].second == CatchmentIndex(1));
}

TEST_CASE("all vertices inside are not enough: a notch or a hole of the larger one may reach in") {
  // A horseshoe open to the north, and a bar across its gap with all four corners in its arms.
  const Catchment horseshoe = catchment(
      {{at(0, 0), at(10, 0), at(10, 10), at(7, 10), at(7, 3), at(3, 3), at(3, 10), at(0, 10), at(0, 0)}});
  const Catchment holed = catchment({square(20, 0, 30, 10), square(24, 4, 26, 6)});
  const core::CatchmentNesting nesting = nest_catchments(
      survey({horseshoe, catchment({square(1, 6, 9, 8)}), holed, catchment({square(21, 3, 29, 7)})}));
  CHECK(nesting.parent[1] == kNone);
  CHECK(nesting.parent[3] == kNone);
  CHECK(nesting.overlaps.size() == 2);
}

TEST_CASE("a border shared with the larger one, or a metre over it, does not hinder nesting") {
  // A thousandth of a degree of latitude is 111 m here: 0.008 of it is 0.9 m, 0.012 is 1.3 m.
  const Catchment large = catchment({square(0, 0, 10, 10)});
  CHECK(nest_catchments(survey({large, catchment({square(0, 0, 4, 10)})})).parent[1] == CatchmentIndex(0));
  CHECK(nest_catchments(survey({large, catchment({square(2, -0.008, 4, 5)})})).parent[1] ==
        CatchmentIndex(0));
  const core::CatchmentNesting over = nest_catchments(survey({large, catchment({square(2, -0.012, 4, 5)})}));
  CHECK(over.parent[1] == kNone);
  CHECK(over.overlaps.size() == 1);
}

TEST_CASE("a border drawn with fewer bends than the larger one's still nests") {
  // The larger one's southern border dips 0.03 thousandths, 3.3 m, between the vertices they share, one way
  // and the other.
  const Catchment large = catchment(
      {{at(0, 0), at(2.5, 0.03), at(5, 0), at(7.5, -0.03), at(10, 0), at(10, 10), at(0, 10), at(0, 0)}});
  const Catchment small = catchment({{at(0, 0), at(5, 0), at(10, 0), at(10, 5), at(0, 5), at(0, 0)}});
  const core::CatchmentNesting nesting = nest_catchments(survey({large, small}));
  CHECK(nesting.parent[1] == CatchmentIndex(0));
  CHECK(nesting.overlaps.empty());
}

TEST_CASE("neighbours that overlap in a sliver of a few metres are neighbours") {
  // 0.05 thousandths of longitude are 4.3 m, 0.2 are 17 m.
  CHECK(nest_catchments(survey({catchment({square(0, 0, 5, 10)}), catchment({square(4.95, 0, 12, 10)})}))
            .overlaps.empty());
  CHECK(nest_catchments(survey({catchment({square(0, 0, 5, 10)}), catchment({square(4.8, 0, 12, 10)})}))
            .overlaps.size() == 1);
  CHECK(nest_catchments(survey({catchment({square(0, 0, 5, 10)}), catchment({square(5, 0, 12, 10)})}))
            .overlaps.empty());
}

TEST_CASE("catchments that cross without holding a corner of each other overlap in part") {
  const core::CatchmentNesting nesting =
      nest_catchments(survey({catchment({square(4, 0, 5, 10)}), catchment({square(0, 4, 12, 5)})}));
  CHECK(nesting.parent[0] == kNone);
  CHECK(nesting.parent[1] == kNone);
  CHECK(nesting.overlaps.size() == 1);
}

TEST_CASE("on random nested and scattered squares parents, overlaps and sites agree with trying all") {
  std::mt19937 random(20240507);
  // Corners on a grid of half a thousandth, 43 m by 56 m: borders meet often, and nothing is a sliver.
  const auto place = [&random] { return static_cast<double>(random() % 100) / 2; };
  struct Box {
    double x, y, size;
    bool in(const Box& b) const {
      return x >= b.x && y >= b.y && x + size <= b.x + b.size && y + size <= b.y + b.size;
    }
    bool meets(const Box& b) const {
      return x < b.x + b.size && b.x < x + size && y < b.y + b.size && b.y < y + size;
    }
  };
  std::vector<Box> boxes;
  std::vector<Catchment> catchments;
  for (int i = 0; i < 120; ++i) {
    const Box box{place(), place(), 0.5 + static_cast<double>(random() % 33) / 2};
    boxes.push_back(box);
    catchments.push_back(catchment({square(box.x, box.y, box.x + box.size, box.y + box.size)}));
  }
  std::vector<LonLat> sites;
  for (int i = 0; i < 500; ++i) sites.push_back(at(place() + 0.2, place() + 0.2));
  const core::CatchmentNesting nesting = nest_catchments(survey(catchments, sites));
  std::size_t overlaps = 0, nested = 0;
  for (std::size_t c = 0; c < boxes.size(); ++c) {
    CatchmentIndex parent = kNone;
    for (std::size_t o = 0; o < boxes.size(); ++o) {
      if (o == c) continue;
      overlaps += o > c && boxes[c].meets(boxes[o]) && !boxes[c].in(boxes[o]) && !boxes[o].in(boxes[c]);
      if (boxes[c].in(boxes[o]) &&
          (!parent.has_value() || nesting.area_m2[o] < nesting.area_m2[parent.value()]))
        parent = CatchmentIndex(o);
    }
    CAPTURE(c);
    CHECK(nesting.parent[c] == parent);
    nested += parent.has_value() ? 1 : 0;
  }
  CHECK(nesting.overlaps.size() == overlaps);
  CHECK(nested > 20);
  CHECK(overlaps > 100);
  for (std::size_t i = 0; i < sites.size(); ++i) {
    CatchmentIndex best = kNone;
    for (std::size_t c = 0; c < catchments.size(); ++c)
      if (core::contains(catchments[c].shape, sites[i]) &&
          (!best.has_value() || nesting.area_m2[c] < nesting.area_m2[best.value()]))
        best = CatchmentIndex(c);
    CHECK(nesting.site_smallest[i] == best);
  }
}

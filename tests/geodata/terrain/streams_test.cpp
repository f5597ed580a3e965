#include "geodata/terrain/streams.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

namespace {

// Two valleys from the north meet in (3, 3) and leave to the south; walls fall into them.
const std::vector<std::string> kConfluence = {
    "9 6 9 9 9 6 9", "9 5 9 9 9 5 9", "9 8 4 9 4 8 9", "9 9 8 3 8 9 9", "9 9 8 2 8 9 9", "9 9 8 1 8 9 9",
};

std::vector<CellIndex> cells(std::initializer_list<std::pair<int, int>> places) {
  std::vector<CellIndex> list;
  for (const auto& [r, c] : places) list.push_back(static_cast<CellIndex>(r * 7 + c));
  return list;
}

}  // namespace

TEST_CASE("reaches run from heads to the confluence and on, and share its cell") {
  const FlowGrid flow = route(heights_of(kConfluence));
  const std::vector<StreamReach> reaches = trace_streams(flow, 4);
  REQUIRE(reaches.size() == 3);
  const StreamReach& west = reaches[0];
  const StreamReach& east = reaches[1];
  const StreamReach& below = reaches[2];
  CHECK(west.cells.back() == 3 * 7 + 3);
  CHECK(east.cells.back() == 3 * 7 + 3);
  CHECK(below.cells == cells({{3, 3}, {4, 3}, {5, 3}}));
  CHECK(west.downstream == 2);
  CHECK(east.downstream == 2);
  CHECK(!below.downstream);
  CHECK(near(below.length_m, 2, 0));
  CHECK(below.upstream_cells == flow.upstream.at(5, 3));
  CHECK(west.upstream_cells == flow.upstream[west.cells[west.cells.size() - 2]]);
}

TEST_CASE("without a channel there is no reach, and a threshold of nothing is refused") {
  const FlowGrid flow = route(heights_of(kConfluence));
  CHECK(trace_streams(flow, 43).empty());
  CHECK_THROWS_AS(trace_streams(flow, 0), brookmark::Error);
  CHECK(!nearest_channel_cell(flow, {0, 6, 1, 1}, {3.5, 3.5}, 43, 1e9));
}

TEST_CASE("on random terrains every channel step lies in exactly one reach, joined end to start") {
  for (std::uint32_t seed = 1; seed <= 1000; ++seed) {
    const FlowGrid flow = route(random_terrain(seed));
    CAPTURE(seed);
    for (const std::uint32_t threshold : {1U, 2U, 5U}) {
      const auto reaches = trace_streams(flow, threshold);
      std::set<std::pair<CellIndex, CellIndex>> steps;
      for (const StreamReach& reach : reaches) {
        REQUIRE(reach.cells.size() >= 2);
        for (std::size_t i = 0; i + 1 < reach.cells.size(); ++i) {
          REQUIRE(flow.downstream(reach.cells[i]) == reach.cells[i + 1]);
          REQUIRE(steps.insert({reach.cells[i], reach.cells[i + 1]}).second);
        }
        if (reach.downstream)
          REQUIRE(reaches[*reach.downstream].cells.front() == reach.cells.back());
        else
          REQUIRE(!flow.downstream(reach.cells.back()));
      }
      std::size_t wanted = 0;
      for (CellIndex i = 0; i < flow.size.cells(); ++i)
        wanted += flow.upstream[i] >= threshold && flow.downstream(i) ? 1 : 0;
      REQUIRE(steps.size() == wanted);
    }
  }
}

TEST_CASE("an outlet goes to the nearest channel cell, not past the confluence to the greatest one") {
  const FlowGrid flow = route(heights_of(kConfluence));
  const GridPlace place{0, 6, 1, 1};
  // Beside the western branch, one cell above the confluence: the centre of (2, 2), x 2.5 y 3.5, is nearest.
  const auto snapped = nearest_channel_cell(flow, place, {1.7, 3.4}, 4, 1e9);
  REQUIRE(snapped);
  CHECK(snapped->cell == 2 * 7 + 2);
  CHECK(near(snapped->distance_m, std::hypot(0.8, 0.1), 1e-12));
  CHECK(flow.upstream.at(2, 2) < flow.upstream.at(3, 3));
  CHECK(!nearest_channel_cell(flow, place, {1.7, 3.4}, 4, 0.5));
}

TEST_CASE("the nearest channel cell is the nearest of all, on cells of any shape") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> anywhere(0, 14);
  for (std::uint32_t seed = 1; seed <= 500; ++seed) {
    const Raster<float> z = random_terrain(seed);
    const FlowGrid flow = route_flow(z.copy(), std::vector<RowMetric>(z.size().rows, {3, 1, 3}));
    const GridPlace place{0, static_cast<double>(z.size().rows), 1, 1};
    const brookmark::core::PlanePoint point{std::min(anywhere(random), z.size().cols - 0.01),
                                            std::min(anywhere(random), z.size().rows - 0.01)};
    double wanted = 1e300;
    for (std::size_t r = 0; r < z.size().rows; ++r)
      for (std::size_t c = 0; c < z.size().cols; ++c) {
        if (flow.upstream.at(r, c) < 3) continue;
        const auto centre = place.centre(r, c);
        wanted = std::min(wanted, std::hypot(3 * (centre.x - point.x), centre.y - point.y));
      }
    const auto found = nearest_channel_cell(flow, place, point, 3, 1e9);
    CAPTURE(seed);
    REQUIRE(found.has_value() == (wanted < 1e300));
    if (found) REQUIRE(near(found->distance_m, wanted, 1e-9));
  }
}

TEST_CASE("a drop on the hillside finds the first channel cell and the length of its way") {
  const FlowGrid flow = route(heights_of(kConfluence));
  const FlowPath path = overland_path(flow, 3 * 7 + 1, 4);  // slants down to (2, 2): 5 over 1.41
  CHECK(path.reaches_channel);
  CHECK(path.cells == cells({{3, 1}, {2, 2}}));
  CHECK(near(path.length_m, std::sqrt(2.0), 1e-12));
  CHECK(overland_path(flow, 4 * 7 + 3, 4).cells.size() == 1);
  CHECK(!overland_path(flow, 4 * 7 + 3, 1000).reaches_channel);
  CHECK(overland_path(route(heights_of({". 1"})), 0, 1).cells.empty());
}

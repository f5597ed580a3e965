#include "geodata/terrain/flow.hpp"

#include <doctest/doctest.h>

#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

namespace {

// Directions as arrows of a compass: "E" "SE" ...; "o" lets water out, "." has no height.
std::string drawn(const FlowGrid& flow) {
  constexpr const char* kNames[10] = {"E", "SE", "S", "SW", "W", "NW", "N", "NE", "o", "."};
  std::string text;
  for (std::size_t r = 0; r < flow.size.rows; ++r) {
    for (std::size_t c = 0; c < flow.size.cols; ++c)
      text += (c == 0 ? "" : " ") + std::string(kNames[flow.direction.at(r, c)]);
    text += r + 1 < flow.size.rows ? "|" : "";
  }
  return text;
}

bool same_heights(const Raster<float>& a, const Raster<float>& b) {
  for (CellIndex i = 0; i < a.size().cells(); ++i)
    if (a[i] != b[i] && !(std::isnan(a[i]) && std::isnan(b[i]))) return false;
  return true;
}

std::size_t cells_let_out(const FlowGrid& flow) {
  std::size_t sum = 0;
  for (CellIndex i = 0; i < flow.size.cells(); ++i)
    if (flow.direction[i] == kLeavesGrid) sum += flow.upstream[i];
  return sum;
}

}  // namespace

TEST_CASE("a tilted plane drains straight down every column") {
  const FlowGrid flow = route(heights_of({"3 3 3", "2 2 2", "1 1 1"}));
  CHECK(drawn(flow) == "S S S|S S S|o o o");
  CHECK(flow.upstream.at(2, 0) == 3);
  CHECK(flow.upstream.at(2, 1) == 3);
  CHECK(flow.changed_cells == 0);
  CHECK(flow.depressions == 0);
}

TEST_CASE("a cone sheds water to all sides from its top") {
  const FlowGrid flow = route(heights_of({
      "1 2 3 2 1",
      "2 3 4 3 2",
      "3 4 5 4 3",
      "2 3 4 3 2",
      "1 2 3 2 1",
  }));
  // By hand: a slanting step falls 2 over 1.414, a straight one 1 over 1. The slanting one is steeper where there
  // is one that falls 2. Ties go to the first clockwise from the east: E, SE, S, SW, W, NW, N, NE.
  CHECK(drawn(flow) == "o W E E o|N NW NW NE N|S SW SE SE S|S SW SE SE S|o W E E o");
  CHECK(cells_let_out(flow) == 25);
}

TEST_CASE("a pit is filled to its lowest rim and drains over it") {
  const Raster<float> z = heights_of({
      "9 9 9 9 9",
      "9 5 5 5 9",
      "9 5 1 5 6",
      "9 5 5 5 9",
      "9 9 9 9 9",
  });
  const FlowGrid flow = route(z);
  for (std::size_t r = 1; r < 4; ++r)
    for (std::size_t c = 1; c < 4; ++c) CHECK(flow.height.at(r, c) == 6);
  CHECK(flow.changed_cells == 9);
  CHECK(flow.depressions == 1);
  CHECK(flow.direction.at(2, 4) == kLeavesGrid);
  // The whole grid: every rim cell is lowest towards the lake, or towards the outlet beside it.
  CHECK(flow.upstream.at(2, 4) == 25);
}

TEST_CASE("breaching cuts through the rim instead, and leaves the rest of the ground alone") {
  const FlowGrid flow = route(heights_of({
                                  "9 9 9 9 9 9",
                                  "9 5 5 5 8 9",
                                  "9 5 1 5 6 7",
                                  "9 5 5 5 8 9",
                                  "9 9 9 9 9 9",
                              }),
                              {.breach = true});
  CHECK(same_heights(flow.height, heights_of({
                                      "9 9 9 9 9 9",
                                      "9 5 5 5 8 9",
                                      "9 5 1 1 1 1",
                                      "9 5 5 5 8 9",
                                      "9 9 9 9 9 9",
                                  })));
  CHECK(flow.changed_cells == 3);
  CHECK(flow.direction.at(2, 2) == kEast);
  CHECK(flow.upstream.at(2, 5) == 30);
}

TEST_CASE("two basins: the higher one spills into the lower one, which spills out") {
  const FlowGrid flow = route(heights_of({
      "9 9 9 9 9 9 9",
      "9 4 9 7 2 9 9",
      "9 9 8 9 9 6 9",
      "9 9 9 9 9 9 5",
  }));
  CHECK(flow.height.at(1, 1) == 8);  // over (2, 2)
  CHECK(flow.height.at(1, 3) == 7);  // dry
  CHECK(flow.height.at(1, 4) == 6);  // over (2, 5)
  CHECK(flow.depressions == 2);
  CHECK(flow.direction.at(1, 1) == kSouthEast);
  CHECK(flow.direction.at(2, 2) == kNorthEast);
  CHECK(flow.direction.at(1, 3) == kEast);
  CHECK(flow.direction.at(1, 4) == kSouthEast);
}

TEST_CASE("water on a flat lake leaves the shore and gathers towards the outlet") {
  const FlowGrid flow = route(heights_of({
      "9 9 9 9 9 9 9",
      "9 5 5 5 5 5 9",
      "9 5 5 5 5 5 4",
      "9 5 5 5 5 5 9",
      "9 9 9 9 9 9 9",
  }));
  // Barnes, Lehman & Mulla's two gradients by hand. The outlet cell (2, 5) and its equals (1, 5) and (3, 5) have
  // the lower (2, 6) beside them. Of the other twelve, the middle row is one step farther from the shore. Rim cells
  // fall 4 to the lake (straight before slanting, which is 4 over 1.414), those above and below (2, 6) fall 5 to it.
  CHECK(drawn(flow) == "SE S S S S S SW|E SE SE SE E SE S|E E E E E E o|E NE NE NE E NE N|NE N N N N N NW");
}

TEST_CASE("a spiral valley carries the water of every cell once around and out") {
  // Heights fall by one a step along the spiral from its middle to the west; walls of 99 between.
  const FlowGrid flow = route(heights_of({
      "99 99 99 99 99 99 99",
      "99 14 15 16 17 18 99",
      "99 13 99 99 99 19 99",
      "99 12 99 22 21 20 99",
      "99 11 99 99 99 99 99",
      "99 10  9  8  7  6  5",
      "99 99 99 99 99 99 99",
  }));
  CHECK(flow.changed_cells == 0);
  std::size_t steps = 0;
  std::optional<CellIndex> at = 3 * 7 + 3;
  for (; flow.downstream(*at); at = flow.downstream(*at)) ++steps;
  CHECK(*at == 5 * 7 + 6);
  // 17 steps along the spiral's cells, less one at each of the corners (5,1), (1,1), (1,5) and (3,5), which a
  // slanting step cuts: a fall of 2 over 1.414 is steeper than 1 over 1.
  CHECK(steps == 13);
}

TEST_CASE("a hole lets water out and is not crossed") {
  const FlowGrid flow = route(heights_of({
      "9 9 9 9 9",
      "9 8 8 8 9",
      "9 8 . 8 9",
      "9 8 8 8 9",
      "9 9 9 9 9",
  }));
  CHECK(flow.direction.at(2, 2) == kNoDirection);
  CHECK(flow.upstream.at(2, 2) == 0);
  CHECK(flow.direction.at(2, 1) == kLeavesGrid);
  CHECK(flow.valid_cells == 24);
  CHECK(cells_let_out(flow) == 24);
}

TEST_CASE("one cell, one row and no height at all are terrains too") {
  CHECK(drawn(route(heights_of({"5"}))) == "o");
  CHECK(drawn(route(heights_of({"3 2 3"}))) == "E o W");
  const FlowGrid none = route(heights_of({". .", ". ."}));
  CHECK(drawn(none) == ". .|. .");
  CHECK(none.valid_cells == 0);
}

TEST_CASE("directions follow the ground where cells are not square") {
  // 1 down to the east over 3 m; 0.9 down to the south over 1 m; slanting 1.5 over 3.16 m.
  const Raster<float> z = heights_of({"5 5 5", "5 3 2", "5 2.1 1.5"});
  const std::vector<RowMetric> wide(3, {3, 1, 3});
  CHECK(route_flow(z.copy(), wide).direction.at(1, 1) == kSouth);
  const std::vector<RowMetric> high(3, {1, 3, 3});
  CHECK(route_flow(z.copy(), high).direction.at(1, 1) == kEast);
  CHECK(route(z).direction.at(1, 1) == kSouthEast);  // 1.06 against 1 and 0.9
}

TEST_CASE("filling and counting agree with the plain ways on thousands of random terrains") {
  for (std::uint32_t seed = 1; seed <= 3000; ++seed) {
    const Raster<float> z = random_terrain(seed);
    const Raster<float> wanted = plain_fill(z);
    CAPTURE(seed);
    for (const std::size_t cells_in_strip : {std::size_t{1}, std::size_t{30}, std::size_t{1} << 19}) {
      const FlowGrid flow = route(z, {.threads = 2, .cells_in_strip = cells_in_strip});
      REQUIRE(same_heights(flow.height, wanted));
      const std::vector<std::uint32_t> count = plain_count(flow);
      std::size_t valid = 0, raised = 0;
      for (CellIndex i = 0; i < z.size().cells(); ++i) {
        REQUIRE(flow.upstream[i] == count[i]);
        valid += std::isnan(z[i]) ? 0 : 1;
        raised += wanted[i] > z[i] ? 1 : 0;
        REQUIRE((flow.direction[i] == kNoDirection) == std::isnan(z[i]));
        const auto next = flow.downstream(i);
        if (next) REQUIRE(flow.height[*next] <= flow.height[i]);
      }
      REQUIRE(flow.valid_cells == valid);
      REQUIRE(flow.changed_cells == raised);
      REQUIRE(cells_let_out(flow) == valid);
    }
  }
}

TEST_CASE("every cell that has a lower neighbour drains down the steepest fall of the filled ground") {
  for (std::uint32_t seed = 1; seed <= 500; ++seed) {
    const Raster<float> z = random_terrain(seed);
    const FlowGrid flow = route(z, {.cells_in_strip = 20});
    CAPTURE(seed);
    for (std::size_t r = 0; r < z.size().rows; ++r)
      for (std::size_t c = 0; c < z.size().cols; ++c) {
        double steepest = 0, taken = 0;
        each_neighbour(z.size(), r, c, [&](std::size_t nr, std::size_t nc, std::uint8_t k) {
          const double fall = (double{flow.height.at(r, c)} - double{flow.height.at(nr, nc)}) /
                              (is_diagonal(k) ? std::sqrt(2.0) : 1);
          steepest = std::max(steepest, fall);  // a NaN never wins
          if (flow.direction.at(r, c) == k) taken = fall;
        });
        REQUIRE(near(taken, steepest, 1e-5));  // heights up to 12 in single precision
      }
  }
}

TEST_CASE("breaching drains every cell of random terrains, lowers only, and needs no filling after") {
  for (std::uint32_t seed = 1; seed <= 3000; ++seed) {
    const Raster<float> z = random_terrain(seed);
    CAPTURE(seed);
    for (const std::size_t cells_in_strip : {std::size_t{1}, std::size_t{1} << 19}) {
      const FlowGrid flow = route(z, {.breach = true, .threads = 2, .cells_in_strip = cells_in_strip});
      for (CellIndex i = 0; i < z.size().cells(); ++i) REQUIRE(!(flow.height[i] > z[i]));
      REQUIRE(same_heights(plain_fill(flow.height), flow.height));
      REQUIRE(cells_let_out(flow) == flow.valid_cells);
      plain_count(flow);  // throws on a circle
    }
  }
}

TEST_CASE("the answer does not depend on the number of threads") {
  Raster<float> z({300, 200});
  std::mt19937 random(5);
  for (float& h : z.cells()) h = static_cast<float>(random() % 1000);
  const FlowGrid one = route(z, {.threads = 1, .cells_in_strip = 2000});
  const FlowGrid four = route(z, {.threads = 4, .cells_in_strip = 2000});
  CHECK(std::equal(one.upstream.cells().begin(), one.upstream.cells().end(), four.upstream.cells().begin()));
  CHECK(
      std::equal(one.direction.cells().begin(), one.direction.cells().end(), four.direction.cells().begin()));
}

TEST_CASE("the work can be stopped, and tells how far it is") {
  const Raster<float> z(GridSize{200, 200}, 1.0F);
  double last = -1;
  bool rising = true;
  route(z, {.cells_in_strip = 1000, .progress = [&](double done) {
              rising = rising && done >= last && done <= 1;
              last = done;
              return true;
            }});
  CHECK(rising);
  CHECK(last == 1);
  CHECK_THROWS_AS(route(z, {.cells_in_strip = 1000, .progress = [](double done) { return done < 0.5; }}),
                  Stopped);
}

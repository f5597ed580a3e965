#include "geodata/terrain/catchments.hpp"

#include <doctest/doctest.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <set>

#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

namespace {

// Its own area counts the cells, its own in-test counts crossings: GDAL's, not ours.
OGRMultiPolygon to_ogr(const std::vector<CornerPolygon>& polygons) {
  OGRMultiPolygon multi;
  for (const CornerPolygon& polygon : polygons) {
    OGRPolygon part;
    for (const CornerRing& ring : polygon.rings) {
      OGRLinearRing line;
      for (const Corner& corner : ring) line.addPoint(corner.col, -static_cast<double>(corner.row));
      part.addRing(&line);
    }
    multi.addGeometry(&part);
  }
  return multi;
}

bool lies_in(const OGRMultiPolygon& shape, std::size_t r, std::size_t c) {
  OGRPoint centre(static_cast<double>(c) + 0.5, -(static_cast<double>(r) + 0.5));
  return shape.Intersects(&centre) != 0;
}

CatchmentCells owners(const std::vector<std::string>& drawing, std::size_t count) {
  const Raster<float> drawn = heights_of(drawing);
  CatchmentCells cells{Raster<std::uint32_t>(drawn.size()), std::vector<CatchmentArea>(count)};
  for (CellIndex i = 0; i < drawn.size().cells(); ++i) cells.owner[i] = static_cast<std::uint32_t>(drawn[i]);
  for (CatchmentArea& area : cells.areas) {
    area.own_cells = 1;
    area.end_row = drawn.size().rows;
    area.end_col = drawn.size().cols;
  }
  return cells;
}

std::size_t corners_of(const std::vector<CornerPolygon>& polygons) {
  std::size_t n = 0;
  for (const auto& p : polygons)
    for (const auto& ring : p.rings) n += ring.size() - 1;
  return n;
}

const std::vector<std::size_t> kFirst{0};

}  // namespace

TEST_CASE("an outline follows the edges of cells, with holes, and starts anew across a corner") {
  const auto ring = trace_outline(owners({"1 1 1", "1 0 1", "1 1 1"}, 1), kFirst);
  REQUIRE(ring.size() == 1);
  REQUIRE(ring[0].rings.size() == 2);
  CHECK(corners_of(ring) == 8);
  CHECK(near(to_ogr(ring).get_Area(), 8, 0));
  CHECK(ring[0].rings[0].front() == ring[0].rings[0].back());

  const auto corner = trace_outline(owners({"1 0", "0 1"}, 1), kFirst);
  CHECK(corner.size() == 2);
  CHECK(to_ogr(corner).IsValid());

  // The pocket in the middle is open to the outside across a corner only: the outer ring touches it in one point.
  const auto pocket = trace_outline(owners({"1 1 1 1", "1 0 1 1", "1 1 0 0"}, 1), kFirst);
  REQUIRE(pocket.size() == 1);
  CHECK(pocket[0].rings.size() == 2);
  CHECK(near(to_ogr(pocket).get_Area(), 9, 0));
  CHECK(to_ogr(pocket).IsValid());
  // The same pocket where the outline starts at the pinch.
  const auto start = trace_outline(owners({"0 1 1", "1 0 1", "1 1 1"}, 1), kFirst);
  REQUIRE(start.size() == 1);
  CHECK(to_ogr(start).IsValid());
  CHECK(near(to_ogr(start).get_Area(), 7, 0));
}

TEST_CASE("an island in a lake in an island is a polygon of its own") {
  const auto nested =
      trace_outline(owners({"1 1 1 1 1", "1 0 0 0 1", "1 0 1 0 1", "1 0 0 0 1", "1 1 1 1 1"}, 1), kFirst);
  CHECK(nested.size() == 2);
  CHECK(near(to_ogr(nested).get_Area(), 17, 0));
  CHECK(to_ogr(nested).IsValid());
}

TEST_CASE("where three areas meet on a straight edge all three have the corner") {
  const CatchmentCells cells = owners({"1 1", "2 3"}, 3);
  const auto has = [&](std::size_t i) {
    const std::vector<std::size_t> one{i};
    const auto outline = trace_outline(cells, one);
    return std::count(outline[0].rings[0].begin(), outline[0].rings[0].end(), Corner{1, 1}) > 0;
  };
  CHECK(has(0));
  CHECK(has(1));
  CHECK(has(2));
}

TEST_CASE("outlines of random pictures are valid and hold exactly their cells") {
  std::mt19937 random(11);
  for (int round = 0; round < 400; ++round) {
    const GridSize size{1 + static_cast<std::uint32_t>(random()) % 9,
                        1 + static_cast<std::uint32_t>(random()) % 9};
    CatchmentCells cells{Raster<std::uint32_t>(size), std::vector<CatchmentArea>(2)};
    for (std::uint32_t& o : cells.owner.cells()) o = static_cast<std::uint32_t>(random()) % 3;
    for (CatchmentArea& area : cells.areas)
      area.own_cells = 1, area.end_row = size.rows, area.end_col = size.cols;
    CAPTURE(round);
    for (const std::vector<std::size_t>& which : {std::vector<std::size_t>{0}, {1}, {0, 1}}) {
      const OGRMultiPolygon shape = to_ogr(trace_outline(cells, which));
      std::size_t wanted = 0;
      for (std::size_t r = 0; r < size.rows; ++r)
        for (std::size_t c = 0; c < size.cols; ++c) {
          const std::uint32_t owner = cells.owner.at(r, c);
          const bool member = owner != 0 && std::count(which.begin(), which.end(), owner - 1) == 1;
          wanted += member ? 1 : 0;
          REQUIRE(lies_in(shape, r, c) == member);
        }
      REQUIRE(near(shape.get_Area(), static_cast<double>(wanted), 0));
      REQUIRE((shape.IsEmpty() || shape.IsValid()));
    }
  }
}

TEST_CASE("sub-catchments of random terrains do not overlap, and nest with the right areas") {
  std::mt19937 random(13);
  for (std::uint32_t seed = 1; seed <= 500; ++seed) {
    const Raster<float> z = random_terrain(seed);
    const std::vector<RowMetric> metrics(z.size().rows, {2, 5, 10});
    const FlowGrid flow = route_flow(z.copy(), metrics);
    std::vector<CellIndex> outlets;
    for (int i = 0; i < 4; ++i) outlets.push_back(random() % z.size().cells());
    const CatchmentCells found = find_catchments(flow, outlets);
    CAPTURE(seed);
    std::vector<std::size_t> own(4, 0), whole(4, 0);
    for (CellIndex start = 0; start < z.size().cells(); ++start) {
      if (std::isnan(z[start])) {
        REQUIRE(found.owner[start] == 0);
        continue;
      }
      std::uint32_t first = 0;
      for (std::optional<CellIndex> at = start; at; at = flow.downstream(*at))
        for (std::size_t i = 0; i < 4; ++i) {
          if (outlets[i] != *at) continue;
          if (first == 0) first = static_cast<std::uint32_t>(i + 1), ++own[i];
          ++whole[i];
        }
      REQUIRE(found.owner[start] == first);
    }
    for (std::size_t i = 0; i < 4; ++i) {
      const CatchmentArea& area = found.areas[i];
      REQUIRE(area.own_cells == own[i]);
      REQUIRE(area.whole_cells == whole[i]);
      REQUIRE(near(area.whole_area_m2, 10.0 * static_cast<double>(whole[i]), 1e-9));
      if (area.own_cells == 0) continue;
      const OGRMultiPolygon shape = to_ogr(trace_outline(found, found.with_inner(i)));
      REQUIRE(near(shape.get_Area(), static_cast<double>(whole[i]), 0));  // whole numbers
      if (area.inside) REQUIRE(found.areas[*area.inside].whole_cells > area.whole_cells);
    }
  }
}

TEST_CASE("neighbours share every point of their border, so that no gap opens in other coordinates") {
  Raster<float> z({60, 70});
  std::mt19937 random(21);
  for (float& h : z.cells()) h = static_cast<float>(random() % 40);
  const FlowGrid flow = route(z);
  // All ways out of the grid and some places between: the parts cover it wholly.
  std::vector<CellIndex> outlets;
  for (CellIndex i = 0; i < flow.size.cells(); ++i)
    if (flow.direction[i] == kLeavesGrid || i % 97 == 0) outlets.push_back(i);
  const CatchmentCells found = find_catchments(flow, outlets);
  std::set<std::pair<Corner, Corner>> sides;
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    const std::vector<std::size_t> one{i};
    for (const CornerPolygon& polygon : trace_outline(found, one))
      for (const CornerRing& ring : polygon.rings)
        for (std::size_t k = 0; k + 1 < ring.size(); ++k)
          REQUIRE(sides.insert({ring[k], ring[k + 1]}).second);
  }
  std::size_t inner = 0;
  for (const auto& [from, to] : sides) {
    const bool at_border = (from.row == to.row && (from.row == 0 || from.row == 60)) ||
                           (from.col == to.col && (from.col == 0 || from.col == 70));
    if (at_border) continue;
    REQUIRE(sides.count({to, from}) == 1);
    ++inner;
  }
  CHECK(inner > 1000);
}

// Basins against values from outside: tests/reference/terrain/README.md.
#include <doctest/doctest.h>

#include <cmath>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "geodata/terrain/catchments.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/streams.hpp"
#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;

namespace {

struct Basin {
  std::string outlet;
  std::size_t row, col;
  double x, y, d8_cells, area_m2, grass_cells, cells_by_greatest;
};

std::vector<Basin> reference_basins() {
  const auto table = brookmark::core::read_csv_file(reference("terrain/ref_basins.csv"));
  std::vector<Basin> basins;
  for (const auto& row : table.rows) {
    const auto at = [&](const char* column) { return row.cells[*table.find(column)]; };
    const auto value = [&](const char* column) { return brookmark::core::parse_number(at(column)).value(); };
    basins.push_back({at("outlet") + " " + at("grass_input"), static_cast<std::size_t>(value("row")),
                      static_cast<std::size_t>(value("col")), value("x"), value("y"), value("d8_cells"),
                      value("area_map_units2"), value("grass_cells"),
                      value("cells_if_snapped_to_greatest_acc")});
  }
  return basins;
}

const FlowGrid& fractal() {
  static const FlowGrid flow = [] {
    DemFile dem(reference("terrain/fractal_500.tif"), {});
    return route_flow(dem.read({}), dem.rows());
  }();
  return flow;
}

}  // namespace

TEST_CASE(
    "basins of a fractal terrain have the reference's cells, and the other program's area to 0.2 percent") {
  const DemFile dem(reference("terrain/fractal_500.tif"), {});
  const FlowGrid& flow = fractal();
  REQUIRE(reference_basins().size() == 6);
  for (const Basin& basin : reference_basins()) {
    CAPTURE(basin.outlet);
    // The cell's centre in the table is the one we give it.
    const auto cell = dem.place().cell_at({basin.x, basin.y}, flow.size);
    REQUIRE(cell);
    REQUIRE(*cell == basin.row * 500 + basin.col);
    const std::vector<CellIndex> outlets{*cell};
    const CatchmentCells found = find_catchments(flow, outlets);
    const double cells = static_cast<double>(found.areas[0].whole_cells);
    CHECK(cells == basin.d8_cells);  // another D8 over the same filled surface
    CHECK(near_relative(cells, basin.grass_cells, 0.002));
    CHECK(near_relative(found.areas[0].whole_area_m2, basin.area_m2, 0.002));
    CHECK(near(found.areas[0].whole_area_m2, 100 * cells, 0));  // 10 m cells, whole numbers
    CHECK(flow.upstream[*cell] == found.areas[0].whole_cells);
  }
}

TEST_CASE("an outlet beside the channel snaps to the nearest cell and keeps the reference's basin") {
  const DemFile dem(reference("terrain/fractal_500.tif"), {});
  const FlowGrid& flow = fractal();
  for (const Basin& basin : reference_basins()) {
    CAPTURE(basin.outlet);
    const auto snapped = nearest_channel_cell(flow, dem.place(), {basin.x + 1, basin.y - 1}, 1000, 250);
    REQUIRE(snapped);
    CHECK(snapped->distance_m < 10);
    CHECK(near_relative(flow.upstream[snapped->cell], basin.d8_cells, 0.002));
  }
}

TEST_CASE("the volcano drains wholly, and its crater spills over the lowest rim") {
  DemFile dem(reference("terrain/volcano_10m.tif"), {.crs = "EPSG:32760"});
  const Raster<float> z = dem.read({});
  const FlowGrid flow = route_flow(z.copy(), dem.rows());
  const Raster<float> wanted = plain_fill(z);
  std::size_t out = 0;
  for (CellIndex i = 0; i < z.size().cells(); ++i) {
    REQUIRE(flow.height[i] == wanted[i]);
    if (flow.direction[i] == kLeavesGrid) out += flow.upstream[i];
  }
  CHECK(out == 61 * 87);
}

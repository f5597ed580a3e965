#include "geodata/terrain/overland.hpp"

#include <doctest/doctest.h>

#include "tests/geodata/terrain/dems.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;
namespace core = brookmark::core;

namespace {

// Land that falls to the south, 10 m cells, 30 rows by 20 columns; a brook along the row of centres y = 5999805 (row
// 19), running east. Below the brook the land goes on falling, off the model.
struct Hillside {
  TemporaryFolder folder;
  std::optional<DemFile> dem;
  FlowGrid flow;
  core::Snapshot survey;
  core::ChannelNetwork channels;

  explicit Hillside(std::optional<std::size_t> hole_row = {}) {
    Raster<float> z({30, 20});
    for (std::size_t r = 0; r < 30; ++r)
      for (std::size_t c = 0; c < 20; ++c) z.at(r, c) = static_cast<float>(500 - 2 * static_cast<double>(r));
    if (hole_row)
      for (std::size_t c = 0; c < 20; ++c) z.at(*hole_row, c) = kNoHeight;
    write_dem(folder / "hill.tif", z, {});
    dem.emplace(folder / "hill.tif", DemOptions{});
    flow = route_flow(dem->read({}), dem->rows());
    core::Reach brook;
    brook.line = {at(500005, 5999805), at(500195, 5999805)};
    survey.reaches = {brook};
    channels = core::build_channels(survey.reaches);
  }
  core::LonLat at(double x, double y) const { return dem->to_lonlat({x, y}).value(); }
  void outfall(const char* code, core::LonLat position) {
    core::Outfall o;
    o.code = code;
    o.position = position;
    survey.outfalls.push_back(o);
  }
};

}  // namespace

TEST_CASE("a pool on a hillside drains straight down to the brook and on along it") {
  Hillside hill;
  hill.outfall("BELOW", hill.at(500155, 5999805));
  hill.outfall("ABOVE", hill.at(500025, 5999805));
  const core::LonLat pool = hill.at(500055, 5999905);  // the centre of row 9: ten rows above the brook's
  const OverlandWay way = overland_to_channel(hill.flow, *hill.dem, pool, hill.channels);
  REQUIRE(way.channel.has_value());
  // The brook is met from the first cell whose diagonal (14.1 m) reaches it: row 18, 10 m away; in all 100 m, on the
  // plane of EPSG:25832 whose scale on its middle line is 0.9996.
  CHECK(near(way.length_m, 100 / 0.9996, 0.05));
  const auto found = outfalls_over_ground(way, hill.survey, hill.channels);
  REQUIRE(found.size() == 1);
  CHECK(hill.survey.outfalls[found[0].target].code == "BELOW");
  CHECK(found[0].relation == core::Relation::kDownstream);
  CHECK(near(found[0].distance_m.value(), 200 / 0.9996, 0.1));
  CHECK(near(core::length_m(found[0].path), *found[0].distance_m, 0.01));
  CHECK(found[0].note.find("100 m of it over the ground") != std::string::npos);
  CHECK(near(found[0].straight_m, std::hypot(100, 100) / 0.9996, 0.1));
  CHECK(outfalls_over_ground(way, hill.survey, hill.channels, {core::Direction::kDownstream, 150.0}).empty());
}

TEST_CASE("a place whose water never meets a channel, off the model or in a hole says so") {
  Hillside hill;
  hill.outfall("O", hill.at(500155, 5999805));
  const auto below = overland_to_channel(hill.flow, *hill.dem, hill.at(500055, 5999735), hill.channels);
  CHECK_FALSE(below.channel.has_value());
  CHECK(below.note.find("leaves the terrain model") != std::string::npos);
  CHECK(outfalls_over_ground(below, hill.survey, hill.channels).empty());
  const auto outside = overland_to_channel(hill.flow, *hill.dem, hill.at(499000, 5999900), hill.channels);
  CHECK(outside.note.find("outside the terrain model") != std::string::npos);
  Hillside holed(9);
  const auto hole = overland_to_channel(holed.flow, *holed.dem, holed.at(500055, 5999905), holed.channels);
  CHECK(hole.note.find("no height") != std::string::npos);
}

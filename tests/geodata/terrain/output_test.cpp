// What is written: targets are whole or untouched.
#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "geodata/terrain/terrain_output.hpp"
#include "tests/geodata/terrain/dems.hpp"
#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;
using brookmark::Error;

namespace {

struct Fixture {
  TemporaryFolder folder;
  std::filesystem::path file;
  Fixture() {
    Raster<float> z({60, 70});
    std::mt19937 random(21);
    for (std::size_t r = 0; r < 60; ++r)
      for (std::size_t c = 0; c < 70; ++c)
        z.at(r, c) = static_cast<float>(r) + 0.3F * static_cast<float>(random() % 10);
    file = folder / "dem.tif";
    write_dem(file, z, {});
  }
};

std::size_t files_in(const TemporaryFolder& folder) {
  std::size_t n = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder.path())) ++n;
  return n;
}

}  // namespace

TEST_CASE("writing that is stopped or fails leaves the target as it was") {
  const Fixture fixture;
  DemFile dem(fixture.file, {});
  const FlowGrid flow = route_flow(dem.read({}), dem.rows());
  const auto reaches = trace_streams(flow, 5);
  const auto target = fixture.folder / "s.gpkg";
  const auto stop = [](double) { return false; };
  CHECK_THROWS_AS(write_streams(target, dem, flow, reaches, {.progress = stop}), Stopped);
  CHECK_THROWS_AS(write_hillshade(fixture.folder / "h.tif", dem, {.progress = stop}), Stopped);
  CHECK(files_in(fixture.folder) == 1);

  write_text(target, "mine");
  CHECK_THROWS_AS(write_streams(target, dem, flow, reaches, {}), Error);
  CHECK(read_text(target) == "mine");
  CHECK_THROWS_AS(write_streams(target, dem, flow, reaches, {.overwrite = true, .progress = stop}), Stopped);
  CHECK(read_text(target) == "mine");
  write_streams(target, dem, flow, reaches, {.overwrite = true});
  CHECK(read_layer(target, {}).rows.size() == reaches.size());
  CHECK(files_in(fixture.folder) == 2);
}

TEST_CASE("a format of several files comes and stays whole") {
  const Fixture fixture;
  DemFile dem(fixture.file, {});
  const FlowGrid flow = route_flow(dem.read({}), dem.rows());
  const auto reaches = trace_streams(flow, 5);
  const auto target = fixture.folder / "s.shp";
  write_streams(target, dem, flow, reaches, {});
  CHECK(read_layer(target, {}).rows.size() == reaches.size());
  CHECK(std::filesystem::exists(fixture.folder / "s.dbf"));
  CHECK(std::filesystem::exists(fixture.folder / "s.prj"));
  std::filesystem::remove(target);
  const auto before = files_in(fixture.folder);
  CHECK_THROWS_AS(write_streams(target, dem, flow, reaches, {}), Error);  // s.dbf is somebody's
  CHECK(files_in(fixture.folder) == before);
}

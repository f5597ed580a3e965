#include "geodata/terrain/dem.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "core/base/error.hpp"
#include "geodata/terrain/holes.hpp"
#include "tests/geodata/terrain/dems.hpp"
#include "tests/geodata/terrain/grids.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::geodata;
using namespace brookmark::test;
using brookmark::Error;
using brookmark::core::LonLat;

namespace {

std::string refusal(const std::filesystem::path& file, const DemOptions& options = {}) {
  try {
    DemFile dem(file, options);
    dem.read({});
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

Raster<float> slope(std::uint32_t rows = 4, std::uint32_t cols = 5) {
  Raster<float> z({rows, cols});
  for (std::size_t r = 0; r < rows; ++r)
    for (std::size_t c = 0; c < cols; ++c) z.at(r, c) = static_cast<float>(100 + 10 * r + c);
  return z;
}

constexpr double kRadian = std::numbers::pi / 180;

}  // namespace

TEST_CASE("a projected terrain is read north up with its own metres") {
  const TemporaryFolder folder;
  write_dem(folder / "a.tif", slope(), {});
  DemFile dem(folder / "a.tif", {});
  CHECK(dem.size() == GridSize{4, 5});
  CHECK(near(dem.rows()[0].width_m, 10, 0));
  CHECK(near(dem.rows()[3].area_m2, 100, 0));
  CHECK(dem.read({}).at(3, 4) == 134);
  CHECK(dem.place().centre(0, 0) == brookmark::core::PlanePoint{500005, 5999995});
  CHECK(dem.notes().empty());
}

TEST_CASE("a file that begins in the south is turned north up") {
  const TemporaryFolder folder;
  write_dem(folder / "a.tif", slope(), {.transform = {500000, 10, 0, 5999960, 0, 10}});
  DemFile dem(folder / "a.tif", {});
  const Raster<float> z = dem.read({});
  CHECK(z.at(0, 0) == 130);
  CHECK(z.at(3, 4) == 104);
  CHECK(dem.place().north == 6000000);
  float part[4];
  dem.read_window({1, 2, 2, 2}, part);
  CHECK(part[0] == z.at(1, 2));
  CHECK(part[3] == z.at(2, 3));
}

TEST_CASE("cells in degrees have the metres of their latitude") {
  const TemporaryFolder folder;
  const double step = 1.0 / 3600;
  write_dem(folder / "a.tif", slope(600, 4), {.epsg = 4326, .transform = {10, step, 0, 60, 0, -step}});
  const DemFile dem(folder / "a.tif", {});
  // Against geodesics (Karney) along the middle of a row. A parallel is no geodesic, but over 31 m it is one to
  // far below a micrometre.
  for (const std::size_t r : {std::size_t{0}, std::size_t{599}}) {
    const double lat = 60 - (static_cast<double>(r) + 0.5) * step;
    const double width_m = brookmark::core::geodesic_m({10, lat}, {10 + step, lat});
    const double height_m = brookmark::core::geodesic_m({10, lat + step / 2}, {10, lat - step / 2});
    CHECK(near(dem.rows()[r].width_m, width_m, 1e-6));
    CHECK(near(dem.rows()[r].height_m, height_m, 1e-6));
    CHECK(near_relative(dem.rows()[r].area_m2, width_m * height_m, 1e-6));
  }
  CHECK(dem.rows()[599].width_m > dem.rows()[0].width_m);
  // All rows together are the band of a zone: against the geodesic polygon of core, whose northern and southern sides
  // are drawn along the parallel in steps of a hundredth of the width.
  double sum = 0;
  for (const RowMetric& row : dem.rows()) sum += 4 * row.area_m2;
  const double south = 60 - 600 * step, east = 10 + 4 * step;
  brookmark::core::Line ring;
  for (int i = 0; i <= 100; ++i) ring.push_back({10 + (east - 10) * i / 100, south});
  for (int i = 100; i >= 0; --i) ring.push_back({10 + (east - 10) * i / 100, 60});
  ring.push_back(ring.front());
  CHECK(near_relative(sum, brookmark::core::area_m2({{{ring}}}), 1e-9));
}

TEST_CASE("feet become metres") {
  const TemporaryFolder folder;
  // EPSG:2263 counts in US survey feet of 1200 / 3937 m.
  write_dem(folder / "a.tif", slope(), {.epsg = 2263, .transform = {984250, 10, 0, 196850, 0, -10}});
  const DemFile dem(folder / "a.tif", {});
  CHECK(near(dem.rows()[0].width_m, 10 * 1200.0 / 3937, 1e-9));
}

TEST_CASE("a plane that stretches the land is not believed") {
  const TemporaryFolder folder;
  // Web Mercator at 60 degrees north: every length is 1 / cos(60) = 2 times too long, on the sphere.
  const double y = 6378137 * std::log(std::tan((45 + 30) * kRadian));
  write_dem(folder / "a.tif", slope(), {.epsg = 3857, .transform = {1113195, 20, 0, y + 40, 0, -20}});
  const DemFile dem(folder / "a.tif", {});
  // The ellipsoid differs from the sphere by up to its flattening, 0.34 %, times two.
  CHECK(near_relative(dem.rows()[2].width_m, 10, 0.007));
  CHECK(near_relative(dem.rows()[2].area_m2, 100, 0.014));
  REQUIRE(dem.notes().size() == 1);
  CHECK(says(dem.notes()[0], "ellipsoid"));
}

TEST_CASE("no data, NaN, infinity and scaled whole numbers are understood") {
  const TemporaryFolder folder;
  Raster<float> z = slope();
  z.at(1, 1) = kNoHeight;
  write_dem(folder / "nodata.tif", z, {.no_data = -9999});
  CHECK(std::isnan(DemFile(folder / "nodata.tif", {}).read({}).at(1, 1)));
  write_dem(folder / "nan.tif", z, {});
  CHECK(std::isnan(DemFile(folder / "nan.tif", {}).read({}).at(1, 1)));
  z.at(1, 1) = INFINITY;
  write_dem(folder / "inf.tif", z, {});
  CHECK(std::isnan(DemFile(folder / "inf.tif", {}).read({}).at(1, 1)));
  write_dem(folder / "int.tif", slope(), {.type = GDT_Int16});
  {
    auto* dataset = static_cast<GDALDataset*>(GDALOpen((folder / "int.tif").c_str(), GA_Update));
    dataset->GetRasterBand(1)->SetScale(0.1);
    dataset->GetRasterBand(1)->SetOffset(5);
    GDALClose(dataset);
  }
  CHECK(near(DemFile(folder / "int.tif", {}).read({}).at(3, 4), 18.4, 1e-5));  // single precision
}

TEST_CASE("holes and unlikely heights are told") {
  const TemporaryFolder folder;
  Raster<float> z = slope(6, 8);
  z.at(1, 1) = z.at(2, 2) = z.at(4, 5) = z.at(0, 7) = kNoHeight;  // two holes, and a corner that is none
  z.at(5, 0) = -32768;
  write_dem(folder / "a.tif", z, {.no_data = -9999});
  DemFile dem(folder / "a.tif", {});
  dem.read({});
  REQUIRE(dem.notes().size() == 2);
  CHECK(says(dem.notes()[0], "1 cells are lower than -500 m"));
  CHECK(says(dem.notes()[1], "2 holes inside the terrain (3 cells without a height)"));
}

TEST_CASE("holes are counted by groups, open ones not") {
  const Holes holes = find_holes(heights_of({
      ". 1 1 1 1 1 1",
      ". 1 . 1 . 1 1",
      "1 1 1 . 1 1 .",
      "1 . 1 1 1 . 1",
      "1 1 1 1 1 1 1",
  }));
  CHECK(holes.count ==
        2);  // (1,2) (2,3) (1,4) in one; (3,1); the right one reaches the border across a corner
  CHECK(holes.cells == 4);
}

TEST_CASE("bad terrain models are refused with a sentence") {
  const TemporaryFolder folder;
  CHECK(says(refusal(folder / "none.tif"), "there is no such file"));
  write_text(folder / "text.tif", "this is no raster");
  CHECK(says(refusal(folder / "text.tif"), "not a raster file"));

  write_dem(folder / "whole.tif", slope(400, 400), {});
  const std::string bytes = read_text(folder / "whole.tif");
  write_text(folder / "cut.tif", bytes.substr(0, bytes.size() / 2));
  CHECK(says(refusal(folder / "cut.tif"), "damaged"));

  write_dem(folder / "turned.tif", slope(), {.transform = {500000, 10, 2, 6000000, 2, -10}});
  CHECK(says(refusal(folder / "turned.tif"), "turned against its coordinate system"));
  write_dem(folder / "mirrored.tif", slope(), {.transform = {500000, -10, 0, 6000000, 0, -10}});
  CHECK(says(refusal(folder / "mirrored.tif"), "mirrored"));
  write_dem(folder / "one.tif", slope(1, 1), {});
  CHECK(says(refusal(folder / "one.tif"), "1 x 1 cells; terrain needs at least 3 x 3"));
  write_dem(folder / "empty.tif", Raster<float>(GridSize{5, 5}, kNoHeight), {.no_data = -9999});
  CHECK(says(refusal(folder / "empty.tif"), "not one cell of the raster has a height"));

  write_dem(folder / "nocrs.tif", slope(), {.epsg = 0});
  CHECK(says(refusal(folder / "nocrs.tif"), "does not say its coordinate system"));
  CHECK(refusal(folder / "nocrs.tif", {.crs = "EPSG:25832"}) == "");
  CHECK(says(refusal(folder / "nocrs.tif", {.crs = "EPSG:0815"}), "not a coordinate system known here"));
}

TEST_CASE("degrees are never taken as metres, nor metres as degrees") {
  const TemporaryFolder folder;
  const std::array<double, 6> degrees = {10, 1.0 / 3600, 0, 60, 0, -1.0 / 3600};
  write_dem(folder / "degrees.tif", slope(), {.epsg = 25832, .transform = degrees});
  CHECK(says(refusal(folder / "degrees.tif"), "degrees are never taken as metres"));
  CHECK(refusal(folder / "degrees.tif", {.crs = "EPSG:4326"}) == "");
  write_dem(folder / "metres.tif", slope(), {.epsg = 4326});
  CHECK(says(refusal(folder / "metres.tif"), "cannot be degrees"));
}

TEST_CASE("a picture is taken for heights with a warning only") {
  const TemporaryFolder folder;
  start_geodata();
  auto* out = GetGDALDriverManager()->GetDriverByName("GTiff")->Create((folder / "p.tif").c_str(), 4, 4, 3,
                                                                       GDT_Byte, nullptr);
  std::array<double, 6> transform = {500000, 10, 0, 6000000, 0, -10};
  out->SetGeoTransform(transform.data());
  OGRSpatialReference crs;
  crs.importFromEPSG(25832);
  out->SetSpatialRef(&crs);
  GDALClose(out);
  const DemFile dem(folder / "p.tif", {});
  REQUIRE(dem.notes().size() == 1);
  CHECK(says(dem.notes()[0], "looks like a picture"));
}

TEST_CASE("the height of a place lies between the cells around it") {
  const TemporaryFolder folder;
  Raster<float> z = slope();
  z.at(0, 4) = kNoHeight;
  const double step = 0.001;
  write_dem(folder / "a.tif", z, {.epsg = 4326, .transform = {10, step, 0, 60, 0, -step}});
  const auto height = filled_heights(folder / "a.tif");
  const auto at = [&](double row, double col) { return height(LonLat{10 + col * step, 60 - row * step}); };
  CHECK(near(at(1.5, 2.5).value(), 112, 1e-4));      // a centre
  CHECK(near(at(2.0, 3.25).value(), 117.75, 1e-4));  // z = 100 + 10 (row - 0.5) + (col - 0.5)
  CHECK(near(at(0.1, 0.1).value(), 100, 1e-4));      // outside the outermost centres: the cell's own
  CHECK(near(at(0.5, 3.9).value(), 103, 1e-4));      // beside the hole: the cell's own
  CHECK(!at(0.5, 4.5));
  CHECK(!at(-0.1, 1));
  CHECK(!at(1, 5.1));
  CHECK(!height(LonLat{-170, 10}));
  // 0 to 360: the same place.
  write_dem(folder / "b.tif", slope(), {.epsg = 4326, .transform = {350, step, 0, 60, 0, -step}});
  CHECK(near(filled_heights(folder / "b.tif")(LonLat{-10 + 2.5 * step, 60 - 1.5 * step}).value(), 112, 1e-4));
}

// Backgrounds: what is read of a file stands at its place, in its colours; what cannot be read is a sentence.
#include <doctest/doctest.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <cmath>
#include <cstdlib>
#include <functional>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "geodata/basemap/basemap.hpp"
#include "geodata/basemap/source_grid_internal.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

namespace brookmark::geodata {
namespace {

using test::near;
constexpr core::LonLat kCentre{9.5, 54.2};

std::string wkt(const std::string& definition) {
  OGRSpatialReference crs;
  REQUIRE(crs.SetFromUserInput(definition.c_str()) == OGRERR_NONE);
  char* text = nullptr;
  crs.exportToWkt(&text);
  std::string words = text;
  CPLFree(text);
  return words;
}
// The survey's own plane, so that the file's cells are the tile's pixels.
std::string plane_wkt() {
  return wkt("+proj=laea +lat_0=54.2 +lon_0=9.5 +datum=WGS84 +units=m");
}

struct Kind {
  int width = 256, height = 256, bands = 3;
  GDALDataType type = GDT_Byte;
  std::string crs = plane_wkt();
  std::array<double, 6> place{0, 1, 0, 256, 0, -1};
  const char* driver = "GTiff";
};
using Value = std::function<double(int band, int column, int row)>;

void write(const std::filesystem::path& file, const Kind& kind, const Value& value,
           const std::function<void(GDALDataset&)>& more = {}) {
  start_geodata();
  GDALDriver& driver = *GetGDALDriverManager()->GetDriverByName(kind.driver);
  GDALDataset* data = driver.Create(file.c_str(), kind.width, kind.height, kind.bands, kind.type, nullptr);
  REQUIRE(data != nullptr);
  auto place = kind.place;
  data->SetGeoTransform(place.data());
  if (!kind.crs.empty()) data->SetProjection(kind.crs.c_str());
  if (more) more(*data);
  std::vector<double> row(static_cast<std::size_t>(kind.width));
  for (int b = 1; b <= kind.bands; ++b)
    for (int y = 0; y < kind.height; ++y) {
      for (int x = 0; x < kind.width; ++x) row[static_cast<std::size_t>(x)] = value(b, x, y);
      REQUIRE(data->GetRasterBand(b)->RasterIO(GF_Write, 0, y, kind.width, 1, row.data(), kind.width, 1,
                                               GDT_Float64, 0, 0) == CE_None);
    }
  GDALClose(data);
}

std::array<int, 4> pixel(const TileImage& image, int column, int row) {
  const auto i = static_cast<std::size_t>(row * kTilePixels + column) * 4;
  return {image.rgba[i], image.rgba[i + 1], image.rgba[i + 2], image.rgba[i + 3]};
}
// Of a place in the plane, at a level.
std::array<int, 4> colour_at(const Basemap& map, core::PlanePoint place, int level) {
  const double side = pixel_m(level) * kTilePixels;
  const TileKey key{level, static_cast<int>(std::floor(place.x / side)),
                    static_cast<int>(std::floor(place.y / side))};
  const PlaneSquare square = tile_square(key);
  const TileImage image = map.read(key, {});
  if (image.rgba.empty()) return {0, 0, 0, 0};
  return pixel(image, static_cast<int>((place.x - square.x) / pixel_m(level)),
               static_cast<int>((square.y + square.side - place.y) / pixel_m(level)));
}

}  // namespace

TEST_CASE("a picture in the survey's plane comes through pixel for pixel") {
  const test::TemporaryFolder folder;
  const auto value = [](int band, int x, int y) {
    return band == 1 ? x : band == 2 ? y : (x * 7 + y * 13) % 256;
  };
  write(folder / "a.tif", {}, value);
  const Basemap map(folder / "a.tif", {.centre = kCentre, .look = {}});
  CHECK(map.info().look == core::LayerLook::kPicture);
  CHECK(map.info().finest_level == 0);
  CHECK(near(map.info().max_x, 256, 1e-3));  // millimetres: the plane there and back again
  const TileImage image = map.read({0, 0, 0}, {});
  REQUIRE(image.rgba.size() == 256U * 256 * 4);
  for (int y = 0; y < 256; ++y)
    for (int x = 0; x < 256; ++x)
      for (int b = 0; b < 3; ++b)
        if (std::abs(pixel(image, x, y)[static_cast<std::size_t>(b)] - value(b + 1, x, y)) >
            1)  // interpolation rounds
          FAIL_CHECK("band " << b << " at " << x << ", " << y);
  CHECK(map.read({0, 1, 0}, {}).rgba.empty());
  CHECK(map.read({0, 0, -1}, {}).rgba.empty());
  // From half as near, four cells make a pixel: the first band counts the columns.
  CHECK(near(pixel(map.read({1, 0, 0}, {}), 50, 200)[0], 100.5, 1.5));
}

TEST_CASE("a spot lies where its longitude and latitude are, in any system and at any level") {
  const test::TemporaryFolder folder;
  struct System {
    const char* name;
    double cell;
  };
  for (const System& system :
       {System{"EPSG:4326", 0.00005}, {"EPSG:25832", 4}, {"EPSG:3857", 6}, {"EPSG:3035", 4}}) {
    CAPTURE(system.name);
    const core::CrsConverter converter(system.name);
    const core::LonLat spot{9.52, 54.205};
    const auto at = *converter.from_lonlat(spot), middle = *converter.from_lonlat(kCentre);
    Kind kind{1200, 1200, 3, GDT_Byte, wkt(system.name), {}};
    kind.place = {middle.x - 600 * system.cell, system.cell, 0,
                  middle.y + 600 * system.cell, 0,           -system.cell};
    // A red block of 9 cells about the spot, blue around.
    const int column = static_cast<int>((at.x - kind.place[0]) / system.cell);
    const int row = static_cast<int>((kind.place[3] - at.y) / system.cell);
    write(folder / "s.tif", kind, [&](int band, int x, int y) {
      const bool red = std::abs(x - column) <= 4 && std::abs(y - row) <= 4;
      return (band == 1) == red && band != 2 ? 200 : 10;
    });
    const Basemap map(folder / "s.tif", {.centre = kCentre, .look = {}});
    const core::PlanePoint place = core::LocalFrame(kCentre).to_plane(spot);
    for (int level = 0; level <= 3; ++level) {
      CAPTURE(level);
      const auto c = colour_at(map, place, level);
      CHECK((c[0] > 150 && c[2] < 60 && c[3] == 255));
      const auto beside = colour_at(map, {place.x + 60, place.y}, level);
      CHECK((beside[0] < 60 && beside[2] > 150));
    }
  }
}

TEST_CASE("between its corners the way to the file is right to half a pixel, far from the centre too") {
  const core::CrsConverter converter("EPSG:3857");
  const core::LocalFrame frame(kCentre);
  const auto way = [&](core::PlanePoint p) -> std::optional<core::PlanePoint> {
    const auto m = converter.from_lonlat(frame.to_lonlat(p));
    if (!m) return std::nullopt;
    return core::PlanePoint{m->x / 10, -m->y / 10};
  };
  for (const TileKey key : {TileKey{2, 0, 0}, TileKey{6, 3, -4}, TileKey{9, 4, 3}, TileKey{11, -1, 1}}) {
    const SourceGrid grid(tile_square(key), kTilePixels, 0, 1e9, way);
    const PlaneSquare s = tile_square(key);
    const double metres = pixel_m(key.level);
    for (int y = 3; y < 256; y += 21)
      for (int x = 3; x < 256; x += 21) {
        const auto real = way({s.x + (x + 0.5) * metres, s.y + s.side - (y + 0.5) * metres});
        const auto guess = grid.at(x + 0.5, y + 0.5);
        REQUIRE((real && guess));
        CAPTURE(key.level);
        CHECK(std::hypot(real->x - guess->x, real->y - guess->y) < 0.5 * grid.source_pixels);
      }
  }
}

TEST_CASE("palettes, grey, wide numbers, masks and alpha become the colours they stand for") {
  const test::TemporaryFolder folder;
  Kind one{256, 256, 1};
  write(
      folder / "p.tif", one, [](int, int x, int) { return x < 128 ? 1 : 2; },
      [](GDALDataset& data) {
        GDALColorTable table;
        const GDALColorEntry green{10, 180, 30, 255}, pink{240, 100, 160, 255};
        table.SetColorEntry(1, &green);
        table.SetColorEntry(2, &pink);
        data.GetRasterBand(1)->SetColorTable(&table);
      });
  const Basemap palette(folder / "p.tif", {.centre = kCentre, .look = {}});
  CHECK(palette.info().look == core::LayerLook::kPicture);
  CHECK(pixel(palette.read({0, 0, 0}, {}), 20, 20) == std::array<int, 4>{10, 180, 30, 255});
  CHECK(pixel(palette.read({0, 0, 0}, {}), 220, 20) == std::array<int, 4>{240, 100, 160, 255});

  write(
      folder / "g.tif", one, [](int, int x, int) { return x < 128 ? 0 : 90; },
      [](GDALDataset& data) { data.GetRasterBand(1)->SetNoDataValue(0); });
  const Basemap grey(folder / "g.tif", {.centre = kCentre, .look = {}});
  CHECK(pixel(grey.read({0, 0, 0}, {}), 220, 20) == std::array<int, 4>{90, 90, 90, 255});
  CHECK(pixel(grey.read({0, 0, 0}, {}), 20, 20)[3] == 0);

  // Twelve bits in sixteen, three bands: the darkest and brightest fiftieth end at 0 and 255.
  Kind wide{256, 256, 3, GDT_UInt16};
  write(folder / "w.tif", wide, [](int, int x, int) { return x * 16; });
  const Basemap stretched(folder / "w.tif", {.centre = kCentre, .look = {}});
  CHECK(pixel(stretched.read({0, 0, 0}, {}), 1, 9)[0] == 0);
  CHECK(pixel(stretched.read({0, 0, 0}, {}), 254, 9)[0] == 255);
  CHECK(near(pixel(stretched.read({0, 0, 0}, {}), 128, 9)[1], 128, 3));  // half way, but for the fiftieths

  Kind four{256, 256, 4};
  write(
      folder / "a.tif", four, [](int band, int x, int) { return band < 4  ? 50 * band
                                                                : x < 128 ? 0
                                                                          : 255; },
      [](GDALDataset& data) { data.GetRasterBand(4)->SetColorInterpretation(GCI_AlphaBand); });
  const Basemap alpha(folder / "a.tif", {.centre = kCentre, .look = {}});
  CHECK(pixel(alpha.read({0, 0, 0}, {}), 200, 20) == std::array<int, 4>{50, 100, 150, 255});
  CHECK(pixel(alpha.read({0, 0, 0}, {}), 20, 20)[3] == 0);
}

TEST_CASE("one band of heights is shaded, with light from the north-west") {
  const test::TemporaryFolder folder;
  Kind dem{300, 300, 1, GDT_Float32};
  dem.place = {-20, 1, 0, 280, 0, -1};
  // A slope of 0.5 that falls to the north-west, then one that falls to the south-east; a hole.
  const auto height = [](int, int x, int y) {
    return 0.5 * (x < 150 ? x + y : 300 - x + y) / std::sqrt(2.0);
  };
  write(
      folder / "d.tif", dem, [&](int b, int x, int y) { return x > 280 && y < 20 ? -9999 : height(b, x, y); },
      [](GDALDataset& data) { data.GetRasterBand(1)->SetNoDataValue(-9999); });
  const Basemap map(folder / "d.tif", {.centre = kCentre, .look = {}});
  CHECK(map.info().look == core::LayerLook::kHillshade);
  // Nine slopes in ten are 0.5 as differences to the east and south: heights stay as they are.
  CHECK(map.info().heightened == 1);
  const TileImage image = map.read({0, 0, 0}, {});
  // Light at 45 degrees from the north-west on a plane falling that way by 0.5: cos(45 - 26.565 degrees) = 0.94868;
  // 1 + 254 * 0.94868 = 241.97. The other falls to the north-east, across the light: cos 45 * cos 26.565 = 0.63246.
  CHECK(near(pixel(image, 60, 120)[0], 242, 1.01));
  CHECK(near(pixel(image, 200, 120)[0], 1 + 254 * 0.63246, 1.01));
  CHECK(pixel(image, 60, 120)[3] == 255);
  CHECK(colour_at(map, {270, 270}, 0)[3] == 0);
  // Gentle land is heightened, and says by how much.
  write(folder / "f.tif", dem, [&](int b, int x, int y) { return height(b, x, y) / 20; });
  CHECK(Basemap(folder / "f.tif", {.centre = kCentre, .look = {}}).info().heightened == 12);
  // Whoever wants the numbers as a picture gets them.
  CHECK(Basemap(folder / "d.tif", {.centre = kCentre, .look = core::LayerLook::kPicture}).info().look ==
        core::LayerLook::kPicture);
}

TEST_CASE("tiles in one file are read with what they say of their origin") {
  const test::TemporaryFolder folder;
  const core::CrsConverter mercator("EPSG:3857");
  const auto middle = *mercator.from_lonlat(kCentre);
  Kind kind{512, 512, 3, GDT_Byte, wkt("EPSG:3857"), {middle.x - 2000, 8, 0, middle.y + 2000, 0, -8}};
  write(folder / "s.tif", kind, [](int band, int x, int) { return x < 250 ? 40 * band : 250 - 40 * band; });
  auto* source = GDALDataset::Open((folder / "s.tif").c_str());
  for (const char* format : {"MBTiles", "GPKG"}) {
    CAPTURE(format);
    const auto file = folder / (std::string("t.") + (format[0] == 'M' ? "mbtiles" : "gpkg"));
    const char* const options[] = {format[0] == 'M' ? "NAME=Invented ground" : "RASTER_TABLE=ground",
                                   "TILE_FORMAT=PNG", nullptr};
    GDALDataset* copy = GetGDALDriverManager()->GetDriverByName(format)->CreateCopy(
        file.c_str(), source, 0, const_cast<char**>(options), nullptr, nullptr);
    REQUIRE(copy != nullptr);
    GDALClose(copy);
    if (format[0] == 'M') {
      const char* const plain[] = {"SQLite", nullptr};
      const auto plain_name = folder / "t.sqlite";
      std::filesystem::rename(file, plain_name);
      GDALDataset* tables = GDALDataset::Open(plain_name.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, plain);
      REQUIRE(tables != nullptr);
      tables->ExecuteSQL("INSERT INTO metadata VALUES ('attribution', 'Nobody, 2024')", nullptr, nullptr);
      GDALClose(tables);
      std::filesystem::rename(plain_name, file);
    }
    const Basemap map(file, {.centre = kCentre, .look = {}});
    CHECK(map.info().tiled);
    if (format[0] == 'M') CHECK(map.info().attribution == "Nobody, 2024");
    const auto left = colour_at(map, {-600, 90}, 3), right = colour_at(map, {600, 90}, 3);
    CHECK(near(left[0], 40, 3));  // resampled once when the tiles were made
    CHECK(near(right[0], 210, 3));
  }
  GDALClose(source);
}

TEST_CASE("a wish that is no longer wanted is given up") {
  const test::TemporaryFolder folder;
  write(folder / "a.tif", {}, [](int, int, int) { return 9; });
  const Basemap map(folder / "a.tif", {.centre = kCentre, .look = {}});
  int asked = 0;
  const TileImage image = map.read({0, 0, 0}, [&] { return ++asked < 1; });
  CHECK(image.rgba.empty());
  CHECK(asked > 0);
}

TEST_CASE("what is no background is refused with a sentence") {
  const test::TemporaryFolder folder;
  const auto refused = [&](const std::string& name) {
    try {
      const Basemap map(folder / name, {.centre = kCentre, .look = {}});
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("taken");
  };
  CHECK(refused("none.tif").find("no such file") != std::string::npos);
  test::write_text(folder / "words.tif", "not a raster");
  CHECK(refused("words.tif").find("can be read, or it is damaged") != std::string::npos);
  std::filesystem::create_directory(folder / "f.tif");
  CHECK(refused("f.tif").find("no file") != std::string::npos);
  Kind nowhere;
  nowhere.crs = "";
  write(folder / "nocrs.tif", nowhere, [](int, int, int) { return 1; });
  CHECK(refused("nocrs.tif").find("coordinate system") != std::string::npos);
  Kind far;
  far.crs = wkt("EPSG:4326");
  far.place = {1e6, 1, 0, 1e6, 0, -1};
  write(folder / "far.tif", far, [](int, int, int) { return 1; });
  CHECK(refused("far.tif").find("place on Earth") != std::string::npos);
  test::write_text(folder / "broken.mbtiles", "SQLite format 3");
  CHECK(refused("broken.mbtiles").find("picture tiles") != std::string::npos);
}

TEST_CASE("a file that is cut off gives what is left and says so of the rest") {
  const test::TemporaryFolder folder;
  Kind kind{1024, 1024, 3};
  kind.place = {0, 1, 0, 1024, 0, -1};
  write(folder / "a.tif", kind, [](int, int x, int) { return x % 200; });
  std::filesystem::resize_file(folder / "a.tif", std::filesystem::file_size(folder / "a.tif") / 2);
  try {
    const Basemap map(folder / "a.tif", {.centre = kCentre, .look = {}});
    CHECK_THROWS_WITH_AS(map.read({0, 0, 0}, {}), doctest::Contains("can no longer be read here"), Error);
  } catch (const Error& error) {  // the directory of the file lay in the half that is gone
    CHECK(std::string(error.what()).find("damaged") != std::string::npos);
  }
}

TEST_CASE("no format that answers from a network is there to be asked, by a mosaic's parts either") {
  start_geodata();
  for (const char* name : {"WMS", "WMTS", "WCS", "WFS", "HTTP", "OGCAPI", "PostgreSQL", "STACTA"})
    CHECK(GetGDALDriverManager()->GetDriverByName(name) == nullptr);
  CHECK(GetGDALDriverManager()->GetDriverByName("GTiff") != nullptr);
}

}  // namespace brookmark::geodata

// Photos beside a survey: small, the right way up, and nothing that is not one.
#include "geodata/photo/photo.hpp"

#include <doctest/doctest.h>
#include <gdal_priv.h>

#include <filesystem>
#include <fstream>

#include "core/base/error.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/files.hpp"

using namespace brookmark;

namespace {

struct Folder {
  test::TemporaryFolder folder;
  std::filesystem::path survey = folder / "survey.brook";
  Folder() {
    geodata::start_geodata();
    std::ofstream(survey) << "x";
  }
  // Left half red, right half blue; the upper left pixel white.
  void write(const std::string& name, const char* driver, int width, int height, int bands = 3,
             const char* orientation = nullptr) const {
    GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
    GDALDataset* picture = memory->Create("", width, height, bands, GDT_Byte, nullptr);
    for (int b = 1; b <= bands; ++b) {
      std::vector<std::uint8_t> row(static_cast<std::size_t>(width));
      for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x)
          row[static_cast<std::size_t>(x)] = (b == 1) == (x < width / 2) && b != 2 ? 255 : 0;
        CHECK(picture->GetRasterBand(b)->RasterIO(GF_Write, 0, y, width, 1, row.data(), width, 1, GDT_Byte, 0,
                                                  0, nullptr) == CE_None);
      }
    }
    if (orientation) picture->SetMetadataItem("EXIF_Orientation", orientation);
    const char* options[] = {"QUALITY=95", "WRITE_EXIF_METADATA=YES", nullptr};
    GDALDataset* file = GetGDALDriverManager()->GetDriverByName(driver)->CreateCopy(
        (folder / name).c_str(), picture, 0,
        const_cast<char**>(std::string(driver) == "JPEG" ? options : nullptr), nullptr, nullptr);
    REQUIRE(file);
    GDALClose(file);
    GDALClose(picture);
  }
  geodata::Photo read(const std::string& name, const geodata::PhotoLimits& limits = {}) const {
    return geodata::read_photo(survey, name, limits);
  }
  std::string refusal(const std::string& name, const geodata::PhotoLimits& limits = {}) const {
    try {
      read(name, limits);
    } catch (const Error& error) {
      return error.what();
    }
    return "";
  }
};

int red_at(const geodata::Photo& p, int x, int y) {
  return p
      .rgba[(static_cast<std::size_t>(y) * static_cast<std::size_t>(p.width) + static_cast<std::size_t>(x)) *
            4];
}

}  // namespace

TEST_CASE("a photo is read, made smaller, and keeps its colours and its shape") {
  const Folder f;
  f.write("a.png", "PNG", 400, 200);
  const geodata::Photo whole = f.read("a.png");
  CHECK(whole.width == 400);
  CHECK(whole.rgba.size() == std::size_t{400} * 200 * 4);
  CHECK(red_at(whole, 10, 10) == 255);
  CHECK(red_at(whole, 390, 10) == 0);
  const geodata::Photo small = f.read("a.png", {.most_side_px = 100});
  CHECK(small.width == 100);
  CHECK(small.height == 50);
  CHECK(red_at(small, 10, 25) == 255);
  f.write("b.jpg", "JPEG", 64, 32);
  CHECK(red_at(f.read("b.jpg"), 5, 5) > 240);  // JPEG loses a little
  f.write("grey.png", "PNG", 10, 10, 1);
  const geodata::Photo grey = f.read("grey.png");
  CHECK(grey.rgba[0] == grey.rgba[1]);
  std::filesystem::create_directory(f.folder / "photos");
  f.write("photos/c.png", "PNG", 4, 4);
  CHECK(f.read("photos/c.png").width == 4);
}

TEST_CASE("a photo taken on its side is turned upright") {
  const Folder f;
  f.write("turned.jpg", "JPEG", 64, 32, 3, "6");  // the camera's top is the picture's right: turn clockwise
  const geodata::Photo p = f.read("turned.jpg");
  if (p.width == 64) {
    MESSAGE("this GDAL writes no orientation");
    return;
  }
  CHECK(p.width == 32);
  CHECK(p.height == 64);
  CHECK(red_at(p, 16, 5) > 240);  // the left half came to the top
  CHECK(red_at(p, 16, 60) < 15);
}

TEST_CASE("nothing outside the survey's folder is opened, by name or by link") {
  const Folder f;
  const test::TemporaryFolder other;
  f.write("a.png", "PNG", 4, 4);
  std::filesystem::copy_file(f.folder / "a.png", other / "secret.png");
  for (const std::string& name :
       {std::string("../a.png"), std::string("photos/../../a.png"), (other / "secret.png").string(),
        std::string(), std::string("/vsicurl/http://127.0.0.1/a.png"), std::string("..\\a.png"),
        std::string("a.png\0.jpg", 10)})
    CHECK(f.refusal(name).find("survey's folder") != std::string::npos);
  std::filesystem::create_symlink(other / "secret.png", f.folder / "link.png");
  CHECK(f.refusal("link.png").find("outside the survey's folder") != std::string::npos);
  std::filesystem::create_directory(f.folder / "folder.png");
  CHECK(f.refusal("folder.png").find("not a plain file") != std::string::npos);
  CHECK(f.refusal("none.png").find("is not there") != std::string::npos);
  CHECK_FALSE(f.refusal("vsizip/x.zip").empty());
}

TEST_CASE("too large, damaged, or no picture: a sentence each") {
  const Folder f;
  f.write("a.png", "PNG", 300, 200);
  CHECK(f.refusal("a.png", {.most_bytes = 10}).find("larger than") != std::string::npos);
  CHECK(f.refusal("a.png", {.most_pixels = 100}).find("300 x 200") != std::string::npos);
  CHECK_FALSE(f.refusal("a.png", {.most_side_px = 0}).empty());
  std::ofstream(f.folder / "words.jpg") << "these are words";
  CHECK(f.refusal("words.jpg").find("no JPEG, PNG or WebP") != std::string::npos);
  std::ofstream(f.folder / "empty.png") << "";
  CHECK(f.refusal("empty.png").find("no JPEG, PNG or WebP") != std::string::npos);
  // A virtual raster would open other files by name.
  std::ofstream(f.folder / "trick.png") << "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"/>";
  CHECK(f.refusal("trick.png").find("no JPEG, PNG or WebP") != std::string::npos);
  std::string bytes = test::read_text(f.folder / "a.png");
  std::ofstream(f.folder / "cut.png", std::ios::binary) << bytes.substr(0, bytes.size() / 2);
  CHECK(f.refusal("cut.png").find("damaged") != std::string::npos);
}

TEST_CASE("bytes changed at random never do more than fail with a sentence") {
  const Folder f;
  f.write("a.jpg", "JPEG", 48, 32);
  const std::string good = test::read_text(f.folder / "a.jpg");
  std::uint32_t state = 12345;
  const auto next = [&state] { return state = state * 1664525U + 1013904223U, state >> 8U; };
  for (int round = 0; round < 200; ++round) {
    std::string bytes = good;
    for (int k = 0; k < 6; ++k) bytes[next() % bytes.size()] = static_cast<char>(next());
    std::ofstream(f.folder / "b.jpg", std::ios::binary) << bytes;
    try {
      const geodata::Photo p = f.read("b.jpg");
      CHECK(p.rgba.size() == static_cast<std::size_t>(p.width) * static_cast<std::size_t>(p.height) * 4);
    } catch (const Error& error) {
      CHECK(std::string(error.what()).size() > 5);
    }
  }
}

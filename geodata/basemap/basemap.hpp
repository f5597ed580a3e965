// Why: the ground under the survey comes as any raster on this machine: an aerial picture, tiles in one file, a terrain
// model. This reads it piece by piece in the survey's plane, from the overview that is just fine enough, however large
// the file is.
// Use: Basemap map("hills.tif", {.centre = frame.centre()});  TileImage image = map.read({2, 0, -1}, {});
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "core/base/geometry.hpp"
#include "core/survey/types.hpp"
#include "geodata/basemap/tile.hpp"

namespace brookmark::geodata {

struct BasemapOptions {
  core::LonLat centre;                  // of the survey's plane (core::LocalFrame)
  std::optional<core::LayerLook> look;  // nothing: one band of heights is shaded, all else is a picture
};

struct BasemapInfo {
  core::LayerLook look = core::LayerLook::kPicture;
  int width = 0, height = 0, bands = 0;  // of the file
  bool tiled = false;                    // MBTiles or a GeoPackage
  std::string format;                    // GDAL's short name of it
  std::string title, attribution;        // as the file gives them; may be empty
  std::string crs_note;                  // name of its coordinate system, and how exact the way to WGS 84 is
  // In the survey's plane; not where its far corners have no place there.
  double min_x = 0, min_y = 0, max_x = 0, max_y = 0;
  // No level finer than this shows more of the file.
  std::int32_t finest_level = 0;
  double cell_m = 1;  // width of a pixel on the ground, where the file comes nearest to the survey
  // So many times higher than they are, so that gentle land shows a relief too; 1 for pictures.
  double heightened = 1;
};

// One thread at a time. GDAL reads the file only with drivers of local formats; nothing is written beside it.
class Basemap {
 public:
  // Throws Error with a sentence: kNotFound; kBadInput for what is no file, no raster that can be read, damaged, without
  // a place or a coordinate system, vector tiles, or stored in pieces too large to be read one by one.
  Basemap(const std::filesystem::path& file, const BasemapOptions& options);
  ~Basemap();
  Basemap(Basemap&&) noexcept;
  Basemap& operator=(Basemap&&) noexcept;

  const BasemapInfo& info() const;
  // `go_on` is asked now and then; where it says no, the image is empty. Throws Error(kBadInput): damaged or gone.
  TileImage read(const TileKey& key, const std::function<bool()>& go_on) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::geodata

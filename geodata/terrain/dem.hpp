// Why: a terrain model comes as any raster that GDAL reads; what follows sees heights in metres, north up, NaN where
// there is none, and knows how large its cells are on the ground.
// Use: DemFile dem("dem.tif", {});  FlowGrid flow = route_flow(dem.read({}), dem.rows());  dem.place().centre(r, c)
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "geodata/terrain/place.hpp"
#include "geodata/terrain/progress.hpp"

namespace brookmark::geodata {

struct DemOptions {
  std::string crs = {};  // replaces what the file says of its coordinate system; empty: the file's own
};

struct CellWindow {  // within the grid
  std::size_t row = 0, col = 0, rows = 0, cols = 0;
};

class DemFile {
 public:
  // Opens and understands the file, reads no height yet.
  // Throws Error with a sentence: kNotFound; kBadInput for what is no raster or damaged, turned or mirrored rasters,
  // fewer than 3 rows or columns, no coordinate system, and what measure_ground refuses.
  DemFile(const std::filesystem::path& file, const DemOptions& options);
  ~DemFile();
  DemFile(DemFile&&) noexcept;
  DemFile& operator=(DemFile&&) noexcept;

  GridSize size() const;
  const GridPlace& place() const;
  std::span<const RowMetric> rows() const;
  const std::string& crs() const;                 // WKT, or as given in the options
  const std::vector<std::string>& notes() const;  // sentences for the user

  // All heights. Band 1, brought to real values by the band's scale and offset. Adds to notes(): holes, heights that
  // are none on Earth. Throws Error(kBadInput): damaged or cut off, not one cell with a height; Stopped.
  Raster<float> read(const Progress& progress);
  // Some of them, row by row from the north; `out` takes rows x cols heights. Throws as read() does.
  void read_window(const CellWindow& window, float* out) const;

  // Nothing where the conversion has no answer.
  std::optional<core::LonLat> to_lonlat(core::PlanePoint point) const;
  std::optional<core::PlanePoint> from_lonlat(core::LonLat position) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Height in metres of the ground once its depressions are filled to their lowest rim, so that a pit of the terrain
// model on a river does not look like a climb. Between the centres of the four cells around a place; that of the
// cell where one of the four has none; nothing off the terrain model or in a hole. For directions of rivers and the
// like. Reads the whole model; throws as DemFile and DemFile::read do. One thread at a time.
std::function<std::optional<double>(core::LonLat)> filled_heights(const std::filesystem::path& file,
                                                                  const DemOptions& options = {});

}  // namespace brookmark::geodata

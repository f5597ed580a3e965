#include "geodata/terrain/dem.hpp"

#include <gdal_priv.h>

#include <cmath>
#include <cstdint>
#include <system_error>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/raster_file_internal.hpp"
#include "geodata/terrain/flow.hpp"
#include "geodata/terrain/ground.hpp"
#include "geodata/terrain/holes.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

constexpr float kLowestLand = -500,
                kHighestLand = 9000;  // metres; Dead Sea shore and Everest with room to spare

Error bad_input(const std::string& message, const std::filesystem::path& file) {
  return {ErrorCode::kBadInput, message, file.string()};
}

}  // namespace

struct DemFile::Impl {
  std::filesystem::path file;
  DatasetPointer dataset;
  GDALRasterBand* band = nullptr;
  GridSize size;
  GridPlace place;
  bool south_first = false;  // the file's first row is the southernmost
  std::vector<RowMetric> rows;
  std::string crs;
  std::vector<std::string> notes;
  std::unique_ptr<core::CrsConverter> converter;
  std::optional<float> no_height;
  bool masked = false;
  double scale = 1, offset = 0;
  mutable std::vector<std::uint8_t> mask;

  void read_place() {
    double t[6];
    if (dataset->GetGeoTransform(t) != CE_None)
      throw bad_input("the raster does not say where it lies (no geotransform); use a file that does", file);
    if (t[2] != 0 || t[4] != 0)
      throw bad_input(
          "the raster is turned against its coordinate system; make it north up first (a GIS calls it "
          "warping or reprojecting)",
          file);
    if (!(t[1] > 0) || t[5] == 0 || !std::isfinite(t[0]) || !std::isfinite(t[3]) || !std::isfinite(t[5]))
      throw bad_input("the raster is mirrored, or its cells have no size; make it north up first", file);
    south_first = t[5] > 0;
    place = {t[0], south_first ? t[3] + t[5] * size.rows : t[3], t[1], std::abs(t[5])};
  }

  void read_crs(const std::string& given) {
    crs = given.empty() ? crs_of(*dataset) : given;
    if (crs.empty())
      throw bad_input(
          "the raster does not say its coordinate system; name it with --crs, for example EPSG:25832, "
          "or EPSG:4326 for longitude and latitude",
          file);
    try {
      Ground ground = measure_ground(crs, place, size);
      rows = std::move(ground.rows);
      if (!ground.note.empty()) notes.push_back(ground.note);
      converter = std::make_unique<core::CrsConverter>(crs);
    } catch (const Error& error) {
      throw bad_input(error.what(), file);
    }
  }

  void read_band() {
    band = dataset->GetRasterBand(1);
    if (GDALDataTypeIsComplex(band->GetRasterDataType()) != 0)
      throw bad_input("band 1 holds complex numbers, not heights", file);
    if (band->GetColorInterpretation() == GCI_PaletteIndex || dataset->GetRasterCount() >= 3)
      notes.emplace_back(
          "the raster looks like a picture (several bands or a palette); band 1 is taken as heights");
    int known = 0;
    if (const double value = band->GetNoDataValue(&known); known != 0) no_height = static_cast<float>(value);
    masked = (band->GetMaskFlags() & GMF_PER_DATASET) != 0;
    scale = band->GetScale(&known);
    if (known == 0) scale = 1;
    offset = band->GetOffset(&known);
    if (known == 0) offset = 0;
  }

  // File rows in their order, turned into heights.
  void read_block(const CellWindow& window, float* out) const {
    const GdalMessages messages;
    const int r = static_cast<int>(window.row), n = static_cast<int>(window.rows);
    const int c = static_cast<int>(window.col), cols = static_cast<int>(window.cols);
    if (band->RasterIO(GF_Read, c, r, cols, n, out, cols, n, GDT_Float32, 0, 0, nullptr) != CE_None)
      throw bad_input("the raster can be read only up to row " + std::to_string(window.row) +
                          "; the file is damaged or cut off" + messages.in_brackets(),
                      file);
    const std::size_t cells = window.rows * window.cols;
    if (masked) {
      mask.resize(cells);
      if (band->GetMaskBand()->RasterIO(GF_Read, c, r, cols, n, mask.data(), cols, n, GDT_Byte, 0, 0,
                                        nullptr) != CE_None)
        throw bad_input("the raster's mask cannot be read; the file is damaged" + messages.in_brackets(),
                        file);
    }
    for (std::size_t i = 0; i < cells; ++i) {
      if ((no_height && out[i] == *no_height) || !std::isfinite(out[i]) || (masked && mask[i] == 0))
        out[i] = kNoHeight;
      else if (scale != 1 || offset != 0)
        out[i] = static_cast<float>(out[i] * scale + offset);
    }
  }

  void read_window(const CellWindow& window, float* out) const {
    if (!south_first) return read_block(window, out);
    for (std::size_t i = 0; i < window.rows; ++i)
      read_block({size.rows - 1 - window.row - i, window.col, 1, window.cols}, out + i * window.cols);
  }

  void note_heights(const Raster<float>& heights) {
    std::size_t known = 0, odd = 0;
    for (const float z : heights.cells()) {
      if (std::isnan(z)) continue;
      ++known;
      odd += z < kLowestLand || z > kHighestLand ? 1 : 0;
    }
    if (known == 0)
      throw bad_input("not one cell of the raster has a height: all are marked as no data", file);
    if (odd > 0)
      notes.push_back(
          std::to_string(odd) + " cells are lower than " + core::format_number(kLowestLand) +
          " m or higher than " + core::format_number(kHighestLand) +
          " m: perhaps a no-data value that the file does not name, or heights that are not in metres");
    const Holes holes = known < heights.size().cells() ? find_holes(heights) : Holes{};
    if (holes.count > 0)
      notes.push_back(
          (holes.count == 1 ? "1 hole" : std::to_string(holes.count) + " holes") + " inside the terrain (" +
          std::to_string(holes.cells) +
          " cells without a height): water that reaches one ends there; fill gaps first if they are no "
          "real ends");
  }
};

DemFile::DemFile(const std::filesystem::path& file, const DemOptions& options)
    : impl_(std::make_unique<Impl>()) {
  start_geodata();
  impl_->file = file;
  impl_->dataset = open_raster(file, kHeightFormats);
  impl_->size = {static_cast<std::uint32_t>(impl_->dataset->GetRasterYSize()),
                 static_cast<std::uint32_t>(impl_->dataset->GetRasterXSize())};
  if (impl_->size.rows < 3 || impl_->size.cols < 3)
    throw bad_input("the raster has " + std::to_string(impl_->size.rows) + " x " +
                        std::to_string(impl_->size.cols) + " cells; terrain needs at least 3 x 3",
                    file);
  impl_->read_place();
  impl_->read_band();
  impl_->read_crs(options.crs);
}

DemFile::~DemFile() = default;
DemFile::DemFile(DemFile&&) noexcept = default;
DemFile& DemFile::operator=(DemFile&&) noexcept = default;

GridSize DemFile::size() const {
  return impl_->size;
}
const GridPlace& DemFile::place() const {
  return impl_->place;
}
std::span<const RowMetric> DemFile::rows() const {
  return impl_->rows;
}
const std::string& DemFile::crs() const {
  return impl_->crs;
}
const std::vector<std::string>& DemFile::notes() const {
  return impl_->notes;
}

Raster<float> DemFile::read(const Progress& progress) {
  const ProgressPart part(progress, 0, 1);
  Raster<float> heights(impl_->size);
  constexpr std::size_t kRowsAtATime = 256;  // a multiple of the usual block heights
  for (std::size_t r = 0; r < impl_->size.rows; r += kRowsAtATime) {
    read_window({r, 0, std::min<std::size_t>(kRowsAtATime, impl_->size.rows - r), impl_->size.cols},
                heights.row(r));
    part.tell(static_cast<double>(r) / impl_->size.rows);
  }
  impl_->note_heights(heights);
  part.tell(1);
  return heights;
}

void DemFile::read_window(const CellWindow& window, float* out) const {
  impl_->read_window(window, out);
}

std::optional<core::LonLat> DemFile::to_lonlat(core::PlanePoint point) const {
  return impl_->converter->to_lonlat(point);
}

std::optional<core::PlanePoint> DemFile::from_lonlat(core::LonLat position) const {
  auto point = impl_->converter->from_lonlat(position);
  // Some rasters count longitude from 0 to 360.
  if (point && impl_->converter->is_geographic()) {
    const double east = impl_->place.west + impl_->place.width * impl_->size.cols;
    if (point->x < impl_->place.west && point->x + 360 <= east) point->x += 360;
    if (point->x > east && point->x - 360 >= impl_->place.west) point->x -= 360;
  }
  return point;
}

std::function<std::optional<double>(core::LonLat)> filled_heights(const std::filesystem::path& file,
                                                                  const DemOptions& options) {
  const auto dem = std::make_shared<DemFile>(file, options);
  const auto filled = std::make_shared<const Raster<float>>(fill_depressions(dem->read({}), dem->rows()));
  return [dem, filled](core::LonLat position) -> std::optional<double> {
    const auto point = dem->from_lonlat(position);
    if (!point) return std::nullopt;
    const GridSize size = dem->size();
    const auto own = dem->place().cell_at(*point, size);
    if (!own) return std::nullopt;
    // Rows and columns of centres; at the border the outermost one.
    const double r = std::clamp(dem->place().row_at(point->y) - 0.5, 0.0, size.rows - 1.0);
    const double c = std::clamp(dem->place().col_at(point->x) - 0.5, 0.0, size.cols - 1.0);
    const auto top = std::min(static_cast<std::size_t>(r), std::size_t{size.rows} - 2);
    const auto left = std::min(static_cast<std::size_t>(c), std::size_t{size.cols} - 2);
    const auto z = [&](std::size_t row, std::size_t col) { return filled->at(top + row, left + col); };
    const double y = r - static_cast<double>(top), x = c - static_cast<double>(left);
    const double between =
        (1 - y) * ((1 - x) * z(0, 0) + x * z(0, 1)) + y * ((1 - x) * z(1, 0) + x * z(1, 1));
    if (!std::isnan(between)) return between;
    const float self = (*filled)[*own];
    if (std::isnan(self)) return std::nullopt;
    return self;
  };
}

}  // namespace brookmark::geodata

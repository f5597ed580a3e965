#include "geodata/basemap/basemap.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <system_error>

#include "core/base/crs.hpp"
#include "core/base/error.hpp"
#include "geodata/basemap/source_grid_internal.hpp"
#include "geodata/basemap/source_pixels_internal.hpp"
#include "geodata/raster_file_internal.hpp"
#include "geodata/terrain/hillshade.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

// Local files only; what may be a terrain model or a picture.
constexpr const char* kBackgroundFormats[] = {
    "GTiff",   "COG",   "MBTiles", "GPKG",    "Rasterlite", "VRT",
    "JPEG",    "PNG",   "WEBP",    "GIF",     "BMP",        "JP2OpenJPEG",
    "HFA",     "ENVI",  "EHdr",    "AAIGrid", "SRTMHGT",    "GRASSASCIIGrid",
    "USGSDEM", "DTED",  "netCDF",  "RST",     "SAGA",       "GSAG",
    "GSBG",    "GS7BG", "ILWIS",   "BT",      "PCRaster",   "RRASTER",
    "ISG",     "XYZ",   "MRF",     "RMF",     "PCIDSK",     "SIGDEM"};
constexpr double kLargestPiece_bytes = 256.0 * 1024 * 1024;
// Of the slopes nine in ten are gentler than the steepest tenth: that one is brought to this rise.
constexpr double kShownRise = 0.35, kMostHeightened = 12;

Error bad_input(const std::string& message, const std::filesystem::path& file) {
  return {ErrorCode::kBadInput, message, file.string()};
}

std::string first_of(GDALDataset& data, std::initializer_list<const char*> names) {
  for (const char* name : names)
    if (const char* value = data.GetMetadataItem(name); value != nullptr && *value != '\0') return value;
  return {};
}

}  // namespace

struct Basemap::Impl {
  std::filesystem::path file;
  DatasetPointer dataset;
  std::unique_ptr<core::CrsConverter> converter;
  core::LocalFrame frame;
  std::array<double, 6> to_map{}, to_pixel{};
  BasemapInfo info;
  std::unique_ptr<SourcePixels> pixels;

  Impl(std::filesystem::path f, core::LonLat centre) : file(std::move(f)), frame(centre) {}

  void read_place() {
    if (dataset->GetGeoTransform(to_map.data()) != CE_None)
      throw bad_input(
          "the raster does not say where it lies (no geotransform); give it a world file, or use one that "
          "says it",
          file);
    if (GDALInvGeoTransform(to_map.data(), to_pixel.data()) == 0 ||
        !std::all_of(to_pixel.begin(), to_pixel.end(), [](double v) { return std::isfinite(v); }))
      throw bad_input("the raster's place makes no sense: its cells have no size", file);
    const std::string crs = crs_of(*dataset);
    if (crs.empty())
      throw bad_input(
          "the raster does not say its coordinate system; give it one in a GIS (\"assign projection\")",
          file);
    try {
      converter = std::make_unique<core::CrsConverter>(crs);
    } catch (const Error& error) {
      throw bad_input(error.what(), file);
    }
    info.crs_note = converter->note();
  }

  void check_pieces() const {
    double whole = 0;
    for (int b = 1; b <= dataset->GetRasterCount(); ++b) {
      int w = 0, h = 0;
      GDALRasterBand& band = *dataset->GetRasterBand(b);
      band.GetBlockSize(&w, &h);
      const double bytes = static_cast<double>(w) * h * GDALGetDataTypeSizeBytes(band.GetRasterDataType());
      whole = std::max(whole, bytes);
    }
    if (whole > kLargestPiece_bytes)
      throw bad_input(
          "the raster is stored in pieces of " + std::to_string(static_cast<long long>(whole / 1048576)) +
              " MiB, too large to be drawn piece by piece; save it tiled and with overviews (a GIS calls it "
              "a cloud-optimised GeoTIFF)",
          file);
  }

  // Column and row of a place in the plane.
  std::optional<core::PlanePoint> way(core::PlanePoint place) const {
    const core::LonLat at = frame.to_lonlat(place);
    if (!core::is_valid(at)) return std::nullopt;
    const auto map = converter->from_lonlat(at);
    if (!map) return std::nullopt;
    return core::PlanePoint{to_pixel[0] + to_pixel[1] * map->x + to_pixel[2] * map->y,
                            to_pixel[3] + to_pixel[4] * map->x + to_pixel[5] * map->y};
  }
  std::optional<core::PlanePoint> place_of(double column, double row) const {
    const auto at = converter->to_lonlat(
        {to_map[0] + to_map[1] * column + to_map[2] * row, to_map[3] + to_map[4] * column + to_map[5] * row});
    if (!at || !core::is_valid(*at)) return std::nullopt;
    const core::PlanePoint place = frame.to_plane(*at);
    if (!std::isfinite(place.x) || !std::isfinite(place.y)) return std::nullopt;
    return place;
  }

  // Around the edge of the file, and how fine it is near the survey.
  void measure() {
    constexpr int kSteps = 16;
    bool any = false;
    for (int i = 0; i <= kSteps; ++i)
      for (int k = 0; k <= kSteps; ++k) {
        if (i != 0 && i != kSteps && k != 0 && k != kSteps) continue;
        const auto p = place_of(info.width * static_cast<double>(i) / kSteps,
                                info.height * static_cast<double>(k) / kSteps);
        if (!p) continue;
        if (!any) info.min_x = info.max_x = p->x, info.min_y = info.max_y = p->y;
        any = true;
        info.min_x = std::min(info.min_x, p->x), info.max_x = std::max(info.max_x, p->x);
        info.min_y = std::min(info.min_y, p->y), info.max_y = std::max(info.max_y, p->y);
      }
    if (!any)
      throw bad_input(
          "no corner of the raster has a place on Earth: its coordinate system or its place is wrong", file);
    // The point of the file nearest to the survey.
    const auto centre = way({0, 0}).value_or(core::PlanePoint{info.width / 2.0, info.height / 2.0});
    const double c = std::clamp(centre.x, 0.5, info.width - 0.5),
                 r = std::clamp(centre.y, 0.5, info.height - 0.5);
    const auto a = place_of(c - 0.5, r), b = place_of(c + 0.5, r);
    const double metres = a && b ? std::hypot(b->x - a->x, b->y - a->y) : 1;
    if (!(metres > 0)) throw bad_input("the raster's cells have no size on the ground", file);
    info.cell_m = metres;
    info.finest_level =
        std::clamp(static_cast<std::int32_t>(std::floor(std::log2(metres))), kFinestLevel, kCoarsestLevel);
  }

  // Gentle land shows no relief in true light: its heights are multiplied.
  void choose_heightening() {
    const int w = std::min(info.width, 400), h = std::min(info.height, 400);
    const auto heights = pixels->read_heights({0, 0, info.width, info.height}, w, h, {});
    const auto a = place_of(0, info.height / 2.0), b = place_of(info.width, info.height / 2.0);
    if (heights.empty() || !a || !b) return;
    const double cell = std::hypot(b->x - a->x, b->y - a->y) / w;
    std::vector<double> rises;
    for (int y = 0; y + 1 < h; ++y)
      for (int x = 0; x + 1 < w; ++x) {
        const auto i =
            static_cast<std::size_t>(y) * static_cast<std::size_t>(w) + static_cast<std::size_t>(x);
        const double rise =
            std::hypot(heights[i + 1] - heights[i], heights[i + static_cast<std::size_t>(w)] - heights[i]);
        if (std::isfinite(rise) && rise > 0) rises.push_back(rise / cell);
      }
    if (rises.empty() || !(cell > 0)) return;
    const auto steep = rises.begin() + static_cast<std::ptrdiff_t>(rises.size() * 9 / 10);
    std::nth_element(rises.begin(), steep, rises.end());
    info.heightened = std::clamp(std::round(kShownRise / *steep * 2) / 2, 1.0, kMostHeightened);
  }

  TileImage shade(const TileKey& key, const SourceGrid& grid, const std::function<bool()>& go_on) const {
    constexpr int kSide = kTilePixels + 2;  // light needs the neighbours
    std::vector<float> heights(static_cast<std::size_t>(kSide) * kSide);
    if (!pixels->sample_heights(grid, kSide, 1, heights.data(), go_on)) return {};
    const RowMetric metric{pixel_m(key.level) / info.heightened, pixel_m(key.level) / info.heightened, 1};
    std::vector<std::uint8_t> light(kSide);
    TileImage image;
    image.rgba.resize(std::size_t{kTilePixels} * kTilePixels * 4);
    bool any = false;
    for (int r = 0; r < kTilePixels; ++r) {
      const float* row = heights.data() + static_cast<std::size_t>(r + 1) * kSide;
      hillshade_row(row - kSide, row, row + kSide, kSide, metric, {}, light.data());
      for (int c = 0; c < kTilePixels; ++c) {
        const std::uint8_t s = light[static_cast<std::size_t>(c) + 1];
        std::uint8_t* out =
            &image.rgba[(static_cast<std::size_t>(r) * kTilePixels + static_cast<std::size_t>(c)) * 4];
        out[0] = out[1] = out[2] = s;
        out[3] = s == 0 ? 0 : 255;
        any = any || s != 0;
      }
    }
    return any ? image : TileImage{};
  }
};

Basemap::Basemap(const std::filesystem::path& file, const BasemapOptions& options)
    : impl_(std::make_unique<Impl>(file, options.centre)) {
  start_geodata();
  Impl& m = *impl_;
  std::error_code error;
  if (std::filesystem::exists(file, error) && !std::filesystem::is_regular_file(file, error))
    throw bad_input("this is no file; a background is one raster file", file);
  try {
    m.dataset = open_raster(file, kBackgroundFormats);
  } catch (const Error& refused) {
    if (refused.code() == ErrorCode::kBadInput && file.extension() == ".mbtiles")
      throw bad_input(
          "no picture tiles can be read from it: it is damaged, or it holds vector tiles, which are not "
          "drawn; "
          "use tiles of pictures (PNG, JPEG, WebP)",
          file);
    throw;
  }
  BasemapInfo& info = m.info;
  info.width = m.dataset->GetRasterXSize();
  info.height = m.dataset->GetRasterYSize();
  info.bands = m.dataset->GetRasterCount();
  info.format = m.dataset->GetDriver() != nullptr ? m.dataset->GetDriver()->GetDescription() : "";
  info.tiled = info.format == "MBTiles" || info.format == "GPKG" || info.format == "Rasterlite";
  info.title = first_of(*m.dataset, {"name", "IDENTIFIER", "TITLE", "TIFFTAG_IMAGEDESCRIPTION"});
  info.attribution = first_of(*m.dataset, {"attribution", "ATTRIBUTION", "TIFFTAG_COPYRIGHT", "COPYRIGHT"});
  m.check_pieces();
  m.read_place();
  m.measure();
  m.pixels = std::make_unique<SourcePixels>(*m.dataset, m.file);
  info.look = options.look.value_or(m.pixels->are_heights() ? core::LayerLook::kHillshade
                                                            : core::LayerLook::kPicture);
  if (info.look == core::LayerLook::kHillshade)
    m.choose_heightening();
  else
    m.pixels->choose_stretch();
}

Basemap::~Basemap() = default;
Basemap::Basemap(Basemap&&) noexcept = default;
Basemap& Basemap::operator=(Basemap&&) noexcept = default;

const BasemapInfo& Basemap::info() const {
  return impl_->info;
}

TileImage Basemap::read(const TileKey& key, const std::function<bool()>& go_on) const {
  const Impl& m = *impl_;
  const bool shaded = m.info.look == core::LayerLook::kHillshade;
  const SourceGrid grid(tile_square(key), kTilePixels, shaded ? 1 : 0, m.info.width / 2.0,
                        [&](core::PlanePoint p) { return m.way(p); });
  if (!(grid.max_x >= 0 && grid.max_y >= 0 && grid.min_x <= m.info.width && grid.min_y <= m.info.height))
    return {};
  if (shaded) return m.shade(key, grid, go_on);
  TileImage image;
  image.rgba.resize(std::size_t{kTilePixels} * kTilePixels * 4);
  if (!m.pixels->sample_picture(grid, kTilePixels, image.rgba.data(), go_on)) return {};
  return image;
}

}  // namespace brookmark::geodata

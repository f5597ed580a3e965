#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "core/base/error.hpp"
#include "geodata/basemap/source_pixels_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr int kMostRead = 1024;  // pixels a side that are held for one tile
constexpr float kNoValue = std::numeric_limits<float>::quiet_NaN();

int CPL_STDCALL ask(double, const char*, void* go_on) {
  const auto& asked = *static_cast<const SourcePixels::GoOn*>(go_on);
  return !asked || asked() ? 1 : 0;
}

// Place in what was read, and its four neighbours with their weights.
struct Corners {
  std::size_t at[4];
  double weight[4];
};

}  // namespace

struct SourcePixels::Part {
  SourceWindow window;
  int w = 0, h = 0;
  double column_scale = 1, row_scale = 1;  // read pixels to one of the file
  std::vector<std::uint8_t> rgba;

  // Nothing outside the file.
  std::optional<Corners> corners(core::PlanePoint at, int width, int height) const {
    if (!(at.x >= 0 && at.y >= 0 && at.x <= width && at.y <= height)) return std::nullopt;
    const double x = std::clamp((at.x - window.column) * column_scale - 0.5, 0.0, static_cast<double>(w - 1));
    const double y = std::clamp((at.y - window.row) * row_scale - 0.5, 0.0, static_cast<double>(h - 1));
    const auto c = static_cast<std::size_t>(x), r = static_cast<std::size_t>(y);
    const std::size_t c1 = std::min(c + 1, static_cast<std::size_t>(w) - 1);
    const std::size_t r1 = std::min(r + 1, static_cast<std::size_t>(h) - 1);
    const double u = x - static_cast<double>(c), v = y - static_cast<double>(r);
    const auto width_z = static_cast<std::size_t>(w);
    return Corners{{r * width_z + c, r * width_z + c1, r1 * width_z + c, r1 * width_z + c1},
                   {(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v}};
  }
};

SourcePixels::SourcePixels(GDALDataset& dataset, const std::filesystem::path& file)
    : dataset_(dataset), file_(file), width_(dataset.GetRasterXSize()), height_(dataset.GetRasterYSize()) {
  std::vector<int> plain;
  for (int b = 1; b <= dataset.GetRasterCount(); ++b) {
    if (dataset.GetRasterBand(b)->GetColorInterpretation() == GCI_AlphaBand)
      alpha_band_ = b;
    else
      plain.push_back(b);
  }
  if (plain.empty()) plain.push_back(1), alpha_band_.reset();
  // Red, green and blue by name where they have one.
  std::array<int, 3> named{};
  for (const int b : plain) {
    const GDALColorInterp colour = dataset.GetRasterBand(b)->GetColorInterpretation();
    if (colour >= GCI_RedBand && colour <= GCI_BlueBand)
      named[static_cast<std::size_t>(colour - GCI_RedBand)] = b;
  }
  if (named[0] != 0 && named[1] != 0 && named[2] != 0)
    colour_bands_.assign(named.begin(), named.end());
  else if (plain.size() >= 3)
    colour_bands_.assign(plain.begin(), plain.begin() + 3);
  else
    colour_bands_.assign(plain.begin(), plain.begin() + 1);
  GDALRasterBand& first = *dataset.GetRasterBand(colour_bands_.front());
  eight_bits_ = first.GetRasterDataType() == GDT_Byte;
  masked_ = !alpha_band_ && (first.GetMaskFlags() & GMF_ALL_VALID) == 0;
  const GDALColorTable* table = first.GetColorTable();
  if (colour_bands_.size() == 1 && table != nullptr && eight_bits_) {
    palette_ = true;
    colours_.assign(256, {0, 0, 0, 0});
    for (int i = 0; i < std::min(table->GetColorEntryCount(), 256); ++i) {
      GDALColorEntry e{};
      table->GetColorEntryAsRGB(i, &e);
      const auto byte = [](short v) { return static_cast<std::uint8_t>(std::clamp<short>(v, 0, 255)); };
      colours_[static_cast<std::size_t>(i)] = {byte(e.c1), byte(e.c2), byte(e.c3), byte(e.c4)};
    }
  }
}

bool SourcePixels::are_heights() const {
  if (colour_bands_.size() != 1 || palette_ || alpha_band_) return false;
  GDALRasterBand& band = *dataset_.GetRasterBand(colour_bands_.front());
  if (GDALDataTypeIsComplex(band.GetRasterDataType()) != 0) return false;
  return !eight_bits_;
}

void SourcePixels::refuse(const std::string& said) const {
  throw Error(ErrorCode::kBadInput,
              "the background can no longer be read here; the file is damaged, cut off or gone" + said,
              file_.string());
}

bool SourcePixels::read_band(GDALRasterBand& band, const Part& part, void* out, int type, bool smooth,
                             const GoOn& go_on) const {
  GDALRasterIOExtraArg extra;
  INIT_RASTERIO_EXTRA_ARG(extra);
  extra.eResampleAlg = smooth ? GRIORA_Bilinear : GRIORA_NearestNeighbour;
  extra.pfnProgress = ask;
  extra.pProgressData = const_cast<GoOn*>(&go_on);
  const GdalMessages messages;
  const SourceWindow& s = part.window;
  if (band.RasterIO(GF_Read, s.column, s.row, s.columns, s.rows, out, part.w, part.h,
                    static_cast<GDALDataType>(type), 0, 0, &extra) == CE_None)
    return true;
  if (go_on && !go_on()) return false;
  refuse(messages.in_brackets());
}

// The window of the file that a tile needs, and how many pixels are read for it.
std::optional<SourcePixels::Part> SourcePixels::part_of(const SourceGrid& grid) const {
  Part part;
  const double reach = 2 * std::max(grid.source_pixels, 1.0);
  const auto low = [&](double v, int most) {
    return static_cast<int>(std::clamp(std::floor(v - reach), 0.0, static_cast<double>(most)));
  };
  const auto high = [&](double v, int most) {
    return static_cast<int>(std::clamp(std::ceil(v + reach), 0.0, static_cast<double>(most)));
  };
  SourceWindow& s = part.window;
  s.column = low(grid.min_x, width_), s.row = low(grid.min_y, height_);
  s.columns = high(grid.max_x, width_) - s.column, s.rows = high(grid.max_y, height_) - s.row;
  if (s.columns <= 0 || s.rows <= 0) return std::nullopt;
  const double step = std::max(grid.source_pixels, 1.0);
  part.w = std::clamp(static_cast<int>(std::ceil(s.columns / step)), 1, std::min(kMostRead, s.columns));
  part.h = std::clamp(static_cast<int>(std::ceil(s.rows / step)), 1, std::min(kMostRead, s.rows));
  part.column_scale = static_cast<double>(part.w) / s.columns;
  part.row_scale = static_cast<double>(part.h) / s.rows;
  return part;
}

std::vector<float> SourcePixels::read_heights(const SourceWindow& window, int w, int h,
                                              const GoOn& go_on) const {
  Part part;
  part.window = window;
  part.w = w;
  part.h = h;
  const std::size_t cells = static_cast<std::size_t>(w) * static_cast<std::size_t>(h);
  std::vector<float> heights(cells);
  GDALRasterBand& band = *dataset_.GetRasterBand(colour_bands_.front());
  // Weighted together only where the overviews leave little to weigh: from the file itself that would read all of it.
  if (!read_band(band, part, heights.data(), GDT_Float32, w * 4 >= window.columns, go_on)) return {};
  int known = 0;
  const double no_data = band.GetNoDataValue(&known);
  for (float& z : heights)
    if ((known != 0 && z == static_cast<float>(no_data)) || !std::isfinite(z) || std::abs(z) > 1e6F)
      z = kNoValue;
  return heights;
}

bool SourcePixels::sample_heights(const SourceGrid& grid, int side, int margin, float* out,
                                  const GoOn& go_on) const {
  const auto part = part_of(grid);
  if (!part) return false;
  const std::vector<float> heights = read_heights(part->window, part->w, part->h, go_on);
  if (heights.empty()) return false;
  for (int r = 0; r < side; ++r)
    for (int c = 0; c < side; ++c) {
      float& z =
          out[static_cast<std::size_t>(r) * static_cast<std::size_t>(side) + static_cast<std::size_t>(c)];
      z = kNoValue;
      const auto at = grid.at(c + 0.5 - margin, r + 0.5 - margin);
      const auto around = at ? part->corners(*at, width_, height_) : std::nullopt;
      if (!around) continue;
      double sum = 0, weight = 0;
      for (std::size_t i = 0; i < 4; ++i)
        if (const float v = heights[around->at[i]]; !std::isnan(v))
          sum += around->weight[i] * v, weight += around->weight[i];
      if (weight >= 0.5) z = static_cast<float>(sum / weight);
    }
  return true;
}

void SourcePixels::choose_stretch() {
  if (eight_bits_) return;
  Part part;
  part.window = {0, 0, width_, height_};
  part.w = std::min(width_, 256);
  part.h = std::min(height_, 256);
  std::vector<float> values(static_cast<std::size_t>(part.w) * static_cast<std::size_t>(part.h));
  for (std::size_t k = 0; k < colour_bands_.size(); ++k) {
    GDALRasterBand& band = *dataset_.GetRasterBand(colour_bands_[k]);
    read_band(band, part, values.data(), GDT_Float32, false, {});
    int known = 0;
    const double no_data = band.GetNoDataValue(&known);
    std::vector<float> real;
    for (const float v : values)
      if (std::isfinite(v) && (known == 0 || v != static_cast<float>(no_data))) real.push_back(v);
    if (real.empty()) continue;
    std::sort(real.begin(), real.end());
    low_[k] = real[real.size() / 50];
    high_[k] = real[real.size() - 1 - real.size() / 50];
    if (!(high_[k] > low_[k])) high_[k] = low_[k] + 1;
  }
}

bool SourcePixels::read_picture(Part& part, const GoOn& go_on) const {
  const std::size_t cells = static_cast<std::size_t>(part.w) * static_cast<std::size_t>(part.h);
  part.rgba.assign(cells * 4, 255);
  const bool smooth = !palette_ && part.w * 4 >= part.window.columns;
  std::vector<float> wide;
  std::vector<std::uint8_t> bytes(cells);
  const auto put = [&](std::size_t channel) {
    for (std::size_t i = 0; i < cells; ++i) part.rgba[i * 4 + channel] = bytes[i];
  };
  for (std::size_t k = 0; k < colour_bands_.size(); ++k) {
    GDALRasterBand& band = *dataset_.GetRasterBand(colour_bands_[k]);
    if (eight_bits_) {
      if (!read_band(band, part, bytes.data(), GDT_Byte, smooth, go_on)) return false;
    } else {
      wide.resize(cells);
      if (!read_band(band, part, wide.data(), GDT_Float32, smooth, go_on)) return false;
      for (std::size_t i = 0; i < cells; ++i) {
        const double share = (static_cast<double>(wide[i]) - low_[k]) / (high_[k] - low_[k]);
        bytes[i] = static_cast<std::uint8_t>(std::lround(255 * (share > 0 ? std::min(share, 1.0) : 0.0)));
      }
    }
    if (palette_) {
      for (std::size_t i = 0; i < cells; ++i) std::memcpy(&part.rgba[i * 4], colours_[bytes[i]].data(), 4);
    } else if (colour_bands_.size() == 1) {
      for (std::size_t channel = 0; channel < 3; ++channel) put(channel);
    } else {
      put(k);
    }
  }
  if (!alpha_band_ && !masked_) return true;
  GDALRasterBand& alpha = alpha_band_ ? *dataset_.GetRasterBand(*alpha_band_)
                                      : *dataset_.GetRasterBand(colour_bands_.front())->GetMaskBand();
  if (!read_band(alpha, part, bytes.data(), GDT_Byte, smooth && alpha_band_, go_on)) return false;
  put(3);
  return true;
}

bool SourcePixels::sample_picture(const SourceGrid& grid, int side, std::uint8_t* rgba,
                                  const GoOn& go_on) const {
  auto part = part_of(grid);
  if (!part || !read_picture(*part, go_on)) return false;
  bool any = false;
  for (int r = 0; r < side; ++r)
    for (int c = 0; c < side; ++c) {
      std::uint8_t* out =
          rgba +
          (static_cast<std::size_t>(r) * static_cast<std::size_t>(side) + static_cast<std::size_t>(c)) * 4;
      std::fill_n(out, 4, std::uint8_t{0});
      const auto at = grid.at(c + 0.5, r + 0.5);
      const auto around = at ? part->corners(*at, width_, height_) : std::nullopt;
      if (!around) continue;
      // What is not there has no colour to give.
      double sum[3] = {0, 0, 0}, opaque = 0;
      for (std::size_t i = 0; i < 4; ++i) {
        const std::uint8_t* from = &part->rgba[around->at[i] * 4];
        const double weight = around->weight[i] * from[3] / 255.0;
        for (std::size_t k = 0; k < 3; ++k) sum[k] += weight * from[k];
        opaque += weight;
      }
      if (opaque <= 0) continue;
      for (std::size_t k = 0; k < 3; ++k)
        out[k] = static_cast<std::uint8_t>(std::lround(std::min(sum[k] / opaque, 255.0)));
      out[3] = static_cast<std::uint8_t>(std::lround(std::min(opaque, 1.0) * 255));
      any = true;
    }
  return any;
}

}  // namespace brookmark::geodata

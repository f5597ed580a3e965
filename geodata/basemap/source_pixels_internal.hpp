// Why: rasters keep colours in a dozen ways (palettes, grey, three or four bands, 16 bits, masks). Here they become four
// bytes a pixel, or heights, read from the overview that fits and bounded in memory.
// Use: SourcePixels pixels(dataset, file);  pixels.sample_picture(grid, 256, out, go_on);
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <vector>

#include "geodata/basemap/source_grid_internal.hpp"

class GDALDataset;
class GDALRasterBand;

namespace brookmark::geodata {

struct SourceWindow {  // of the file, in its pixels
  int column = 0, row = 0, columns = 0, rows = 0;
};

class SourcePixels {
 public:
  using GoOn = std::function<bool()>;
  // Both must outlive it.
  SourcePixels(GDALDataset& dataset, const std::filesystem::path& file);

  // One band that is no picture: real or 16-bit numbers without a palette, or one that calls itself elevation.
  bool are_heights() const;
  // Numbers of more than eight bits are brought to 0..255: from the fiftieth part to the last but one fiftieth.
  void choose_stretch();

  // Heights of a window brought to w x h; NaN where there is none. Empty where go_on says no. Throws Error(kBadInput).
  std::vector<float> read_heights(const SourceWindow& window, int w, int h, const GoOn& go_on) const;
  // `side` x `side` values around the tile, `margin` of them outside it. False: go_on said no, or nothing lies here.
  bool sample_heights(const SourceGrid& grid, int side, int margin, float* out, const GoOn& go_on) const;
  // `side` x `side` x 4 bytes. False as above.
  bool sample_picture(const SourceGrid& grid, int side, std::uint8_t* rgba, const GoOn& go_on) const;

 private:
  struct Part;  // what was read for a tile
  std::optional<Part> part_of(const SourceGrid& grid) const;
  bool read_picture(Part& part, const GoOn& go_on) const;
  bool read_band(GDALRasterBand& band, const Part& part, void* out, int type, bool smooth,
                 const GoOn& go_on) const;
  [[noreturn]] void refuse(const std::string& said) const;

  GDALDataset& dataset_;
  const std::filesystem::path& file_;
  int width_ = 0, height_ = 0;
  std::vector<int> colour_bands_;  // one (grey or palette) or three; counted from 1
  std::optional<int> alpha_band_;
  bool palette_ = false, masked_ = false, eight_bits_ = true;
  std::vector<std::array<std::uint8_t, 4>> colours_;
  std::array<double, 3> low_{0, 0, 0}, high_{255, 255, 255};
};

}  // namespace brookmark::geodata

// Why: terrain is worked on plain grids of cells, without any file format: rows from north to south, columns from
// west to east, and for every row how wide, high and large its cells are in metres.
// Use: Raster<float> heights({rows, cols});  heights.at(r, c) = 12.5F;  heights.at(r, c + 1) = kNoHeight;
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <span>

namespace brookmark::geodata {

struct GridSize {
  std::uint32_t rows = 0, cols = 0;
  std::size_t cells() const { return std::size_t{rows} * cols; }
  auto operator<=>(const GridSize&) const = default;
};

// A cell's place in the grid, row by row from the north-west corner.
using CellIndex = std::size_t;

// A height that is not known.
inline constexpr float kNoHeight = std::numeric_limits<float>::quiet_NaN();

// One value a cell, in one block of memory. Moved, never copied by accident.
template <class T>
class Raster {
 public:
  Raster() = default;
  explicit Raster(GridSize size)  // the values are whatever the memory held
      : size_(size), cells_(std::make_unique_for_overwrite<T[]>(size.cells())) {}
  Raster(GridSize size, T value) : Raster(size) { std::fill_n(cells_.get(), size.cells(), value); }

  GridSize size() const { return size_; }
  T* row(std::size_t r) { return cells_.get() + r * size_.cols; }
  const T* row(std::size_t r) const { return cells_.get() + r * size_.cols; }
  T& operator[](CellIndex cell) { return cells_[cell]; }
  const T& operator[](CellIndex cell) const { return cells_[cell]; }
  T& at(std::size_t r, std::size_t c) { return row(r)[c]; }
  const T& at(std::size_t r, std::size_t c) const { return row(r)[c]; }
  std::span<T> cells() { return {cells_.get(), size_.cells()}; }
  std::span<const T> cells() const { return {cells_.get(), size_.cells()}; }
  Raster copy() const {
    Raster other(size_);
    std::copy_n(cells_.get(), size_.cells(), other.cells_.get());
    return other;
  }

 private:
  GridSize size_;
  std::unique_ptr<T[]> cells_;
};

// The cells of one row, on the ground.
struct RowMetric {
  double width_m = 1;   // west to east
  double height_m = 1;  // north to south
  double area_m2 = 1;
};

// Where the water of a cell goes: one of eight neighbours, clockwise from the east, or off the map.
inline constexpr std::uint8_t kEast = 0, kSouthEast = 1, kSouth = 2, kSouthWest = 3, kWest = 4,
                              kNorthWest = 5, kNorth = 6, kNorthEast = 7;
inline constexpr std::uint8_t kLeavesGrid = 8;  // at the border of the grid or beside a cell without a height
inline constexpr std::uint8_t kNoDirection = 9;  // the cell has no height

inline constexpr int kRowStep[8] = {0, 1, 1, 1, 0, -1, -1, -1};
inline constexpr int kColStep[8] = {1, 1, 0, -1, -1, -1, 0, 1};
inline bool is_diagonal(std::uint8_t direction) {
  return (direction & 1U) != 0;
}
inline std::uint8_t opposite(std::uint8_t direction) {
  return static_cast<std::uint8_t>((direction + 4U) & 7U);
}

}  // namespace brookmark::geodata

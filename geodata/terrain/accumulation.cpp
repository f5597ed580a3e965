#include <algorithm>
#include <atomic>
#include <vector>

#include "geodata/terrain/accumulation_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr unsigned kLow = 0x0F, kOne = 0x10, kHigh = 0xF0;
constexpr std::uint8_t kPassed = 0xF0;  // upper half: counted and handed on

// How many of the three or two neighbours of a row drain into each cell of another row: the upper half of `into`
// grows by one for each.
void count_inflow(const std::uint8_t* from, std::size_t cols, std::uint8_t east, std::uint8_t straight,
                  std::uint8_t west, std::uint8_t* count) {
  // `east`: the direction by which a cell reaches its neighbour one column on.
  for (std::size_t c = 0; c + 1 < cols; ++c)
    count[c + 1] = static_cast<std::uint8_t>(count[c + 1] + (from[c] == east ? 1 : 0));
  if (straight != kNoDirection)
    for (std::size_t c = 0; c < cols; ++c)
      count[c] = static_cast<std::uint8_t>(count[c] + (from[c] == straight ? 1 : 0));
  for (std::size_t c = 1; c < cols; ++c)
    count[c - 1] = static_cast<std::uint8_t>(count[c - 1] + (from[c] == west ? 1 : 0));
}

struct Handed {  // over the edge of a strip
  CellIndex to;
  std::uint32_t cells;
};

class Accumulator {
 public:
  Accumulator(Raster<std::uint8_t>& direction, Raster<std::uint32_t>& upstream)
      : direction_(direction), upstream_(upstream), cols_(direction.size().cols) {
    for (std::uint8_t k = 0; k < 8; ++k)
      step_[k] = static_cast<std::ptrdiff_t>(kRowStep[k]) * static_cast<std::ptrdiff_t>(cols_) + kColStep[k];
  }

  // Before any byte of the strips is changed: the rows just outside a strip, which its neighbours will change.
  struct Halo {
    std::vector<std::uint8_t> above, below;
  };
  Halo halo(const Strip& strip) const {
    Halo halo;
    if (strip.first_row > 0) {
      const std::uint8_t* row = direction_.row(strip.first_row - 1);
      halo.above.assign(row, row + cols_);
    }
    if (strip.end_row < direction_.size().rows) {
      const std::uint8_t* row = direction_.row(strip.end_row);
      halo.below.assign(row, row + cols_);
    }
    return halo;
  }

  std::size_t run_strip(const Strip& strip, const Halo& halo, std::vector<Handed>& handed) {
    const std::size_t valid = count_inflows(strip, halo);
    const CellIndex begin = strip.first_row * cols_, end = strip.end_row * cols_;
    for (CellIndex cell = begin; cell < end; ++cell) {
      if ((direction_[cell] & kHigh) != 0 || direction_[cell] == kNoDirection) continue;
      walk(cell, begin, end, handed);
    }
    return valid;
  }

  // After all strips: what came over their edges, and all that waited for it.
  void run_handed(std::span<const Handed> handed) {
    std::vector<Handed> none;  // nothing leaves the whole grid by a direction
    for (const Handed& h : handed)
      if (receive(h.to, h.cells)) walk(h.to, 0, direction_.size().cells(), none);
  }

  void restore(const Strip& strip) {
    for (CellIndex cell = strip.first_row * cols_; cell < strip.end_row * cols_; ++cell)
      direction_[cell] = direction_[cell] & kLow;
  }

 private:
  std::size_t count_inflows(const Strip& strip, const Halo& halo) {
    std::size_t valid = 0;
    std::vector<std::uint8_t> count(cols_);
    // Rows are read before the row above them is changed: the unchanged one is kept.
    std::vector<std::uint8_t> above = halo.above, row(cols_);
    for (std::size_t r = strip.first_row; r < strip.end_row; ++r) {
      std::uint8_t* own = direction_.row(r);
      std::copy_n(own, cols_, row.begin());
      std::fill(count.begin(), count.end(), std::uint8_t{0});
      if (!above.empty()) count_inflow(above.data(), cols_, kSouthEast, kSouth, kSouthWest, count.data());
      count_inflow(row.data(), cols_, kEast, kNoDirection, kWest, count.data());
      const std::uint8_t* below = r + 1 < strip.end_row ? direction_.row(r + 1)
                                  : halo.below.empty()  ? nullptr
                                                        : halo.below.data();
      if (below != nullptr) count_inflow(below, cols_, kNorthEast, kNorth, kNorthWest, count.data());
      std::uint32_t* cells = upstream_.row(r);
      std::size_t valid_here = 0;
      for (std::size_t c = 0; c < cols_; ++c) {
        const std::uint32_t is_valid = row[c] != kNoDirection ? 1 : 0;
        cells[c] = is_valid;
        valid_here += is_valid;
        own[c] = static_cast<std::uint8_t>(own[c] | (count[c] << 4));
      }
      valid += valid_here;
      above.swap(row);
      row.resize(cols_);
    }
    return valid;
  }

  // One inflow of `cell` has arrived; true when it was the last.
  bool receive(CellIndex cell, std::uint32_t cells) {
    upstream_[cell] += cells;
    direction_[cell] = static_cast<std::uint8_t>(direction_[cell] - kOne);
    return (direction_[cell] & kHigh) == 0;
  }

  void walk(CellIndex cell, CellIndex begin, CellIndex end, std::vector<Handed>& handed) {
    while (true) {
      const unsigned way = direction_[cell] & kLow;
      direction_[cell] = direction_[cell] | kPassed;
      if (way >= 8) return;
      const CellIndex next = static_cast<CellIndex>(static_cast<std::ptrdiff_t>(cell) + step_[way]);
      if (next < begin || next >= end) {
        handed.push_back({next, upstream_[cell]});
        return;
      }
      if (!receive(next, upstream_[cell])) return;
      cell = next;
    }
  }

  Raster<std::uint8_t>& direction_;
  Raster<std::uint32_t>& upstream_;
  std::size_t cols_;
  std::ptrdiff_t step_[8];
};

}  // namespace

std::size_t accumulate(Raster<std::uint8_t>& direction, Raster<std::uint32_t>& upstream,
                       std::span<const Strip> strips, unsigned threads, const ProgressPart& progress) {
  Accumulator accumulator(direction, upstream);
  std::vector<Accumulator::Halo> halos;
  for (const Strip& strip : strips) halos.push_back(accumulator.halo(strip));
  std::vector<std::vector<Handed>> handed(strips.size());
  std::atomic<std::size_t> valid{0};
  for_each_strip(strips, threads, progress.part(0, 0.9), [&](const Strip& strip) {
    valid += accumulator.run_strip(strip, halos[strip.number], handed[strip.number]);
  });
  for (const std::vector<Handed>& h : handed) accumulator.run_handed(h);
  for_each_strip(strips, threads, progress.part(0.9, 1),
                 [&](const Strip& strip) { accumulator.restore(strip); });
  return valid;
}

}  // namespace brookmark::geodata

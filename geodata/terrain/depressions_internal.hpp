// Why: the lowest rim on the way out of every depression, found in one pass over the cells and one over the
// depressions, strip by strip, instead of a queue over all cells.
//
// How: each cell follows its steepest way down to a pit or off the map: that is its basin (a label). The lowest
// saddles between neighbouring basins, taken in order of height, join basin after basin to the outside; the saddle
// that joins a basin's group is its level. A cell's filled height is the greater of its own and its basin's level:
// the surface of priority-flood, since the way down from the cell to its pit never rises. Only the least saddles
// that join the basins of a strip are kept (Barnes 2016, Computers & Geosciences 96:56-68, works tiles so; Cordonnier,
// Bovy & Braun 2019, Earth Surf. Dynam. 7:549-562, basins so; citations: memory).
// Use: Basins basins = find_basins(heights, rows, strips, direction, label, threads, progress);
//      fill(basins, label, heights, threads, progress);
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "geodata/terrain/grid.hpp"
#include "geodata/terrain/strips_internal.hpp"

namespace brookmark::geodata {

// The lowest place between two basins: `cell` lies in one, a neighbour of it (or the outside) in the other.
struct Saddle {
  float height = 0;
  std::uint32_t a = 0, b = 0;  // labels; 0 is the outside
  std::uint32_t cell = 0;
};

struct Basins {
  std::vector<Strip> strips;
  std::vector<std::uint32_t>
      first_label;           // of each strip: a cell's label there counts from it; label 0 stays 0
  std::vector<float> level;  // by label: height of the lowest rim; -inf for the outside
  std::vector<std::uint32_t> stands_for;  // by label: itself, or the basin of a way that leaves its strip
  // For breaching only, else empty.
  std::vector<std::uint32_t> pit;  // by label: its lowest cell; meaningless for the outside
  std::vector<Saddle> tree;        // the saddles that join all basins to the outside, lowest first
  std::size_t count = 0;           // depressions, pits on one flat counted as found

  std::uint32_t label_of(const Strip& strip, std::uint32_t in_strip) const {
    return in_strip == 0 ? 0 : stands_for[first_label[strip.number] + in_strip];
  }
};

// Sets `direction` to the way down that was followed and `label` to the basin within the strip.
Basins find_basins(const Raster<float>& heights, std::span<const RowMetric> rows, std::vector<Strip> strips,
                   Raster<std::uint8_t>& direction, Raster<std::uint32_t>& label, bool for_breaching,
                   unsigned threads, const ProgressPart& progress);

// Raises every cell to its basin's level; the number of cells raised.
std::size_t fill(const Basins& basins, const Raster<std::uint32_t>& label, Raster<float>& heights,
                 unsigned threads, const ProgressPart& progress);

// Cuts a way from every pit through its saddle down to ground not higher than the pit: the cells on that way are
// lowered to the pit's height, never raised. The number of cells lowered.
std::size_t breach(const Basins& basins, const Raster<std::uint32_t>& label, Raster<std::uint8_t>& direction,
                   Raster<float>& heights);

// Lowest first; equal heights keep their order.
void sort_by_height(std::vector<Saddle>& saddles);

}  // namespace brookmark::geodata

#include <atomic>
#include <cmath>

#include "geodata/terrain/depressions_internal.hpp"
#include "geodata/terrain/directions_internal.hpp"

namespace brookmark::geodata {

std::size_t fill(const Basins& basins, const Raster<std::uint32_t>& label, Raster<float>& heights,
                 unsigned threads, const ProgressPart& progress) {
  std::atomic<std::size_t> raised{0};
  const std::size_t cols = heights.size().cols;
  for_each_strip(basins.strips, threads, progress, [&](const Strip& strip) {
    const float* level = basins.level.data() + basins.first_label[strip.number];
    std::size_t raised_here = 0;
    for (CellIndex cell = strip.first_row * cols; cell < strip.end_row * cols; ++cell) {
      if (label[cell] == 0 || !(heights[cell] < level[label[cell]])) continue;
      heights[cell] = level[label[cell]];
      ++raised_here;
    }
    raised += raised_here;
  });
  return raised;
}

namespace {

// The saddle by which a basin reaches the outside.
struct Exit {
  std::uint32_t basin = 0;
  std::uint32_t towards = 0;
  std::uint32_t cell = 0;  // of the saddle, in either of the two
};

// The tree of saddles from the outside inwards.
std::vector<Exit> exits_outside_first(const Basins& basins) {
  const std::size_t labels = basins.stands_for.size();
  std::vector<std::uint32_t> start(labels + 1, 0);
  for (const Saddle& s : basins.tree) ++start[s.a + 1], ++start[s.b + 1];
  for (std::size_t i = 1; i < start.size(); ++i) start[i] += start[i - 1];
  std::vector<std::uint32_t> at(2 * basins.tree.size());
  std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
  for (std::uint32_t i = 0; i < basins.tree.size(); ++i) {
    at[next[basins.tree[i].a]++] = i;
    at[next[basins.tree[i].b]++] = i;
  }
  std::vector<std::uint8_t> reached(labels, 0);
  reached[0] = 1;
  std::vector<Exit> exits{{0, 0, 0}};
  for (std::size_t i = 0; i < exits.size(); ++i) {
    const std::uint32_t basin = exits[i].basin;
    for (std::uint32_t k = start[basin]; k < start[basin + 1]; ++k) {
      const Saddle& s = basins.tree[at[k]];
      const std::uint32_t other = s.a == basin ? s.b : s.a;
      if (reached[other] != 0) continue;
      reached[other] = 1;
      exits.push_back({other, basin, s.cell});
    }
  }
  exits.erase(exits.begin());
  return exits;
}

class Breacher {
 public:
  Breacher(const Basins& basins, const Raster<std::uint32_t>& label, Raster<std::uint8_t>& direction,
           Raster<float>& heights)
      : basins_(basins), label_(label), direction_(direction), heights_(heights), cols_(heights.size().cols) {
    for (const Strip& strip : basins.strips)
      strip_of_row_.insert(strip_of_row_.end(), strip.end_row - strip.first_row, strip.number);
  }

  std::size_t cut(const Exit& exit) {
    const float to = heights_[basins_.pit[exit.basin]];
    std::size_t lowered = 0;
    const auto lower = [&](CellIndex cell) {
      if (!(heights_[cell] > to)) return false;
      heights_[cell] = to;
      ++lowered;
      return true;
    };
    const Pair pair = across(exit);
    turn_around(pair.inside, pair.way, lower);
    if (pair.way == kLeavesGrid) return lowered;
    // What lies beyond drains outwards already and never rises on its way: lower until it is low enough.
    CellIndex cell = moved(pair.inside, pair.way);
    while (lower(cell) && direction_[cell] < 8) cell = moved(cell, direction_[cell]);
    return lowered;
  }

 private:
  struct Pair {
    CellIndex inside;
    std::uint8_t way;
  };

  CellIndex moved(CellIndex cell, std::uint8_t k) const {
    return static_cast<CellIndex>(static_cast<std::ptrdiff_t>(cell) +
                                  kRowStep[k] * static_cast<std::ptrdiff_t>(cols_) + kColStep[k]);
  }

  std::uint32_t basin_of(CellIndex cell) const {
    return basins_.label_of(basins_.strips[strip_of_row_[cell / cols_]], label_[cell]);
  }

  // The cells of the saddle: the lowest neighbour of its cell in the other basin.
  Pair across(const Exit& exit) const {
    const CellIndex cell = exit.cell;
    const bool cell_inside = basin_of(cell) == exit.basin;
    const std::uint32_t wanted = cell_inside ? exit.towards : exit.basin;
    const std::size_t r = cell / cols_, c = cell % cols_;
    if (cell_inside && wanted == 0 && touches_outside(heights_, r, c)) return {cell, kLeavesGrid};
    std::uint8_t best = kLeavesGrid;
    float lowest = std::numeric_limits<float>::infinity();
    for (std::uint8_t k = 0; k < 8; ++k) {
      const std::size_t nr = r + static_cast<std::size_t>(kRowStep[k]);
      const std::size_t nc = c + static_cast<std::size_t>(kColStep[k]);
      if (nr >= heights_.size().rows || nc >= cols_) continue;
      const CellIndex other = nr * cols_ + nc;
      if (std::isnan(heights_[other]) || basin_of(other) != wanted || !(heights_[other] < lowest)) continue;
      lowest = heights_[other];
      best = k;
    }
    if (cell_inside) return {cell, best};
    return {moved(cell, best), opposite(best)};
  }

  // The way from `cell` down to its pit, walked the other way round.
  template <class Lower>
  void turn_around(CellIndex cell, std::uint8_t way, const Lower& lower) {
    while (true) {
      const std::uint8_t old = direction_[cell];
      direction_[cell] = way;
      lower(cell);
      if (old >= 8) return;
      cell = moved(cell, old);
      way = opposite(old);
    }
  }

  const Basins& basins_;
  const Raster<std::uint32_t>& label_;
  Raster<std::uint8_t>& direction_;
  Raster<float>& heights_;
  std::size_t cols_;
  std::vector<std::size_t> strip_of_row_;
};

}  // namespace

std::size_t breach(const Basins& basins, const Raster<std::uint32_t>& label, Raster<std::uint8_t>& direction,
                   Raster<float>& heights) {
  Breacher breacher(basins, label, direction, heights);
  std::size_t lowered = 0;
  for (const Exit& exit : exits_outside_first(basins)) lowered += breacher.cut(exit);
  return lowered;
}

}  // namespace brookmark::geodata

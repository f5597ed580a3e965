#include <atomic>
#include <cassert>
#include <vector>

#include "geodata/terrain/directions_internal.hpp"
#include "geodata/terrain/flats_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr std::uint32_t kMask = 0x80000000;  // set once a cell has its place on the made surface

// While flats are being resolved, besides kNothingLower:
constexpr std::uint8_t kSeen = 14;      // in the flat at hand
constexpr std::uint8_t kCrossing = 13;  // in a flat that reaches over the edge of its strip

// One flat at a time: a lake costs its own cells and nothing else. Directions and scratch are touched between `begin`
// and `end` only, so that strips can be worked side by side.
class Flats {
 public:
  Flats(const Raster<float>& filled, Raster<std::uint8_t>& direction, Raster<std::uint32_t>& scratch,
        CellIndex begin, CellIndex end, std::uint8_t open)
      : z_(filled),
        direction_(direction),
        value_(scratch),
        cols_(filled.size().cols),
        begin_(begin),
        end_(end),
        open_(open) {
    for (std::uint8_t k = 0; k < 8; ++k)
      step_[k] = static_cast<std::ptrdiff_t>(kRowStep[k]) * static_cast<std::ptrdiff_t>(cols_) + kColStep[k];
  }

  // Resolves the flats of all open cells; the number of cells directed.
  std::size_t resolve_all() {
    std::size_t directed = 0;
    for (CellIndex cell = begin_; cell < end_; ++cell)
      if (direction_[cell] == open_) directed += resolve(cell);
    return directed;
  }

 private:
  // A cell that nothing is lower than touches neither the border nor a hole: all its neighbours are there.
  CellIndex moved(CellIndex cell, int k) const {
    return static_cast<CellIndex>(static_cast<std::ptrdiff_t>(cell) + step_[k]);
  }

  bool is_mine(CellIndex cell) const { return cell >= begin_ && cell < end_; }

  // The flat that `seed` lies in; the number of its cells, 0 when it is not wholly between begin and end.
  std::size_t resolve(CellIndex seed) {
    if (!collect(seed)) {
      for (const CellIndex cell : flat_) direction_[cell] = kCrossing;
      return 0;
    }
    if (flat_.size() > 1) {
      towards_lower(away_from_higher());
    } else {
      value_[seed] = 1;
    }
    point();
    return flat_.size();
  }

  // The cells of the flat, those with higher ground beside them, and the ones of equal height that drain.
  bool collect(CellIndex seed) {
    flat_.assign(1, seed);
    outlets_.clear();
    queue_.clear();
    direction_[seed] = kSeen;
    for (std::size_t i = 0; i < flat_.size(); ++i) {
      const CellIndex cell = flat_[i];
      const float z = z_[cell];
      bool beside_higher = false;
      value_[cell] = 0;
      for (int k = 0; k < 8; ++k) {
        const CellIndex other = moved(cell, k);
        if (z_[other] > z) beside_higher = true;
        if (z_[other] != z) continue;
        if (!is_mine(other)) return false;
        const std::uint8_t way = direction_[other];
        if (way == open_) {
          direction_[other] = kSeen;
          flat_.push_back(other);
        } else if (way == kCrossing) {
          return false;
        } else if (way != kSeen) {
          outlets_.push_back(other);
          value_[other] = 0;
        }
      }
      if (beside_higher) queue_.push_back(cell);
    }
    return true;
  }

  // Steps from higher ground, from 1; the greatest. 0 where no cell of the flat has higher ground beside it.
  std::uint32_t away_from_higher() {
    for (const CellIndex cell : queue_) value_[cell] = 1;
    std::uint32_t farthest = queue_.empty() ? 0 : 1;
    for (std::size_t i = 0; i < queue_.size(); ++i) {
      const CellIndex cell = queue_[i];
      farthest = value_[cell];
      for (int k = 0; k < 8; ++k) {
        const CellIndex other = moved(cell, k);
        if (z_[other] != z_[cell] || direction_[other] != kSeen || value_[other] != 0) continue;
        value_[other] = value_[cell] + 1;
        queue_.push_back(other);
      }
    }
    return farthest;
  }

  void towards_lower(std::uint32_t farthest) {
    queue_.assign(outlets_.begin(), outlets_.end());
    std::size_t ring_end = queue_.size();
    std::uint32_t steps = 1;
    for (std::size_t i = 0; i < queue_.size(); ++i) {
      if (i == ring_end) ++steps, ring_end = queue_.size();
      const CellIndex cell = queue_[i];
      const std::size_t r = cell / cols_, c = cell % cols_;
      for (int k = 0; k < 8; ++k) {
        // An outlet may lie at the border.
        if (r + static_cast<std::size_t>(kRowStep[k]) >= z_.size().rows ||
            c + static_cast<std::size_t>(kColStep[k]) >= cols_)
          continue;
        const CellIndex other = moved(cell, k);
        if (!is_mine(other) || z_[other] != z_[cell] || direction_[other] != kSeen ||
            (value_[other] & kMask) != 0)
          continue;
        const std::uint32_t away = value_[other] == 0 ? 0 : farthest - value_[other];
        value_[other] = kMask | (2 * (steps + 1) + away);
        queue_.push_back(other);
      }
    }
  }

  // To the lowest neighbour of the made surface, where outlets are 0; straight before slanting.
  void point() {
    chosen_.resize(flat_.size());
    for (std::size_t i = 0; i < flat_.size(); ++i) {
      const CellIndex cell = flat_[i];
      std::uint32_t lowest = value_[cell];
      std::uint8_t best = kNothingLower;
      for (const std::uint8_t k :
           {kEast, kSouth, kWest, kNorth, kSouthEast, kSouthWest, kNorthWest, kNorthEast}) {
        const CellIndex other = moved(cell, k);
        if (z_[other] != z_[cell] || value_[other] >= lowest) continue;
        lowest = value_[other];
        best = k;
      }
      assert(best != kNothingLower);
      chosen_[i] = best;
    }
    for (std::size_t i = 0; i < flat_.size(); ++i) direction_[flat_[i]] = chosen_[i];
  }

  const Raster<float>& z_;
  Raster<std::uint8_t>& direction_;
  Raster<std::uint32_t>& value_;
  std::size_t cols_;
  CellIndex begin_, end_;
  std::uint8_t open_;
  std::ptrdiff_t step_[8];
  std::vector<CellIndex> flat_, outlets_, queue_;
  std::vector<std::uint8_t> chosen_;
};

}  // namespace

std::size_t resolve_flats(const Raster<float>& filled, Raster<std::uint8_t>& direction,
                          Raster<std::uint32_t>& scratch, std::span<const Strip> strips, unsigned threads,
                          const ProgressPart& progress) {
  std::atomic<std::size_t> directed{0};
  const std::size_t cols = filled.size().cols;
  for_each_strip(strips, threads, progress, [&](const Strip& strip) {
    directed += Flats(filled, direction, scratch, strip.first_row * cols, strip.end_row * cols, kNothingLower)
                    .resolve_all();
  });
  return directed + Flats(filled, direction, scratch, 0, filled.size().cells(), kCrossing).resolve_all();
}

}  // namespace brookmark::geodata

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "geodata/terrain/depressions_internal.hpp"
#include "geodata/terrain/directions_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr std::uint32_t kNotYet = 0xFFFFFFFF;
constexpr float kNeverFull = -std::numeric_limits<float>::infinity();

// Basins whose saddles have joined them.
class Groups {
 public:
  explicit Groups(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0U); }
  std::uint32_t find(std::uint32_t label) {
    while (parent_[label] != label) label = parent_[label] = parent_[parent_[label]];
    return label;
  }
  void join(std::uint32_t root, std::uint32_t onto_root) { parent_[root] = onto_root; }

 private:
  std::vector<std::uint32_t> parent_;
};

struct WayOut {  // of the strip
  std::uint32_t label;
  CellIndex to;
};

struct StripBasins {
  std::vector<std::uint32_t> pit{0};  // by label within the strip
  std::vector<WayOut> ways_out;
  std::vector<Saddle> saddles;
};

class StripWorker {
 public:
  StripWorker(const Raster<float>& heights, std::span<const RowMetric> rows, Raster<std::uint8_t>& direction,
              Raster<std::uint32_t>& label, const Strip& strip)
      : heights_(heights),
        rows_(rows),
        direction_(direction),
        label_(label),
        strip_(strip),
        cols_(heights.size().cols),
        begin_(strip.first_row * cols_),
        end_(strip.end_row * cols_) {
    for (std::uint8_t k = 0; k < 8; ++k)
      step_[k] = static_cast<std::ptrdiff_t>(kRowStep[k]) * static_cast<std::ptrdiff_t>(cols_) + kColStep[k];
  }

  StripBasins work() {
    for (std::size_t r = strip_.first_row; r < strip_.end_row; ++r) point_down(r);
    for (CellIndex cell = begin_; cell < end_; ++cell)
      if (label_[cell] == kNotYet) follow(cell);
    for (std::size_t r = strip_.first_row; r < strip_.end_row; ++r) collect_saddles(r);
    keep_least_saddles();
    return std::move(found_);
  }

 private:
  // Directions of a row, and the labels that are known at once. A pit has kNothingLower. Cells of a flat point to
  // an equal neighbour before them, so that a lake is a few basins and not one a cell.
  void point_down(std::size_t r) {
    std::uint8_t* out = direction_.row(r);
    steepest_in_row(heights_, r, rows_[r], out);
    const CellIndex first = r * cols_;
    for (std::size_t c = 0; c < cols_; ++c) {
      label_[first + c] = kNotYet;
      if (out[c] != kNothingLower) continue;
      if (std::isnan(heights_[first + c])) {
        out[c] = kNoDirection;
        label_[first + c] = 0;
      } else if (touches_outside(heights_, r, c)) {
        out[c] = kLeavesGrid;
        label_[first + c] = 0;
      } else {  // not at the border: all eight neighbours are there
        for (const std::uint8_t k : {kWest, kNorth, kNorthWest, kNorthEast}) {
          if (k != kWest && r == strip_.first_row) break;
          if (heights_[first + c] != heights_[moved(first + c, k)]) continue;
          out[c] = k;
          break;
        }
      }
    }
  }

  CellIndex moved(CellIndex cell, std::uint8_t k) const {
    return static_cast<CellIndex>(static_cast<std::ptrdiff_t>(cell) + step_[k]);
  }

  std::uint32_t new_label(CellIndex pit) {
    found_.pit.push_back(static_cast<std::uint32_t>(pit));
    return static_cast<std::uint32_t>(found_.pit.size() - 1);
  }

  void follow(CellIndex start) {
    CellIndex cell = start;
    std::uint32_t label = kNotYet;
    while (label == kNotYet) {
      if (direction_[cell] == kNothingLower) {
        label = new_label(cell);
        label_[cell] = label;
        break;
      }
      const CellIndex next = moved(cell, direction_[cell]);
      if (next < begin_ || next >= end_) {
        label = new_label(next);
        found_.ways_out.push_back({label, next});
        label_[cell] = label;
        break;
      }
      cell = next;
      label = label_[cell];
    }
    for (cell = start; label_[cell] == kNotYet; cell = moved(cell, direction_[cell])) label_[cell] = label;
  }

  void collect_saddles(std::size_t r) {
    const CellIndex first = r * cols_;
    const bool has_next = r + 1 < strip_.end_row;
    const bool at_border = r == 0 || r + 1 == heights_.size().rows;
    for (std::size_t c = 0; c < cols_; ++c) {
      const CellIndex cell = first + c;
      const bool has_east = c + 1 < cols_;
      if (has_east) between(cell, cell + 1);
      if (has_next) {
        between(cell, cell + cols_);
        if (c > 0) between(cell, cell + cols_ - 1);
        if (has_east) between(cell, cell + cols_ + 1);
      }
      if (at_border || c == 0 || !has_east)
        if (label_[cell] != 0) add({heights_[cell], label_[cell], 0, static_cast<std::uint32_t>(cell)});
    }
  }

  // A cell without a height has label 0 and lets water through at the height of the other.
  void between(CellIndex cell, CellIndex other) {
    const std::uint32_t a = label_[cell], b = label_[other];
    if (a == b) return;
    const float z = heights_[cell], y = heights_[other];
    if (z > y || std::isnan(y))
      add({z, a, b, static_cast<std::uint32_t>(cell)});
    else
      add({y, b, a, static_cast<std::uint32_t>(other)});
  }

  // Two basins touch along many cells: those met lately are remembered, and only their lowest is kept.
  void add(const Saddle& saddle) {
    const std::uint32_t low = std::min(saddle.a, saddle.b), high = std::max(saddle.a, saddle.b);
    std::uint32_t& kept = lately_[(low * 0x9E3779B1U ^ high * 0x85EBCA77U) >> (32 - kLatelyBits)];
    if (kept < found_.saddles.size()) {
      Saddle& before = found_.saddles[kept];
      if (std::min(before.a, before.b) == low && std::max(before.a, before.b) == high) {
        if (saddle.height < before.height) before = saddle;
        return;
      }
    }
    kept = static_cast<std::uint32_t>(found_.saddles.size());
    found_.saddles.push_back(saddle);
  }

  void keep_least_saddles() {
    sort_by_height(found_.saddles);
    Groups groups(found_.pit.size());
    std::vector<Saddle> kept;
    kept.reserve(found_.pit.size());
    for (const Saddle& saddle : found_.saddles) {
      const std::uint32_t a = groups.find(saddle.a), b = groups.find(saddle.b);
      if (a == b) continue;
      groups.join(a, b);
      kept.push_back(saddle);
    }
    kept.shrink_to_fit();
    found_.saddles = std::move(kept);
  }

  static constexpr int kLatelyBits = 13;

  const Raster<float>& heights_;
  std::span<const RowMetric> rows_;
  Raster<std::uint8_t>& direction_;
  Raster<std::uint32_t>& label_;
  Strip strip_;
  std::size_t cols_;
  CellIndex begin_, end_;
  std::ptrdiff_t step_[8];
  std::vector<std::uint32_t> lately_ = std::vector<std::uint32_t>(std::size_t{1} << kLatelyBits, kNotYet);
  StripBasins found_;
};

std::vector<StripBasins> work_strips(std::span<const Strip> strips, const Raster<float>& heights,
                                     std::span<const RowMetric> rows, Raster<std::uint8_t>& direction,
                                     Raster<std::uint32_t>& label, unsigned threads,
                                     const ProgressPart& progress) {
  std::vector<StripBasins> found(strips.size());
  for_each_strip(strips, threads, progress, [&](const Strip& strip) {
    found[strip.number] = StripWorker(heights, rows, direction, label, strip).work();
  });
  return found;
}

// The same two basins mostly meet in cells side by side: only the lowest of a row of saddles is kept.
void add_seam_saddle(const Saddle& saddle, std::vector<Saddle>& saddles) {
  const auto pair = [](const Saddle& s) { return std::pair(std::min(s.a, s.b), std::max(s.a, s.b)); };
  if (saddles.empty() || pair(saddles.back()) != pair(saddle))
    saddles.push_back(saddle);
  else if (saddle.height < saddles.back().height)
    saddles.back() = saddle;
}

// Saddles across the line between a strip and the one below it.
void add_seam(const Basins& basins, const Strip& strip, const Raster<float>& heights,
              const Raster<std::uint32_t>& label, std::vector<Saddle>& saddles) {
  if (strip.end_row == heights.size().rows) return;
  const Strip& below = basins.strips[strip.number + 1];
  const std::size_t r = strip.end_row - 1, cols = heights.size().cols;
  for (std::size_t c = 0; c < cols; ++c) {
    const std::uint32_t a = basins.label_of(strip, label.at(r, c));
    const float z = heights.at(r, c);
    for (std::size_t n = c == 0 ? 0 : c - 1; n < std::min(cols, c + 2); ++n) {
      const std::uint32_t b = basins.label_of(below, label.at(r + 1, n));
      if (a == b) continue;
      const float y = heights.at(r + 1, n);
      const bool upper = z > y || std::isnan(y);
      const Saddle saddle = upper ? Saddle{z, a, b, static_cast<std::uint32_t>(r * cols + c)}
                                  : Saddle{y, b, a, static_cast<std::uint32_t>((r + 1) * cols + n)};
      add_seam_saddle(saddle, saddles);
    }
  }
}

// Takes the saddles from the lowest: a group of basins is full when it first touches what drains off the map.
void drain(Basins& basins, std::vector<Saddle> saddles, bool for_breaching) {
  sort_by_height(saddles);
  const std::size_t labels = basins.stands_for.size();
  Groups groups(labels);
  std::vector<std::uint8_t> drains(labels, 0);
  std::vector<float> level(labels, kNeverFull);  // of a group's root
  drains[0] = 1;
  for (const Saddle& saddle : saddles) {
    const std::uint32_t a = groups.find(saddle.a), b = groups.find(saddle.b);
    if (a == b || (drains[a] != 0 && drains[b] != 0)) continue;
    if (for_breaching) basins.tree.push_back(saddle);
    if (drains[a] == 0 && drains[b] == 0) {
      groups.join(a, b);
    } else {
      const std::uint32_t full = drains[a] != 0 ? b : a;
      drains[full] = 1;
      level[full] = saddle.height;
    }
  }
  basins.level.resize(labels);
  for (std::uint32_t i = 0; i < labels; ++i) {
    const std::uint32_t basin = basins.stands_for[i];
    basins.level[i] = basin == 0 ? kNeverFull : level[groups.find(basin)];
  }
}

}  // namespace

Basins find_basins(const Raster<float>& heights, std::span<const RowMetric> rows, std::vector<Strip> strips,
                   Raster<std::uint8_t>& direction, Raster<std::uint32_t>& label, bool for_breaching,
                   unsigned threads, const ProgressPart& progress) {
  Basins basins;
  basins.strips = std::move(strips);
  std::vector<StripBasins> found =
      work_strips(basins.strips, heights, rows, direction, label, threads, progress.part(0, 0.9));

  // Labels of all strips in one row of numbers: those of strip s follow first_label[s].
  std::size_t labels = 1;
  for (const StripBasins& strip : found) labels += strip.pit.size() - 1;
  basins.pit.reserve(labels);
  basins.pit.push_back(0);
  for (StripBasins& strip : found) {
    basins.first_label.push_back(static_cast<std::uint32_t>(basins.pit.size() - 1));
    basins.pit.insert(basins.pit.end(), strip.pit.begin() + 1, strip.pit.end());
    std::vector<std::uint32_t>().swap(strip.pit);
  }
  basins.stands_for.resize(basins.pit.size());
  std::iota(basins.stands_for.begin(), basins.stands_for.end(), 0U);

  // A way that leaves its strip has the label of the cell it goes on to, which may leave its strip in turn: never
  // in a circle, since every step goes down.
  const std::size_t cols = heights.size().cols;
  std::size_t ways_out = 0;
  for (std::size_t s = 0; s < found.size(); ++s) {
    for (const WayOut& way : found[s].ways_out) {
      const std::size_t row = way.to / cols;
      const std::size_t other = row < basins.strips[s].first_row ? s - 1 : s + 1;
      const std::uint32_t in_other = label[way.to];
      basins.stands_for[basins.first_label[s] + way.label] =
          in_other == 0 ? 0 : basins.first_label[other] + in_other;
      ++ways_out;
    }
  }
  for (std::uint32_t i = 0; i < basins.stands_for.size(); ++i) {
    std::uint32_t basin = i;
    while (basins.stands_for[basin] != basin) basin = basins.stands_for[basin];
    for (std::uint32_t walk = i; walk != basin;) walk = std::exchange(basins.stands_for[walk], basin);
  }
  basins.count = basins.pit.size() - 1 - ways_out;
  if (!for_breaching) std::vector<std::uint32_t>().swap(basins.pit);

  std::size_t count = found.size() * cols;  // about as many across the seams
  for (const StripBasins& strip : found) count += strip.saddles.size();
  std::vector<Saddle> saddles;
  saddles.reserve(count);
  for (std::size_t s = 0; s < found.size(); ++s) {
    const std::uint32_t base = basins.first_label[s];
    for (const Saddle& saddle : found[s].saddles) {
      const auto whole = [&](std::uint32_t l) { return l == 0 ? 0 : basins.stands_for[base + l]; };
      saddles.push_back({saddle.height, whole(saddle.a), whole(saddle.b), saddle.cell});
    }
    std::vector<Saddle>().swap(found[s].saddles);
    add_seam(basins, basins.strips[s], heights, label, saddles);
  }
  drain(basins, std::move(saddles), for_breaching);
  progress.tell(1);
  return basins;
}

}  // namespace brookmark::geodata

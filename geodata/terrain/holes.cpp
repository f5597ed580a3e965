#include "geodata/terrain/holes.hpp"

#include <cmath>
#include <cstdint>
#include <vector>

namespace brookmark::geodata {

namespace {

struct Run {  // of cells without a height in one row
  std::size_t first, end;
  std::uint32_t group;
};

class Groups {
 public:
  std::uint32_t add() {
    parent_.push_back(static_cast<std::uint32_t>(parent_.size()));
    cells_.push_back(0);
    open_.push_back(false);
    return parent_.back();
  }
  std::uint32_t find(std::uint32_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = find(a), b = find(b);
    if (a == b) return;
    parent_[a] = b;
    cells_[b] += cells_[a];
    open_[b] = open_[b] || open_[a];
  }
  void grow(std::uint32_t i, std::size_t cells, bool at_border) {
    i = find(i);
    cells_[i] += cells;
    open_[i] = open_[i] || at_border;
  }
  Holes closed() const {
    Holes holes;
    for (std::uint32_t i = 0; i < parent_.size(); ++i)
      if (parent_[i] == i && !open_[i]) ++holes.count, holes.cells += cells_[i];
    return holes;
  }

 private:
  std::vector<std::uint32_t> parent_;
  std::vector<std::size_t> cells_;
  std::vector<bool> open_;
};

}  // namespace

Holes find_holes(const Raster<float>& heights) {
  const GridSize size = heights.size();
  Groups groups;
  std::vector<Run> above, here;
  for (std::size_t r = 0; r < size.rows; ++r) {
    const float* row = heights.row(r);
    here.clear();
    for (std::size_t c = 0; c < size.cols; ++c) {
      if (!std::isnan(row[c])) continue;
      const std::size_t first = c;
      while (c < size.cols && std::isnan(row[c])) ++c;
      const Run run{first, c, groups.add()};
      groups.grow(run.group, c - first, r == 0 || r + 1 == size.rows || first == 0 || c == size.cols);
      for (const Run& other : above)
        if (other.first <= run.end && run.first <= other.end) groups.join(other.group, run.group);
      here.push_back(run);
    }
    above.swap(here);
  }
  return groups.closed();
}

}  // namespace brookmark::geodata

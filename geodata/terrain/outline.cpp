#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "geodata/terrain/catchments.hpp"

namespace brookmark::geodata {

namespace {

// Directions along edges of cells, turning right.
enum Heading : std::uint8_t { kGoEast, kGoSouth, kGoWest, kGoNorth };

class Tracer {
 public:
  Tracer(const CatchmentCells& cells, std::span<const std::size_t> outlets)
      : owner_(cells.owner), member_(cells.areas.size() + 1, false) {
    first_row_ = first_col_ = owner_.size().cells();
    for (const std::size_t i : outlets) {
      const CatchmentArea& area = cells.areas[i];
      if (area.own_cells == 0) continue;
      member_[i + 1] = true;
      first_row_ = std::min(first_row_, area.first_row);
      first_col_ = std::min(first_col_, area.first_col);
      end_row_ = std::max(end_row_, area.end_row);
      end_col_ = std::max(end_col_, area.end_col);
    }
  }

  std::vector<CornerRing> rings() {
    if (end_row_ == 0) return {};
    passed_.assign((end_row_ - first_row_) * (end_col_ - first_col_), false);
    for (std::size_t r = first_row_; r < end_row_; ++r)
      for (std::size_t c = first_col_; c < end_col_; ++c)
        if (is_member(r, c) && !is_member(r - 1, c) && !passed_[at(r, c)]) trace(r, c);
    return std::move(rings_);
  }

 private:
  // Rows and columns before the first wrap to numbers above the last.
  std::uint32_t owner(std::size_t r, std::size_t c) const {
    return r < owner_.size().rows && c < owner_.size().cols ? owner_.at(r, c) : 0;
  }
  bool is_member(std::size_t r, std::size_t c) const { return member_[owner(r, c)]; }
  std::size_t at(std::size_t r, std::size_t c) const {
    return (r - first_row_) * (end_col_ - first_col_) + (c - first_col_);
  }

  // Once around with the members on the right hand, from the northern edge of a member. Members that touch in a
  // corner only are kept apart; where the way meets itself in such a corner, the loop is a ring of its own.
  void trace(std::size_t start_row, std::size_t start_col) {
    CornerRing ring;
    std::unordered_map<std::uint64_t, std::size_t> pinches;  // corner -> its place in the ring
    std::size_t r = start_row, c = start_col;
    Heading heading = kGoEast;
    do {
      if (heading == kGoEast) passed_[at(r, c)] = true;
      constexpr int kRow[4] = {0, 1, 0, -1}, kCol[4] = {1, 0, -1, 0};
      r += static_cast<std::size_t>(kRow[heading]);
      c += static_cast<std::size_t>(kCol[heading]);
      const Around around = look(r, c);
      // Of the two cells ahead, left and right of the way.
      constexpr int kAheadRight[4] = {kSE, kSW, kNW, kNE}, kAheadLeft[4] = {kNE, kSE, kSW, kNW};
      const bool right = member_[around.owner[kAheadRight[heading]]];
      const bool left = member_[around.owner[kAheadLeft[heading]]];
      const Heading before = heading;
      if (!right)
        heading = static_cast<Heading>((heading + 1) % 4);
      else if (left)
        heading = static_cast<Heading>((heading + 3) % 4);
      if (heading == before && !around.three_meet()) continue;
      const Corner corner{static_cast<std::uint32_t>(r), static_cast<std::uint32_t>(c)};
      if (!right && left) {  // members only across the corner
        const auto [known, is_new] =
            pinches.try_emplace(std::uint64_t{corner.row} << 32 | corner.col, ring.size());
        if (!is_new) {
          close(CornerRing(ring.begin() + static_cast<std::ptrdiff_t>(known->second), ring.end()));
          for (std::size_t i = known->second + 1; i < ring.size(); ++i)
            pinches.erase(std::uint64_t{ring[i].row} << 32 | ring[i].col);
          ring.resize(known->second);
        }
      }
      ring.push_back(corner);
    } while (r != start_row || c != start_col || heading != kGoEast);
    close(std::move(ring));
  }

  void close(CornerRing ring) {
    ring.push_back(ring.front());
    std::reverse(ring.begin(), ring.end());
    rings_.push_back(std::move(ring));
  }

  enum { kNW, kNE, kSW, kSE };
  struct Around {
    std::uint32_t owner[4];
    bool three_meet() const {
      int kinds = 0;
      for (int i = 0; i < 4; ++i) {
        bool is_new = true;
        for (int j = 0; j < i; ++j) is_new = is_new && owner[j] != owner[i];
        kinds += is_new ? 1 : 0;
      }
      return kinds > 2;
    }
  };
  Around look(std::size_t r, std::size_t c) const {
    return {{owner(r - 1, c - 1), owner(r - 1, c), owner(r, c - 1), owner(r, c)}};
  }

  const Raster<std::uint32_t>& owner_;
  std::vector<bool> member_;
  std::size_t first_row_ = 0, end_row_ = 0, first_col_ = 0, end_col_ = 0;
  std::vector<bool> passed_;  // the northern edge of a cell is in a ring
  std::vector<CornerRing> rings_;
};

// Twice the area in cells, positive when turning left with north up.
double doubled_area(const CornerRing& ring) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i)
    sum += static_cast<double>(ring[i + 1].col) * ring[i].row -
           static_cast<double>(ring[i].col) * ring[i + 1].row;
  return sum;
}

bool encloses(const CornerRing& ring, double row, double col) {
  bool inside = false;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    if (ring[i].col != ring[i + 1].col || ring[i].col < col) continue;  // upright edges to the east
    if ((ring[i].row < row) != (ring[i + 1].row < row)) inside = !inside;
  }
  return inside;
}

// A place in a member cell beside the hole: a ring turning right has the members on its left, north of the way east.
Corner cell_beside(const CornerRing& hole) {
  for (std::size_t i = 0; i + 1 < hole.size(); ++i)
    if (hole[i].row == hole[i + 1].row && hole[i].col < hole[i + 1].col)
      return {hole[i].row - 1, hole[i].col};
  return hole.front();
}

}  // namespace

std::vector<CornerPolygon> trace_outline(const CatchmentCells& cells, std::span<const std::size_t> outlets) {
  struct Outer {
    double area;
    std::size_t polygon;
  };
  std::vector<CornerPolygon> polygons;
  std::vector<Outer> outers;
  std::vector<CornerRing> holes;
  for (CornerRing& ring : Tracer(cells, outlets).rings()) {
    const double area = doubled_area(ring);
    if (area < 0) {
      holes.push_back(std::move(ring));
      continue;
    }
    outers.push_back({area, polygons.size()});
    polygons.push_back({{std::move(ring)}});
  }
  // A hole belongs to the smallest outer ring around the land beside it.
  std::sort(outers.begin(), outers.end(), [](const Outer& a, const Outer& b) { return a.area < b.area; });
  for (CornerRing& hole : holes) {
    const Corner beside = cell_beside(hole);
    for (const Outer& outer : outers) {
      if (!encloses(polygons[outer.polygon].rings[0], beside.row + 0.5, beside.col + 0.5)) continue;
      polygons[outer.polygon].rings.push_back(std::move(hole));
      break;
    }
  }
  return polygons;
}

}  // namespace brookmark::geodata

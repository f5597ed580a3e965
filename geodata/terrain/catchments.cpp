#include "geodata/terrain/catchments.hpp"

#include <algorithm>

namespace brookmark::geodata {

namespace {

// Gives the cells that drain to `outlet` its mark, as far as no other outlet's.
void spread(const FlowGrid& flow, CellIndex outlet, std::uint32_t mark, Raster<std::uint32_t>& owner,
            CatchmentArea& area) {
  std::vector<CellIndex> open{outlet};
  area.first_row = area.first_col = flow.size.cells();
  while (!open.empty()) {
    const CellIndex cell = open.back();
    open.pop_back();
    const std::size_t r = cell / flow.size.cols, c = cell % flow.size.cols;
    ++area.own_cells;
    area.own_area_m2 += flow.rows[r].area_m2;
    area.first_row = std::min(area.first_row, r);
    area.end_row = std::max(area.end_row, r + 1);
    area.first_col = std::min(area.first_col, c);
    area.end_col = std::max(area.end_col, c + 1);
    for (std::uint8_t k = 0; k < 8; ++k) {
      const std::size_t nr = r + static_cast<std::size_t>(kRowStep[k]);
      const std::size_t nc = c + static_cast<std::size_t>(kColStep[k]);
      if (nr >= flow.size.rows || nc >= flow.size.cols || flow.direction.at(nr, nc) != opposite(k)) continue;
      std::uint32_t& other = owner.at(nr, nc);
      if (other != 0) continue;
      other = mark;
      open.push_back(nr * flow.size.cols + nc);
    }
  }
}

}  // namespace

CatchmentCells find_catchments(const FlowGrid& flow, std::span<const CellIndex> outlets) {
  CatchmentCells found{Raster<std::uint32_t>(flow.size, 0), std::vector<CatchmentArea>(outlets.size())};
  const auto mark_of = [](std::size_t i) { return static_cast<std::uint32_t>(i + 1); };
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    std::uint32_t& owner = found.owner[outlets[i]];
    if (flow.direction[outlets[i]] == kNoDirection) continue;
    if (owner == 0) owner = mark_of(i);
  }
  for (std::size_t i = 0; i < outlets.size(); ++i)
    if (found.owner[outlets[i]] == mark_of(i))
      spread(flow, outlets[i], mark_of(i), found.owner, found.areas[i]);

  for (std::size_t i = 0; i < outlets.size(); ++i) {
    if (found.owner[outlets[i]] != mark_of(i)) continue;
    const auto next = flow.downstream(outlets[i]);
    if (next && found.owner[*next] != 0) found.areas[i].inside = found.owner[*next] - 1;
  }
  for (std::size_t i = 0; i < outlets.size(); ++i)
    for (std::optional<std::size_t> at = i; at; at = found.areas[*at].inside) {
      found.areas[*at].whole_cells += found.areas[i].own_cells;
      found.areas[*at].whole_area_m2 += found.areas[i].own_area_m2;
    }
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    const std::uint32_t owner = found.owner[outlets[i]];
    if (owner == 0 || owner == mark_of(i)) continue;
    found.areas[i].whole_cells = found.areas[owner - 1].whole_cells;
    found.areas[i].whole_area_m2 = found.areas[owner - 1].whole_area_m2;
  }
  return found;
}

std::vector<std::size_t> CatchmentCells::with_inner(std::size_t outlet) const {
  std::vector<std::size_t> all;
  for (std::size_t i = 0; i < areas.size(); ++i)
    for (std::optional<std::size_t> at = i; at; at = areas[*at].inside)
      if (*at == outlet) all.push_back(i);
  return all;
}

}  // namespace brookmark::geodata

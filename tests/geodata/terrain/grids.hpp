// Why: terrains drawn as numbers, and the slow, plain ways to the same answers.
// Use: Raster<float> z = heights_of({"9 9 9", "9 1 9", "9 9 9"});  plain_fill(z)
#pragma once

#include <cmath>
#include <limits>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "geodata/terrain/flow.hpp"

namespace brookmark::test {

using geodata::CellIndex;
using geodata::FlowGrid;
using geodata::Raster;
using geodata::RowMetric;

// Rows of numbers; "." is a cell without a height.
inline Raster<float> heights_of(const std::vector<std::string>& drawing) {
  std::vector<std::vector<float>> rows;
  for (const std::string& line : drawing) {
    std::istringstream in(line);
    std::vector<float>& row = rows.emplace_back();
    for (std::string word; in >> word;) row.push_back(word == "." ? geodata::kNoHeight : std::stof(word));
  }
  Raster<float> z({static_cast<std::uint32_t>(rows.size()), static_cast<std::uint32_t>(rows[0].size())});
  for (std::size_t r = 0; r < rows.size(); ++r)
    for (std::size_t c = 0; c < rows[r].size(); ++c) z.at(r, c) = rows[r].at(c);
  return z;
}

inline std::vector<RowMetric> square_cells(const Raster<float>& z, double side_m = 1) {
  return {z.size().rows, {side_m, side_m, side_m * side_m}};
}

inline FlowGrid route(const Raster<float>& z, const geodata::FlowOptions& options = {}) {
  return geodata::route_flow(z.copy(), square_cells(z), options);
}

// Few different heights, so that there are flats and ties; now and then none at all.
inline Raster<float> random_terrain(std::uint32_t seed) {
  std::mt19937 random(seed);
  const auto below = [&random](std::uint32_t n) { return static_cast<std::uint32_t>(random()) % n; };
  const std::uint32_t rows = 1 + below(14), cols = 1 + below(14), levels = 2 + below(12), holes = below(3);
  Raster<float> z({rows, cols});
  for (float& h : z.cells())
    h = below(20) < holes ? geodata::kNoHeight : static_cast<float>(below(levels)) - 2;
  return z;
}

template <class Visit>  // visit(row, col, direction) of the neighbours that are on the grid
void each_neighbour(geodata::GridSize size, std::size_t r, std::size_t c, const Visit& visit) {
  for (std::uint8_t k = 0; k < 8; ++k) {
    const std::size_t nr = r + static_cast<std::size_t>(geodata::kRowStep[k]);
    const std::size_t nc = c + static_cast<std::size_t>(geodata::kColStep[k]);
    if (nr < size.rows && nc < size.cols) visit(nr, nc, k);
  }
}

inline bool lets_water_out(const Raster<float>& z, std::size_t r, std::size_t c) {
  int with_height = 0;
  each_neighbour(z.size(), r, c, [&](std::size_t nr, std::size_t nc, auto) {
    with_height += std::isnan(z.at(nr, nc)) ? 0 : 1;
  });
  return with_height < 8;
}

// Water to the brim everywhere, then let out at the border until nothing falls any more (the definition of
// Planchon & Darboux 2002, Catena 46:159-176, without a slope; memory).
inline Raster<float> plain_fill(const Raster<float>& z) {
  Raster<float> w = z.copy();
  const auto size = z.size();
  for (std::size_t r = 0; r < size.rows; ++r)
    for (std::size_t c = 0; c < size.cols; ++c)
      if (!std::isnan(z.at(r, c)) && !lets_water_out(z, r, c)) w.at(r, c) = 1e30F;
  for (bool falls = true; falls;) {
    falls = false;
    for (std::size_t r = 0; r < size.rows; ++r)
      for (std::size_t c = 0; c < size.cols; ++c) {
        float lowest = w.at(r, c);
        each_neighbour(size, r, c, [&](std::size_t nr, std::size_t nc, auto) {
          if (w.at(nr, nc) < lowest) lowest = w.at(nr, nc);
        });
        const float level = std::max(z.at(r, c), lowest);
        if (level < w.at(r, c)) w.at(r, c) = level, falls = true;
      }
  }
  return w;
}

// One drop from every cell, counted wherever it passes.
inline std::vector<std::uint32_t> plain_count(const FlowGrid& flow) {
  std::vector<std::uint32_t> count(flow.size.cells(), 0);
  for (CellIndex start = 0; start < flow.size.cells(); ++start) {
    if (flow.direction[start] == geodata::kNoDirection) continue;
    std::size_t steps = 0;
    for (std::optional<CellIndex> at = start; at; at = flow.downstream(*at)) {
      ++count[*at];
      if (++steps > flow.size.cells()) throw std::runtime_error("water runs in a circle");
    }
  }
  return count;
}

}  // namespace brookmark::test

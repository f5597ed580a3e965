// Why: how large a cell is on the ground. A degree is not a metre, a foot is not one either, and some projections
// stretch the land by half.
// Use: Ground ground = measure_ground(wkt, place, size);  ground.rows[r].area_m2
#pragma once

#include <string>
#include <vector>

#include "geodata/terrain/place.hpp"

namespace brookmark::geodata {

struct Ground {
  std::vector<RowMetric> rows;
  std::string note;  // a sentence where the plane's own lengths were not used; empty otherwise
};

// `crs` is WKT or "EPSG:number".
//  * Degrees: widths and heights of each row from the radii of the ellipsoid in its middle, areas exact on the
//    ellipsoid (Snyder 1987, USGS Professional Paper 1395, p. 16-25, eq. 3-12, 4-18, 4-20; citation: memory).
//  * A plane: its own lengths, brought to metres, where they are right to 1 % in the middle of the grid; else the
//    geodesic width and height of a cell in the middle of each row, and area = width x height.
// Throws Error(kBadInput) with a sentence for a system that is not known, coordinates that cannot be degrees, a plane
// whose coordinates look like degrees, and places that the system does not reach.
Ground measure_ground(const std::string& crs, const GridPlace& place, GridSize size);

}  // namespace brookmark::geodata

// Why: an index built row by row costs more than all the rest of a large export. Here its nodes are packed whole from the
// sorted boxes and written straight into the tables that SQLite's R-tree keeps them in.
// Use: fill_rtree(database, "rtree_sites_geom", boxes);
//
// Packing: sort-tile-recursive (Leutenegger, Lopez & Edgington 1997; memory). Node form: SQLite's ext/rtree/rtree.c, as read
// back by its own rtreecheck() in the tests. Limits are rounded outwards to 32 bits, as SQLite does.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/store/sqlite.hpp"

namespace brookmark::geodata {

struct RtreeBox {
  std::int64_t id = 0;
  double min_x = 0, max_x = 0, min_y = 0, max_y = 0;
};

// The virtual table must be new and empty. Ids must differ. The caller holds a transaction.
void fill_rtree(const core::Database& database, const std::string& rtree, std::vector<RtreeBox> boxes);

}  // namespace brookmark::geodata

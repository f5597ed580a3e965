// Why: whatever a file was (spreadsheet, vector layer), an import sees named columns of text and maybe a
// shape a row.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::core {

// Already in WGS 84. monostate: the row has no shape (or an empty one).
using Shape = std::variant<std::monostate, LonLat, std::vector<Line>, MultiPolygon>;

struct TableRow {
  std::size_t line = 0;            // 1-based line of the file, or 1-based feature number
  std::vector<std::string> cells;  // one a column; fewer only where `issue` says so
  Shape shape;
  std::string issue;  // not empty: the row itself is malformed, and why
};

struct Table {
  std::string file;
  std::vector<std::string> columns;
  std::vector<TableRow> rows;
  char decimal = '.';       // ',' where the separator was not a comma and the numbers use decimal commas
  bool has_shapes = false;  // true for vector layers
  std::string crs_note;     // how shapes were brought to WGS 84; empty when they already were

  std::optional<std::size_t> find(std::string_view column) const {
    for (std::size_t i = 0; i < columns.size(); ++i)
      if (columns[i] == column) return i;
    return std::nullopt;
  }
};

}  // namespace brookmark::core

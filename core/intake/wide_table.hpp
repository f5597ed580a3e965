// Why: chemistry mostly comes with one column a quantity; an import wants one row a measurement.
// Use: --column "Temp=measurement:temperature:C" --column "pH=measurement:pH", then import measurements as usual.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/base/table.hpp"

namespace brookmark::core {

// A column of a wide table: "theirs" holds values of `quantity` in `unit` (which may be empty).
struct MeasuredColumn {
  std::string theirs, quantity, unit;
};

// Takes the entries "theirs -> measurement:quantity[:unit]" out of `columns`. Throws Error(kBadUse) for one without a
// quantity.
std::vector<MeasuredColumn> take_measured_columns(std::map<std::string, std::string>& columns);

// The same table with columns measurementType, measurementValue and measurementUnit in place of the measured ones; a row
// for each of them, with the line it came from. An empty cell gives no row: it is not a zero. `measured_in`
// takes the column that each new row came from. Throws Error(kBadUse) for a column that is not there.
Table long_table(const Table& wide, const std::vector<MeasuredColumn>& measured,
                 std::vector<std::string>* measured_in = nullptr);

}  // namespace brookmark::core

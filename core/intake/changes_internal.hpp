// Why: nine kinds of rows are compared and edited alike; what differs between them stands here.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/intake/changes.hpp"

namespace brookmark::core {

using AnyRow = std::variant<Site, Catchment, Reach, Outfall, Water, Visit, Sample, Record, Measurement>;

// A new row of a layer's kind; nothing for a layer that does not come back.
std::optional<AnyRow> new_row(const std::string& layer);
// All rows of a layer, by key.
std::map<std::string, AnyRow, std::less<>> rows_by_key(const Snapshot& snapshot, const std::string& layer);

std::string cell_of(const AnyRow& row, std::string_view column);
std::string set_cell_of(AnyRow& row, std::string_view column, const std::string& text);
Shape shape_of(const AnyRow& row);
// A complaint where the shape is of another kind than the row's. Of a point the raw position becomes x and y in `crs`.
std::string set_shape_of(AnyRow& row, const ReturnedRow& from, const std::string& crs,
                         const std::string& note);
void set_key_of(AnyRow& row, const std::string& key);
// How a person calls it: its code, or its name.
std::string called(const AnyRow& row);

Edit edit_to_add(const AnyRow& row);
Edit edit_to_replace(const AnyRow& row);
std::optional<TableName> table_of(const std::string& layer);

}  // namespace brookmark::core

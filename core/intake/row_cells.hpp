// Why: what an exported file says of a row, and what somebody changed in it, is text under a column's name. Here each column
// is tied to its field once, both ways.
// Use: Site site = site_row(snapshot, i);  std::string complaint = set_cell(site, "water_kind", "pond");
//      std::string now = get_cell(site, "water_kind");
//
// Text is as exports write it: numbers in their shortest form, dates as 2024-05-03, true or false, empty for nothing.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/survey/types.hpp"

namespace brookmark::core {

// Empty for a column that the row does not have.
std::string get_cell(const Water& row, std::string_view column);
std::string get_cell(const Site& row, std::string_view column);
std::string get_cell(const Visit& row, std::string_view column);
std::string get_cell(const Sample& row, std::string_view column);
std::string get_cell(const Record& row, std::string_view column);
std::string get_cell(const Measurement& row, std::string_view column);
std::string get_cell(const Outfall& row, std::string_view column);
std::string get_cell(const Reach& row, std::string_view column);
std::string get_cell(const Catchment& row, std::string_view column);

// Empty when it was set, else why not: a sentence without its full stop. A column that the row does not have is a complaint.
std::string set_cell(Water& row, std::string_view column, const std::string& text);
std::string set_cell(Site& row, std::string_view column, const std::string& text);
std::string set_cell(Visit& row, std::string_view column, const std::string& text);
std::string set_cell(Sample& row, std::string_view column, const std::string& text);
std::string set_cell(Record& row, std::string_view column, const std::string& text);
std::string set_cell(Measurement& row, std::string_view column, const std::string& text);
std::string set_cell(Outfall& row, std::string_view column, const std::string& text);
std::string set_cell(Reach& row, std::string_view column, const std::string& text);
std::string set_cell(Catchment& row, std::string_view column, const std::string& text);

// The columns of a kind of row, by the name of its layer: "sites", "visits" ... Empty for another name.
std::vector<std::string> cell_columns(std::string_view layer);

// "The date 2031-05-03 is in the future (no clock on earth is past 2026-11-27); correct it."
std::string future_sentence(Date date, Date latest);

}  // namespace brookmark::core

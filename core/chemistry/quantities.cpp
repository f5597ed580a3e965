#include "core/chemistry/quantities.hpp"

#include <algorithm>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kFile = "quantities.csv";
constexpr const char* kCommonPractice = "common-practice";

std::vector<Quantity> read_quantities() {
  const Table table = read_csv(reference_file(kFile), kFile);
  const auto column = [&](const char* name) {
    if (const auto found = table.find(name)) return *found;
    throw Error(ErrorCode::kBadInput, "the column \"" + std::string(name) + "\" is missing", kFile);
  };
  const std::size_t id = column("quantity"), title = column("title"), names = column("names"),
                    unit = column("unit"), source = column("source_key"), detail = column("source_detail");
  const auto limit = [&](const TableRow& row, std::size_t cell) -> std::optional<double> {
    if (row.cells[cell].empty()) return std::nullopt;
    if (const auto value = parse_number(row.cells[cell])) return value;
    throw Error(ErrorCode::kBadInput, "\"" + row.cells[cell] + "\" is not a number",
                std::string(kFile) + ", line " + std::to_string(row.line));
  };
  const std::size_t possible_min = column("possible_min"), possible_max = column("possible_max"),
                    usual_min = column("usual_min"), usual_max = column("usual_max");
  std::vector<Quantity> all;
  for (const TableRow& row : table.rows) {
    Quantity one;
    one.id = row.cells[id];
    one.title = row.cells[title];
    for (const std::string& name : split(row.cells[names], '|')) one.names.push_back(fold_name(name));
    one.unit = row.cells[unit];
    one.possible_min = limit(row, possible_min);
    one.possible_max = limit(row, possible_max);
    one.usual_min = limit(row, usual_min);
    one.usual_max = limit(row, usual_max);
    one.source_key = row.cells[source];
    one.source_detail = row.cells[detail];
    all.push_back(std::move(one));
  }
  return all;
}

}  // namespace

std::span<const Quantity> quantities() {
  static const std::vector<Quantity> all = read_quantities();
  return all;
}

std::vector<const Quantity*> quantities_named(std::string_view written_name) {
  const std::string name = fold_name(written_name);
  std::vector<const Quantity*> found;
  for (const Quantity& one : quantities())
    if (std::find(one.names.begin(), one.names.end(), name) != one.names.end() || one.id == written_name)
      found.push_back(&one);
  return found;
}

const Quantity* find_quantity(std::string_view written_name, std::string_view written_unit) {
  const auto unit = parse_unit(written_unit);
  if (!unit) return nullptr;
  for (const Quantity* one : quantities_named(written_name))
    if (parse_unit(one->unit)->kind == unit->kind) return one;
  return nullptr;
}

Plausible judge(const Quantity& quantity, double value) {
  if ((quantity.possible_min && value < *quantity.possible_min) ||
      (quantity.possible_max && value > *quantity.possible_max))
    return Plausible::kImpossible;
  if ((quantity.usual_min && value < *quantity.usual_min) ||
      (quantity.usual_max && value > *quantity.usual_max))
    return Plausible::kOutOfLine;
  return Plausible::kYes;
}

std::string limits_text(const Quantity& quantity, Plausible verdict) {
  const bool possible = verdict == Plausible::kImpossible;
  const auto& least = possible ? quantity.possible_min : quantity.usual_min;
  const auto& most = possible ? quantity.possible_max : quantity.usual_max;
  const std::string unit = quantity.unit.empty() ? "" : " " + quantity.unit;
  std::string text;
  if (least && most)
    text = format_number(*least) + " to " + format_number(*most) + unit;
  else if (least)
    text = format_number(*least) + unit + " or more";
  else if (most)
    text = format_number(*most) + unit + " or less";
  else
    return "no limits";
  return text + "; " +
         (quantity.source_key == kCommonPractice ? "a limit of common practice, without a published source"
                                                 : citation(quantity.source_key));
}

}  // namespace brookmark::core

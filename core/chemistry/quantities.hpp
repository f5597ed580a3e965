// Why: "Temp", "water temperature" and "temperature" are one thing, and each thing has values that it cannot have or
// seldom has. One table says so (core/reference/quantities.csv); the check of a survey, its trends and its chemistry read it.
// Use: const Quantity* q = find_quantity("Temp", "F");  judge(*q, 41)
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/chemistry/units.hpp"

namespace brookmark::core {

struct Quantity {
  std::string id, title;           // "dissolved-oxygen", "dissolved oxygen"
  std::vector<std::string> names;  // folded
  std::string unit;                // of the limits; "" where it has none
  // Outside `possible` a value is a mistake; outside `usual` it is out of line: it may be true.
  std::optional<double> possible_min, possible_max, usual_min, usual_max;
  std::string source_key, source_detail;
};

std::span<const Quantity> quantities();

// By the name as written (any of its names or its id) and a unit of the right kind: "oxygen" in % is another quantity
// than in mg/l. Nothing where the name is not known, or the unit is not known or of another kind.
const Quantity* find_quantity(std::string_view written_name, std::string_view written_unit);
// All quantities that go by this name.
std::vector<const Quantity*> quantities_named(std::string_view written_name);

enum class Plausible : std::uint8_t { kYes, kOutOfLine, kImpossible };
// `value` in the quantity's own unit.
Plausible judge(const Quantity& quantity, double value);
// "4 to 10", "0 mg/l or more": the usual limits, or the possible ones; behind it, where they come from.
std::string limits_text(const Quantity& quantity, Plausible verdict);

}  // namespace brookmark::core

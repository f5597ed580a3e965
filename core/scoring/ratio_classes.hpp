// Why: a ratio becomes a class only by limits that somebody answers for. The five names of ecological status are the
// directive's; the limits are always the user's, and it is always said so.
// Use: RatioClasses c = five_classes({0.8, 0.6, 0.4, 0.2});  class_of(c.scale, 0.83)->name
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "core/base/table.hpp"
#include "core/scoring/method.hpp"

namespace brookmark::core {

struct RatioClasses {
  Metric scale;  // its bands, best first; a ratio is rounded to three decimals, as shown, before banding
  std::string
      origin;  // where names and limits come from, and how well confirmed: to be shown beside every class
};

inline constexpr int kRatioDecimals = 3;

// High, Good, Moderate, Poor, Bad (Directive 2000/60/EC, Annex V, 1.4.2, recalled). The limits are the lowest ratio of
// each class but the worst, and belong to the better class. Throws Error(kBadInput) unless they are four,
// falling, and above 0.
RatioClasses five_classes(std::span<const double> lower_limits);
// Five equal steps from 1 down: nothing but a way to divide. `origin` says so.
RatioClasses equal_classes();
// The user's own: a table with the columns "class" and "lower" (the lowest ratio of the class, and belonging to it; empty
// for the worst, which comes last), and "source", which may be empty. Best first. Throws Error(kBadInput) naming file and
// line.
RatioClasses own_classes(const Table& table);
// "0.8,0.6,0.4,0.2" or "equal". Throws Error(kBadInput) for other text.
RatioClasses parse_ratio_classes(std::string_view text);

}  // namespace brookmark::core

// Why: sentences about kit are read on the bank, with wet hands: days and times as people say them, lists with "and",
// numbers without a tail of decimals. Tables keep ISO 8601 and full numbers.
// Use: "used in Heron Pond on " + plain_moment(use.when)   // "3 May 2025 at 09:30"
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/date.hpp"

namespace brookmark::core {

std::string plain_day(Date day);                 // "3 May 2025"
std::string plain_moment(const Moment& moment);  // "3 May 2025 at 09:30", local as it was noted
std::string plain_list(const std::vector<std::string>& words);  // "A", "A and B", "A, B and C"
std::string plain_duration(double seconds);                     // "20 s", "15 min", "2.5 h", "278 days"
std::string plain_distance(double metres);                      // "840 m", "12.4 km"
std::string plain_number(double value, int most_decimals);      // "4", "4.3": no zeros at the end
std::string plain_sentence(std::string_view words);             // capital first letter, full stop

// What is recorded has happened. The sentence for a moment later than the clock `now`, "" where it is not: a day that
// has come somewhere counts as come, and so does what is less than an hour ahead where both have a time.
std::string why_not_yet(const Moment& when, const Moment& now);

}  // namespace brookmark::core

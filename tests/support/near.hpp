// Why: doctest's own approximate compare accepts 50 m on a northing. Every tolerance here is stated,
// absolute, with a reason beside it; NaN never passes.
// Use: CHECK(near(d, 124233.1314, 0.0001));  // GeographicLib, printed to 0.1 mm
#pragma once

#include <cmath>
#include <ostream>
#include <string>

namespace brookmark::test {

struct Near {
  double value, expected, tolerance;
  explicit operator bool() const {
    return value == expected || (std::isfinite(value) && std::abs(value - expected) <= tolerance);
  }
  friend std::ostream& operator<<(std::ostream& out, const Near& n) {
    return out << n.value << " wanted " << n.expected << " +- " << n.tolerance;
  }
};

inline Near near(double value, double expected, double tolerance) {
  return {value, expected, tolerance};
}
// Tolerance relative to the expected value.
inline Near near_relative(double value, double expected, double relative) {
  return {value, expected, std::abs(expected) * relative};
}

}  // namespace brookmark::test

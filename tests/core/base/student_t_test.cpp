#include "core/base/student_t.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "tests/support/near.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

TEST_CASE("Student's t agrees with printed tables") {
  // Two-sided 95 % points as any textbook prints them, to three decimals.
  struct Row {
    int degrees;
    double t;
  };
  for (const auto& [degrees, t] : {Row{1, 12.706},
                                   {2, 4.303},
                                   {3, 3.182},
                                   {4, 2.776},
                                   {5, 2.571},
                                   {6, 2.447},
                                   {7, 2.365},
                                   {9, 2.262},
                                   {10, 2.228},
                                   {20, 2.086},
                                   {30, 2.042},
                                   {120, 1.980}})
    CHECK(near(core::student_t_quantile(0.975, degrees), t, 0.0005));
  CHECK(near(core::student_t_quantile(0.995, 4), 4.604, 0.0005));
  CHECK(near(core::student_t_quantile(0.95, 8), 1.860, 0.0005));
}

TEST_CASE("Student's t has its closed forms at one and two degrees, and its symmetry") {
  for (const double t : {-50.0, -3.0, -0.5, 0.0, 0.1, 2.0, 40.0}) {
    CHECK(near(core::student_t_probability(t, 1), 0.5 + std::atan(t) / std::acos(-1.0), 1e-14));
    CHECK(near(core::student_t_probability(t, 2), 0.5 + t / (2 * std::sqrt(2 + t * t)), 1e-14));
    for (const int degrees : {3, 4, 9, 50})
      CHECK(
          near(core::student_t_probability(t, degrees) + core::student_t_probability(-t, degrees), 1, 1e-14));
  }
  for (const int degrees : {1, 2, 3, 8, 33})
    for (const double p : {0.001, 0.3, 0.5, 0.9, 0.9999})
      CHECK(near(core::student_t_probability(core::student_t_quantile(p, degrees), degrees), p, 1e-9));
}

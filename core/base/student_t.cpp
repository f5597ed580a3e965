#include "core/base/student_t.hpp"

#include <cassert>
#include <cmath>
#include <numbers>

namespace brookmark::core {

double student_t_probability(double t, int degrees) {
  assert(degrees >= 1);
  const double angle = std::atan(t / std::sqrt(static_cast<double>(degrees)));
  const double sine = std::sin(angle), cosine = std::cos(angle);
  // A(t): the probability within -t and t.
  double within = 0;
  double term = degrees % 2 == 1 ? cosine : 1, sum = 0;
  for (int i = degrees % 2 == 1 ? 3 : 2; i <= degrees; i += 2) {
    sum += term;
    term *= cosine * cosine * (i - 1) / i;
  }
  if (degrees % 2 == 1)
    within = 2 / std::numbers::pi * (angle + sine * sum);
  else
    within = sine * sum;
  return 0.5 + within / 2;
}

double student_t_quantile(double probability, int degrees) {
  assert(probability > 0 && probability < 1);
  if (probability < 0.5) return -student_t_quantile(1 - probability, degrees);
  double low = 0, high = 1;
  while (student_t_probability(high, degrees) < probability && high < 1e12) low = high, high *= 2;
  for (int i = 0; i < 200 && high - low > 1e-10 * high; ++i) {
    const double middle = low + (high - low) / 2;
    (student_t_probability(middle, degrees) < probability ? low : high) = middle;
  }
  return low + (high - low) / 2;
}

}  // namespace brookmark::core

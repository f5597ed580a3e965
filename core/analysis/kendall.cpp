#include <algorithm>
#include <cmath>
#include <limits>

#include "core/analysis/trend.hpp"
#include "core/base/error.hpp"

namespace brookmark::core {

namespace {

// Sorts `values` and returns how many pairs (i < j) had values[i] > values[j].
std::int64_t sort_counting_falls(std::span<double> values, std::span<double> spare) {
  const std::size_t n = values.size();
  std::int64_t falls = 0;
  constexpr std::size_t kRun = 8;  // short stretches by insertion
  for (std::size_t begin = 0; begin < n; begin += kRun)
    for (std::size_t i = begin + 1; i < std::min(begin + kRun, n); ++i) {
      const double moved = values[i];
      std::size_t at = i;
      for (; at > begin && values[at - 1] > moved; --at) values[at] = values[at - 1];
      values[at] = moved;
      falls += static_cast<std::int64_t>(i - at);
    }
  for (std::size_t width = kRun; width < n; width *= 2) {
    for (std::size_t begin = 0; begin < n; begin += 2 * width) {
      const std::size_t middle = std::min(begin + width, n), end = std::min(begin + 2 * width, n);
      std::size_t left = begin, right = middle, out = begin;
      while (left < middle && right < end) {
        if (values[right] < values[left]) {
          falls += static_cast<std::int64_t>(middle - left);
          spare[out++] = values[right++];
        } else {
          spare[out++] = values[left++];
        }
      }
      while (left < middle) spare[out++] = values[left++];
      while (right < end) spare[out++] = values[right++];
    }
    std::copy_n(spare.begin(), n, values.begin());
  }
  return falls;
}

}  // namespace

std::int64_t kendall_s(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end()), spare(values.size());
  const std::int64_t falls = sort_counting_falls(sorted, spare);
  const auto n = static_cast<std::int64_t>(values.size());
  std::int64_t ties = 0;
  for (std::size_t i = 0; i < sorted.size();) {
    std::size_t end = i;
    while (end < sorted.size() && sorted[end] == sorted[i]) ++end;
    const auto t = static_cast<std::int64_t>(end - i);
    ties += t * (t - 1) / 2;
    i = end;
  }
  return n * (n - 1) / 2 - ties - 2 * falls;
}

double kendall_variance(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const auto term = [](double t) { return t * (t - 1) * (2 * t + 5); };
  double sum = term(static_cast<double>(sorted.size()));
  for (std::size_t i = 0; i < sorted.size();) {
    std::size_t end = i;
    while (end < sorted.size() && sorted[end] == sorted[i]) ++end;
    sum -= term(static_cast<double>(end - i));
    i = end;
  }
  return sum / 18;
}

double exact_kendall_p(std::size_t n, std::int64_t s) {
  constexpr std::size_t kFactorialFits = 20;
  if (n > kFactorialFits)
    throw Error(ErrorCode::kBadUse, "the orders of more than 20 values are too many to count");
  // orders[k]: of m values, with k falls. One value more goes to any of m + 1 places and adds 0 .. m falls.
  std::vector<std::uint64_t> orders{1};
  for (std::size_t m = 1; m < n; ++m) {
    std::vector<std::uint64_t> next(orders.size() + m, 0);
    for (std::size_t k = 0; k < orders.size(); ++k)
      for (std::size_t more = 0; more <= m; ++more) next[k + more] += orders[k];
    orders = std::move(next);
  }
  const auto pairs = static_cast<std::int64_t>(orders.size()) - 1;  // S = pairs - 2 falls
  std::uint64_t all = 0, as_far = 0;
  for (std::size_t k = 0; k < orders.size(); ++k) {
    all += orders[k];
    if (std::abs(pairs - 2 * static_cast<std::int64_t>(k)) >= std::abs(s)) as_far += orders[k];
  }
  return static_cast<double>(as_far) / static_cast<double>(all);
}

}  // namespace brookmark::core

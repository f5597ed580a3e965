#include "core/analysis/permutation.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/base/error.hpp"
#include "core/base/random.hpp"

namespace brookmark::core {

namespace {

// Two sums that differ by less than this share of the largest value are the same sum.
constexpr double kSameShare = 1e-12;

void require_finite(std::span<const double> values) {
  for (const double value : values)
    if (!std::isfinite(value))
      throw Error(ErrorCode::kBadUse, "a permutation test needs finite values; leave out what is not known");
}

double largest(std::span<const double> values) {
  double most = 0;
  for (const double value : values) most = std::max(most, std::abs(value));
  return most;
}

double mean(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double two_sided(std::uint64_t at_least, std::uint64_t at_most, std::uint64_t arrangements) {
  return std::min(1.0,
                  2 * static_cast<double>(std::min(at_least, at_most)) / static_cast<double>(arrangements));
}

// Each arrangement but the one found turns equal to it at one shift. An arrangement's sum is not below the one found,
// after `shift` is taken off, exactly where its threshold is not above `shift`. So the sorted thresholds give both the
// share at shift 0 and the shifts at which that share passes the level.
// `unchanged`: how often the arrangement found itself was met, its own once included; it is equal at every shift.
PermutationResult judge(double statistic, std::vector<double>& thresholds, std::uint64_t unchanged,
                        bool exact, double same, double level) {
  if (!(level > 0 && level < 1)) throw Error(ErrorCode::kBadUse, "a level lies above 0 and below 1");
  PermutationResult result;
  result.statistic = statistic;
  result.exact = exact;
  result.arrangements = thresholds.size() + unchanged;
  result.smallest_p = std::min(1.0, 2 / static_cast<double>(result.arrangements));
  std::uint64_t at_least = unchanged, at_most = unchanged;
  for (const double threshold : thresholds) {
    at_least += threshold <= same ? 1 : 0;
    at_most += threshold >= -same ? 1 : 0;
  }
  result.p = two_sided(at_least, at_most, result.arrangements);
  const auto cut =
      static_cast<std::size_t>((1 - level) / 2 * static_cast<double>(result.arrangements) + 1e-9);
  if (cut == 0 || cut > thresholds.size()) return result;
  const auto low = thresholds.begin() + static_cast<std::ptrdiff_t>(cut - 1);
  std::nth_element(thresholds.begin(), low, thresholds.end());
  result.low = *low;
  const auto high = thresholds.end() - static_cast<std::ptrdiff_t>(cut);
  std::nth_element(thresholds.begin(), high, thresholds.end());
  result.high = *high;
  return result;
}

// C(n, k), or nothing above `most`.
std::optional<std::uint64_t> choices(std::size_t n, std::size_t k, std::uint64_t most) {
  k = std::min(k, n - k);
  double count = 1;
  for (std::size_t i = 1; i <= k; ++i) {
    count = count * static_cast<double>(n - k + i) / static_cast<double>(i);
    if (count > static_cast<double>(most) + 0.5) return std::nullopt;
  }
  return static_cast<std::uint64_t>(std::llround(count));
}

// The next larger set of indices below n, in order; false after the last.
bool next_choice(std::vector<std::size_t>& chosen, std::size_t n) {
  const std::size_t k = chosen.size();
  for (std::size_t i = k; i-- > 0;) {
    if (chosen[i] == n - k + i) continue;
    ++chosen[i];
    for (std::size_t j = i + 1; j < k; ++j) chosen[j] = chosen[j - 1] + 1;
    return true;
  }
  return false;
}

// Brings a random choice of `count` to the front of `order`.
void shuffle_front(std::vector<std::size_t>& order, std::size_t count, Random& random) {
  for (std::size_t i = 0; i < count; ++i)
    std::swap(order[i], order[i + static_cast<std::size_t>(random.below(order.size() - i))]);
}

}  // namespace

PermutationResult permute_signs(std::span<const double> differences, const PermutationOptions& options) {
  if (differences.empty())
    throw Error(ErrorCode::kBadUse, "a permutation test needs at least one difference");
  require_finite(differences);
  const std::size_t n = differences.size();
  const bool exact = n < 63 && (std::uint64_t{1} << n) <= options.exact_up_to;
  std::vector<double> thresholds;
  std::uint64_t unchanged = 1;
  // The threshold of the arrangement that turns a set of signs round is the mean of that set.
  if (exact) {
    for (std::uint64_t set = 1; set < std::uint64_t{1} << n; ++set) {
      double sum = 0, count = 0;
      for (std::size_t i = 0; i < n; ++i)
        if ((set >> i & 1U) != 0) sum += differences[i], ++count;
      thresholds.push_back(sum / count);
    }
  } else {
    Random random(options.seed, stream_of("signs"));
    for (std::uint64_t draw = 0; draw < options.draws; ++draw) {
      double sum = 0, count = 0;
      for (const double difference : differences)
        if (random.below(2) == 1) sum += difference, ++count;
      if (count > 0)
        thresholds.push_back(sum / count);
      else
        ++unchanged;
    }
  }
  return judge(mean(differences), thresholds, unchanged, exact, kSameShare * largest(differences),
               options.level);
}

PermutationResult permute_groups(std::span<const double> before, std::span<const double> after,
                                 const PermutationOptions& options) {
  if (before.empty() || after.empty())
    throw Error(ErrorCode::kBadUse, "a permutation test of two groups needs values in both");
  require_finite(before);
  require_finite(after);
  const std::size_t m = after.size(), all = m + before.size();
  std::vector<double> values(after.begin(), after.end());
  values.insert(values.end(), before.begin(), before.end());
  const double after_sum = std::accumulate(after.begin(), after.end(), 0.0);
  std::vector<double> thresholds;
  std::uint64_t unchanged = 0;  // counted below; the exact round meets it once
  // The threshold of an arrangement is the mean of those that left `after`, less the mean of those that came.
  const auto add = [&](std::span<const std::size_t> chosen) {
    double stayed = 0, came = 0, coming = 0;
    for (const std::size_t i : chosen) {
      if (i < m)
        stayed += values[i];
      else
        came += values[i], ++coming;
    }
    if (coming > 0)
      thresholds.push_back((after_sum - stayed - came) / coming);
    else
      ++unchanged;
  };
  const bool exact = choices(all, m, options.exact_up_to).has_value();
  if (exact) {
    std::vector<std::size_t> chosen(m);
    std::iota(chosen.begin(), chosen.end(), std::size_t{0});
    do add(chosen);
    while (next_choice(chosen, all));
  } else {
    unchanged = 1;
    std::vector<std::size_t> order(all);
    Random random(options.seed, stream_of("groups"));
    for (std::uint64_t draw = 0; draw < options.draws; ++draw) {
      std::iota(order.begin(), order.end(), std::size_t{0});
      shuffle_front(order, m, random);
      add(std::span(order).first(m));
    }
  }
  return judge(mean(after) - mean(before), thresholds, unchanged, exact, kSameShare * largest(values),
               options.level);
}

std::vector<double> mid_ranks(std::span<const double> values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  std::vector<double> ranks(values.size());
  for (std::size_t i = 0; i < order.size();) {
    std::size_t end = i;
    while (end < order.size() && values[order[end]] == values[order[i]]) ++end;
    for (std::size_t k = i; k < end; ++k) ranks[order[k]] = static_cast<double>(i + end + 1) / 2;
    i = end;
  }
  return ranks;
}

std::optional<SpearmanResult> spearman(std::span<const double> x, std::span<const double> y,
                                       const PermutationOptions& options) {
  if (x.size() != y.size())
    throw Error(ErrorCode::kBadUse, "a correlation needs as many values on both sides");
  if (!(options.level > 0 && options.level < 1))
    throw Error(ErrorCode::kBadUse, "a level lies above 0 and below 1");
  require_finite(x);
  require_finite(y);
  const std::size_t n = x.size();
  if (n < 3) return std::nullopt;
  std::vector<double> a = mid_ranks(x), b = mid_ranks(y);
  const double middle = static_cast<double>(n + 1) / 2;
  double aa = 0, bb = 0;
  for (std::size_t i = 0; i < n; ++i) {
    a[i] -= middle;
    b[i] -= middle;
    aa += a[i] * a[i];
    bb += b[i] * b[i];
  }
  if (aa == 0 || bb == 0) return std::nullopt;
  // Ranks are halves, so their products are exact and equal sums are equal.
  const auto product = [&](std::span<const std::size_t> order) {
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) sum += a[i] * b[order[i]];
    return sum;
  };
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  const double found = product(order);
  double count = 1;
  for (std::size_t i = 2; i <= n; ++i) count *= static_cast<double>(i);
  SpearmanResult result;
  result.exact = count <= static_cast<double>(options.exact_up_to);
  std::vector<double> chance;
  if (result.exact) {
    do chance.push_back(product(order));
    while (std::next_permutation(order.begin(), order.end()));
  } else {
    chance.push_back(found);
    Random random(options.seed, stream_of("pairings"));
    for (std::uint64_t draw = 0; draw < options.draws; ++draw) {
      std::iota(order.begin(), order.end(), std::size_t{0});
      shuffle_front(order, n, random);
      chance.push_back(product(order));
    }
  }
  std::uint64_t at_least = 0, at_most = 0;
  for (const double sum : chance) {
    at_least += sum >= found ? 1 : 0;
    at_most += sum <= found ? 1 : 0;
  }
  const double scale = std::sqrt(aa * bb);
  result.rho = std::clamp(found / scale, -1.0, 1.0);
  result.arrangements = chance.size();
  result.smallest_p = std::min(1.0, 2 / static_cast<double>(chance.size()));
  result.p = two_sided(at_least, at_most, result.arrangements);
  std::sort(chance.begin(), chance.end());
  const auto cut = static_cast<std::size_t>((1 - options.level) / 2 * static_cast<double>(chance.size()));
  result.chance_low = chance[cut] / scale;
  result.chance_high = chance[chance.size() - 1 - cut] / scale;
  return result;
}

}  // namespace brookmark::core

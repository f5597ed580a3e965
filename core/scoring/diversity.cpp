#include "core/scoring/diversity.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"

namespace brookmark::core {

void group_counts(std::span<std::int64_t> counts, std::vector<CountGroup>& groups) {
  std::sort(counts.begin(), counts.end());
  groups.clear();
  for (const std::int64_t count : counts) {
    if (count == 0) continue;
    if (groups.empty() || groups.back().animals != count)
      groups.push_back({count, 1});
    else
      ++groups.back().taxa;
  }
}

std::vector<CountGroup> group_counts(std::vector<std::int64_t> counts) {
  for (const std::int64_t count : counts)
    if (count < 0)
      throw Error(ErrorCode::kBadInput,
                  "a count of " + std::to_string(count) + " is not possible; counts are 0 or more");
  std::vector<CountGroup> groups;
  group_counts(counts, groups);
  return groups;
}

Diversity diversity_of(std::span<const CountGroup> groups) {
  Diversity d;
  for (const CountGroup& group : groups) {
    d.animals += group.animals * group.taxa;
    d.taxa += group.taxa;
    if (group.animals == 1) d.singletons = group.taxa;
    if (group.animals == 2) d.doubletons = group.taxa;
    d.most = group.animals;
  }
  const double all = static_cast<double>(d.animals);
  for (const CountGroup& group : groups) {
    const double x = static_cast<double>(group.animals), taxa = static_cast<double>(group.taxa);
    // Every term is positive and exact to a few last bits, also where one taxon is nearly all there is.
    const double log_inverse = 2 * x > all ? -std::log1p(-(all - x) / all) : std::log(all / x);
    d.shannon += taxa * (x / all) * log_inverse;
    d.simpson += taxa * (x / all) * ((all - x) / all);
    d.concentration += taxa * (x / all) * (x / all);
  }
  return d;
}

std::optional<double> inverse_simpson(const Diversity& d) {
  if (d.animals == 0) return std::nullopt;
  return 1 / d.concentration;
}

std::optional<double> pielou(const Diversity& d) {
  if (d.taxa < 2) return std::nullopt;
  return d.shannon / std::log(static_cast<double>(d.taxa));
}

std::optional<double> margalef(const Diversity& d) {
  if (d.animals < 2) return std::nullopt;
  return static_cast<double>(d.taxa - 1) / std::log(static_cast<double>(d.animals));
}

std::optional<double> berger_parker(const Diversity& d) {
  if (d.animals == 0) return std::nullopt;
  return static_cast<double>(d.most) / static_cast<double>(d.animals);
}

std::optional<double> hill(const Diversity& d, int order) {
  if (order < 0 || order > 2)
    throw Error(ErrorCode::kBadUse,
                "there are Hill numbers of order 0, 1 and 2 here, not " + std::to_string(order));
  if (d.animals == 0) return std::nullopt;
  if (order == 0) return static_cast<double>(d.taxa);
  return order == 1 ? std::exp(d.shannon) : 1 / d.concentration;
}

}  // namespace brookmark::core

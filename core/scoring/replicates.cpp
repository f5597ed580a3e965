#include <algorithm>
#include <cmath>

#include "core/scoring/replicates_internal.hpp"

namespace brookmark::core {

Replicates::Replicates(const SampleColumns& samples) : samples_(samples) {
  for (std::size_t s = 0; s < samples.size(); ++s)
    if (samples.kind[s] == SampleKind::kReplicate) of_visit_[samples.visit[s].value()];
  if (of_visit_.empty()) return;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    if (samples.kind[s] == SampleKind::kBlank) continue;
    const auto visit = of_visit_.find(samples.visit[s].value());
    if (visit != of_visit_.end()) visit->second.push_back(static_cast<std::uint32_t>(s));
  }
}

std::vector<std::uint32_t> Replicates::beside(std::size_t sample) const {
  if (of_visit_.empty() || samples_.kind[sample] == SampleKind::kBlank) return {};
  const auto visit = of_visit_.find(samples_.visit[sample].value());
  if (visit == of_visit_.end()) return {};
  std::vector<std::uint32_t> alike;
  bool any_replicate = false;
  for (const std::uint32_t s : visit->second) {
    if (samples_.protocol[s] != samples_.protocol[sample]) continue;
    alike.push_back(s);
    any_replicate = any_replicate || samples_.kind[s] == SampleKind::kReplicate;
  }
  if (!any_replicate) alike.clear();
  return alike;
}

ReplicateSpread::ReplicateSpread(std::span<const double> values) : count(values.size()) {
  if (count == 0) return;
  // Added up in order of size, so that the order of the samples changes nothing.
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const double n = static_cast<double>(count);
  for (const double value : sorted) mean += value - sorted.front();
  mean = sorted.front() + mean / n;
  if (count < 2 || sorted.front() == sorted.back()) return;
  double squares = 0;
  for (const double value : sorted) squares += (value - mean) * (value - mean);
  standard_error = std::sqrt(squares / (n - 1) / n);
}

}  // namespace brookmark::core

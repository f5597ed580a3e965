// Why: where a visit was sampled several times, the spread between those samples says more than counting error can.
// Use: Replicates replicates(snapshot.samples);  for (std::uint32_t s : replicates.beside(sample)) ...
#pragma once

#include <cstdint>
#include <span>
#include <unordered_map>
#include <vector>

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

class Replicates {
 public:
  explicit Replicates(const SampleColumns& samples);

  // The samples of its visit that may be set beside it: routine and replicate ones of the same protocol, itself
  // included. Empty for a blank, and where none of them is a replicate.
  std::vector<std::uint32_t> beside(std::size_t sample) const;

 private:
  const SampleColumns& samples_;
  std::unordered_map<std::size_t, std::vector<std::uint32_t>> of_visit_;  // only visits with a replicate
};

// The mean of the replicates' values, and how far it may be off.
struct ReplicateSpread {
  std::size_t count = 0;
  double mean = 0;
  double standard_error = 0;  // standard deviation (n - 1) over the root of n; 0 below two values

  explicit ReplicateSpread(std::span<const double> values);
};

}  // namespace brookmark::core

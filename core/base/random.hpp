// Why: an answer that rests on chance must be the same for a seed whatever the number of threads. A value here
// is a function of (seed, stream, position) alone: give every sample (or pair, or permutation) its own stream,
// and nothing is shared between threads.
// Use: Random random(seed, stream_of("Q04-2023-04"));  double u = random.uniform();  auto die = random.below(6);
//
// Philox 4x32-10: Salmon, Moraes, Dror & Shaw 2011, Parallel random numbers: as easy as 1, 2, 3, Proc. SC'11,
// sec. 3.3. Key = seed; counter = (position, stream). Not for secrets.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

namespace brookmark::core {

using PhiloxBlock = std::array<std::uint32_t, 4>;
using PhiloxKey = std::array<std::uint32_t, 2>;
// One block of four words; ten rounds.
PhiloxBlock philox_4x32_10(PhiloxBlock counter, PhiloxKey key);

// A stream's number from a text that names what it is for: the same text, the same stream (FNV-1a, 64 bits).
std::uint64_t stream_of(std::string_view name);

// One stream, read in order. Copying copies the place in it. 2^66 words before it repeats.
class Random {
 public:
  Random(std::uint64_t seed, std::uint64_t stream) : seed_(seed), stream_(stream) {}

  std::uint32_t next_32() {
    if (at_ == kBuffered) refill();
    return words_[at_++];
  }
  std::uint64_t next_64() {
    const std::uint64_t high = next_32();
    return high << 32 | next_32();
  }
  // Evenly in [0, 1), in steps of 2^-53.
  double uniform() { return static_cast<double>(next_64() >> 11) * 0x1p-53; }
  // Evenly in (0, 1): for a logarithm or an inverse distribution.
  double uniform_open() { return (static_cast<double>(next_64() >> 12) + 0.5) * 0x1p-52; }
  // A whole number in [0, n), each exactly as likely; n > 0. Below 2^32 by multiplication with rejection
  // (Lemire 2019, ACM TOMACS 29(1):3), above by masking with rejection.
  std::uint64_t below(std::uint64_t n);

 private:
  static constexpr std::size_t kBlocks = 16, kBuffered = 4 * kBlocks;
  void refill();

  std::uint64_t seed_, stream_, position_ = 0;
  std::size_t at_ = kBuffered;
  std::array<std::uint32_t, kBuffered> words_{};
};

// How many of n independent trials succeed; n >= 0, 0 <= probability <= 1. Exact up to the rounding of double:
// by inversion below a mean of 10, else by transformed rejection (BTRS: Hoermann 1993, J. Stat. Comput. Simul.
// 46:101-110).
std::int64_t draw_binomial(Random& random, std::int64_t n, double probability);

// n individuals over weights.size() kinds, each with a chance in proportion to its weight (>= 0, not all 0 unless
// n is 0), by conditional binomials. counts must be as long as weights; its sum is n.
void draw_multinomial(Random& random, std::int64_t n, std::span<const double> weights,
                      std::span<std::int64_t> counts);

}  // namespace brookmark::core

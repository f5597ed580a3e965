#include "core/base/random.hpp"

#include <bit>
#include <cassert>
#include <cmath>

namespace brookmark::core {

namespace {

constexpr std::uint32_t kMultiplier0 = 0xD2511F53, kMultiplier1 = 0xCD9E8D57;
constexpr std::uint32_t kWeyl0 = 0x9E3779B9, kWeyl1 = 0xBB67AE85;
constexpr int kRounds = 10;

constexpr std::uint32_t low_word(std::uint64_t value) {
  return static_cast<std::uint32_t>(value);
}
constexpr std::uint32_t high_word(std::uint64_t value) {
  return static_cast<std::uint32_t>(value >> 32);
}

// ln k! less Stirling's k ln k - k + ln(2 pi k) / 2, shifted by one as the rejection wants it: the tail of the
// series for ln Gamma(k + 1) (Hoermann 1993, table 1 below 10, series above).
double stirling_tail(double k) {
  static constexpr double table[] = {0.08106146679532726, 0.04134069595540929, 0.02767792568499834,
                                     0.02079067210376509, 0.01664469118982119, 0.01387612882307075,
                                     0.01189670994589177, 0.01041126526197209, 0.009255462182712733,
                                     0.008330563433362871};
  if (k < 10) return table[static_cast<std::size_t>(k)];
  const double k1 = k + 1, square = k1 * k1;
  return (1.0 / 12 - (1.0 / 360 - 1.0 / 1260 / square) / square) / k1;
}

// For n * p below 10: walks up the probabilities.
std::int64_t binomial_by_inversion(Random& random, std::int64_t n, double p) {
  const double odds = p / (1 - p), trials = static_cast<double>(n);
  double term = std::exp(trials * std::log1p(-p)), left = random.uniform();
  for (std::int64_t k = 0; k < n; ++k) {
    if (left < term) return k;
    left -= term;
    term *= odds * (trials - static_cast<double>(k)) / static_cast<double>(k + 1);
    if (term <= 0) return k;  // the rest is less than a double can hold
  }
  return n;
}

// For n * p of 10 and more, p at most a half.
std::int64_t binomial_by_rejection(Random& random, std::int64_t n, double p) {
  const double trials = static_cast<double>(n);
  const double deviation = std::sqrt(trials * p * (1 - p));
  const double b = 1.15 + 2.53 * deviation;
  const double a = -0.0873 + 0.0248 * b + 0.01 * p;
  const double c = trials * p + 0.5;
  const double accepted = 0.92 - 4.2 / b;
  const double odds = p / (1 - p);
  const double alpha = (2.83 + 5.1 / b) * deviation;
  const double mode = std::floor((trials + 1) * p);
  for (;;) {
    const double u = random.uniform_open() - 0.5;
    double v = random.uniform_open();
    const double us = 0.5 - std::abs(u);
    const double k = std::floor((2 * a / us + b) * u + c);
    if (k < 0 || k > trials) continue;
    if (us >= 0.07 && v <= accepted) return static_cast<std::int64_t>(k);
    v = std::log(v * alpha / (a / (us * us) + b));
    const double bound = (mode + 0.5) * std::log((mode + 1) / (odds * (trials - mode + 1))) +
                         (trials + 1) * std::log((trials - mode + 1) / (trials - k + 1)) +
                         (k + 0.5) * std::log(odds * (trials - k + 1) / (k + 1)) + stirling_tail(mode) +
                         stirling_tail(trials - mode) - stirling_tail(k) - stirling_tail(trials - k);
    if (v <= bound) return static_cast<std::int64_t>(k);
  }
}

}  // namespace

PhiloxBlock philox_4x32_10(PhiloxBlock counter, PhiloxKey key) {
  for (int round = 0; round < kRounds; ++round) {
    const std::uint64_t product0 = static_cast<std::uint64_t>(kMultiplier0) * counter[0];
    const std::uint64_t product1 = static_cast<std::uint64_t>(kMultiplier1) * counter[2];
    counter = {high_word(product1) ^ counter[1] ^ key[0], low_word(product1),
               high_word(product0) ^ counter[3] ^ key[1], low_word(product0)};
    key[0] += kWeyl0;
    key[1] += kWeyl1;
  }
  return counter;
}

std::uint64_t stream_of(std::string_view name) {
  std::uint64_t hash = 0xcbf29ce484222325;
  for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3;
  return hash;
}

// The same rounds as above over kBlocks neighbouring counters, side by side, which a compiler can do several at
// a time.
void Random::refill() {
  std::array<std::uint32_t, kBlocks> c0, c1, c2, c3;
  for (std::size_t i = 0; i < kBlocks; ++i) {
    const std::uint64_t position = position_ + i;
    c0[i] = low_word(position);
    c1[i] = high_word(position);
    c2[i] = low_word(stream_);
    c3[i] = high_word(stream_);
  }
  std::uint32_t key0 = low_word(seed_), key1 = high_word(seed_);
  for (int round = 0; round < kRounds; ++round) {
    for (std::size_t i = 0; i < kBlocks; ++i) {
      const std::uint64_t product0 = static_cast<std::uint64_t>(kMultiplier0) * c0[i];
      const std::uint64_t product1 = static_cast<std::uint64_t>(kMultiplier1) * c2[i];
      c0[i] = high_word(product1) ^ c1[i] ^ key0;
      c2[i] = high_word(product0) ^ c3[i] ^ key1;
      c1[i] = low_word(product1);
      c3[i] = low_word(product0);
    }
    key0 += kWeyl0;
    key1 += kWeyl1;
  }
  for (std::size_t i = 0; i < kBlocks; ++i) {
    words_[4 * i] = c0[i];
    words_[4 * i + 1] = c1[i];
    words_[4 * i + 2] = c2[i];
    words_[4 * i + 3] = c3[i];
  }
  position_ += kBlocks;
  at_ = 0;
}

std::uint64_t Random::below(std::uint64_t n) {
  assert(n > 0);
  if (n >> 32 != 0) {
    const std::uint64_t mask = ~std::uint64_t{0} >> std::countl_zero(n - 1);
    for (;;)
      if (const std::uint64_t drawn = next_64() & mask; drawn < n) return drawn;
  }
  std::uint64_t product = n * next_32();
  if (low_word(product) < n) {
    const std::uint32_t unfair = low_word((std::uint64_t{1} << 32) % n);
    while (low_word(product) < unfair) product = n * next_32();
  }
  return high_word(product);
}

std::int64_t draw_binomial(Random& random, std::int64_t n, double probability) {
  assert(n >= 0);
  if (n <= 0 || !(probability > 0)) return 0;
  if (probability >= 1) return n;
  if (probability > 0.5) return n - draw_binomial(random, n, 1 - probability);
  return static_cast<double>(n) * probability < 10 ? binomial_by_inversion(random, n, probability)
                                                   : binomial_by_rejection(random, n, probability);
}

void draw_multinomial(Random& random, std::int64_t n, std::span<const double> weights,
                      std::span<std::int64_t> counts) {
  assert(weights.size() == counts.size());
  std::size_t last = weights.size();  // takes what is left, so that rounding never loses an individual
  double total = 0;
  for (std::size_t i = 0; i < weights.size(); ++i)
    if (weights[i] > 0) last = i, total += weights[i];
  assert(n == 0 || last < weights.size());
  for (std::size_t i = 0; i < weights.size(); ++i) {
    if (i == last)
      counts[i] = n;
    else
      counts[i] = i < last && weights[i] > 0 ? draw_binomial(random, n, weights[i] / total) : 0;
    n -= counts[i];
    total -= weights[i];
  }
}

}  // namespace brookmark::core

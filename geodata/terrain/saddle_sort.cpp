#include <array>
#include <bit>

#include "geodata/terrain/depressions_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr int kDigitBits = 11;
constexpr std::size_t kDigits = std::size_t{1} << kDigitBits;

// Bits of a float that order as its value does, below zero too.
std::uint32_t ordered_bits(float value) {
  const auto bits = std::bit_cast<std::uint32_t>(value);
  return (bits & 0x80000000U) != 0 ? ~bits : bits | 0x80000000U;
}

}  // namespace

// Digit by digit from the least: three passes over any number of saddles.
void sort_by_height(std::vector<Saddle>& saddles) {
  std::vector<Saddle> other(saddles.size());
  for (int shift = 0; shift < 32; shift += kDigitBits) {
    std::array<std::size_t, kDigits + 1> start{};
    const auto digit = [shift](const Saddle& s) { return (ordered_bits(s.height) >> shift) & (kDigits - 1); };
    for (const Saddle& s : saddles) ++start[digit(s) + 1];
    for (std::size_t d = 1; d < start.size(); ++d) start[d] += start[d - 1];
    for (const Saddle& s : saddles) other[start[digit(s)]++] = s;
    saddles.swap(other);
  }
}

}  // namespace brookmark::geodata

#include "core/base/uuid.hpp"

#include <array>
#include <memory>
#include <random>

namespace brookmark::core {

namespace {

std::string uuid_from(std::uint64_t high, std::uint64_t low) {
  high = (high & 0xffffffffffff0fffULL) | 0x0000000000004000ULL;  // version 4
  low = (low & 0x3fffffffffffffffULL) | 0x8000000000000000ULL;    // variant 10
  static constexpr char kDigits[] = "0123456789abcdef";
  std::string text;
  text.reserve(36);
  for (int i = 0; i < 32; ++i) {
    if (i == 8 || i == 12 || i == 16 || i == 20) text += '-';
    const std::uint64_t word = i < 16 ? high : low;
    text += kDigits[(word >> (60 - 4 * (i % 16))) & 15];
  }
  return text;
}

}  // namespace

std::string random_uuid() {
  static thread_local std::random_device device;
  const auto word = [] { return (std::uint64_t{device()} << 32) | device(); };
  const std::uint64_t high = word();
  return uuid_from(high, word());
}

KeySource seeded_uuids(std::uint64_t seed) {
  auto engine = std::make_shared<std::mt19937_64>(seed);
  return [engine] {
    const std::uint64_t high = (*engine)();
    return uuid_from(high, (*engine)());
  };
}

}  // namespace brookmark::core

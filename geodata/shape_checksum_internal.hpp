// Why: whether a line or an area has changed is told by a checksum over its numbers, in place of thousands of them.
#pragma once

#include <bit>
#include <cstdint>
#include <string>

namespace brookmark::geodata {

// 64-bit FNV-1a (Fowler, Noll & Vo; memory) over the bits of the coordinates in their order.
class ShapeChecksum {
 public:
  void add(double value) {
    auto bits = std::bit_cast<std::uint64_t>(value == 0 ? 0.0 : value);
    for (int i = 0; i < 8; ++i, bits >>= 8) hash_ = (hash_ ^ (bits & 0xFF)) * 0x100000001b3U;
    ++numbers_;
  }
  // "12 points:0123456789abcdef"
  std::string text() const {
    constexpr const char* kDigits = "0123456789abcdef";
    std::string hex;
    for (int shift = 60; shift >= 0; shift -= 4) hex += kDigits[hash_ >> shift & 0xF];
    return std::to_string(numbers_ / 2) + " points:" + hex;
  }

 private:
  std::uint64_t hash_ = 0xcbf29ce484222325U;
  std::size_t numbers_ = 0;
};

}  // namespace brookmark::geodata

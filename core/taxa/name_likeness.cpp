#include "core/taxa/name_likeness_internal.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <utility>

namespace brookmark::core {

namespace {

using Row = std::array<float, kLongestCompared + 1>;
using Counts = std::array<std::uint8_t, kLongestCompared + 1>;

constexpr float kCommonSlip = 0.5F, kNearLetter = 0.6F, kOtherFirst = 0.5F, kOther = 1.0F;

constexpr bool is_vowel(char c) {
  return c == 'a' || c == 'e' || c == 'i' || c == 'o' || c == 'u' || c == 'y';
}

constexpr bool either(char a, char b, char one, char other) {
  return (a == one && b == other) || (a == other && b == one);
}

// Each row stands a part of a key to the right of the one above it; counted in quarters of a key.
bool beside_on_keyboard(char a, char b) {
  static constexpr std::string_view kRows[] = {"qwertyuiop", "asdfghjkl", "zxcvbnm"};
  static constexpr int kShift[] = {0, 1, 3};
  const auto place_of = [](char c) {
    for (int row = 0; row < 3; ++row)
      if (const std::size_t at = kRows[row].find(c); at != std::string_view::npos)
        return std::pair(row, 4 * static_cast<int>(at) + kShift[row]);
    return std::pair(-9, 0);
  };
  const auto [row_a, at_a] = place_of(a);
  const auto [row_b, at_b] = place_of(b);
  if (row_a < 0 || row_b < 0) return false;
  const int rows = std::abs(row_a - row_b), apart = std::abs(at_a - at_b);
  return rows == 0 ? apart == 4 : rows == 1 && apart < 4;
}

struct Weights {
  std::array<std::array<float, 128>, 128> replace{};
};

float replacing(char a, char b) {
  if (a == b) return 0;
  if (either(a, b, 'i', 'y') || either(a, b, 'c', 'k') || either(a, b, 's', 'z') || either(a, b, 's', 'c'))
    return kCommonSlip;
  if (is_vowel(a) && is_vowel(b)) return kNearLetter;
  if (either(a, b, 'm', 'n')) return kNearLetter;
  return beside_on_keyboard(a, b) ? kNearLetter : kOther;
}

const Weights& weights() {
  static const Weights table = [] {
    Weights w;
    for (std::size_t a = 0; a < 128; ++a)
      for (std::size_t b = 0; b < 128; ++b)
        w.replace[a][b] = replacing(static_cast<char>(a), static_cast<char>(b));
    return w;
  }();
  return table;
}

float replace_weight(const Weights& table, char a, char b) {
  if (a == b) return 0;
  const auto first = static_cast<unsigned char>(a), second = static_cast<unsigned char>(b);
  return first < 128 && second < 128 ? table.replace[first][second] : kOther;
}

// What it costs to put in or leave out each letter of a text, next to the letters that stand beside it.
Row gap_weights(std::string_view text) {
  Row gaps{};
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i], before = i > 0 ? text[i - 1] : '\0',
               after = i + 1 < text.size() ? text[i + 1] : '\0';
    const bool doubled = c == before || c == after;
    const bool silent_h = c == 'h' && std::string_view("cgprt").find(before) != std::string_view::npos;
    const bool vowel_pair = is_vowel(c) && (is_vowel(before) || is_vowel(after));
    gaps[i] = doubled || silent_h || vowel_pair ? kCommonSlip : kOther;
  }
  return gaps;
}

// "ph" for "f", "cs" or "ks" for "x".
bool sounds_as_one(std::string_view two, char one) {
  return (one == 'f' && two == "ph") || (one == 'x' && (two == "cs" || two == "ks"));
}

// All rows of one walk; the last three are needed at a time.
struct Walk {
  std::array<Row, 3> slips{};
  std::array<Counts, 3> steps{};
};

}  // namespace

std::optional<Likeness> likeness(std::string_view a, std::string_view b, std::size_t limit) {
  if (a.size() > kLongestCompared || b.size() > kLongestCompared) return std::nullopt;
  if (std::max(a.size(), b.size()) - std::min(a.size(), b.size()) > limit) return std::nullopt;
  const Weights& table = weights();
  const Row gap_a = gap_weights(a), gap_b = gap_weights(b);
  Walk walk;
  Row* slips[3] = {&walk.slips[0], &walk.slips[1], &walk.slips[2]};  // two back, back, now
  Counts* steps[3] = {&walk.steps[0], &walk.steps[1], &walk.steps[2]};
  (*slips[1])[0] = 0;
  (*steps[1])[0] = 0;
  for (std::size_t j = 1; j <= b.size(); ++j) {
    (*slips[1])[j] = (*slips[1])[j - 1] + gap_b[j - 1];
    (*steps[1])[j] = static_cast<std::uint8_t>(j);
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    const char c = a[i - 1];
    (*slips[2])[0] = (*slips[1])[0] + gap_a[i - 1];
    (*steps[2])[0] = static_cast<std::uint8_t>(i);
    std::uint8_t least = (*steps[2])[0];
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const char d = b[j - 1];
      const float first = i == 1 && j == 1 && c != d && !either(c, d, 'i', 'y') ? kOtherFirst : 0.0F;
      float slip = std::min({(*slips[1])[j] + gap_a[i - 1], (*slips[2])[j - 1] + gap_b[j - 1],
                             (*slips[1])[j - 1] + replace_weight(table, c, d) + first});
      int step =
          std::min({(*steps[1])[j] + 1, (*steps[2])[j - 1] + 1, (*steps[1])[j - 1] + (c == d ? 0 : 1)});
      if (i > 1 && j > 1 && c == b[j - 2] && a[i - 2] == d) {
        slip = std::min(slip, (*slips[0])[j - 2] + kCommonSlip);
        step = std::min(step, (*steps[0])[j - 2] + 1);
      }
      if (i > 1 && sounds_as_one(a.substr(i - 2, 2), d))
        slip = std::min(slip, (*slips[0])[j - 1] + kCommonSlip);
      if (j > 1 && sounds_as_one(b.substr(j - 2, 2), c))
        slip = std::min(slip, (*slips[1])[j - 2] + kCommonSlip);
      (*slips[2])[j] = slip;
      (*steps[2])[j] = static_cast<std::uint8_t>(step);
      least = std::min(least, (*steps[2])[j]);
    }
    // A swap reaches over one row, so a row above the limit may still be followed by one at it.
    if (least > limit + 1) return std::nullopt;
    std::rotate(slips, slips + 1, slips + 3);
    std::rotate(steps, steps + 1, steps + 3);
  }
  const std::size_t distance = (*steps[1])[b.size()];
  if (distance > limit) return std::nullopt;
  return Likeness{distance, static_cast<double>((*slips[1])[b.size()])};
}

}  // namespace brookmark::core

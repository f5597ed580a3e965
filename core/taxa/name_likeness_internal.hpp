// Why: people do not misspell at random. A doubled letter, y for i, f for ph or two letters swapped is a smaller
// slip than any other letter; measuring it so puts the name that was meant first.
// Use: const auto near = likeness("gamarus", "gammarus", 2);   // distance 1, slips 0.5
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

namespace brookmark::core {

struct Likeness {
  std::size_t distance = 0;  // letters put in, left out, replaced or swapped with their neighbour, each 1
  double slips = 0;          // the least sum of the same steps where a common slip counts less than 1
};

// Longer texts are compared with no name.
inline constexpr std::size_t kLongestCompared = 64;

// Of two folded names of at most kLongestCompared bytes; nothing when `distance` is above `limit`.
//
// `distance` is the optimal string alignment distance (Damerau 1964, Communications of the ACM 7:171-176, restricted so
// that no letter is edited twice). `slips` uses the same steps with these weights, which are common practice, no source:
//   0.5  a letter doubled or halved; h put in or left out after c, g, p, r, t; a vowel beside a vowel put in or left out;
//        f for ph, x for cs or ks; i for y, c for k, s for z or c; two neighbours swapped
//   0.6  any other vowel for a vowel, m for n, a key beside it on an English keyboard
//   0.5 more where the first letter is another one: that is seldom got wrong
//   1    everything else
std::optional<Likeness> likeness(std::string_view a, std::string_view b, std::size_t limit);

}  // namespace brookmark::core

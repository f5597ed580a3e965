// Why: a bootstrap draws the same individuals again thousands of times. What depends only on their numbers is
// worked out once, and a draw then costs about one random word and one look-up a kind.
// Use: RepeatedMultinomial again(counts);  again.draw(random, drawn);  // sum of drawn = sum of counts
//
// Three ways, each exact up to the rounding of its tables (2^-32 of a probability):
// * few individuals: each picks its kind by an alias table (Walker 1977; Vose 1991);
// * many: kind i first gets Poisson(counts[i]) individuals, all together T. Whatever T is, those are T individuals
//   that picked their kinds independently; drawn again while T > n, the n - T still missing pick theirs by the alias
//   table. The chance of T > n is below a half, and n - T is about sqrt(n) at most;
// * very many: conditional binomials (draw_multinomial).
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/random.hpp"

namespace brookmark::core {

// Picks i with a chance in proportion to weights[i] (>= 0, not all 0) at the cost of one random word.
class AliasTable {
 public:
  AliasTable() = default;
  explicit AliasTable(std::span<const double> weights);

  std::uint32_t draw(Random& random) const { return draw(random.next_32()); }
  // From a word that is even over all its values.
  std::uint32_t draw(std::uint32_t word) const {
    const std::uint64_t place = static_cast<std::uint64_t>(word) * entries_.size();
    const auto at = static_cast<std::uint32_t>(place >> 32);
    const Entry& entry = entries_[at];
    return static_cast<std::uint32_t>(place) < entry.own ? at : entry.alias;
  }

 private:
  struct Entry {
    std::uint32_t own = 0;  // share of this place, of 2^32, that is its own
    std::uint32_t alias = 0;
  };
  std::vector<Entry> entries_;
};

class RepeatedMultinomial {
 public:
  // counts >= 0. An empty or all-zero list draws nothing.
  explicit RepeatedMultinomial(std::span<const std::int64_t> counts);

  std::int64_t individuals() const { return individuals_; }
  // `drawn` is as long as the counts were.
  void draw(Random& random, std::span<std::int64_t> drawn) const;

 private:
  struct
      Part {  // a Poisson number for one kind, of a whole mean that has a table; a large mean is several parts
    std::uint32_t kind, mean;
  };
  std::int64_t individuals_ = 0;
  std::vector<double> weights_;  // only for conditional binomials
  AliasTable pick_;
  std::vector<Part> parts_;  // empty: every individual picks
};

}  // namespace brookmark::core

// Why: how many kinds, and how evenly the animals are spread over them, in the numbers that people compare.
// All of them look only at how many taxa were found with one animal, with two, and so on; the names and their
// order play no part, so that the same catch always gives the same number to the last bit.
// Use: Diversity d = diversity_of(group_counts({12, 7, 1}));  d.shannon, pielou(d)
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace brookmark::core {

// So many taxa were found with so many animals each.
struct CountGroup {
  std::int64_t animals = 0;  // of each, at least 1
  std::int64_t taxa = 0;     // at least 1
  bool operator==(const CountGroup&) const = default;
};

// Fewest animals first. `counts` holds one number a taxon; zeros do not count, and a negative one throws
// Error(kBadInput).
std::vector<CountGroup> group_counts(std::vector<std::int64_t> counts);
// The same without a copy: sorts `counts`, and writes into `groups`. For many samples in a row; no number may
// be negative.
void group_counts(std::span<std::int64_t> counts, std::vector<CountGroup>& groups);

// One sample's animals. With p the share of a taxon in all of them (0 < p <= 1):
struct Diversity {
  std::int64_t animals = 0, taxa = 0;
  std::int64_t singletons = 0, doubletons = 0;  // taxa with one animal, with two
  std::int64_t most = 0;                        // animals of the commonest taxon
  double shannon = 0;  // -sum(p ln p), in nats (Shannon 1948, Bell System Technical Journal 27, p. 393)
  double simpson = 0;  // 1 - sum(p^2) (Simpson 1949, Nature 163, p. 688, turned so that more is more diverse)
  double concentration = 0;  // sum(p^2), Simpson's own measure
};

// Without groups everything is 0: no animal, no diversity; ask `animals` first.
Diversity diversity_of(std::span<const CountGroup> groups);

// Nothing where the value does not exist: for no animals at all, and as said.
std::optional<double> inverse_simpson(const Diversity& d);  // 1 / sum(p^2)
std::optional<double> pielou(
    const Diversity& d);  // shannon / ln(taxa); not for one taxon (Pielou 1966, J. Theor. Biol. 13, p. 131)
std::optional<double> margalef(
    const Diversity& d);  // (taxa - 1) / ln(animals); not for one animal (Margalef 1958, Gen. Syst. 3, p. 36)
std::optional<double> berger_parker(
    const Diversity& d);  // share of the commonest taxon (Berger & Parker 1970, Science 168, p. 1345)
// Effective number of taxa of order 0 (taxa), 1 (exp(shannon)) or 2 (1 / sum(p^2)); never rises with the order
// (Hill 1973, Ecology 54, p. 427). Throws Error(kBadUse) for another order.
std::optional<double> hill(const Diversity& d, int order);

}  // namespace brookmark::core

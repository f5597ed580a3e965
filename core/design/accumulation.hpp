// Why: is it enough, or how many more samples (or spots) would show nine tenths of the kinds that live here? What was found once and
// twice tells how many kinds are still unseen.
// Use: Accumulation a = accumulate(snapshot, samples, {});  a.estimate()  taxa_at(a, 40)  units_for_share(a, 0.9)
//
// T units (samples or spots), in each of which a taxon is there or not; Q1, Q2: taxa in one unit, in two; U: sum over taxa of the
// units in which they are; S: taxa found.
// * Expected taxa of t <= T units drawn in any order: S - sum C(T - Y, t) / C(T, t) (Colwell, Mao & Chang 2004, Ecology 85:2717-2727,
//   eq. 4; memory; checked against vegan's specaccum).
// * Unseen taxa, at least: Q0 = (T - 1)/T Q1^2 / (2 Q2), with Q1 (Q1 - 1) / 2 where Q2 = 0 (Chao 1987, Biometrics 43:783-791, as
//   "Chao2"; memory; checked against vegan's specpool).
// * Taxa of T + t units: S + Q0 [1 - (1 - Q1 / (T Q0 + Q1))^t] (Colwell et al. 2012, J. Plant Ecol. 5:3-21, eq. 18; memory). Rests on little
//   beyond twice the units there are.
// * Coverage, the share of all occurrences that belongs to taxa found: 1 - Q1/U A with A = (T - 1) Q1 / ((T - 1) Q1 + 2 Q2), and of T + t
//   units 1 - Q1/U A^(t + 1) (Chao & Jost 2012, Ecology 93:2533-2547, for samples; Chao et al. 2014, Ecol. Monogr. 84:45-67; memory).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

enum class AccumulationUnit : std::uint8_t { kSample, kSite };

struct AccumulationOptions {
  AccumulationUnit unit = AccumulationUnit::kSample;
  // Taxa are counted at this rank, for names of different depth are no different kinds. Unlisted names count as themselves.
  Rank rank = Rank::kFamily;
  std::optional<Date> until = {};
};

struct Accumulation {
  std::size_t units = 0;
  std::vector<std::int64_t> found_in;  // per taxon found: in how many units, 1 or more
  std::size_t left_out = 0;  // samples without a usable record: it is not known that nothing was there

  std::size_t taxa() const { return found_in.size(); }
  std::size_t in(std::int64_t units_) const;
  // Taxa there are, at least. Nothing for fewer than two units.
  std::optional<double> estimate() const;
};

// Blanks never count; replicates do as samples of their own.
Accumulation accumulate(const Snapshot& snapshot, std::span<const SampleIndex> samples,
                        const AccumulationOptions& options);

// Expected taxa, and coverage, of so many units (0 or more; beyond those there are by extrapolation). Nothing for fewer than two
// units in all. Coverage also nothing where no taxon was found.
std::optional<double> taxa_at(const Accumulation& found, std::size_t units);
std::optional<double> coverage_at(const Accumulation& found, std::size_t units);

// The fewest units, all counted, expected to show this share (0..1) of the taxa there are by estimate(); that are expected to reach
// this coverage. Nothing where it is never reached (a share of 1 while taxa are unseen) or nothing can be said.
std::optional<std::size_t> units_for_share(const Accumulation& found, double share);
std::optional<std::size_t> units_for_coverage(const Accumulation& found, double coverage);

}  // namespace brookmark::core

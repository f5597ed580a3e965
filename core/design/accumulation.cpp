#include "core/design/accumulation.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/scoring/rarefaction.hpp"
#include "core/scoring/taxon_counts.hpp"

namespace brookmark::core {
namespace {

constexpr std::size_t kMostUnits = 10'000'000;  // more than anybody takes: then it is never reached

struct Numbers {
  double t = 0, q1 = 0, q2 = 0, u = 0;
  double unseen = 0;  // Q0
  double a = 0;       // of the coverage
};

std::optional<Numbers> numbers_of(const Accumulation& found) {
  if (found.units < 2) return std::nullopt;
  Numbers n;
  n.t = static_cast<double>(found.units);
  n.q1 = static_cast<double>(found.in(1));
  n.q2 = static_cast<double>(found.in(2));
  for (const std::int64_t y : found.found_in) n.u += static_cast<double>(y);
  n.unseen = (n.t - 1) / n.t * (n.q2 > 0 ? n.q1 * n.q1 / (2 * n.q2) : n.q1 * (n.q1 - 1) / 2);
  const double below = (n.t - 1) * n.q1 + 2 * n.q2;
  n.a = below > 0 ? (n.t - 1) * n.q1 / below : 0;
  return n;
}

// The fewest units for which `reaches` holds; it holds for all above it.
std::optional<std::size_t> fewest(const std::function<bool(std::size_t)>& reaches) {
  if (!reaches(kMostUnits)) return std::nullopt;
  std::size_t low = 0, high = kMostUnits;  // not reached at low, reached at high
  if (reaches(0)) return 0;
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    (reaches(middle) ? high : low) = middle;
  }
  return high;
}

}  // namespace

std::size_t Accumulation::in(std::int64_t units_) const {
  return static_cast<std::size_t>(std::count(found_in.begin(), found_in.end(), units_));
}

std::optional<double> Accumulation::estimate() const {
  const auto n = numbers_of(*this);
  if (!n) return std::nullopt;
  return static_cast<double>(taxa()) + n->unseen;
}

Accumulation accumulate(const Snapshot& snapshot, std::span<const SampleIndex> samples,
                        const AccumulationOptions& options) {
  Accumulation found;
  const TaxonLevel level(snapshot.taxa, options.rank);
  TaxonCounter counter(snapshot, level);
  std::vector<SampleIndex> order(samples.begin(), samples.end());
  std::sort(order.begin(), order.end());  // samples of one site are neighbours
  std::vector<std::int64_t> in(snapshot.taxa.size(), 0);
  std::vector<bool> seen(snapshot.taxa.size(), false);
  std::vector<std::size_t> here;
  SiteIndex site;
  const auto close = [&] {
    for (const std::size_t t : here) {
      ++in[t];
      seen[t] = false;
    }
    here.clear();
  };
  for (const SampleIndex sample : order) {
    const std::size_t s = sample.value();
    if (snapshot.samples.kind[s] == SampleKind::kBlank) continue;
    if (options.until && *options.until < snapshot.samples.date[s]) continue;
    counter.read(s);
    // Absences alone are a unit in which nothing was found; without records, or with doubtful ones only, nothing is known.
    if (counter.taxa().empty() && counter.gap() != CountsGap::kNothingFound) {
      ++found.left_out;
      continue;
    }
    if (options.unit == AccumulationUnit::kSample || snapshot.samples.site[s] != site) {
      close();
      site = snapshot.samples.site[s];
      ++found.units;
    }
    for (const TaxonIndex taxon : counter.taxa()) {
      if (seen[taxon.value()]) continue;
      seen[taxon.value()] = true;
      here.push_back(taxon.value());
    }
  }
  close();
  for (const std::int64_t y : in)
    if (y > 0) found.found_in.push_back(y);
  return found;
}

std::optional<double> taxa_at(const Accumulation& found, std::size_t units) {
  const auto n = numbers_of(found);
  if (!n) return std::nullopt;
  const double taxa = static_cast<double>(found.taxa());
  if (units <= found.units) {
    double missed = 0;
    for (const std::int64_t y : found.found_in)
      missed += miss_probability(static_cast<std::int64_t>(found.units), static_cast<std::int64_t>(units), y);
    return taxa - missed;
  }
  if (n->unseen <= 0) return taxa;
  const double more = static_cast<double>(units - found.units);
  return taxa + n->unseen * (1 - std::pow(1 - n->q1 / (n->t * n->unseen + n->q1), more));
}

std::optional<double> coverage_at(const Accumulation& found, std::size_t units) {
  const auto n = numbers_of(found);
  if (!n || n->u <= 0) return std::nullopt;
  if (units < found.units) {
    // Chao & Jost 2012 for fewer units: 1 - sum Y/U C(T - Y, t) / C(T - 1, t).
    double missed = 0;
    const auto t = static_cast<std::int64_t>(units), all = static_cast<std::int64_t>(found.units);
    for (const std::int64_t y : found.found_in)
      if (all - y >= t) missed += static_cast<double>(y) / n->u * miss_probability(all - 1, t, y - 1);
    return 1 - missed;
  }
  const double more = static_cast<double>(units - found.units);
  return 1 - n->q1 / n->u * std::pow(n->a, more + 1);
}

std::optional<std::size_t> units_for_share(const Accumulation& found, double share) {
  const auto there = found.estimate();
  if (!there || *there <= 0) return std::nullopt;
  // All of them are only ever approached.
  if (share >= 1 && *there > static_cast<double>(found.taxa())) return std::nullopt;
  return fewest([&](std::size_t units) { return *taxa_at(found, units) >= share * *there - 1e-9; });
}

std::optional<std::size_t> units_for_coverage(const Accumulation& found, double coverage) {
  if (!coverage_at(found, 0)) return std::nullopt;
  return fewest([&](std::size_t units) { return *coverage_at(found, units) >= coverage - 1e-12; });
}

}  // namespace brookmark::core

#include <algorithm>
#include <cmath>
#include <string_view>
#include <tuple>

#include "core/scoring/explain_internal.hpp"
#include "core/scoring/redraw_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::int64_t kGreatestCount = 1'000'000'000'000'000;  // so that the sum of a sample's fits

// Whether every metric speaks of the lines of a table and of how many animals stand in each: then animals of one line
// may be drawn as one kind. Grouping the kinds of a multinomial gives a multinomial of the groups (the chance of a
// group is the sum of its kinds'), so nothing changes but the time it takes.
bool speaks_of_lines(const Method& method) {
  return std::all_of(method.metrics.begin(), method.metrics.end(), [](const Metric& metric) {
    switch (metric.formula) {
      case FormulaKind::kSumOfScores:
      case FormulaKind::kMeanScore:
      case FormulaKind::kWeightedMean:
      case FormulaKind::kGroupCodeWeights:
      case FormulaKind::kMeanCodeWeight:
      case FormulaKind::kGroupWeights:
        return true;
      default:
        return false;
    }
  });
}

std::uint16_t line_of(const CompiledMethod& compiled, std::uint32_t taxon, LifeStage stage) {
  const std::uint16_t u = compiled.unit_of_taxon[taxon];
  return u != kNoUnit && stage_fits(compiled.stage_of_unit[u], stage) ? u : kNoUnit;
}

}  // namespace

std::int64_t draw_in_class(Random& random, std::int64_t low, std::int64_t high) {
  low = std::max<std::int64_t>(low, 1);
  if (high == RecordColumns::kOpen) high = low > RecordColumns::kOpen / 10 ? low : 10 * low - 1;
  const double from = static_cast<double>(low), to = static_cast<double>(high) + 1;
  const double number = std::floor(from * std::exp(random.uniform() * std::log(to / from)));
  return std::clamp(static_cast<std::int64_t>(std::min(number, 9e18)), low, std::max(low, high));
}

SampleRedraw::SampleRedraw(const Snapshot& snapshot, const CompiledMethod& compiled, std::size_t sample)
    : again_({}) {
  const RecordColumns& records = snapshot.records;
  const bool by_line = speaks_of_lines(*compiled.method);
  for (std::size_t r = snapshot.samples.record_begin[sample]; r < snapshot.samples.record_begin[sample + 1];
       ++r) {
    const Sighting found = sighting_of(records, r);
    if (is_absence(found) || !found.usable) {
      sightings_.push_back(found);
      continue;
    }
    const std::uint16_t line = line_of(compiled, found.taxon, found.stage);
    const TaxonIndex parent = snapshot.taxa.parent[found.taxon];
    Part part;
    part.sighting = found;
    if (parent.has_value() &&
        (!by_line || line != line_of(compiled, static_cast<std::uint32_t>(parent.value()), found.stage))) {
      part.parent = static_cast<std::uint32_t>(parent.value());
      part.certainty = records.certainty[r];
      if (!(part.certainty < 1) && !doubt_in(records.qualifier[r]).empty()) ++names_in_doubt_;
    }
    const bool doubtful = part.certainty < 1;
    has_doubts_ = has_doubts_ || doubtful;
    if (found.quantity == QuantityKind::kCount) {
      part.low = std::min(found.min, kGreatestCount);
    } else if (found.quantity == QuantityKind::kAbundanceClass) {
      has_classes_ = part.is_class = true;
      part.low = found.min;
      part.high = found.max;
    } else {
      has_presence_ = true;
      has_scoring_presence_ = has_scoring_presence_ || line != kNoUnit;
      if (!doubtful) {
        sightings_.push_back(found);
        continue;
      }
    }
    parts_.push_back(part);
  }
  fixed_ = sightings_.size();

  // By content, so that the order of the records changes nothing: parts that compare equal are alike.
  const auto key = [&](const Part& p) {
    const bool sure_count = p.sighting.quantity == QuantityKind::kCount && !(p.certainty < 1);
    const std::uint16_t line = line_of(compiled, p.sighting.taxon, p.sighting.stage);
    const bool lumped = sure_count && by_line;
    return std::tuple(!sure_count, line, lumped ? std::string_view() : snapshot.taxa.key[p.sighting.taxon],
                      lumped ? LifeStage::kUnknown : p.sighting.stage);
  };
  std::sort(parts_.begin(), parts_.end(), [&](const Part& a, const Part& b) {
    if (const auto x = key(a), y = key(b); x != y) return x < y;
    return std::tuple(a.sighting.quantity, a.certainty, a.low, a.high) <
           std::tuple(b.sighting.quantity, b.certainty, b.low, b.high);
  });
  // Sure counts of one kind are one part.
  std::size_t kept = 0;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    Part& part = parts_[i];
    const bool is_count = part.sighting.quantity == QuantityKind::kCount;
    if (kept > 0 && is_count && !(part.certainty < 1) && key(parts_[kept - 1]) == key(part)) {
      counts_.back() += part.low;
      continue;
    }
    if (is_count) {
      part.counted = static_cast<std::uint32_t>(counts_.size());
      counts_.push_back(part.low);
    }
    parts_[kept++] = part;
  }
  parts_.resize(kept);
  drawn_counts_ = counts_;
  again_ = RepeatedMultinomial(counts_);
  sightings_.resize(fixed_ + parts_.size());
}

void SampleRedraw::draw(Random& random) {
  if (has_doubts_ || has_classes_) {
    for (Part& part : parts_)
      if (part.certainty < 1) part.as_named = random.uniform() < static_cast<double>(part.certainty);
    for (Part& part : parts_)
      if (part.is_class) {
        part.sighting.min = part.sighting.max = draw_in_class(random, part.low, part.high);
        part.sighting.drawn = true;
      }
  }
  again_.draw(random, drawn_counts_);
}

std::span<const Sighting> SampleRedraw::drawn() {
  std::size_t size = fixed_;
  for (const Part& part : parts_) {
    const std::int64_t count = part.counted == kNotCounted ? 1 : drawn_counts_[part.counted];
    if (count == 0) continue;  // not there in this draw, which is not the same as looked for and absent
    Sighting& found = sightings_[size++];
    found = part.sighting;
    if (!part.as_named) found.taxon = part.parent;
    if (part.counted != kNotCounted) found.min = found.max = count;
  }
  return std::span(sightings_).first(size);
}

}  // namespace brookmark::core

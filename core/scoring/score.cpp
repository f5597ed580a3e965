#include "core/scoring/score.hpp"

#include <algorithm>
#include <functional>
#include <thread>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

SampleScorer::SampleScorer(const Snapshot& snapshot, const CompiledMethod& compiled)
    : snapshot_(snapshot),
      compiled_(compiled),
      units_(compiled.method->units.size()),
      taxa_(snapshot.taxa.size()),
      counted_(snapshot.taxa.size()),
      covered_(snapshot.taxa.size()),
      touched_units_(compiled.method->units.size()),
      touched_taxa_(snapshot.taxa.size()) {
  sum_counts_ = std::any_of(compiled.method->metrics.begin(), compiled.method->metrics.end(),
                            [](const Metric& m) { return m.formula == FormulaKind::kWeightedMean; });
}

// What does not depend on the records: the kind of water and the season.
std::uint16_t SampleScorer::scope_of(std::size_t sample) const {
  const Method& method = *compiled_.method;
  const std::size_t site = snapshot_.samples.site[sample].value();
  std::uint16_t reasons = 0;
  if (method.flow != Flow::kUncertain && flow_of(snapshot_.sites.kind[site]) != method.flow)
    reasons |= bit(ScopeReason::kWaterKind);
  if (!method.excluded_seasons.empty()) {
    const Season season = season_of(snapshot_.samples.date[sample], snapshot_.sites.position[site].lat < 0);
    if (std::find(method.excluded_seasons.begin(), method.excluded_seasons.end(), season) !=
        method.excluded_seasons.end())
      reasons |= bit(ScopeReason::kSeason);
  }
  return reasons;
}

void SampleScorer::read(std::size_t sample) {
  ++stamp_;
  present_ = distinct_ = taken_taxa_ = unit_count_ = 0;
  known_count_ = 0;
  all_counted_ = scoring_counted_ = true;
  weighted_sum_ = weight_sum_ = 0;
  if (snapshot_.samples.kind[sample] == SampleKind::kBlank) {
    reasons_ = bit(ScopeReason::kBlankSample);
    return;
  }
  const RecordColumns& records = snapshot_.records;
  const std::size_t end = snapshot_.samples.record_begin[sample + 1];
  for (std::size_t r = snapshot_.samples.record_begin[sample]; r < end; ++r) {
    if (is_absence(records, r)) continue;
    ++present_;
    const bool counted = records.quantity[r] == QuantityKind::kCount;
    if (counted)
      known_count_ = add_capped(known_count_, records.count_min[r]);
    else
      all_counted_ = false;
    const std::size_t t = records.taxon[r].value();
    TaxonState& taxon = taxa_[t];
    if (taxon.seen != stamp_) {
      taxon.seen = stamp_;
      touched_taxa_[distinct_++] = static_cast<std::uint32_t>(t);
    }
    const std::uint16_t u = compiled_.unit_of_taxon[t];
    if (u == kNoUnit || !stage_fits(compiled_.stage_of_unit[u], records.stage[r])) continue;
    if (taxon.taken != stamp_) {
      taxon.taken = stamp_;
      ++taken_taxa_;
    }
    UnitTotal& unit = units_[u];
    if (unit.stamp != stamp_) {
      unit = {stamp_, 0, 0};
      touched_units_[unit_count_++] = u;
    }
    unit.low = add_capped(unit.low, records.count_min[r]);
    unit.high = add_capped(unit.high, records.count_max[r]);
    if (!counted) {
      scoring_counted_ = false;
    } else if (sum_counts_) {
      const double count = static_cast<double>(records.count_min[r]);
      weighted_sum_ += count * compiled_.unit_score[u];
      weight_sum_ += count;
    }
  }

  reasons_ = scope_of(sample);
  if (present_ == 0) {
    reasons_ |= bit(ScopeReason::kNothingFound);
  } else if (const auto& least = compiled_.method->minimum_count; least && known_count_ < *least) {
    reasons_ |= bit(all_counted_ ? ScopeReason::kBelowMinimumCount : ScopeReason::kCountUnknown);
  }
}

SampleScore SampleScorer::score(std::size_t metric_index) {
  const Metric& metric = compiled_.method->metrics[metric_index];
  SampleScore score;
  score.reasons = reasons_;
  if (metric.formula == FormulaKind::kRichness)
    score_richness(compiled_.richness[metric_index], score);
  else
    score_units(metric, score);
  score.in_scope = (score.reasons & kScopeReasons) == 0;
  if (score.has_value && score.in_scope && !metric.bands.empty())
    if (const ClassBand* band = class_of(metric, score.value))
      score.class_rank = static_cast<std::uint8_t>(band->rank);
  return score;
}

void SampleScorer::score_units(const Metric& metric, SampleScore& score) const {
  const CompiledMethod& c = compiled_;
  score.scoring_taxa = static_cast<std::uint16_t>(unit_count_);
  score.unscored_taxa =
      static_cast<std::uint16_t>(std::min<std::size_t>(distinct_ - taken_taxa_, UINT16_MAX));
  if ((score.reasons & (bit(ScopeReason::kBlankSample) | bit(ScopeReason::kNothingFound))) != 0) return;
  if (unit_count_ == 0) {
    score.reasons |= bit(ScopeReason::kNoScoringTaxa);
    return;
  }
  const auto sum = [&](const std::vector<double>& values) {
    double total = 0;
    for (std::size_t i = 0; i < unit_count_; ++i) total += values[touched_units_[i]];
    return total;
  };
  switch (metric.formula) {
    case FormulaKind::kSumOfScores:
      score.value = sum(c.unit_score) / c.score_scale;
      break;
    case FormulaKind::kMeanScore:
      score.value = sum(c.unit_score) / (static_cast<double>(unit_count_) * c.score_scale);
      break;
    case FormulaKind::kGroupWeights:
      score.value = sum(c.unit_group_weight) / c.weight_scale;
      break;
    case FormulaKind::kWeightedMean:
      if (!scoring_counted_) {
        score.reasons |= bit(ScopeReason::kNeedsCounts);
        return;
      }
      score.value = weighted_sum_ / (weight_sum_ * c.score_scale);
      break;
    case FormulaKind::kGroupCodeWeights: {
      double total = 0;
      for (std::size_t i = 0; i < unit_count_; ++i) {
        const std::size_t u = touched_units_[i];
        const std::size_t code = c.code_of(units_[u].low, units_[u].high);
        if (code == c.codes.size()) {
          score.reasons |= bit(ScopeReason::kNeedsAbundance);
          return;
        }
        total += c.unit_code_weight[u * c.codes.size() + code];
      }
      score.value = total / c.weight_scale;
      break;
    }
    case FormulaKind::kRichness:
      return;
  }
  score.has_value = true;
}

void SampleScorer::score_richness(const RichnessPlan& plan, SampleScore& score) {
  const TaxonColumns& taxa = snapshot_.taxa;
  ++richness_stamp_;
  std::size_t members = 0, count = 0;
  bool may_hide = false;
  for (std::size_t i = 0; i < distinct_; ++i) {
    const std::size_t t = touched_taxa_[i];
    const TaxonIndex as = plan.counted_as[t];
    may_hide = may_hide || plan.may_belong[t] != 0;
    if (!as.has_value()) continue;
    ++members;
    if (counted_[as.value()] != richness_stamp_) {
      counted_[as.value()] = richness_stamp_;
      ++count;
    }
    if (!plan.as_named) continue;
    // Every name above is covered by this finer one. Above a covered name all are covered already.
    for (TaxonIndex up = taxa.parent[t]; up.has_value() && covered_[up.value()] != richness_stamp_;
         up = taxa.parent[up.value()])
      covered_[up.value()] = richness_stamp_;
  }
  if (plan.as_named) {
    count = 0;
    for (std::size_t i = 0; i < distinct_; ++i) {
      const std::size_t t = touched_taxa_[i];
      if (plan.counted_as[t].has_value() && covered_[t] != richness_stamp_) ++count;
    }
  }
  score.scoring_taxa = static_cast<std::uint16_t>(std::min<std::size_t>(count, UINT16_MAX));
  score.unscored_taxa = static_cast<std::uint16_t>(std::min<std::size_t>(distinct_ - members, UINT16_MAX));
  if ((score.reasons & (bit(ScopeReason::kBlankSample) | bit(ScopeReason::kNothingFound))) != 0) return;
  // None is a finding only when every animal is known to lie outside the set.
  if (count == 0 && may_hide) {
    score.reasons |= bit(ScopeReason::kNoScoringTaxa);
    return;
  }
  score.value = static_cast<double>(count);
  score.has_value = true;
}

ScoreTable score_samples(const Snapshot& snapshot, const Method& method, const ScoreOptions& options) {
  const std::size_t samples = snapshot.samples.size();
  ScoreTable table;
  table.method = &method;
  table.metrics.resize(method.metrics.size());
  for (std::vector<SampleScore>& column : table.metrics) column.resize(samples);

  const CompiledMethod compiled(snapshot.taxa, method);
  const auto run = [&](SampleScorer& scorer, std::size_t begin, std::size_t end) {
    for (std::size_t s = begin; s < end; ++s) {
      scorer.read(s);
      for (std::size_t m = 0; m < table.metrics.size(); ++m) table.metrics[m][s] = scorer.score(m);
    }
  };
  // A thread costs more than it brings below some ten thousand samples.
  constexpr std::size_t kSamplesPerThread = 20'000;
  const std::size_t wanted = options.threads != 0 ? options.threads : std::thread::hardware_concurrency();
  const std::size_t threads =
      std::clamp<std::size_t>(samples / kSamplesPerThread, 1, std::max<std::size_t>(wanted, 1));
  // Made before the first thread starts: nothing in a thread allocates, so nothing in it can fail.
  std::vector<SampleScorer> scorers(threads, SampleScorer(snapshot, compiled));
  {
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < threads; ++i)
      helpers.emplace_back(run, std::ref(scorers[i]), samples * i / threads, samples * (i + 1) / threads);
    run(scorers[0], 0, samples / threads);
  }  // joined
  return table;
}

}  // namespace brookmark::core

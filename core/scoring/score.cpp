#include "core/scoring/score.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <thread>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

namespace {

std::uint8_t stage_bit(LifeStage stage) {
  return static_cast<std::uint8_t>(1U << static_cast<unsigned>(stage));
}

}  // namespace

SampleScorer::SampleScorer(const Snapshot& snapshot, const CompiledMethod& compiled)
    : snapshot_(snapshot),
      compiled_(compiled),
      units_(compiled.method->units.size()),
      taxa_(snapshot.taxa.size()),
      counted_(snapshot.taxa.size()),
      covered_(snapshot.taxa.size()),
      touched_units_(compiled.method->units.size()),
      touched_taxa_(snapshot.taxa.size()),
      doubted_taxa_(snapshot.taxa.size()),
      absent_taxa_(snapshot.taxa.size()) {
  for (const SetPlan& plan : compiled.sets)
    absent_members_.resize(std::max(absent_members_.size(), plan.members));
  const auto wants = [&](FormulaKind formula) {
    return std::any_of(compiled.method->metrics.begin(), compiled.method->metrics.end(),
                       [&](const Metric& m) { return m.formula == formula; });
  };
  sum_counts_ = wants(FormulaKind::kWeightedMean);
  sum_animals_ = wants(FormulaKind::kAnimalShare) || wants(FormulaKind::kDominance);
  if (sum_animals_) {
    animals_.resize(taxa_.size() * kLifeStageCount);
    group_animals_.resize(taxa_.size());
  }
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
  begin(sample);
  const std::size_t first = snapshot_.samples.record_begin[sample];
  const std::size_t end = snapshot_.samples.record_begin[sample + 1];
  if (reasons_ == 0)
    for (std::size_t r = first; r < end; ++r) take(sighting_of(snapshot_.records, r));
  finish(sample, first != end);
}

void SampleScorer::read(std::size_t sample, std::span<const Sighting> sightings) {
  begin(sample);
  if (reasons_ == 0)
    for (const Sighting& found : sightings) take(found);
  finish(sample, !sightings.empty());
}

// Voids what was read before. A reason here means that nothing is to be read.
void SampleScorer::begin(std::size_t sample) {
  ++stamp_;
  present_ = distinct_ = taken_taxa_ = unit_count_ = doubted_ = absent_ = 0;
  known_count_ = 0;
  all_counted_ = scoring_counted_ = true;
  doubt_scores_ = false;
  weighted_sum_ = weight_sum_ = 0;
  share_ = snapshot_.samples.subsample_share[sample].value_or(1);
  reasons_ = snapshot_.samples.kind[sample] == SampleKind::kBlank ? bit(ScopeReason::kBlankSample)
                                                                  : std::uint16_t{0};
}

inline void SampleScorer::take(const Sighting& found) {
  const std::uint32_t t = found.taxon;
  TaxonState& taxon = taxa_[t];
  if (is_absence(found)) {
    if (found.usable && taxon.absent != stamp_) {
      taxon.absent = stamp_;
      absent_taxa_[absent_++] = t;
    }
    return;
  }
  const std::uint16_t u = compiled_.unit_of_taxon[t];
  const bool scores = u != kNoUnit && stage_fits(compiled_.stage_of_unit[u], found.stage);
  if (!found.usable) {
    doubt_scores_ = doubt_scores_ || scores;
    if (taxon.doubted != stamp_) {
      taxon.doubted = stamp_;
      taxon.doubted_stages = 0;
      doubted_taxa_[doubted_++] = t;
    }
    taxon.doubted_stages |= stage_bit(found.stage);
    return;
  }
  ++present_;
  const bool counted = found.quantity == QuantityKind::kCount;
  if (scores || units_.empty()) {
    if (counted)
      known_count_ = add_capped(known_count_, found.min);
    else
      all_counted_ = false;
  }
  if (taxon.seen != stamp_) {
    taxon.seen = stamp_;
    taxon.stages = taxon.uncounted = 0;
    touched_taxa_[distinct_++] = t;
    if (sum_animals_) std::fill_n(&animals_[t * kLifeStageCount], kLifeStageCount, 0.0);
  }
  taxon.stages |= stage_bit(found.stage);
  const double animals = static_cast<double>(found.min) * (counted ? 1 : share_);  // as sorted
  if (!counted && !found.drawn)
    taxon.uncounted |= stage_bit(found.stage);
  else if (sum_animals_)
    animals_[t * kLifeStageCount + static_cast<std::size_t>(found.stage)] += animals;
  if (!scores) return;
  if (taxon.taken != stamp_) {
    taxon.taken = stamp_;
    ++taken_taxa_;
  }
  UnitTotal& unit = units_[u];
  if (unit.stamp != stamp_) {
    unit = {stamp_, 0, 0, 0};
    touched_units_[unit_count_++] = u;
  }
  if (counted) {
    unit.counted = add_capped(unit.counted, found.min);
  } else {
    unit.low = add_capped(unit.low, found.min);
    unit.high = add_capped(unit.high, found.max);
    scoring_counted_ = scoring_counted_ && found.drawn;
  }
  if (sum_counts_ && (counted || found.drawn)) {
    weighted_sum_ += animals * compiled_.unit_score[u];
    weight_sum_ += animals;
  }
}

void SampleScorer::finish(std::size_t sample, bool any_record) {
  if (reasons_ != 0) return;
  // From here on only the taxa that no usable record names as well.
  const auto also_sure = [&](std::uint32_t t) { return taxa_[t].seen == stamp_; };
  const auto doubted_end = doubted_taxa_.begin() + static_cast<std::ptrdiff_t>(doubted_);
  const bool any_doubt = doubted_ != 0;
  doubted_ = static_cast<std::size_t>(std::remove_if(doubted_taxa_.begin(), doubted_end, also_sure) -
                                      doubted_taxa_.begin());

  reasons_ = scope_of(sample);
  if (!any_record)
    reasons_ |= bit(ScopeReason::kNothingRecorded);
  else if (present_ == 0)
    reasons_ |= bit(any_doubt || absent_ == 0 ? ScopeReason::kTooUncertain : ScopeReason::kNothingFound);
}

std::int64_t SampleScorer::whole_catch(std::int64_t counted) const {
  if (!(share_ > 0 && share_ < 1)) return counted;
  const double animals = std::round(static_cast<double>(counted) / share_);
  return animals < 9e18 ? static_cast<std::int64_t>(animals) : RecordColumns::kOpen;
}

std::size_t SampleScorer::code_of_unit(std::size_t unit) const {
  const UnitTotal& total = units_[unit];
  const std::int64_t counted = whole_catch(total.counted);
  return compiled_.code_of(add_capped(counted, total.low), add_capped(counted, total.high));
}

// Whether the animals that the metric speaks of are as many as the method asks for.
std::uint16_t SampleScorer::count_reason(const Metric& metric, const SampleScore& score) const {
  const auto& least = compiled_.method->minimum_count;
  const bool speaks = uses_set(metric.formula) ? score.has_value || present_ != 0 : unit_count_ != 0;
  if (!least || !speaks || known_count_ >= *least) return 0;
  return bit(all_counted_ ? ScopeReason::kBelowMinimumCount : ScopeReason::kCountUnknown);
}

SampleScore SampleScorer::score(std::size_t metric_index) {
  const Metric& metric = compiled_.method->metrics[metric_index];
  SampleScore score;
  score.reasons = reasons_;
  if (metric.formula == FormulaKind::kRichness)
    score_richness(compiled_.sets[metric_index], score);
  else if (uses_set(metric.formula))
    score_share(metric, compiled_.sets[metric_index], score);
  else
    score_units(metric, score);
  if ((reasons_ & bit(ScopeReason::kBlankSample)) == 0) score.reasons |= count_reason(metric, score);
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
      static_cast<std::uint16_t>(std::min<std::size_t>(distinct_ - taken_taxa_ + doubted_, UINT16_MAX));
  if ((score.reasons & kNothingToScore) != 0) return;
  if (unit_count_ == 0) {
    score.reasons |= bit(doubt_scores_ ? ScopeReason::kTooUncertain : ScopeReason::kNoScoringTaxa);
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
    case FormulaKind::kGroupCodeWeights:
    case FormulaKind::kMeanCodeWeight: {
      double total = 0;
      for (std::size_t i = 0; i < unit_count_; ++i) {
        const std::size_t u = touched_units_[i];
        const std::size_t code = code_of_unit(u);
        if (code == c.codes.size()) {
          score.reasons |= bit(ScopeReason::kNeedsAbundance);
          return;
        }
        total += c.unit_code_weight[u * c.codes.size() + code];
      }
      const bool mean = metric.formula == FormulaKind::kMeanCodeWeight;
      score.value = total / (c.weight_scale * (mean ? static_cast<double>(unit_count_) : 1.0));
      break;
    }
    case FormulaKind::kRichness:
    case FormulaKind::kTaxaShare:
    case FormulaKind::kAnimalShare:
    case FormulaKind::kDominance:
      return;
  }
  score.has_value = true;
}

// Every name above is covered by this finer one. Above a covered name all are covered already.
void SampleScorer::mark_names_above(std::size_t taxon) {
  const TaxonColumns& taxa = snapshot_.taxa;
  for (TaxonIndex up = taxa.parent[taxon]; up.has_value() && covered_[up.value()] != set_stamp_;
       up = taxa.parent[up.value()])
    covered_[up.value()] = set_stamp_;
}

void SampleScorer::score_richness(const SetPlan& plan, SampleScore& score) {
  ++set_stamp_;
  std::size_t members = 0, count = 0;
  // Named, but too coarsely or too uncertainly to count: surely inside the set, perhaps inside, and by doubt.
  bool inside = false, vague = false, doubt = false;
  for (std::size_t i = 0; i < distinct_; ++i) {
    const std::size_t t = touched_taxa_[i];
    const TaxonIndex as = plan.counted_as[t];
    const Belongs belongs = best_of(plan.in_set, t, taxa_[t].stages);
    if (belongs != Belongs::kYes || !as.has_value()) {
      if (belongs != Belongs::kNo) (belongs == Belongs::kYes ? inside : vague) = true;
      continue;
    }
    ++members;
    if (counted_[as.value()] != set_stamp_) {
      counted_[as.value()] = set_stamp_;
      ++count;
    }
    if (plan.as_named) mark_names_above(t);
  }
  if (plan.as_named) {
    count = 0;
    for (std::size_t i = 0; i < distinct_; ++i) {
      const std::size_t t = touched_taxa_[i];
      if (best_of(plan.in_set, t, taxa_[t].stages) == Belongs::kYes && covered_[t] != set_stamp_) ++count;
    }
  }
  score.scoring_taxa = static_cast<std::uint16_t>(std::min<std::size_t>(count, UINT16_MAX));
  for (std::size_t i = 0; i < doubted_; ++i) {
    const std::size_t t = doubted_taxa_[i];
    const Belongs belongs = best_of(plan.in_set, t, taxa_[t].doubted_stages);
    if (belongs == Belongs::kNo) continue;
    (belongs == Belongs::kYes ? inside : vague) = true;
    doubt = true;
  }
  score.unscored_taxa =
      static_cast<std::uint16_t>(std::min<std::size_t>(distinct_ - members + doubted_, UINT16_MAX));
  if ((score.reasons & (bit(ScopeReason::kBlankSample) | bit(ScopeReason::kNothingRecorded))) != 0) return;
  // None is a finding when every part of the set was looked for and absent, or when every animal is known to
  // lie outside.
  if (count == 0) {
    if (!inside && absences_cover(plan)) {
      score.reasons &= static_cast<std::uint16_t>(~kNothingToScore);
    } else if (present_ == 0) {
      return;  // the reason stands already
    } else if (inside || vague) {
      score.reasons |= bit(doubt ? ScopeReason::kTooUncertain : ScopeReason::kNoScoringTaxa);
      return;
    }
  }
  score.value = static_cast<double>(count);
  score.has_value = true;
}

bool SampleScorer::absences_cover(const SetPlan& plan) {
  std::size_t covered = 0;
  for (std::size_t i = 0; i < absent_; ++i)
    for (const std::uint16_t member : plan.covers[absent_taxa_[i]])
      if (absent_members_[member] != set_stamp_) {
        absent_members_[member] = set_stamp_;
        ++covered;
      }
  return plan.members != 0 && covered == plan.members;
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

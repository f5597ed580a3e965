#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/student_t.hpp"
#include "core/scoring/confidence_internal.hpp"

namespace brookmark::core {

namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

// Reasons for which a sample has no value although numbers drawn within its classes would give one.
constexpr std::uint16_t kWantsNumbers =
    static_cast<std::uint16_t>(bit(ScopeReason::kNeedsCounts) | bit(ScopeReason::kNeedsAbundance));

ValueLimits limits_of(const std::vector<double>& values, double scale) {
  if (values.empty()) return {-kInfinity, kInfinity};
  const auto [least, most] = std::minmax_element(values.begin(), values.end());
  return {*least / scale, *most / scale};
}

// Whether a taxon counts by being there and not by how many of it there are.
bool counts_taxa_once(FormulaKind formula) {
  switch (formula) {
    case FormulaKind::kSumOfScores:
    case FormulaKind::kMeanScore:
    case FormulaKind::kGroupWeights:
    case FormulaKind::kGroupCodeWeights:
    case FormulaKind::kMeanCodeWeight:
    case FormulaKind::kRichness:
    case FormulaKind::kTaxaShare:
      return true;
    default:
      return false;
  }
}

// Draws and shift are sums of many rounded steps: what differs from a class limit by less than 1e-9 is that limit.
double without_dust(double value) {
  return std::abs(value) < 1e6 ? std::round(value * 1e9) / 1e9 : value;
}

}  // namespace

double quantile(std::span<double> values, double share) {
  const double place = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(place);
  const auto at = values.begin() + below;
  std::nth_element(values.begin(), at, values.end());
  const double part = place - static_cast<double>(below);
  if (part == 0) return *at;
  return *at + part * (*std::min_element(at + 1, values.end()) - *at);
}

ConfidenceRun::ConfidenceRun(const Snapshot& snapshot, const CompiledMethod& compiled,
                             const Replicates& replicates, const ConfidenceOptions& options)
    : snapshot_(snapshot),
      compiled_(compiled),
      replicates_(replicates),
      options_(options),
      scorer_(snapshot, compiled),
      draws_(compiled.method->metrics.size()) {
  for (std::size_t m = 0; m < draws_.size(); ++m) limits_.push_back(value_limits(compiled, m));
}

std::vector<SampleConfidence> ConfidenceRun::run(std::size_t sample) {
  const std::size_t metrics = draws_.size();
  sample_ = sample;
  found_.assign(metrics, {});
  scores_.clear();
  scorer_.read(sample);
  for (std::size_t m = 0; m < metrics; ++m) scores_.push_back(scorer_.score(m));
  for (Draws& draws : draws_) {
    draws.wanted = false;
    draws.values.clear();
  }
  if (snapshot_.samples.kind[sample] == SampleKind::kBlank) {
    for (SampleConfidence& found : found_) found.notes = bit(ConfidenceNote::kBlankSample);
    return found_;
  }
  SampleRedraw again(snapshot_, compiled_, sample);
  bool any = false;
  for (std::size_t m = 0; m < metrics; ++m) {
    const SampleScore& score = scores_[m];
    if (!score.in_scope) found_[m].notes |= bit(ConfidenceNote::kOutOfScope);
    if (score.has_value) take_replicates(m);
    if (found_[m].basis == ConfidenceBasis::kReplicates) continue;
    const auto missing = static_cast<std::uint16_t>(score.reasons & ~kScopeReasons);
    const bool may_have = missing != 0 && (missing & ~kWantsNumbers) == 0 && again.has_classes();
    draws_[m].wanted = score.has_value || may_have;
    if (!draws_[m].wanted) found_[m].notes |= bit(ConfidenceNote::kNoValue);
    if (draws_[m].wanted && !score.has_value) found_[m].notes |= bit(ConfidenceNote::kValueNeedsCounts);
    any = any || draws_[m].wanted;
  }
  if (!any) return found_;
  if (again.has_counts() || again.has_classes() || again.has_doubtful_names()) draw(again);
  for (std::size_t m = 0; m < metrics; ++m)
    if (draws_[m].wanted) sum_up(m, again);
  return found_;
}

// Fills in the metric's answer where the visit has replicates enough that differ.
void ConfidenceRun::take_replicates(std::size_t m) {
  const std::vector<std::uint32_t> beside = replicates_.beside(sample_);
  if (beside.empty()) return;
  SampleConfidence& found = found_[m];
  std::vector<double> values;
  for (const std::uint32_t s : beside) {
    scorer_.read(s);
    const SampleScore score = scorer_.score(m);
    if (score.has_value && score.in_scope == scores_[m].in_scope) values.push_back(score.value);
  }
  const ReplicateSpread spread(values);
  if (spread.count < kReplicatesNeeded) {
    found.notes |= bit(ConfidenceNote::kFewReplicates);
    return;
  }
  if (!(spread.standard_error > 0)) {
    found.notes |= bit(ConfidenceNote::kReplicatesAgree);
    return;
  }
  const Metric& metric = compiled_.method->metrics[m];
  const int degrees = static_cast<int>(spread.count) - 1;
  const double half = student_t_quantile(0.5 + options_.level / 2, degrees) * spread.standard_error;
  found.basis = ConfidenceBasis::kReplicates;
  found.has_interval = true;
  found.low = std::max(spread.mean - half, limits_[m].least);
  found.high = std::min(spread.mean + half, limits_[m].most);
  found.mean = spread.mean;
  found.replicates = static_cast<std::uint16_t>(std::min<std::size_t>(spread.count, UINT16_MAX));
  draws_[m].spread = spread;
  if (!scores_[m].in_scope || metric.bands.empty()) return;
  finite_.clear();
  for (const double t : t_points(degrees))
    finite_.push_back(std::clamp(spread.mean + t * spread.standard_error, limits_[m].least, limits_[m].most));
  count_classes(m, finite_);
}

// Student's t at the middles of as many equal shares as there are draws.
const std::vector<double>& ConfidenceRun::t_points(int degrees) {
  std::vector<double>& points = t_points_[degrees];
  if (points.empty())
    for (std::uint32_t i = 0; i < options_.draws; ++i)
      points.push_back(student_t_quantile((i + 0.5) / options_.draws, degrees));
  return points;
}

// Every draw is scored as a sample of its own. Resampling loses taxa and finds none, so a sum or a richness falls;
// the shift puts its mean back to what the same names and numbers give undrawn.
void ConfidenceRun::draw(SampleRedraw& again) {
  Random random(options_.seed, stream_of(snapshot_.samples.code[sample_]));
  const bool varies_before = again.has_classes() || again.has_doubtful_names();
  struct Sums {
    double before = 0, after = 0;  // less `from`, so that draws all alike leave no dust
    double from = 0;
    std::uint32_t before_count = 0, after_count = 0;
  };
  std::vector<Sums> sums(draws_.size());
  for (std::size_t m = 0; m < draws_.size(); ++m) {
    sums[m].from = scores_[m].value;
    if (draws_[m].wanted) draws_[m].values.reserve(options_.draws);
  }
  for (std::uint32_t d = 0; d < options_.draws; ++d) {
    again.draw(random);
    scorer_.read(sample_, again.drawn());
    for (std::size_t m = 0; m < draws_.size(); ++m) {
      if (!draws_[m].wanted) continue;
      const SampleScore score = scorer_.score(m);
      draws_[m].values.push_back(score.has_value ? score.value : kNaN);
      if (!score.has_value) continue;
      sums[m].after += score.value - sums[m].from;
      ++sums[m].after_count;
    }
    if (!varies_before || !again.has_counts()) continue;
    scorer_.read(sample_, again.as_counted());
    for (std::size_t m = 0; m < draws_.size(); ++m) {
      if (!draws_[m].wanted) continue;
      const SampleScore score = scorer_.score(m);
      if (!score.has_value) continue;
      sums[m].before += score.value - sums[m].from;
      ++sums[m].before_count;
    }
  }
  if (!again.has_counts()) return;
  for (std::size_t m = 0; m < draws_.size(); ++m) {
    const Sums& sum = sums[m];
    if (!draws_[m].wanted || sum.after_count == 0 || (varies_before && sum.before_count == 0)) continue;
    const double before = varies_before ? sum.before / sum.before_count : 0;
    const double shift = before - sum.after / sum.after_count;
    found_[m].shift = shift;
    for (double& value : draws_[m].values)
      value = std::isnan(value) ? value
                                : std::clamp(without_dust(value + shift), limits_[m].least, limits_[m].most);
  }
}

void ConfidenceRun::sum_up(std::size_t m, const SampleRedraw& again) {
  const Metric& metric = compiled_.method->metrics[m];
  SampleConfidence& found = found_[m];
  const auto note = [&](bool when, ConfidenceNote what) {
    if (when) found.notes |= bit(what);
  };
  const bool numbers = again.has_counts() || again.has_classes();
  // Of a formula that does not go by the lines of a table, any record may be part of the value.
  const bool lines = !uses_set(metric.formula);
  const bool bare = lines ? again.has_scoring_presence() : again.has_presence();
  note(!numbers && again.has_presence(), ConfidenceNote::kPresenceOnly);
  note(!numbers && !again.has_presence(), ConfidenceNote::kAbsencesOnly);
  note(numbers && bare, ConfidenceNote::kSomePresence);
  note(again.has_classes(), ConfidenceNote::kClassesDrawn);
  note(again.has_doubtful_names(), ConfidenceNote::kDoubtfulNames);
  note(again.has_counts() && again.is_one_kind(), ConfidenceNote::kOneKind);
  note(again.has_counts() && counts_taxa_once(metric.formula), ConfidenceNote::kTaxaMissed);
  note(again.has_counts() && again.individuals() < kAnimalsNeeded, ConfidenceNote::kFewAnimals);
  const std::vector<double>& values = draws_[m].values;
  finite_.clear();
  std::copy_if(values.begin(), values.end(), std::back_inserter(finite_),
               [](double value) { return !std::isnan(value); });
  if (finite_.empty()) {
    if (!values.empty()) note(true, ConfidenceNote::kNoValue);
    return;
  }
  const bool alike =
      std::all_of(finite_.begin(), finite_.end(), [&](double v) { return v == finite_.front(); });
  if (!again.has_counts() && again.has_classes() && alike && finite_.size() == values.size()) {
    note(true, ConfidenceNote::kNumbersIgnored);
    return;
  }
  found.basis = again.has_counts()    ? ConfidenceBasis::kCounts
                : again.has_classes() ? ConfidenceBasis::kAbundanceClasses
                                      : ConfidenceBasis::kNames;
  found.draws = options_.draws;
  found.draws_without_value = static_cast<std::uint32_t>(values.size() - finite_.size());
  note(found.draws_without_value != 0, ConfidenceNote::kDrawsWithoutValue);
  double sum = 0;
  for (const double value : finite_) sum += value - finite_.front();
  found.mean = finite_.front() + sum / static_cast<double>(finite_.size());
  if (scores_[m].in_scope && !metric.bands.empty() && numbers && !bare &&
      (found.notes & bit(ConfidenceNote::kFewAnimals)) == 0)
    count_classes(m, finite_);
  found.has_interval = true;
  found.low = quantile(finite_, 0.5 - options_.level / 2);
  found.high = quantile(finite_, 0.5 + options_.level / 2);
}

void ConfidenceRun::count_classes(std::size_t m, std::span<const double> values) {
  const Metric& metric = compiled_.method->metrics[m];
  SampleConfidence& found = found_[m];
  int ranks = 0;
  for (const ClassBand& band : metric.bands) ranks = std::max(ranks, band.rank);
  std::vector<std::uint32_t> hits(static_cast<std::size_t>(ranks), 0);
  for (const double value : values)
    if (const ClassBand* band = class_of(metric, value)) ++hits[static_cast<std::size_t>(band->rank - 1)];
  found.class_probability.clear();
  std::uint32_t most = 0;
  for (std::size_t i = 0; i < hits.size(); ++i) {
    found.class_probability.push_back(static_cast<double>(hits[i]) / options_.draws);
    if (hits[i] < most || hits[i] == 0) continue;
    most = hits[i];
    found.likeliest_rank = static_cast<std::uint8_t>(i + 1);
  }
}

std::vector<double> ConfidenceRun::draws(std::size_t m) const {
  if (found_[m].basis != ConfidenceBasis::kReplicates) return draws_[m].values;
  const ReplicateSpread& spread = draws_[m].spread;
  Random random(options_.seed, stream_of(snapshot_.samples.code[sample_]));
  std::vector<double> values;
  for (std::uint32_t d = 0; d < options_.draws; ++d) {
    const double t = student_t_quantile(random.uniform_open(), static_cast<int>(spread.count) - 1);
    values.push_back(std::clamp(spread.mean + t * spread.standard_error, limits_[m].least, limits_[m].most));
  }
  return values;
}

ValueLimits value_limits(const CompiledMethod& compiled, std::size_t m) {
  const Metric& metric = compiled.method->metrics[m];
  const auto of_sum = [](ValueLimits one) {  // one line at least; more lines only add when none is negative
    return one.least >= 0 ? ValueLimits{one.least, kInfinity} : ValueLimits{-kInfinity, kInfinity};
  };
  switch (metric.formula) {
    case FormulaKind::kMeanScore:
    case FormulaKind::kWeightedMean:
      return limits_of(compiled.unit_score, compiled.score_scale);
    case FormulaKind::kSumOfScores:
      return of_sum(limits_of(compiled.unit_score, compiled.score_scale));
    case FormulaKind::kGroupWeights:
      return of_sum(limits_of(compiled.unit_group_weight, compiled.weight_scale));
    case FormulaKind::kGroupCodeWeights:
      return of_sum(limits_of(compiled.unit_code_weight, compiled.weight_scale));
    case FormulaKind::kMeanCodeWeight:
      return limits_of(compiled.unit_code_weight, compiled.weight_scale);
    case FormulaKind::kRichness:
      return {0, kInfinity};
    case FormulaKind::kTaxaShare:
    case FormulaKind::kAnimalShare:
    case FormulaKind::kDominance:
      return {0, 100};
  }
  return {-kInfinity, kInfinity};
}

}  // namespace brookmark::core

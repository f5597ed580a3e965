#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/student_t.hpp"
#include "core/scoring/confidence_internal.hpp"

namespace brookmark::core {

namespace {

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

// Reasons for which a sample has no value although numbers drawn within its classes would give one.
constexpr std::uint16_t kWantsNumbers =
    static_cast<std::uint16_t>(bit(ScopeReason::kNeedsCounts) | bit(ScopeReason::kNeedsAbundance));

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
  set_interval(m, std::max(spread.mean - half, limits_[m].least),
               std::min(spread.mean + half, limits_[m].most));
  if (scores_[m].value < found.low || scores_[m].value > found.high)
    found.notes |= bit(ConfidenceNote::kValueBeyond);
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

// Every draw is scored as a sample of its own.
void ConfidenceRun::draw(SampleRedraw& again) {
  Random random(options_.seed, stream_of(snapshot_.samples.code[sample_]));
  for (Draws& draws : draws_)
    if (draws.wanted) draws.values.reserve(options_.draws);
  for (std::uint32_t d = 0; d < options_.draws; ++d) {
    again.draw(random);
    scorer_.read(sample_, again.drawn());
    for (std::size_t m = 0; m < draws_.size(); ++m) {
      if (!draws_[m].wanted) continue;
      const SampleScore score = scorer_.score(m);
      draws_[m].values.push_back(score.has_value ? score.value : kNaN);
    }
  }
}

// A value that moves in whole steps has limits in whole steps, outwards.
void ConfidenceRun::set_interval(std::size_t m, double low, double high) {
  SampleConfidence& found = found_[m];
  found.has_interval = true;
  found.low = low;
  found.high = high;
  const Metric& metric = compiled_.method->metrics[m];
  if (!adds_up(metric.formula)) return;
  const double steps = std::pow(10, shown_decimals(metric));
  constexpr double kDust = 1e-6;  // of a step: a sum of decimals that should be a whole number of them
  found.low = std::floor(low * steps + kDust) / steps;
  found.high = std::ceil(high * steps - kDust) / steps;
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
  found.names_in_doubt = again.names_in_doubt();
  note(found.names_in_doubt != 0, ConfidenceNote::kDoubtInWords);
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
  const auto [least, most] = std::minmax_element(finite_.begin(), finite_.end());
  const double from = *least, to = *most;
  if (from == to) {
    const bool classes_alone = !again.has_counts() && again.has_classes() && finite_.size() == values.size();
    note(true, classes_alone ? ConfidenceNote::kNumbersIgnored : ConfidenceNote::kNoSpread);
    return;
  }
  double low = quantile(finite_, 0.5 - options_.level / 2),
         high = quantile(finite_, 0.5 + options_.level / 2);
  const SampleScore& score = scores_[m];
  const bool one_sided = score.has_value && only_loses(metric.formula, limits_[m].least) && to <= score.value;
  if (one_sided) low = quantile(finite_, 1 - options_.level);
  if (score.has_value) {
    low = std::min(low, score.value);
    high = one_sided ? score.value : std::max(high, score.value);
  }
  if (low == high) {
    note(true, ConfidenceNote::kHardlySpread);
    return;
  }
  note(one_sided, ConfidenceNote::kOnlyLoses);
  found.basis = again.has_counts()    ? ConfidenceBasis::kCounts
                : again.has_classes() ? ConfidenceBasis::kAbundanceClasses
                                      : ConfidenceBasis::kNames;
  found.draws = options_.draws;
  found.draws_without_value = static_cast<std::uint32_t>(values.size() - finite_.size());
  note(found.draws_without_value != 0, ConfidenceNote::kDrawsWithoutValue);
  double sum = 0;
  for (const double value : finite_) sum += value - from;
  found.mean = from + sum / static_cast<double>(finite_.size());
  set_interval(m, low, high);
  const bool few_kinds = score.scoring_taxa < kKindsNeeded;
  note(few_kinds && !metric.bands.empty(), ConfidenceNote::kFewKinds);
  if (!score.in_scope || metric.bands.empty() || !numbers || bare || few_kinds ||
      (found.notes & bit(ConfidenceNote::kFewAnimals)) != 0)
    return;
  count_classes(m, finite_);
  temper_classes(m);
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

// Where each taxon counts once, draws lose those that are rare and never find those that were missed: they promise too
// much, and of a sum a class below the sample's own would be called likely for that alone.
void ConfidenceRun::temper_classes(std::size_t m) {
  const FormulaKind formula = compiled_.method->metrics[m].formula;
  SampleConfidence& found = found_[m];
  if (!counts_taxa_once(formula)) return;
  for (double& share : found.class_probability) {
    if (share <= kMostOfTaxa) continue;
    share = kMostOfTaxa;
    found.notes |= bit(ConfidenceNote::kCapped);
  }
  if (!adds_up(formula) || !scores_[m].has_value || found.likeliest_rank == scores_[m].class_rank) return;
  found.likeliest_rank = 0;
  found.notes |= bit(ConfidenceNote::kClassNotKept);
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

std::vector<double> ConfidenceRun::centred_draws(std::size_t m) const {
  std::vector<double> values = draws(m);
  if (found_[m].basis != ConfidenceBasis::kCounts || !scores_[m].has_value) return values;
  const double shift = scores_[m].value - found_[m].mean;
  for (double& value : values)
    if (!std::isnan(value)) value = std::clamp(value + shift, limits_[m].least, limits_[m].most);
  return values;
}

}  // namespace brookmark::core

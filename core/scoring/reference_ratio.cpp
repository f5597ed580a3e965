#include "core/scoring/reference_ratio.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct ReferenceValue {
  double value = 0;
  SiteIndex site;
};

struct Expected {
  std::optional<double> value;
  std::size_t samples = 0, sites = 0;
};

Season season_of_sample(const Snapshot& snapshot, std::size_t sample) {
  const std::size_t site = snapshot.samples.site[sample].value();
  return season_of(snapshot.samples.date[sample], snapshot.sites.position[site].lat < 0);
}

// What the reference samples of each type and season show.
class References {
 public:
  References(const Snapshot& snapshot, const SampleValues& values, const RatioOptions& options)
      : snapshot_(snapshot), least_(options.least_samples) {
    std::map<std::string, std::size_t> numbers;
    for (std::size_t s = 0; s < snapshot.sites.size(); ++s) {
      const std::string type = fold_name(snapshot.sites.type[s]);
      type_of_site_.push_back(type.empty() ? kNoType
                                           : numbers.try_emplace(type, numbers.size()).first->second);
    }
    for (std::size_t i = 0; i < snapshot.samples.size(); ++i) {
      const SiteIndex site = snapshot.samples.site[i];
      if (!values[i] || !snapshot.sites.reference[site.value()] || type_of(site) == kNoType ||
          snapshot.samples.kind[i] != SampleKind::kRoutine ||
          (options.until && snapshot.samples.date[i] > *options.until))
        continue;
      by_type_and_season_[{type_of(site), season_of_sample(snapshot, i)}].push_back({*values[i], site});
    }
    for (auto& [key, found] : by_type_and_season_)
      std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.value < b.value; });
  }

  static constexpr std::size_t kNoType = SIZE_MAX;
  std::size_t type_of(SiteIndex site) const { return type_of_site_[site.value()]; }

  // For a sample of `site`, whose own samples are left out.
  const Expected& expected(SiteIndex site, Season season) {
    const SiteIndex own = snapshot_.sites.reference[site.value()] ? site : SiteIndex::none();
    const auto [at, is_new] = expected_.try_emplace({type_of(site), season, own});
    if (is_new) at->second = median_without(own, by_type_and_season_[{type_of(site), season}]);
    return at->second;
  }

 private:
  Expected median_without(SiteIndex own, const std::vector<ReferenceValue>& sorted) const {
    Expected expected;
    std::vector<double> values;
    std::set<SiteIndex> sites;
    for (const ReferenceValue& reference : sorted) {
      if (reference.site == own) continue;
      values.push_back(reference.value);
      sites.insert(reference.site);
    }
    expected.samples = values.size();
    expected.sites = sites.size();
    if (values.size() < least_) return expected;
    const std::size_t middle = values.size() / 2;
    expected.value = values.size() % 2 == 1 ? values[middle] : values[middle - 1] / 2 + values[middle] / 2;
    return expected;
  }

  const Snapshot& snapshot_;
  std::size_t least_;
  std::vector<std::size_t> type_of_site_;
  std::map<std::pair<std::size_t, Season>, std::vector<ReferenceValue>>
      by_type_and_season_;  // smallest first
  std::map<std::tuple<std::size_t, Season, SiteIndex>, Expected> expected_;
};

}  // namespace

SampleValues usable_values(const ScoreTable& scores, std::size_t metric) {
  SampleValues values;
  values.reserve(scores.metrics[metric].size());
  for (const SampleScore& score : scores.metrics[metric])
    values.push_back(score.has_value && score.in_scope ? std::optional(score.value) : std::nullopt);
  return values;
}

SampleValues usable_values(const DiversityTable& table, DiversityMetric metric) {
  SampleValues values;
  values.reserve(table.samples.size());
  for (std::size_t i = 0; i < table.samples.size(); ++i)
    values.push_back(value_of(table, SampleIndex(i), metric));
  return values;
}

RatioTable ratio_of_samples(const Snapshot& snapshot, const SampleValues& values,
                            const RatioOptions& options) {
  if (values.size() != snapshot.samples.size())
    throw Error(ErrorCode::kBadUse, "there must be one value a sample, or nothing in its place");
  if (options.least_samples < 1)
    throw Error(ErrorCode::kBadUse, "at least one reference sample is needed for an expected value");
  RatioTable table{options, std::vector<SampleRatio>(snapshot.samples.size())};
  References references(snapshot, values, options);
  for (std::size_t i = 0; i < table.samples.size(); ++i) {
    SampleRatio& sample = table.samples[i];
    const SiteIndex site = snapshot.samples.site[i];
    sample.season = season_of_sample(snapshot, i);
    if (options.until && snapshot.samples.date[i] > *options.until) {
      sample.gap = RatioGap::kAfterDate;
      continue;
    }
    sample.observed = values[i];
    if (references.type_of(site) != References::kNoType) {
      const Expected& expected = references.expected(site, sample.season);
      sample.expected = expected.value;
      sample.reference_samples = expected.samples;
      sample.reference_sites = expected.sites;
    }
    sample.gap = !sample.observed                                  ? RatioGap::kNoValue
                 : references.type_of(site) == References::kNoType ? RatioGap::kNoType
                 : !sample.expected                                ? RatioGap::kTooFewReferences
                 : *sample.expected == 0                           ? RatioGap::kExpectedZero
                                                                   : RatioGap::kNone;
    if (sample.gap != RatioGap::kNone) continue;
    sample.ratio = *sample.observed / *sample.expected;
    if (!options.classes || !options.higher_is_better) continue;
    if (const ClassBand* band = class_of(options.classes->scale, *sample.ratio))
      sample.class_rank = static_cast<std::uint8_t>(band->rank);
  }
  return table;
}

std::string ratio_note(const Snapshot& snapshot, const RatioTable& table, SampleIndex index) {
  const SampleRatio& sample = table.samples[index.value()];
  switch (sample.gap) {
    case RatioGap::kNone: {
      std::string note;
      if (sample.reference_sites < kLeastReferenceSites)
        append_note(note, "what is expected rests on one reference site alone: " +
                              std::to_string(sample.reference_samples) + " samples, all from one site");
      if (table.options.classes && !table.options.higher_is_better)
        append_note(note,
                    "no class: more of this metric is worse, and limits are made for metrics of which "
                    "more is better");
      return note;
    }
    case RatioGap::kAfterDate:
      return "no ratio: later than the date asked for";
    case RatioGap::kNoValue:
      return "no ratio: the sample has no value inside the method's scope";
    case RatioGap::kNoType:
      return "no ratio: the site has no type; mark it with the type of its reference sites";
    case RatioGap::kTooFewReferences: {
      const std::size_t site = snapshot.samples.site[index.value()].value();
      const std::size_t missing = table.options.least_samples - sample.reference_samples;
      const bool own = snapshot.sites.reference[site];
      return "no ratio: " + std::to_string(missing) + " more reference " +
             (missing == 1 ? "sample" : "samples") + " of type \"" + std::string(snapshot.sites.type[site]) +
             "\" taken in " + season_name(sample.season) + (missing == 1 ? " is" : " are") +
             " needed: there " + (sample.reference_samples == 1 ? "is " : "are ") +
             std::to_string(sample.reference_samples) + " of " + std::to_string(table.options.least_samples) +
             (own ? ", this site's own left out" : "");
    }
    case RatioGap::kExpectedZero:
      return "no ratio: the expected value is 0";
  }
  return "";
}

}  // namespace brookmark::core

#include "core/scoring/assessment.hpp"

#include <algorithm>
#include <array>

#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

namespace {

// The newest sample in [begin, end) that suits and is no blank. Of one day's samples a routine one goes
// before a replicate.
template <class Suits>
SampleIndex newest(const SampleColumns& samples, std::size_t begin, std::size_t end, const Suits& suits) {
  const auto good = [&](std::size_t s) { return samples.kind[s] != SampleKind::kBlank && suits(s); };
  for (std::size_t s = end; s-- > begin;) {
    if (!good(s)) continue;
    for (std::size_t same_day = s + 1; same_day-- > begin && samples.date[same_day] == samples.date[s];)
      if (samples.kind[same_day] == SampleKind::kRoutine && good(same_day)) return SampleIndex(same_day);
    return SampleIndex(s);
  }
  return SampleIndex::none();
}

bool has_class_or_value(const SampleScore& score) {
  return score.has_value && score.in_scope;
}

// Of the samples in [begin, end), which are those of one site, on the days asked for, and which `of_season` lets pass.
template <class OfSeason>
SiteAssessment assess_run(const SampleColumns& samples, const std::vector<SampleScore>& scores,
                          std::size_t begin, std::size_t end, const OfSeason& of_season) {
  SiteAssessment site;
  if (begin == end) return site;
  site.newest_sample = newest(samples, begin, end, of_season);
  if (!site.newest_sample.has_value()) return site;
  const auto collapsed = [&](std::size_t s) { return is_collapse(scores[s], samples.kind[s]); };
  site.sample = newest(samples, begin, end, [&](std::size_t s) {
    return (has_class_or_value(scores[s]) || collapsed(s)) && of_season(s);
  });
  if (site.sample.has_value() && collapsed(site.sample.value())) {
    const Date day = samples.date[site.sample.value()];
    const SampleIndex beside = newest(samples, begin, end, [&](std::size_t s) {
      return samples.date[s] == day && samples.kind[s] == SampleKind::kRoutine &&
             has_class_or_value(scores[s]);
    });
    if (beside.has_value()) site.sample = beside;
  }
  if (!site.sample.has_value())
    site.sample =
        newest(samples, begin, end, [&](std::size_t s) { return scores[s].has_value && of_season(s); });
  if (!site.sample.has_value()) return site;
  const SampleScore& score = scores[site.sample.value()];
  site.has_value = score.has_value;
  site.superseded = samples.date[site.newest_sample.value()] > samples.date[site.sample.value()];
  site.value = score.has_value ? score.value : 0;
  site.in_scope = score.in_scope;
  site.class_rank = score.in_scope ? score.class_rank : std::uint8_t{0};
  return site;
}

// The run [begin, end) of all samples of a site, cut to the days of the period.
SiteAssessment assess_run(const Snapshot& snapshot, const std::vector<SampleScore>& scores, std::size_t begin,
                          std::size_t end, const Period& period) {
  const SampleColumns& samples = snapshot.samples;
  const auto day = [&](std::size_t s) { return samples.date.begin() + static_cast<std::ptrdiff_t>(s); };
  const auto known = static_cast<std::size_t>(std::upper_bound(day(begin), day(end), period.until) - day(0));
  if (period.from)
    begin = static_cast<std::size_t>(std::lower_bound(day(begin), day(known), *period.from) - day(0));
  if (period.seasons.all())
    return assess_run(samples, scores, begin, known, [](std::size_t) { return true; });
  if (begin == known) return {};
  const bool southern = snapshot.sites.position[samples.site[begin].value()].lat < 0;
  return assess_run(samples, scores, begin, known,
                    [&](std::size_t s) { return period.seasons.has(season_of(samples.date[s], southern)); });
}

struct Member {
  std::uint32_t catchment;
  std::uint32_t site;
};

// Whether a site has a say in its catchment.
bool counts(const Metric& metric, const SiteAssessment& site) {
  return site.has_value && site.in_scope && (metric.bands.empty() || site.class_rank != 0);
}

void take_in(CatchmentAssessment& catchment, const SiteAssessment& site, const Snapshot& snapshot) {
  ++catchment.assessed_sites;
  catchment.worst_rank = std::max(catchment.worst_rank, site.class_rank);
  const Date date = snapshot.samples.date[site.sample.value()];
  catchment.first = std::min(catchment.first.value_or(date), date);
  catchment.last = std::max(catchment.last.value_or(date), date);
}

// Of assessed sites, one at least; `known` gives the assessment of one of them.
template <class Known>
void set_median(CatchmentAssessment& catchment, const Metric& metric, std::span<std::uint32_t> sites,
                const Known& known) {
  const auto worse = [&](std::uint32_t a, std::uint32_t b) {
    const SiteAssessment &x = known(a), &y = known(b);
    if (x.class_rank != y.class_rank) return x.class_rank > y.class_rank;
    if (x.value != y.value) return metric.higher_is_better == (x.value < y.value);
    return a < b;
  };
  const auto middle = sites.begin() + static_cast<std::ptrdiff_t>((sites.size() - 1) / 2);
  std::nth_element(sites.begin(), middle, sites.end(), worse);
  catchment.median_site = SiteIndex(*middle);
  catchment.median_rank = known(*middle).class_rank;
  catchment.median_value = known(*middle).value;
}

void assess_catchments(const Snapshot& snapshot, const CatchmentNesting& nesting, Assessment& assessment) {
  const Metric& metric = assessment.metric_info();
  std::vector<CatchmentAssessment>& catchments = assessment.catchments;
  catchments.resize(nesting.parent.size());
  std::vector<Member> members;
  for (std::size_t i = 0; i < assessment.sites.size() && i < nesting.site_smallest.size(); ++i) {
    const SiteAssessment& site = assessment.sites[i];
    for (CatchmentIndex c = nesting.site_smallest[i]; c.has_value(); c = nesting.parent[c.value()]) {
      CatchmentAssessment& catchment = catchments[c.value()];
      ++catchment.sites;
      if (!counts(metric, site)) continue;
      take_in(catchment, site, snapshot);
      members.push_back({static_cast<std::uint32_t>(c.value()), static_cast<std::uint32_t>(i)});
    }
  }

  // Medians: the members sorted into one run per catchment.
  std::vector<std::size_t> begin(catchments.size() + 1, 0);
  for (std::size_t c = 0; c < catchments.size(); ++c) begin[c + 1] = begin[c] + catchments[c].assessed_sites;
  std::vector<std::uint32_t> inside(members.size());
  std::vector<std::size_t> next(begin.begin(), begin.end() - 1);
  for (const Member& member : members) inside[next[member.catchment]++] = member.site;
  for (std::size_t c = 0; c < catchments.size(); ++c)
    if (const std::size_t size = catchments[c].assessed_sites; size > 0)
      set_median(catchments[c], metric, std::span(inside).subspan(begin[c], size),
                 [&](std::uint32_t i) -> const SiteAssessment& { return assessment.sites[i]; });
}

}  // namespace

Assessment assess(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                  const CatchmentNesting& nesting, const Period& period) {
  Assessment assessment;
  assessment.method = scores.method;
  assessment.metric = metric;
  assessment.period = period;
  assessment.sites.resize(snapshot.sites.size());

  const SampleColumns& samples = snapshot.samples;
  // Samples stand ordered by site, then date: one walk finds each site's run, and the period cuts it.
  for (std::size_t begin = 0; begin < samples.size();) {
    const SiteIndex site = samples.site[begin];
    std::size_t end = begin + 1;
    while (end < samples.size() && samples.site[end] == site) ++end;
    assessment.sites[site.value()] = assess_run(snapshot, scores.metrics[metric], begin, end, period);
    begin = end;
  }
  assess_catchments(snapshot, nesting, assessment);
  return assessment;
}

SiteAssessment assess_site(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                           SiteIndex site, const Period& period) {
  const auto [first, last] = snapshot.samples_of(site);
  return assess_run(snapshot, scores.metrics[metric], first.value(), last.value(), period);
}

CatchmentAssessment assess_catchment(const Snapshot& snapshot, const Metric& metric,
                                     std::span<const SiteIndex> inside,
                                     std::span<const SiteAssessment> assessed) {
  CatchmentAssessment catchment;
  catchment.sites = static_cast<std::uint32_t>(inside.size());
  std::vector<std::pair<std::uint32_t, const SiteAssessment*>> known;
  for (std::size_t i = 0; i < inside.size(); ++i) {
    if (!counts(metric, assessed[i])) continue;
    take_in(catchment, assessed[i], snapshot);
    known.emplace_back(static_cast<std::uint32_t>(inside[i].value()), &assessed[i]);
  }
  if (known.empty()) return catchment;
  std::sort(known.begin(), known.end());
  std::vector<std::uint32_t> sites;
  for (const auto& entry : known) sites.push_back(entry.first);
  set_median(catchment, metric, sites, [&](std::uint32_t i) -> const SiteAssessment& {
    return *std::lower_bound(known.begin(), known.end(), i, [](const auto& entry, std::uint32_t wanted) {
              return entry.first < wanted;
            })->second;
  });
  return catchment;
}

void add_confidence(Assessment& assessment, const Snapshot& snapshot, const ConfidenceOptions& options) {
  std::vector<SampleIndex> behind;
  for (const SiteAssessment& site : assessment.sites)
    if (site.sample.has_value()) behind.push_back(site.sample);
  ConfidenceTable table = confidence_of(snapshot, *assessment.method, behind, options);
  assessment.confidence.assign(assessment.sites.size(), {});
  std::size_t next = 0;
  for (std::size_t i = 0; i < assessment.sites.size(); ++i)
    if (assessment.sites[i].sample.has_value())
      assessment.confidence[i] = std::move(table.metrics[assessment.metric][next++]);
}

std::string assessment_note(const Snapshot& snapshot, const ScoreTable& scores, const Assessment& assessment,
                            SiteIndex site) {
  const SiteAssessment& assessed = assessment.sites[site.value()];
  const SampleIndex looked_at =
      assessed.sample.has_value() && !assessed.superseded ? assessed.sample : assessed.newest_sample;
  if (!looked_at.has_value()) return "no sample " + period_words(assessment.period);
  const std::string reasons = reasons_text(scores.metrics[assessment.metric][looked_at.value()].reasons,
                                           *assessment.method, snapshot.sites.kind[site.value()]);
  if (!assessed.superseded) return reasons;
  return "a newer sample of " + format_date(snapshot.samples.date[looked_at.value()]) + " has no class" +
         (reasons.empty() ? "" : ": " + reasons);
}

const char* catchment_rule_name(CatchmentRule rule) {
  switch (rule) {
    case CatchmentRule::kMedian:
      return "median";
    case CatchmentRule::kLength:
      return "length";
    case CatchmentRule::kWorst:
      break;
  }
  return "worst";
}

std::optional<CatchmentRule> parse_catchment_rule(std::string_view word) {
  for (const CatchmentRule rule : {CatchmentRule::kWorst, CatchmentRule::kMedian, CatchmentRule::kLength})
    if (word == catchment_rule_name(rule)) return rule;
  return std::nullopt;
}

std::vector<CatchmentIndex> worst_first(const Assessment& assessment, CatchmentRule rule) {
  struct Key {
    std::array<int, 3> ranks;
    std::array<std::optional<double>, 2> values;  // for metrics without classes, and between equal ranks
  };
  std::vector<Key> keys;
  std::vector<CatchmentIndex> order;
  for (std::size_t i = 0; i < assessment.catchments.size(); ++i) {
    const CatchmentAssessment& c = assessment.catchments[i];
    const int middle = c.channel ? c.channel->middle_rank : 0;
    const std::optional<double> mean = c.channel ? c.channel->mean_value : std::nullopt;
    Key key{{c.worst_rank, c.median_rank, middle}, {c.median_value, mean}};
    if (rule == CatchmentRule::kMedian) key.ranks = {c.median_rank, c.worst_rank, middle};
    if (rule == CatchmentRule::kLength) key = {{middle, c.worst_rank, c.median_rank}, {mean, c.median_value}};
    keys.push_back(key);
    order.emplace_back(i);
  }
  const bool higher_is_better = assessment.metric_info().higher_is_better;
  std::stable_sort(order.begin(), order.end(), [&](CatchmentIndex a, CatchmentIndex b) {
    const Key &x = keys[a.value()], &y = keys[b.value()];
    if (x.ranks != y.ranks) return x.ranks > y.ranks;
    for (std::size_t v = 0; v < x.values.size(); ++v) {
      if (x.values[v].has_value() != y.values[v].has_value()) return x.values[v].has_value();
      if (x.values[v] != y.values[v]) return higher_is_better == (*x.values[v] < *y.values[v]);
    }
    return false;
  });
  return order;
}

}  // namespace brookmark::core

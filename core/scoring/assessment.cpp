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

SiteAssessment assess_site(const SampleColumns& samples, const std::vector<SampleScore>& scores,
                           std::size_t begin, std::size_t end) {
  SiteAssessment site;
  if (begin == end) return site;
  site.newest_sample = newest(samples, begin, end, [](std::size_t) { return true; });
  const auto collapsed = [&](std::size_t s) { return is_collapse(scores[s], samples.kind[s]); };
  site.sample = newest(samples, begin, end,
                       [&](std::size_t s) { return has_class_or_value(scores[s]) || collapsed(s); });
  if (site.sample.has_value() && collapsed(site.sample.value())) {
    const Date day = samples.date[site.sample.value()];
    const SampleIndex beside = newest(samples, begin, end, [&](std::size_t s) {
      return samples.date[s] == day && samples.kind[s] == SampleKind::kRoutine &&
             has_class_or_value(scores[s]);
    });
    if (beside.has_value()) site.sample = beside;
  }
  if (!site.sample.has_value())
    site.sample = newest(samples, begin, end, [&](std::size_t s) { return scores[s].has_value; });
  if (!site.sample.has_value()) return site;
  const SampleScore& score = scores[site.sample.value()];
  site.has_value = score.has_value;
  site.superseded = samples.date[site.newest_sample.value()] > samples.date[site.sample.value()];
  site.value = score.has_value ? score.value : 0;
  site.in_scope = score.in_scope;
  site.class_rank = score.in_scope ? score.class_rank : std::uint8_t{0};
  return site;
}

struct Member {
  std::uint32_t catchment;
  std::uint32_t site;
};

void assess_catchments(const Snapshot& snapshot, const CatchmentNesting& nesting, Assessment& assessment) {
  const Metric& metric = assessment.metric_info();
  std::vector<CatchmentAssessment>& catchments = assessment.catchments;
  catchments.resize(nesting.parent.size());
  const auto counts = [&](const SiteAssessment& s) {
    return s.has_value && s.in_scope && (metric.bands.empty() || s.class_rank != 0);
  };
  std::vector<Member> members;
  for (std::size_t i = 0; i < assessment.sites.size() && i < nesting.site_smallest.size(); ++i) {
    const SiteAssessment& site = assessment.sites[i];
    for (CatchmentIndex c = nesting.site_smallest[i]; c.has_value(); c = nesting.parent[c.value()]) {
      CatchmentAssessment& catchment = catchments[c.value()];
      ++catchment.sites;
      if (!counts(site)) continue;
      ++catchment.assessed_sites;
      catchment.worst_rank = std::max(catchment.worst_rank, site.class_rank);
      const Date date = snapshot.samples.date[site.sample.value()];
      catchment.first = std::min(catchment.first.value_or(date), date);
      catchment.last = std::max(catchment.last.value_or(date), date);
      members.push_back({static_cast<std::uint32_t>(c.value()), static_cast<std::uint32_t>(i)});
    }
  }

  // Medians: the members sorted into one run per catchment.
  std::vector<std::size_t> begin(catchments.size() + 1, 0);
  for (std::size_t c = 0; c < catchments.size(); ++c) begin[c + 1] = begin[c] + catchments[c].assessed_sites;
  std::vector<std::uint32_t> inside(members.size());
  std::vector<std::size_t> next(begin.begin(), begin.end() - 1);
  for (const Member& member : members) inside[next[member.catchment]++] = member.site;
  const auto worse = [&](std::uint32_t a, std::uint32_t b) {
    const SiteAssessment &x = assessment.sites[a], &y = assessment.sites[b];
    if (x.class_rank != y.class_rank) return x.class_rank > y.class_rank;
    if (x.value != y.value) return metric.higher_is_better == (x.value < y.value);
    return a < b;
  };
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    const std::size_t size = catchments[c].assessed_sites;
    if (size == 0) continue;
    const auto run = inside.begin() + static_cast<std::ptrdiff_t>(begin[c]);
    const auto middle = run + static_cast<std::ptrdiff_t>((size - 1) / 2);
    std::nth_element(run, middle, run + static_cast<std::ptrdiff_t>(size), worse);
    catchments[c].median_site = SiteIndex(*middle);
    catchments[c].median_rank = assessment.sites[*middle].class_rank;
    catchments[c].median_value = assessment.sites[*middle].value;
  }
}

}  // namespace

Assessment assess(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                  const CatchmentNesting& nesting, Date until) {
  Assessment assessment;
  assessment.method = scores.method;
  assessment.metric = metric;
  assessment.until = until;
  assessment.sites.resize(snapshot.sites.size());

  const SampleColumns& samples = snapshot.samples;
  // Samples stand ordered by site, then date: one walk finds each site's run, and the date cuts it.
  for (std::size_t begin = 0; begin < samples.size();) {
    const SiteIndex site = samples.site[begin];
    std::size_t end = begin + 1;
    while (end < samples.size() && samples.site[end] == site) ++end;
    const auto cut = std::upper_bound(samples.date.begin() + static_cast<std::ptrdiff_t>(begin),
                                      samples.date.begin() + static_cast<std::ptrdiff_t>(end), until);
    const auto known = static_cast<std::size_t>(cut - samples.date.begin());
    assessment.sites[site.value()] = assess_site(samples, scores.metrics[metric], begin, known);
    begin = end;
  }
  assess_catchments(snapshot, nesting, assessment);
  return assessment;
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
  if (!looked_at.has_value()) return "no sample up to " + format_date(assessment.until);
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

#include "core/scoring/assessment.hpp"

#include <algorithm>
#include <span>

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

SiteAssessment assess_site(const SampleColumns& samples, const std::vector<SampleScore>& scores,
                           std::size_t begin, std::size_t end) {
  SiteAssessment site;
  if (begin == end) return site;
  site.newest_sample = newest(samples, begin, end, [](std::size_t) { return true; });
  site.sample =
      newest(samples, begin, end, [&](std::size_t s) { return scores[s].has_value && scores[s].in_scope; });
  if (!site.sample.has_value())
    site.sample = newest(samples, begin, end, [&](std::size_t s) { return scores[s].has_value; });
  if (!site.sample.has_value()) return site;
  const SampleScore& score = scores[site.sample.value()];
  site.value = score.value;
  site.in_scope = score.in_scope;
  site.class_rank = score.in_scope ? score.class_rank : std::uint8_t{0};
  return site;
}

// The middle of a list; of two middle ones the worse.
template <class T, class Better>
T median(std::span<T> list, const Better& better) {
  const auto middle =
      list.begin() + static_cast<std::ptrdiff_t>(list.size() / 2);  // of an even number, the later
  std::nth_element(list.begin(), middle, list.end(), better);
  return *middle;
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
    return s.sample.has_value() && s.in_scope && (metric.bands.empty() || s.class_rank != 0);
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
  std::vector<double> values(members.size());
  std::vector<std::uint8_t> ranks(members.size());
  std::vector<std::size_t> next(begin.begin(), begin.end() - 1);
  for (const Member& member : members) {
    const std::size_t at = next[member.catchment]++;
    values[at] = assessment.sites[member.site].value;
    ranks[at] = assessment.sites[member.site].class_rank;
  }
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    const std::size_t size = catchments[c].assessed_sites;
    if (size == 0) continue;
    catchments[c].median_rank = median(std::span(ranks).subspan(begin[c], size), std::less<>());
    catchments[c].median_value = median(std::span(values).subspan(begin[c], size), [&](double a, double b) {
      return metric.higher_is_better ? a > b : a < b;
    });
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

}  // namespace brookmark::core

// A class that jumps for one visit and comes back: more often a mixed-up jar, a poor sample or a wrong name than a
// water that fell and rose again.
#include <cstdlib>
#include <map>

#include "core/analysis/check_internal.hpp"
#include "core/scoring/score.hpp"

namespace brookmark::core {

namespace {

constexpr int kBands = 2;  // common practice, no source

// Samples of one site that have a class, oldest first, one a visit: the first routine one.
std::vector<std::size_t> classed_samples(const Snapshot& survey, std::size_t site,
                                         const std::vector<SampleScore>& scores) {
  std::vector<std::size_t> samples;
  const auto [begin, end] = survey.samples_of(SiteIndex(site));
  for (std::size_t s = begin.value(); s < end.value(); ++s) {
    if (survey.samples.kind[s] != SampleKind::kRoutine || !scores[s].in_scope || scores[s].class_rank == 0)
      continue;
    if (samples.empty() || survey.samples.visit[samples.back()] != survey.samples.visit[s])
      samples.push_back(s);
  }
  return samples;
}

std::string class_text(const Metric& metric, const SampleScore& score) {
  return std::string(class_name(metric, score.class_rank));
}

}  // namespace

void check_classes(Check& check) {
  const Snapshot& survey = check.survey;
  std::map<std::size_t, std::vector<std::string>> jumps;  // by sample: what each method says
  for (const Method& method : shipped_methods()) {
    const ScoreTable table = score_samples(survey, method);
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      const Metric& metric = method.metrics[m];
      if (metric.bands.size() <= kBands) continue;
      const std::vector<SampleScore>& scores = table.metrics[m];
      for (std::size_t site = 0; site < survey.sites.size(); ++site) {
        const std::vector<std::size_t> samples = classed_samples(survey, site, scores);
        for (std::size_t i = 1; i + 1 < samples.size(); ++i) {
          const SampleScore &before = scores[samples[i - 1]], &here = scores[samples[i]],
                            &after = scores[samples[i + 1]];
          const int from = here.class_rank - before.class_rank, back = here.class_rank - after.class_rank;
          if (std::abs(from) < kBands || std::abs(back) < kBands || (from > 0) != (back > 0)) continue;
          jumps[samples[i]].push_back(method.title + " (" + metric.id + "): " + class_text(metric, here) +
                                      " between " + class_text(metric, before) + " on " +
                                      format_date(survey.samples.date[samples[i - 1]]) + " and " +
                                      class_text(metric, after) + " on " +
                                      format_date(survey.samples.date[samples[i + 1]]));
        }
      }
    }
  }
  for (const auto& [sample, sayings] : jumps)
    check.find(Severity::kWarning, "class jumps for one visit", check.sample(sample),
               "Two bands or more off both the visit before and the visit after: " + listed(sayings) +
                   ". Check the sample's label, names and effort before believing it; the class is kept.");
}

}  // namespace brookmark::core

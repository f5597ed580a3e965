// Two lots taken the same way at one visit should tell the same story. Where they do not, the water is patchy, the effort
// was uneven, or names or jars were mixed up.
#include <cstdlib>
#include <map>
#include <utility>

#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"
#include "core/scoring/score.hpp"
#include "core/scoring/similarity.hpp"

namespace brookmark::core {

namespace {

// All limits: common practice, no source.
constexpr double kLeastSimilarity = 0.5;
constexpr std::int64_t kLeastAnimals = 20;  // in each, for their numbers to say something
constexpr std::size_t kLeastTaxa = 5;       // in both together, where they were not counted
constexpr int kBands = 2;

using Pair = std::pair<SampleIndex, SampleIndex>;

// Every two samples of a visit that has a replicate, blanks left out.
std::vector<Pair> replicate_pairs(const Snapshot& survey) {
  std::map<VisitIndex, std::vector<std::size_t>> by_visit;
  for (std::size_t s = 0; s < survey.samples.size(); ++s)
    if (survey.samples.kind[s] != SampleKind::kBlank) by_visit[survey.samples.visit[s]].push_back(s);
  std::vector<Pair> pairs;
  for (const auto& [visit, samples] : by_visit)
    for (std::size_t i = 0; i < samples.size(); ++i)
      for (std::size_t j = i + 1; j < samples.size(); ++j)
        if (survey.samples.kind[samples[i]] == SampleKind::kReplicate ||
            survey.samples.kind[samples[j]] == SampleKind::kReplicate)
          pairs.emplace_back(samples[i], samples[j]);
  return pairs;
}

std::int64_t animals_in(const Snapshot& survey, SampleIndex sample) {
  std::int64_t animals = 0;
  for (std::size_t r = survey.samples.record_begin[sample.value()];
       r < survey.samples.record_begin[sample.value() + 1]; ++r)
    if (survey.records.quantity[r] == QuantityKind::kCount) animals += survey.records.count_min[r];
  return animals;
}

std::string two_samples(const Check& check, const Pair& pair) {
  return "This sample and " + check.sample(pair.first.value()) + " of the same visit ";
}

void check_likeness(Check& check, const SampleSimilarity& alike) {
  const Snapshot& survey = check.survey;
  const bool counted = alike.bray_curtis && animals_in(survey, alike.a) >= kLeastAnimals &&
                       animals_in(survey, alike.b) >= kLeastAnimals;
  const bool named =
      !alike.bray_curtis && alike.sorensen && alike.taxa_a + alike.taxa_b - alike.shared >= kLeastTaxa;
  if (!counted && !named) return;
  const double similarity = counted ? *alike.bray_curtis : *alike.sorensen;
  if (similarity >= kLeastSimilarity) return;
  check.find(Severity::kWarning, "replicates disagree", check.sample(alike.b.value()),
             two_samples(check, {alike.a, alike.b}) +
                 "are little alike: " + (counted ? "Bray-Curtis" : "Sorensen") + " similarity " +
                 format_fixed(similarity, 2) + ", wanted " + format_number(kLeastSimilarity) +
                 " or more. Check names, labels and effort; if all are right, the site is patchy and one "
                 "sample says "
                 "little about it.");
}

void check_replicate_classes(Check& check, const std::vector<Pair>& pairs) {
  std::map<std::size_t, std::vector<std::string>> apart;  // by pair: what each method says
  for (const Method& method : shipped_methods()) {
    const ScoreTable table = score_samples(check.survey, method);
    for (std::size_t m = 0; m < method.metrics.size(); ++m)
      for (std::size_t p = 0; p < pairs.size(); ++p) {
        const SampleScore &a = table.metrics[m][pairs[p].first.value()],
                          &b = table.metrics[m][pairs[p].second.value()];
        if (!a.in_scope || !b.in_scope || a.class_rank == 0 || b.class_rank == 0) continue;
        if (std::abs(a.class_rank - b.class_rank) < kBands) continue;
        apart[p].push_back(method.title + " (" + method.metrics[m].id +
                           "): " + std::string(class_name(method.metrics[m], b.class_rank)) + " here, " +
                           std::string(class_name(method.metrics[m], a.class_rank)) + " there");
      }
  }
  for (const auto& [p, sayings] : apart)
    check.find(Severity::kWarning, "replicates in different classes", check.sample(pairs[p].second.value()),
               two_samples(check, pairs[p]) + "are two classes or more apart: " + listed(sayings) +
                   ". Neither class should be relied on alone.");
}

}  // namespace

void check_replicates(Check& check) {
  const std::vector<Pair> pairs = replicate_pairs(check.survey);
  if (pairs.empty()) return;
  for (const SampleSimilarity& alike : similarity_of(check.survey, pairs)) check_likeness(check, alike);
  check_replicate_classes(check, pairs);
}

}  // namespace brookmark::core

// Counts that a slip of the pen, a pasted column or a guess would explain. They are asked about, never changed.
#include <algorithm>
#include <vector>

#include "core/analysis/check_internal.hpp"

namespace brookmark::core {

namespace {

// All limits: common practice, no source.
constexpr std::int64_t kMostCounted = 100'000;  // nobody counts more animals of one kind out of a tray
constexpr std::int64_t kLeastOutlier = 50;      // smaller counts vary by themselves
constexpr std::int64_t kTimesNext = 10;         // one digit too many
constexpr std::size_t kOtherCounts = 5;         // of the taxon, to compare with
constexpr std::int64_t kLeastRounded = 20;      // below, nobody rounds
constexpr std::size_t kRoundedCounts = 20;      // in the survey, to say anything

bool is_count(const Snapshot& survey, std::size_t r) {
  return survey.records.quantity[r] == QuantityKind::kCount && survey.records.count_min[r] > 0;
}

void check_largest(Check& check, std::vector<std::size_t>& of_taxon) {
  const RecordColumns& records = check.survey.records;
  if (of_taxon.size() <= kOtherCounts) return;
  std::sort(of_taxon.begin(), of_taxon.end(), [&](std::size_t a, std::size_t b) {
    return std::pair(records.count_min[a], b) > std::pair(records.count_min[b], a);
  });
  const std::int64_t most = records.count_min[of_taxon[0]], next = records.count_min[of_taxon[1]];
  if (most < kLeastOutlier || most > kMostCounted || most / kTimesNext < next || most == kTimesNext * next)
    return;
  const std::size_t taxon = records.taxon[of_taxon[0]].value();
  check.find(Severity::kWarning, "count out of line", check.sample(records.sample[of_taxon[0]].value()),
             std::to_string(most) + " " + std::string(check.survey.taxa.name[taxon]) +
                 ": more than ten times the next largest of the survey's " + std::to_string(of_taxon.size()) +
                 " counts of it (" + std::to_string(next) +
                 "). Look at the field sheet again; the count is kept as it is.");
}

}  // namespace

void check_counts(Check& check) {
  const Snapshot& survey = check.survey;
  std::vector<std::vector<std::size_t>> by_taxon(survey.taxa.size());
  std::size_t large = 0, tens = 0;
  for (std::size_t r = 0; r < survey.records.size(); ++r) {
    if (!is_count(survey, r)) continue;
    const std::int64_t count = survey.records.count_min[r];
    const std::size_t taxon = survey.records.taxon[r].value();
    by_taxon[taxon].push_back(r);
    large += count >= kLeastRounded ? 1 : 0;
    tens += count >= kLeastRounded && count % 10 == 0 ? 1 : 0;
    if (count > kMostCounted)
      check.find(
          Severity::kWarning, "improbable count", check.sample(survey.records.sample[r].value()),
          std::to_string(count) + " " + std::string(survey.taxa.name[taxon]) + " in one record: more than " +
              std::to_string(kMostCounted) +
              " animals of one kind are not counted out of a sample. Was it an estimate, or a wrong column? "
              "The count is kept as it is.");
  }
  for (std::vector<std::size_t>& of_taxon : by_taxon) check_largest(check, of_taxon);
  // One count in ten ends in 0 by itself.
  if (large >= kRoundedCounts && 2 * tens > large)
    check.find(
        Severity::kNote, "rounded counts", "survey",
        std::to_string(tens) + " of the " + std::to_string(large) + " counts of " +
            std::to_string(kLeastRounded) +
            " or more end in 0: they seem to be estimates, and what is said about counting error is then "
            "too good.");
}

}  // namespace brookmark::core

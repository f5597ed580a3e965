#include "core/analysis/check.hpp"

#include <algorithm>

#include "core/analysis/check_internal.hpp"

namespace brookmark::core {

namespace {

void check_dates(Check& check) {
  const VisitColumns& visits = check.survey.visits;
  for (std::size_t v = 0; v < visits.size(); ++v)
    if (visits.start[v].date > check.today)
      check.find(Severity::kError, "date in the future", check.visit(v),
                 "This visit is dated after today (" + format_date(check.today) + "); correct its date.");
}

}  // namespace

std::string Check::visit(std::size_t i) const {
  return "visit to " + site(survey.visits.site[i].value()) + " on " +
         format_date(survey.visits.start[i].date);
}

std::string Check::reach(std::size_t i) const {
  const std::string& name = survey.reaches[i].name;
  return "reach " + (name.empty() ? std::to_string(i + 1) : name);
}

std::string Check::catchment(std::size_t i) const {
  const Catchment& one = survey.catchments[i];
  return "catchment " + (!one.code.empty() ? one.code : !one.name.empty() ? one.name : std::to_string(i + 1));
}

std::string listed(const std::vector<std::string>& words, std::size_t most) {
  const std::size_t shown = std::min(words.size(), most);
  std::string text;
  for (std::size_t i = 0; i < shown; ++i)
    text += (i == 0 ? "" : i + 1 == shown && shown == words.size() ? " and " : ", ") + words[i];
  if (shown < words.size()) text += " and " + std::to_string(words.size() - shown) + " more";
  return text;
}

std::vector<Finding> check_survey(const Snapshot& snapshot, const ChannelNetwork& network, Date today) {
  Check check{snapshot, network, today, {}};
  check_dates(check);
  check_measurements(check);
  check_samples(check);
  check_communities(check);
  check_counts(check);
  check_kinds_of_water(check);
  check_classes(check);
  check_replicates(check);
  check_names(check);
  check_sites(check);
  check_catchments(check);
  check_channels(check);
  std::stable_sort(check.findings.begin(), check.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.severity > b.severity; });
  return std::move(check.findings);
}

}  // namespace brookmark::core

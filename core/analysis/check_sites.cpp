#include <algorithm>
#include <iterator>
#include <optional>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/analysis/check_internal.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// One survey looks at one catchment; a site this far off is a mistake. Common practice, no source.
constexpr double kFarM = 1e6;
constexpr int kYearsUnsampled = 2;

// The middle (median) of the placed sites, so that one stray does not move it.
LonLat middle_of(const std::vector<LonLat>& places) {
  std::vector<double> lon, lat;
  for (const LonLat place : places) {
    lon.push_back(place.lon);
    lat.push_back(place.lat);
  }
  const auto middle = [](std::vector<double>& values) {
    const auto at = values.begin() + static_cast<std::ptrdiff_t>((values.size() - 1) / 2);
    std::nth_element(values.begin(), at, values.end());
    return *at;
  };
  return {middle(lon), middle(lat)};
}

void check_far_sites(Check& check) {
  const std::vector<LonLat>& positions = check.survey.sites.position;
  std::vector<LonLat> placed;
  std::copy_if(positions.begin(), positions.end(), std::back_inserter(placed), is_valid);
  if (placed.size() < 2) return;
  const LonLat middle_of_all = middle_of(placed);
  for (std::size_t i = 0; i < positions.size(); ++i) {
    const LonLat here = positions[i];
    if (!is_valid(here)) continue;
    // Of two, each is the other's middle.
    const LonLat middle = placed.size() > 2 ? middle_of_all : placed[placed.front() == here ? 1 : 0];
    const double far_m = geodesic_m(here, middle);
    if (far_m <= kFarM) continue;
    const LonLat exchanged{here.lat, here.lon};
    const bool would_fit = is_valid(exchanged) && geodesic_m(exchanged, middle) <= kFarM;
    check.find(Severity::kWarning, "site far from the others", check.site(i),
               "This site lies " + format_fixed(far_m / 1000, 0) + " km from the middle of the " +
                   (placed.size() > 2 ? "other sites" : "other site") +
                   (would_fit ? ". Latitude and longitude seem to be exchanged; correct its position."
                              : ". Check its position: are latitude and longitude exchanged?"));
  }
}

// Blanks are no look at the water.
std::optional<Date> last_sampled(const Snapshot& survey, std::size_t site) {
  std::optional<Date> last;
  const auto [begin, end] = survey.samples_of(SiteIndex(site));
  for (std::size_t s = begin.value(); s < end.value(); ++s)
    if (survey.samples.kind[s] != SampleKind::kBlank)
      last = std::max(last, std::optional(survey.samples.date[s]));
  return last;
}

void check_sampling(Check& check) {
  const Snapshot& survey = check.survey;
  std::vector<std::optional<Date>> last(survey.sites.size());
  std::optional<Date> newest;
  for (std::size_t i = 0; i < last.size(); ++i) newest = std::max(newest, last[i] = last_sampled(survey, i));
  for (std::size_t i = 0; i < last.size(); ++i) {
    const SiteStatus status = survey.sites.status[i];
    const bool retired = status == SiteStatus::kRetired;
    if (!last[i]) {
      if (status != SiteStatus::kProposed)
        check.find(Severity::kNote, "site without samples", check.site(i),
                   retired ? "No sample has been taken at this site, and it is retired."
                           : "No sample has been taken at this site yet.");
      continue;
    }
    YearMonthDay limit = year_month_day(*last[i]);
    limit.year += kYearsUnsampled;
    const YearMonthDay of_newest = year_month_day(*newest);
    if (retired)
      check.find(Severity::kNote, "retired site", check.site(i),
                 "This site is retired; last sampled " + format_date(*last[i]) +
                     ". What is shown for it is that old.");
    else if (of_newest > limit)
      check.find(Severity::kNote, "site not sampled lately", check.site(i),
                 "Last sampled " + format_date(*last[i]) +
                     ", more than two years before the survey's newest "
                     "sample (" +
                     format_date(*newest) + "). What is shown for it is that old.");
  }
}

}  // namespace

void check_sites(Check& check) {
  for (std::size_t i = 0; i < check.survey.sites.size(); ++i)
    if (!is_placed(check.survey.sites.position[i]))
      check.find(Severity::kWarning, "site without a position", check.site(i),
                 "This site is scored and listed, but it is not on the map and has no distances; note its "
                 "position.");
  check_far_sites(check);
  check_sampling(check);
}

void check_catchments(Check& check) {
  const Snapshot& survey = check.survey;
  if (survey.catchments.empty()) return;
  const CatchmentNesting nesting = nest_catchments(survey);
  for (const auto& [one, other] : nesting.overlaps) {
    const bool same = nesting.area_m2[one.value()] == nesting.area_m2[other.value()];
    const std::string name = check.catchment(other.value());
    check.find(Severity::kWarning, "catchments overlap in part", check.catchment(one.value()),
               same ? "It overlaps " + name +
                          ", which is just as large, so neither lies in the other. Keep one, or correct the "
                          "outlines."
                    : "It overlaps " + name +
                          " in part, so neither lies in the other, and a site on the ground that both cover "
                          "counts for the smaller of the two only. Correct the outlines.");
  }
  for (std::size_t i = 0; i < survey.sites.size(); ++i)
    if (is_placed(survey.sites.position[i]) && !nesting.site_smallest[i].has_value())
      check.find(Severity::kWarning, "site outside every catchment", check.site(i),
                 "This site lies in none of the survey's catchments; check its position.");
}

}  // namespace brookmark::core

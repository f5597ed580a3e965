// Of which days and seasons visits leave: every answer is compared with a survey from which the others were taken away.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "core/scoring/method.hpp"
#include "core/sharing/hand_over.hpp"
#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"

using namespace brookmark::core;
using brookmark::test::secret_key;
using brookmark::test::secret_survey;
using brookmark::test::TemporaryFolder;
using brookmark::test::with_crayfish;

namespace {

// The days of the visits of a shared survey, as written.
std::multiset<std::string> days(const SharedSurvey& shared) {
  std::multiset<std::string> all;
  for (const Moment& start : shared.snapshot().visits.start) all.insert(format_date(start.date));
  return all;
}

SharingRules rules(const char* from, const char* until, SeasonSet seasons = {}) {
  SharingRules asked;
  if (*from != '\0') asked.from = parse_date(from);
  if (*until != '\0') asked.until = parse_date(until);
  asked.seasons = seasons;
  return asked;
}

}  // namespace

TEST_CASE("visits before the first day and of other seasons stay at home") {
  const TemporaryFolder folder;
  const Snapshot s = secret_survey(folder / "a.brook");
  const auto all = days(share(s));
  REQUIRE(all.size() > 6);
  for (const auto& [from, until] :
       {std::pair{"2024-01-01", ""}, {"", "2023-12-31"}, {"2023-04-12", "2024-04-12"}, {"2030-01-01", ""}}) {
    std::multiset<std::string> expected;
    for (const std::string& day : all)
      if (day >= from && (*until == '\0' || day <= until)) expected.insert(day);
    CAPTURE(from);
    CHECK(days(share(s, rules(from, until))) == expected);
  }
  // All visits are of April: spring on the northern half, where they lie.
  CHECK(days(share(s, rules("", "", SeasonSet::of(Season::kSpring)))) == all);
  CHECK(days(share(s, rules("", "", SeasonSet::of(Season::kAutumn)))).empty());
}

TEST_CASE("on the southern half a season is the other one, for a blurred site too") {
  const TemporaryFolder folder;
  Snapshot s = secret_survey(folder / "a.brook");
  for (LonLat& place : s.sites.position) place.lat = -place.lat;
  s.reaches.clear();
  s.catchments.clear();
  s.waters.clear();
  s.outfalls.clear();
  const auto all = days(share(s));
  CHECK(days(share(s, rules("", "", SeasonSet::of(Season::kAutumn)))) == all);
  CHECK(days(share(s, rules("", "", SeasonSet::of(Season::kSpring)))).empty());
  const auto handed = prepare_hand_over(s, {&shipped_methods().front(), [](const auto*) {}}, 0,
                                        rules("", "", SeasonSet::of(Season::kAutumn)));
  const std::size_t blurred =
      1;  // Q02; its place in the file is the middle of its cell, and none at all to core
  std::size_t assessed = 0;
  for (std::size_t i = 0; i < handed->shared.snapshot().sites.size(); ++i)
    if (handed->shared.places()[i].blurred && handed->assessment.sites[i].newest_sample.has_value())
      ++assessed;
  CHECK(assessed >= blurred);
  CHECK(handed->period().seasons == SeasonSet::of(Season::kAutumn));
}

TEST_CASE(
    "the keys of visits that only their day keeps at home are told, and those of withheld sites are not") {
  const TemporaryFolder folder;
  const Snapshot s = secret_survey(folder / "a.brook");
  const SharedSurvey shared = share(s, rules("2024-01-01", ""));
  std::set<std::string> expected;
  for (std::size_t v = 0; v < s.visits.size(); ++v)
    if (format_date(s.visits.start[v].date) < "2024" &&
        s.sites.sharing[s.visits.site[v].value()] != Sharing::kWithheld)
      expected.insert(std::string(s.visits.key[v]));
  CHECK_FALSE(expected.empty());
  CHECK(std::set<std::string>(shared.visits_outside().begin(), shared.visits_outside().end()) == expected);
  CHECK(share(s).visits_outside().empty());
}

TEST_CASE("a place hidden for an animal of one day is hidden in what leaves of other days and seasons too") {
  const TemporaryFolder folder;
  const Snapshot s = with_crayfish(secret_survey(folder / "a.brook"), Sharing::kBlurred);  // at Q04 in 2023
  const LonLat exact = s.sites.position[s.find_site("Q04")->value()];
  for (const SharingRules& asked : {SharingRules{}, rules("2024-01-01", ""), rules("", "2022-12-31"),
                                    rules("2030-01-01", ""), rules("", "", SeasonSet::of(Season::kAutumn))}) {
    const SharedSurvey shared = share(s, asked);
    CHECK_FALSE(shared.snapshot().find_site("Q04").has_value());
    for (const SharedPlace& place : shared.places()) CHECK_FALSE(place.position == exact);
  }
}

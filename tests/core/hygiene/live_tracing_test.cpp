// A live sample that goes elsewhere takes vessel, animals and water with it: what the vessel's history says, and where
// contacts are followed to.
#include <doctest/doctest.h>

#include <limits>

#include "core/base/error.hpp"
#include "core/hygiene/kit_sets.hpp"
#include "core/hygiene/live_samples.hpp"
#include "core/hygiene/tracing.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;
using Kind = core::EntryWarning::Kind;

namespace {

HygieneSurvey three_ponds() {
  HygieneSurvey s;
  s.site("A1", "Heron Pond");
  s.site("A2", "Heron Pond");
  s.site("B1", "Kiln Pond");
  s.site("C1", "Moat");
  s.kit("V1", core::KitKind::kVessel);
  s.kit("N1");
  s.clean_well("V1", "2025-04-30T12:00");
  return s;
}

// "Kiln Pond direct": as traced from Heron Pond.
std::string traced(const HygieneSurvey& s, const char* since = nullptr) {
  const HygieneBook book(s.snapshot);
  core::TraceQuery query{*book.waters.find("Heron Pond"), {}, core::find_target("ranavirus")};
  if (since != nullptr) query.since = moment(since).date;
  std::string words;
  for (const auto& water : core::trace_contacts(s.snapshot, book.waters, book.history, query))
    words += (words.empty() ? "" : ", ") + book.waters.name(water.body) +
             (water.direct ? " direct" : " through " + std::to_string(water.chain.size()));
  return words;
}

// As the verb records it.
core::LiveSampleEnd end(HygieneSurvey& s, const std::string& to, const std::string& when) {
  const HygieneBook book(s.snapshot);
  std::optional<core::SiteIndex> site;
  if (!to.empty()) site = s.at(to);
  core::LiveSampleEnd end = core::end_live_sample(s.snapshot, book.waters, s.snapshot.holdings.back(), site,
                                                  moment(when), "no time");
  s.snapshot.holdings.back() = end.holding;
  if (end.use) s.snapshot.kit_uses.push_back(*end.use);
  return end;
}

}  // namespace

TEST_CASE("a live sample put into another water is traced to it, and a cleaning in between does not help") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03", "tadpoles");
  CHECK(traced(s) == "");
  s.clean_well("V1", "2025-05-04T12:00");  // of the outside, at best
  const core::LiveSampleEnd ended = end(s, "B1", "2025-05-05T10:00");
  CHECK(ended.warning ==
        "it is from Heron Pond, and B1 lies on Kiln Pond; a live sample goes back to its own water or is "
        "disposed "
        "of");
  CHECK(ended.summary == "the live sample in V1 was put into Kiln Pond, which is not its own water");
  CHECK(ended.afterwards ==
        "V1 was in Heron Pond and in Kiln Pond: into neither before it is cleaned. A contact trace of Heron "
        "Pond "
        "follows it to Kiln Pond");
  CHECK(says(ended.holding.note, "put into Kiln Pond, which is not its own water: no time"));
  CHECK(traced(s) == "Kiln Pond direct");
  CHECK(traced(s, "2025-05-04") == "");  // taken before it was a source
  // The pond it was put into is a source from then on.
  s.use("N1", "B1", "2025-05-06T09:00");
  s.use("N1", "C1", "2025-05-07T09:00");
  CHECK(traced(s) == "Kiln Pond direct, Moat through 2");
}

TEST_CASE("the chain of a live sample is told in words") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03", "tadpoles");
  end(s, "B1", "2025-05-05T10:00");
  const HygieneBook book(s.snapshot);
  const auto found =
      core::trace_contacts(s.snapshot, book.waters, book.history,
                           {*book.waters.find("Heron Pond"), {}, core::find_target("ranavirus")});
  REQUIRE(found.size() == 1);
  CHECK(found[0].words ==
        "V1 with tadpoles of Heron Pond since 3 May 2025, then Kiln Pond on 5 May 2025 at 10:00");
}

TEST_CASE("a vessel belongs to both waters afterwards, until a cleaning that is enough") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03", "tadpoles");
  end(s, "B1", "2025-05-05T10:00");
  CHECK(s.open("V1", "2025-05-06") == "Kiln Pond, Heron Pond");
  CHECK(says(s.words("V1", "2025-05-06"),
             "goes into no water until cleaned: it carries what 2 waters may hold"));
  CHECK_FALSE(says(s.words("V1", "2025-05-06"), "no water but"));
  CHECK(s.warnings("V1", "A1", "2025-05-06").size() == 1);
  CHECK(s.warnings("V1", "B1", "2025-05-06").size() == 1);
  s.clean_well("V1", "2025-05-05T18:00");
  CHECK(s.open("V1", "2025-05-06") == "");
  s.use("V1", "C1", "2025-05-07T09:00");
  CHECK(traced(s) == "Kiln Pond direct");
}

TEST_CASE("a vessel that was only held, with no use noted, belongs to its water all the same") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03");
  CHECK(s.open("V1", "2025-05-04") == "Heron Pond");
  CHECK(says(s.words("V1", "2025-05-04"), "holds a live sample of Heron Pond since 3 May 2025; not free"));
  // Emptied and cleaned on one day: it was emptied first.
  end(s, "", "2025-05-05");
  CHECK(s.snapshot.holdings[0].outcome == core::HoldingOutcome::kDisposed);
  CHECK(s.open("V1", "2025-05-06") == "Heron Pond");
  s.clean_well("V1", "2025-05-05T18:00");
  CHECK(s.open("V1", "2025-05-06") == "");
  CHECK(s.state("V1", "2025-05-06").is_clean());
  CHECK(traced(s) == "");
}

TEST_CASE("a sample that goes back to its own water, or is disposed of, reaches no other") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03");
  const core::LiveSampleEnd back = end(s, "A2", "2025-05-05T10:00");
  CHECK(back.warning.empty());
  CHECK(back.summary == "the live sample in V1 was put back into Heron Pond");
  REQUIRE(back.use);
  CHECK(back.use->override_reason.empty());
  CHECK(traced(s) == "");
  CHECK(s.open("V1", "2025-05-06") == "Heron Pond");
  // Not cleaned, and into another water later: the vessel carries it.
  s.use("V1", "C1", "2025-05-07T09:00");
  CHECK(traced(s) == "Moat direct");
  CHECK_THROWS_WITH_AS(end(s, "", "2025-05-01"),
                       "it is held since 3 May 2025 and cannot have ended on 1 May 2025", Error);
}

TEST_CASE("any kit that holds a live sample is not free, whatever kind it is") {
  HygieneSurvey s = three_ponds();
  s.snapshot.kit[1].set = "red";
  s.clean_well("N1", "2025-05-01T12:00");
  CHECK(s.state("N1", "2025-05-02").is_clean());
  s.hold("N1", "A1", "2025-05-03");
  CHECK_FALSE(s.state("N1", "2025-05-04").is_clean());
  CHECK(s.state("N1", "2025-05-04").holds.size() == 1);
  CHECK(s.warnings("N1", "A1", "2025-05-04").empty());
  REQUIRE(s.warnings("N1", "B1", "2025-05-04").size() == 1);
  CHECK(s.warnings("N1", "B1", "2025-05-04")[0].kind == Kind::kHoldsLive);
  const HygieneBook book(s.snapshot);
  const auto sets = core::kit_sets(s.snapshot, book.history, moment("2025-05-04"));
  REQUIRE(sets.size() == 1);
  CHECK_FALSE(sets[0].ready());
  CHECK(says(sets[0].not_yet, "N1 holds a live sample"));
}

TEST_CASE("a sample that outlasts a later use in its water is followed to the end") {
  HygieneSurvey s = three_ponds();
  s.hold("V1", "A1", "2025-05-03");
  s.use("V1", "A2", "2025-05-04T09:00");
  s.clean_well("V1", "2025-05-04T12:00");
  end(s, "B1", "2025-05-06T10:00");
  CHECK(traced(s) == "Kiln Pond direct");
}

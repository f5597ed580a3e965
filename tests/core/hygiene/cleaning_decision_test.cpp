// Was it enough? The cases that surveyors get wrong, each with the row of tests/reference/methods/12_field_hygiene.csv
// that answers it.
#include "core/hygiene/cleaning_decision.hpp"

#include <doctest/doctest.h>

#include <optional>
#include <string>

using namespace brookmark;
using core::Cleaning;
using core::CleaningEffect;

namespace {

core::TargetIndex target(const char* name) {
  const auto found = core::find_target(name);
  REQUIRE(found);
  return *found;
}

Cleaning cleaned(const char* agent, std::optional<double> pct = {}, std::optional<double> c = {},
                 std::optional<double> minutes = {}) {
  Cleaning cleaning;
  cleaning.agent = agent;
  cleaning.concentration_pct = pct;
  cleaning.temperature_c = c;
  cleaning.contact_min = minutes;
  return cleaning;
}

core::CleaningVerdict verdict(const Cleaning& cleaning, const char* against) {
  return core::judge_cleaning(cleaning, target(against));
}

bool says(const core::CleaningVerdict& v, const char* part) {
  return v.why.find(part) != std::string::npos;
}

}  // namespace

// Bryan et al. 2009: 2 and 5 ppm for 60 min, not effective.
TEST_CASE("permanganate counts as not cleaned against ranavirus, however strong and long") {
  for (const double pct : {0.0002, 0.0005, 1.0}) {
    const auto v = verdict(cleaned("permanganate", pct, {}, 60), "ranavirus");
    CHECK(v.effect == CleaningEffect::kFails);
    CHECK(says(v, "counts as not cleaned"));
    CHECK(says(v, "Bryan"));
  }
}

// Bryan et al. 2009: 3 % in 1 min, while 0.2 and 1.0 % failed.
TEST_CASE("weak bleach counts as not cleaned against ranavirus, strong bleach as cleaned") {
  CHECK(verdict(cleaned("bleach", 0.2, {}, 60), "ranavirus").effect == CleaningEffect::kFails);
  CHECK(verdict(cleaned("bleach", 1.0, {}, 60), "ranavirus").effect == CleaningEffect::kFails);
  const auto between = verdict(cleaned("bleach", 2.0, {}, 60), "ranavirus");
  CHECK(between.effect == CleaningEffect::kNotShown);  // nobody tried it
  CHECK(says(between, "it was 2 %, and the rule asks for 3 %"));
  CHECK(verdict(cleaned("bleach", 3.0, {}, 1), "ranavirus").effect == CleaningEffect::kEnough);
}

// Langdon 1989: still infective after 113 d; "drying alone is not enough for iridoviruses".
TEST_CASE("drying counts as not cleaned against iridoviruses, even after months") {
  for (const char* virus : {"ranavirus", "EHNV"})
    for (const double days : {1.0, 113.0, 250.0})
      CHECK(verdict(cleaned("drying", {}, {}, days * 1440), virus).effect == CleaningEffect::kFails);
}

// Johnson et al. 2003 is recalled to say that three hours do; no document at hand does.
TEST_CASE("drying against the chytrid fungus is only recalled, so it proves nothing, and that is said") {
  const auto fungus = verdict(cleaned("drying", {}, {}, 180), "Bd");
  CHECK(fungus.effect == CleaningEffect::kNotShown);
  REQUIRE(fungus.rule != nullptr);
  CHECK(says(fungus, "what drying does to it is only recalled here, and no document confirms it"));
  CHECK(says(fungus, "recalled, from memory"));
  // A document's own row on the same agent and another organism counts: sun drying, three days, crayfish plague.
  CHECK(core::is_enough(cleaned("sun drying", {}, {}, 4320), target("crayfish plague")));
  CHECK_FALSE(core::is_enough(cleaned("drying", {}, {}, 2 * 2880), target("didymo")));  // row 30, recalled
}

TEST_CASE("a cleaning without a time or a strength proves nothing, and says so") {
  const auto no_time = verdict(cleaned("Virkon S", 1.0), "ranavirus");
  CHECK(no_time.effect == CleaningEffect::kNotShown);
  CHECK(says(no_time, "its time was not noted (the rule asks for 60 s)"));
  const auto no_strength = verdict(cleaned("Virkon S", {}, {}, 10), "ranavirus");
  CHECK(no_strength.effect == CleaningEffect::kNotShown);
  CHECK(says(no_strength, "its strength was not noted"));
  const auto no_warmth = verdict(cleaned("heat", {}, {}, 20), "crayfish plague");
  CHECK(no_warmth.effect == CleaningEffect::kNotShown);
  CHECK(says(no_warmth, "its temperature was not noted"));
  CHECK(core::missing_in(cleaned("Virkon S")) ==
        "the contact time was not noted; the strength was not noted");
  CHECK(core::missing_in(cleaned("drying")) == "how long it lasted was not noted");
  CHECK(core::missing_in(cleaned("hot water", {}, 60, 5)) == "");
  CHECK(core::missing_in(cleaned("vinegar", 5, {}, 5)).find("none of the rules") != std::string::npos);
}

TEST_CASE("an agent without a rule, and an organism that a source does not speak of, are not shown") {
  const auto vinegar = verdict(cleaned("vinegar", 5, {}, 60), "ranavirus");
  CHECK(vinegar.effect == CleaningEffect::kNotShown);
  CHECK(vinegar.rule == nullptr);
  CHECK(says(vinegar, "\"vinegar\" is in none of the rules"));
  const auto silent = verdict(cleaned("Virkon S", 1, {}, 60), "didymo");
  CHECK(silent.effect == CleaningEffect::kNotShown);
  CHECK(says(silent, "no rule here says what Virkon S does to it"));
  // A source without a contact time decides nothing (NEPARC, 3 %).
  const auto open = verdict(cleaned("bleach", 50, {}, 600), "Bsal");
  CHECK(open.effect == CleaningEffect::kNotShown);
  CHECK(says(open, "gives no percentage"));
}

// Virkon S 1.0 %, 1 min (ranavirus), 0.1 %, 20 s (Bd), label strength, 10 min (crayfish plague).
TEST_CASE("one cleaning can meet all the routine targets, and the longest of their times counts") {
  const Cleaning ten = cleaned("Virkon S", 1.0, {}, 10), nine = cleaned("Virkon S", 1.0, {}, 9);
  for (const auto& v : core::judge_cleaning(ten, core::routine_targets()))
    CHECK(v.effect == CleaningEffect::kEnough);
  const auto verdicts = core::judge_cleaning(nine, core::routine_targets());
  std::string left;
  for (const auto& v : verdicts)
    if (v.effect != CleaningEffect::kEnough) left += core::target_at(v.target).id + " ";
  CHECK(left == "aphanomyces-astaci ");
  CHECK(says(core::judge_cleaning(ten, target("crayfish plague")), "compare it yourself"));
}

// Twenty seconds are a third of a minute, which nobody can write down to its end.
TEST_CASE("a time noted in minutes to two places still is the twenty seconds of its rule") {
  CHECK(core::is_enough(cleaned("Virkon S", 0.1, {}, 0.3333), target("Bd")));
  CHECK_FALSE(core::is_enough(cleaned("Virkon S", 0.1, {}, 0.33), target("Bd")));
}

// Johnson et al. 2003: 70 %. Anderson et al. 2015: 45 C for 15 min. Shannon et al. 2018: 40 % of parrot's feather died.
TEST_CASE("stronger alcohol is not surer, hotter and longer water is") {
  CHECK(core::is_enough(cleaned("alcohol", 70, {}, 1), target("Bd")));
  CHECK_FALSE(core::is_enough(cleaned("alcohol", 96, {}, 1), target("Bd")));
  CHECK(core::is_enough(cleaned("hot water", {}, 50, 20), target("invasive species")));
  CHECK(verdict(cleaned("hot water", {}, 45, 15), "parrot's feather").effect == CleaningEffect::kFails);
  CHECK(core::is_enough(cleaned("hot water", {}, 60, 1), target("parrot's feather")));
  // Berg 2023: -20 C for 5 h, -10 C for 24 h.
  CHECK(core::is_enough(cleaned("freezer", {}, -20, 300), target("crayfish plague")));
  CHECK_FALSE(core::is_enough(cleaned("freezer", {}, -10, 300), target("crayfish plague")));
  CHECK(core::is_enough(cleaned("freezer", {}, -12, 1440), target("crayfish plague")));
}

TEST_CASE(
    "where a source says per label, a strength weaker than any other row asks of the agent is not enough") {
  const auto plague = *brookmark::core::find_target("crayfish plague");
  brookmark::core::Cleaning weak;
  weak.agent = "bleach";
  weak.concentration_pct = 0.01;
  weak.contact_min = 10;
  CHECK_FALSE(brookmark::core::is_enough(weak, plague));
  brookmark::core::Cleaning usual = weak;
  usual.agent = "Virkon S";
  usual.concentration_pct = 1;
  CHECK(brookmark::core::is_enough(usual, plague));
}

// Shannon et al. 2018: 45 C for 15 min killed 40 % of parrot's feather; the mudsnail's row asks for 46 C.
TEST_CASE("enough against invasive species in general names the species that it is not shown against") {
  const auto v = verdict(cleaned("hot water", {}, 45, 15), "invasive species");
  REQUIRE(v.effect == CleaningEffect::kEnough);
  CHECK(says(v, "not shown against "));
  CHECK(says(v, "Myriophyllum aquaticum"));
  CHECK(says(v, "Potamopyrgus antipodarum"));
  CHECK_FALSE(says(v, "Crassula"));
  const auto hot = verdict(cleaned("hot water", {}, 60, 15), "invasive species");
  REQUIRE(hot.effect == CleaningEffect::kEnough);
  CHECK_FALSE(says(hot, "not shown against"));
}

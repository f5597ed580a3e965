// Ponds made by hand, with what a careful naturalist would say of them (common practice; responses of small crustaceans as
// tests/reference/methods/07_lentic_metrics.csv has them).
#include "core/scoring/still_water.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "core/analysis/catchments.hpp"
#include "core/scoring/assessment.hpp"
#include "tests/core/scoring/survey_builder.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;
using core::Pointing;
using core::Strength;
using core::Verdict;

namespace {

core::StillReading reading(const std::vector<Found>& sheet, WaterKind kind = WaterKind::kPond,
                           SampleKind sample_kind = SampleKind::kRoutine) {
  SurveyBuilder b;
  const SampleIndex s = b.sample(b.site("S1", kind), "2024-05-03", sheet, sample_kind);
  return core::StillWaterReader(b.snapshot()).read(s);
}

const core::Evidence& item(const core::StillReading& reading, const std::string& start) {
  for (const core::Evidence& evidence : reading.evidence)
    if (evidence.item.starts_with(start)) return evidence;
  throw std::runtime_error("no item " + start);
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

const std::vector<Found> kRichPond = {n("Limnephilus", 6, LifeStage::kLarva),
                                      n("Leptoceridae", 3, LifeStage::kLarva),
                                      n("Cloeon", 20, LifeStage::kLarva),
                                      n("Coenagrion", 9, LifeStage::kLarva),
                                      n("Asellus", 8),
                                      n("Dytiscus", 2, LifeStage::kAdult)};
const std::vector<Found> kFoulPond = {n("Tubifex", 60), n("Eristalis", 4, LifeStage::kLarva), n("Physa", 20),
                                      n("Culex", 90, LifeStage::kLarva), n("Blood-red Chironomidae", 30)};

}  // namespace

TEST_CASE("a pond with larvae of caddisflies and mayflies points to good") {
  const auto rich = reading(kRichPond);
  CHECK(rich.verdict == Verdict::kGood);
  const core::Evidence& sensitive = item(rich, "Sensitive");
  CHECK(sensitive.pointing == Pointing::kGood);
  CHECK(sensitive.strength == Strength::kStrong);  // three kinds of two orders
  CHECK(sensitive.records.size() == 3);
  CHECK(says(sensitive.source, "Common practice, no published source"));
  CHECK(sensitive.confirmed == core::Confirmed::kMemory);
  CHECK(item(rich, "Only tolerant").pointing == Pointing::kNeutral);
  CHECK(item(rich, "Share of gill").pointing == Pointing::kGood);
  CHECK(item(rich, "Damselfly").strength == Strength::kWeak);
}

TEST_CASE("worms, mosquito larvae, lunged snails and rat-tailed maggots and nothing else point to poor") {
  const auto foul = reading(kFoulPond);
  CHECK(foul.verdict == Verdict::kPoor);
  CHECK(item(foul, "Only tolerant").strength == Strength::kModerate);
  CHECK(item(foul, "Only tolerant").records.size() == 5);
  // One other animal takes "and nothing else" away; a coarse or doubtful name too.
  for (const Found& other : {n("Glossiphonia", 2), present("Glossiphonia"), n("Insecta", 1),
                             n("grey blob", 1), unsure(n("Cloeon", 1), 0.2F)}) {
    std::vector<Found> sheet = kFoulPond;
    sheet.push_back(other);
    CHECK(item(reading(sheet), "Only tolerant").pointing == Pointing::kNeutral);
  }
  // An absence adds nothing.
  std::vector<Found> sheet = kFoulPond;
  sheet.push_back(absent("Ephemeroptera"));
  CHECK(reading(sheet).verdict == Verdict::kPoor);
}

TEST_CASE("animals that breathe at the surface say nothing about oxygen") {
  const auto beetles = reading({n("Dytiscus", 9, LifeStage::kAdult), n("Notonecta", 12), n("Corixa", 30),
                                n("Gerris", 6), n("Gyrinus", 5, LifeStage::kAdult)});
  CHECK(beetles.verdict == Verdict::kTooLittle);
  for (const core::Evidence& evidence : beetles.evidence) CHECK(evidence.pointing == Pointing::kNeutral);
  CHECK(says(item(beetles, "Share of gill").finding, "0 of 5"));
  // Beside tolerant animals they make the evidence weak, and weak evidence alone is too little for a direction.
  const auto both =
      reading({n("Tubifex", 60), n("Physa", 9), n("Corixa", 30), n("Notonecta", 3), n("Gerris", 2)});
  CHECK(item(both, "Only tolerant").strength == Strength::kWeak);
  CHECK(both.verdict == Verdict::kTooLittle);
  CHECK(says(both.why, "weak evidence only, leaning to poor: only tolerant"));
}

TEST_CASE("copepods and gilled snails prove little") {
  const auto little = reading({n("Cyclopoida", 5), n("Bithynia", 60), n("Valvata", 3), n("Copepoda", 30)});
  CHECK(item(little, "Only tolerant").pointing == Pointing::kNeutral);
}

TEST_CASE("damselfly larvae and water fleas are no proof alone") {
  const auto alone = reading({n("Coenagrion", 9, LifeStage::kLarva), n("Daphnia", 60), n("Asellus", 8),
                              n("Physa", 3), n("Culex", 3, LifeStage::kLarva)});
  CHECK(item(alone, "Damselfly").pointing == Pointing::kGood);
  CHECK(alone.verdict == Verdict::kTooLittle);
  CHECK(says(alone.why, "Too little for a direction: weak evidence only, leaning to good: "));
}

TEST_CASE("weak evidence on both sides is mixed") {
  const auto both = reading({n("Coenagrion", 9, LifeStage::kLarva), n("Cyclops", 40), n("Corixa", 5),
                             n("Notonecta", 5), n("Asellus", 8)});
  CHECK(item(both, "Damselfly").strength == Strength::kWeak);
  CHECK(item(both, "Cyclopoids").pointing == Pointing::kPoor);
  CHECK(both.verdict == Verdict::kMixed);
  CHECK(says(both.why, "Weak evidence only, on both sides; to good: "));
}

TEST_CASE("a short effort cannot point to poor, but what was found in it can point to good") {
  const auto with = [](const std::vector<Found>& sheet, std::optional<double> effort, const char* unit) {
    SurveyBuilder b;
    const SampleIndex s = b.sample(b.site("S1", WaterKind::kPond), "2024-05-03", sheet);
    core::Snapshot snapshot = b.snapshot();
    snapshot.samples.effort[s.value()] = effort;
    core::TextColumn units;
    units.append(unit);
    snapshot.samples.effort_unit = units;
    return core::StillWaterReader(snapshot).read(s);
  };
  for (const auto& [effort, unit] : {std::pair{59.0, "s"}, {2.0, "jabs"}, {0.5, "min"}}) {
    const auto brief = with(kFoulPond, effort, unit);
    CHECK(brief.verdict == Verdict::kTooLittle);
    CHECK(says(brief.why, "Too little effort to point to poor"));
    CHECK(says(brief.why, "It leans to poor: only tolerant"));
    CHECK(with(kRichPond, effort, unit).verdict == Verdict::kGood);
  }
  for (const auto& [effort, unit] : {std::pair{60.0, "s"}, {3.0, "jabs"}, {1.0, "min"}, {0.25, "m2"}})
    CHECK(with(kFoulPond, effort, unit).verdict == Verdict::kPoor);
  CHECK(with(kFoulPond, std::nullopt, "").verdict == Verdict::kPoor);  // nobody noted it
}

TEST_CASE("one single animal among hundreds that bear poor water is weak and takes nothing away") {
  std::vector<Found> sheet = kFoulPond;
  sheet.push_back(n("Limnephilus", 1, LifeStage::kLarva));
  const auto one = reading(sheet);
  CHECK(item(one, "Sensitive").strength == Strength::kWeak);
  CHECK(says(item(one, "Sensitive").finding, "One single animal is weak evidence."));
  CHECK(item(one, "Only tolerant").strength == Strength::kModerate);
  CHECK(says(item(one, "Only tolerant").finding, "but for one single Limnephilus beside at least 204"));
  CHECK(one.verdict == Verdict::kPoor);
  CHECK(says(one.why, "to good only sensitive groups (weak)"));
  // Two animals, or one among few, do contradict it.
  sheet.back() = n("Limnephilus", 2, LifeStage::kLarva);
  CHECK(item(reading(sheet), "Only tolerant").pointing == Pointing::kNeutral);
  CHECK(item(reading({n("Tubifex", 40), n("Physa", 20), n("Limnephilus", 1, LifeStage::kLarva)}),
             "Only tolerant")
            .pointing == Pointing::kNeutral);
}

TEST_CASE("an animal of fast water in a pond is no evidence, and that is said") {
  const auto odd = reading({n("Perlidae", 5, LifeStage::kLarva), n("Rhyacophila", 4, LifeStage::kLarva),
                            n("Asellus", 30), n("Corixa", 30)});
  CHECK(item(odd, "Sensitive").pointing == Pointing::kNeutral);
  CHECK(item(odd, "Sensitive").records.empty());
  CHECK(says(item(odd, "Sensitive").finding,
             "Not counted: Perlidae and Rhyacophila, which live in running water"));
  CHECK(odd.verdict == Verdict::kTooLittle);
  const auto beside = reading({n("Perlidae", 5, LifeStage::kLarva), n("Cloeon", 30), n("Asellus", 30)});
  CHECK(item(beside, "Sensitive").strength == Strength::kWeak);
  // On a lake's shore it may live.
  CHECK(item(reading({n("Perlidae", 5), n("Cloeon", 30), n("Asellus", 30)}, WaterKind::kLakeMargin),
             "Sensitive")
            .strength == Strength::kModerate);
}

TEST_CASE("one sensitive kind is weak, two are moderate, and those listed as tolerant add little") {
  const auto strength = [](std::vector<Found> sheet) {
    for (const char* name : {"Asellus", "Corixa", "Physa", "Tubifex"}) sheet.push_back(n(name, 5));
    return item(reading(sheet), "Sensitive").strength;
  };
  CHECK(strength({n("Cloeon", 30)}) == Strength::kWeak);
  CHECK(strength({n("Cloeon", 30), n("Ephemeroptera", 30)}) == Strength::kWeak);  // the order says no more
  CHECK(strength({n("Cloeon", 30), n("Leptophlebia", 1)}) == Strength::kModerate);
  CHECK(strength({n("Cloeon", 30), n("Leptophlebia", 1), n("Ephemera", 1)}) ==
        Strength::kModerate);  // one order
  CHECK(strength({n("Cloeon", 30), n("Leptophlebia", 1), n("Limnephilus", 1)}) == Strength::kStrong);
  CHECK(strength({n("Caenis", 30), n("Siphlonurus", 2)}) == Strength::kWeak);  // tolerance 7, Hilsenhoff 1988
  CHECK(strength({n("Cloeon", 30, LifeStage::kAdult)}) == Strength::kNone);    // flying over the water
}

TEST_CASE(
    "large and small water fleas, calanoids and cyclopoids are weighed by counts, classes or presence") {
  const auto fleas = [](const std::vector<Found>& sheet) {
    return item(reading(sheet), "Large water fleas");
  };
  CHECK(fleas({n("Daphnia", 30), n("Bosmina", 5)}).pointing == Pointing::kGood);
  CHECK(fleas({n("Daphnia", 5), n("Bosmina", 30)}).pointing == Pointing::kPoor);
  CHECK(fleas({n("Daphnia", 30), n("Bosmina", 30)}).pointing == Pointing::kNeutral);
  CHECK(fleas({n("Daphnia", 3), n("Bosmina", 2)}).pointing == Pointing::kNeutral);  // too few to compare
  CHECK(fleas({letter("Daphnia", 100, 999), letter("Bosmina", 10, 99)}).pointing == Pointing::kGood);
  CHECK(fleas({letter("Daphnia", 10, 99), letter("Bosmina", 10, 99)}).pointing == Pointing::kNeutral);
  CHECK(fleas({present("Daphnia"), present("Bosmina")}).pointing == Pointing::kNeutral);
  CHECK(fleas({present("Bosmina")}).pointing == Pointing::kPoor);
  CHECK(fleas({n("Cladocera", 50)}).pointing == Pointing::kNeutral);
  CHECK(fleas({n("Chydorus", 50)}).pointing == Pointing::kNeutral);  // at home among plants
  const auto copepods = [](const std::vector<Found>& sheet) { return item(reading(sheet), "Cyclopoids"); };
  const core::Evidence more = copepods({n("Cyclops", 40), n("Eudiaptomus", 10)});
  CHECK((more.pointing == Pointing::kPoor && more.strength == Strength::kWeak));
  CHECK(more.confirmed == core::Confirmed::kDocument);
  CHECK(says(more.source, "Sustainability 2023"));
  CHECK(copepods({n("Cyclops", 10), n("Eudiaptomus", 40)}).pointing == Pointing::kGood);
  const auto marsh = [](const std::vector<Found>& sheet) { return item(reading(sheet), "Animals of good"); };
  CHECK(marsh({n("Chydorus", 40)}).pointing == Pointing::kGood);
  CHECK(marsh({n("Moina", 40)}).pointing == Pointing::kPoor);
  CHECK(says(marsh({n("Moina", 40)}).source, "Lougheed"));
}

TEST_CASE("too little is said to be too little, and why") {
  const auto few = reading({n("Cloeon", 2), n("Asellus", 3)});
  CHECK(few.verdict == Verdict::kTooLittle);
  CHECK(says(few.why, "2 kinds and at least 5 animals"));
  CHECK(reading({}).verdict == Verdict::kTooLittle);
  CHECK(says(reading({}).why, "No record"));
  CHECK(says(reading({absent("Insecta"), n("Daphnia", 0)}).why, "none were found"));
  CHECK(says(reading({unsure(n("Cloeon", 90), 0.1F)}).why, "too uncertain"));
  // Names of nowhere only: enough of them, and they say nothing.
  const auto unlisted = reading({n("blob a", 20), n("blob b", 20), n("blob c", 20)});
  CHECK(unlisted.verdict == Verdict::kTooLittle);
  CHECK(says(unlisted.why, "none of them points either way"));
  // Five kinds noted as present are enough, and so are fifty animals of two kinds.
  CHECK(reading({present("Tubifex"), present("Eristalis"), present("Physa"), present("Culex"),
                 present("Haemopis"), present("Blood-red Chironomidae")})
            .verdict != Verdict::kGood);
  CHECK(reading({n("Tubifex", 300), n("Eristalis", 40)}).verdict == Verdict::kPoor);
}

TEST_CASE("a reading is for still water; a ditch or canal is read with a caution; a blank never") {
  for (const WaterKind kind :
       {WaterKind::kStream, WaterKind::kRiver, WaterKind::kSpring, WaterKind::kUnknown}) {
    const auto out = reading(kRichPond, kind);
    CHECK(out.verdict == Verdict::kOutOfScope);
    CHECK(out.evidence.empty());
    CHECK_FALSE(out.why.empty());
  }
  for (const WaterKind kind : {WaterKind::kPond, WaterKind::kPool, WaterKind::kLakeMargin}) {
    CHECK(reading(kRichPond, kind).verdict == Verdict::kGood);
    CHECK(reading(kRichPond, kind).caution.empty());
  }
  for (const WaterKind kind : {WaterKind::kDitch, WaterKind::kCanal}) {
    CHECK(reading(kRichPond, kind).verdict == Verdict::kGood);
    CHECK(says(reading(kRichPond, kind).caution, "may stand or run"));
  }
  CHECK(reading(kRichPond, WaterKind::kPond, SampleKind::kBlank).verdict == Verdict::kOutOfScope);
}

TEST_CASE("families are compared with five other still waters of the same season, or not at all") {
  const auto sheet = [](std::size_t families) {
    static const char* const kFamilies[] = {"Asellidae", "Baetidae",   "Corixidae",  "Dytiscidae",
                                            "Physidae",  "Lymnaeidae", "Daphniidae", "Planorbidae",
                                            "Sialidae",  "Aeshnidae"};
    std::vector<Found> found;
    for (std::size_t i = 0; i < families; ++i) found.push_back(n(kFamilies[i], 9));
    return found;
  };
  const auto of = [&](std::size_t own, const std::vector<std::size_t>& others, const char* day = "2023-05-09",
                      WaterKind kind = WaterKind::kPond) {
    SurveyBuilder b;
    const SampleIndex s = b.sample(b.site("A", WaterKind::kPond), "2024-05-03", sheet(own));
    for (std::size_t i = 0; i < others.size(); ++i)
      b.sample(b.site("B" + std::to_string(i), kind), day, sheet(others[i]));
    return item(core::StillWaterReader(b.snapshot()).read(s), "Families against");
  };
  CHECK(of(8, {5, 5, 6, 7}).pointing == Pointing::kNeutral);
  CHECK(says(of(8, {5, 5, 6, 7}).finding, "4 of the 5 other still waters needed"));
  CHECK(of(8, {5, 5, 6, 7, 9}).pointing == Pointing::kGood);  // more than four of five
  CHECK(of(8, {5, 5, 6, 7, 9}).strength == Strength::kWeak);
  CHECK(of(10, {5, 5, 5, 5, 6}).strength == Strength::kModerate);  // twice the middle
  CHECK(of(3, {6, 7, 6, 7, 8}).pointing == Pointing::kPoor);
  CHECK(of(3, {6, 7, 6, 7, 8}).strength == Strength::kModerate);  // 3 against 7 in the middle
  CHECK(of(4, {5, 5, 6, 7, 8}).strength == Strength::kWeak);
  CHECK(of(6, {5, 5, 6, 7, 9}).pointing == Pointing::kNeutral);
  CHECK(of(6, {6, 6, 6, 6, 6}).pointing == Pointing::kNeutral);
  // Autumn samples, and streams, are not compared.
  CHECK(says(of(8, {5, 5, 6, 7, 9}, "2023-10-09").finding, "0 of the 5"));
  CHECK(says(of(8, {5, 5, 6, 7, 9}, "2023-05-09", WaterKind::kStream).finding, "0 of the 5"));
}

TEST_CASE(
    "of each other pond one comparable sample counts, the nearest in time, never a blank or a replicate") {
  SurveyBuilder b;
  const std::vector<Found> poor = {n("Asellus", 9)}, rich = kRichPond;
  const SampleIndex s = b.sample(b.site("A", WaterKind::kPond), "2024-05-03", kRichPond);
  for (int i = 0; i < 5; ++i) {
    const SiteIndex other = b.site("B" + std::to_string(i), WaterKind::kPool);
    b.sample(other, "2020-05-01", rich);
    b.sample(other, "2024-04-20", poor);
    b.sample(other, "2024-05-03", rich, SampleKind::kReplicate);
    b.sample(other, "2024-05-04", rich, SampleKind::kBlank);
  }
  const auto evidence = item(core::StillWaterReader(b.snapshot()).read(s), "Families against");
  CHECK(says(evidence.finding, "5 other still waters had 1 to 1"));
  CHECK(evidence.pointing == Pointing::kGood);
}

TEST_CASE("every piece of evidence keeps its promises, whatever was found") {
  std::mt19937 random(3);
  const auto& entries = core::checklist().entries();
  for (int i = 0; i < 300; ++i) {
    std::vector<Found> sheet;
    for (unsigned k = 0; k < 1 + random() % 12; ++k) {
      const std::string& name = entries[random() % entries.size()].name;
      const auto stage = static_cast<LifeStage>(random() % 5);
      switch (random() % 4) {
        case 0:
          sheet.push_back(n(name, static_cast<std::int64_t>(random() % 40), stage));
          break;
        case 1:
          sheet.push_back(present(name, stage));
          break;
        case 2:
          sheet.push_back(letter(name, 10, 99));
          break;
        default:
          sheet.push_back(unsure(n(name, 3, stage), static_cast<float>(random() % 10) / 10));
          break;
      }
    }
    const auto one = reading(sheet);
    std::shuffle(sheet.begin(), sheet.end(), random);
    CHECK(reading(sheet).verdict == one.verdict);  // the order of records changes nothing
    CHECK(one.verdict != Verdict::kOutOfScope);
    CHECK_FALSE(one.why.empty());
    bool carries_good = false, carries_poor = false;
    for (const core::Evidence& evidence : one.evidence) {
      CHECK_FALSE(evidence.item.empty());
      CHECK(evidence.finding.ends_with("."));
      CHECK_FALSE(evidence.source.empty());
      CHECK((evidence.pointing == Pointing::kNeutral) == (evidence.strength == Strength::kNone));
      if (evidence.pointing != Pointing::kNeutral) CHECK_FALSE(evidence.records.empty());
      carries_good |= evidence.pointing == Pointing::kGood && evidence.strength >= Strength::kModerate;
      carries_poor |= evidence.pointing == Pointing::kPoor && evidence.strength >= Strength::kModerate;
    }
    if (one.verdict == Verdict::kGood) CHECK((carries_good && !carries_poor));
    if (one.verdict == Verdict::kPoor) CHECK((carries_poor && !carries_good));
  }
}

TEST_CASE("a method for running water gives a pond no class, in the scores and on the map") {
  SurveyBuilder b;
  b.sample(b.site("S1", WaterKind::kPond), "2024-05-03", kRichPond);
  const core::CatchmentNesting nesting = core::nest_catchments(b.snapshot());
  for (const core::Method& method : core::shipped_methods()) {
    if (method.flow != core::Flow::kRunning) continue;
    const core::ScoreTable scores = core::score_samples(b.snapshot(), method);
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      INFO(method.id, " ", method.metrics[m].id);
      CHECK_FALSE(scores.metrics[m][0].in_scope);
      CHECK(scores.metrics[m][0].class_rank == 0);
      const core::Assessment map =
          core::assess(b.snapshot(), scores, m, nesting, core::make_date({2024, 12, 31}));
      CHECK(map.sites[0].class_rank == 0);
      CHECK_FALSE(map.sites[0].in_scope);
      CHECK(says(core::assessment_note(b.snapshot(), scores, map, SiteIndex(0)), "a pond, a still water"));
    }
  }
}

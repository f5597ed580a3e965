// Shares and the commonest taxon, counted by hand.
#include <doctest/doctest.h>

#include <random>

#include "core/base/error.hpp"
#include "core/scoring/method_file_internal.hpp"
#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;
using core::ScopeReason;

namespace {

std::size_t metric_index(const core::Method& method, const std::string& id) {
  for (std::size_t i = 0; i < method.metrics.size(); ++i)
    if (method.metrics[i].id == id) return i;
  throw std::runtime_error("no metric " + id);
}

core::SampleScore score(const std::string& method_id, const std::string& metric,
                        const std::vector<Found>& sheet, WaterKind kind = WaterKind::kPond) {
  SurveyBuilder b;
  const SampleIndex sample = b.sample(b.site("S1", kind), "2024-05-03", sheet);
  return score_of(b, method_id, metric_index(*core::find_method(method_id), metric), sample);
}

// A method of one metric, given by the lines of its descriptor below NAME.better.
core::Method own(const std::string& formula, const std::string& lines) {
  const std::string source = ",own,Test,document\n";
  core::MethodTexts texts{.id = "mine", .descriptor = {"mine.method.csv", {}}, .tables = {}};
  texts.descriptor.text = "key,value,source_key,source_detail,confirmed\nid,mine,,,\ntitle,Mine" + source +
                          "summary,Test,,,\nregion,any" + source +
                          "flow,any,,,\nlevel,any,,,\nmetric,m,,,\n" + "m.title,M,,,\nm.formula," + formula +
                          source + "m.better,higher,,,\n" + lines;
  return core::parse_method(texts);
}

core::SampleScore own_score(const core::Method& method, const std::vector<Found>& sheet,
                            std::optional<double> share = {}) {
  SurveyBuilder b;
  const SampleIndex s =
      b.sample(b.site("S1", WaterKind::kPond), "2024-05-03", sheet, SampleKind::kRoutine, share);
  return core::score_samples(b.snapshot(), method).metrics[0][s.value()];
}

constexpr double kExact = 1e-12;  // one division of whole numbers

}  // namespace

TEST_CASE("a share of animals is what lies inside by all that was counted") {
  const std::vector<Found> sheet = {n("Baetis", 6), n("Leuctra", 4), n("Chironomidae", 25), n("Asellus", 5)};
  CHECK(near(score("community-metrics", "ept-share", sheet).value, 25, kExact));  // 10 of 40
  CHECK(near(score("community-metrics", "midge-share", sheet).value, 62.5, kExact));
  CHECK(score("community-metrics", "caddisfly-share", sheet).value == 0);  // every name says that it is none
  CHECK(score("community-metrics", "caddisfly-share", sheet).has_value);
  CHECK(score("community-metrics", "ept-share", sheet).scoring_taxa == 4);
}

TEST_CASE("the commonest taxon is taken by name, or at a level where one is set") {
  const std::vector<Found> sheet = {n("Baetis", 6), n("Cloeon", 5), n("Asellus", 9), n("Baetis", 2)};
  CHECK(near(score("community-metrics", "dominant-share", sheet).value, 100.0 * 9 / 22, kExact));
  const core::Method by_family = own("dominance", "m.level,family,,,\n");
  CHECK(near(own_score(by_family, sheet).value, 100.0 * 13 / 22, kExact));  // Baetidae: 6 + 5 + 2
  // A name coarser than the level stands for itself.
  CHECK(near(own_score(by_family, {n("Oligochaeta", 30), n("Baetis", 10)}).value, 75, kExact));
  const core::Method of_mayflies = own("dominance", "m.set,Ephemeroptera,,,\n");
  CHECK(near(own_score(of_mayflies, sheet).value, 100.0 * 8 / 13, kExact));
}

TEST_CASE("a share of a part is by that part alone") {
  const std::vector<Found> sheet = {n("Cyclops", 30), n("Diaptomus", 10), n("Daphnia", 7), n("Bosmina", 21),
                                    n("Asellus", 500)};
  CHECK(near(score("zooplankton-shares", "cyclopoid-share", sheet).value, 75, kExact));
  CHECK(near(score("zooplankton-shares", "calanoid-share", sheet).value, 25, kExact));
  CHECK(near(score("zooplankton-shares", "daphnia-share", sheet).value, 25, kExact));
  // Animals outside that part need no count.
  CHECK(near(
      score("zooplankton-shares", "daphnia-share", {n("Daphnia", 1), n("Bosmina", 3), present("Asellus")})
          .value,
      25, kExact));
  const auto none = score("zooplankton-shares", "daphnia-share", {n("Asellus", 5)});
  CHECK_FALSE(none.has_value);
  CHECK(has(none, ScopeReason::kNoScoringTaxa));
}

TEST_CASE("a share of taxa counts each taxon once, the finest name of it") {
  const std::vector<Found> sheet = {present("Cloeon"), present("Ephemeroptera"), n("Culex", 90),
                                    n("Culex", 3),     present("Dytiscus"),      letter("Asellus", 1, 9)};
  // Cloeon, Culex, Dytiscus, Asellus: two of four breathe at the surface.
  CHECK(near(score("habits", "surface-breather-taxa-share", sheet).value, 50, kExact));
  CHECK(near(score("habits", "gill-breather-taxa-share", sheet).value, 50, kExact));
  CHECK(near(score("habits", "sensitive-taxa-share", sheet).value, 25, kExact));
}

TEST_CASE("a share of taxa at a level counts a family once, inside where any of it is") {
  const core::Method families = own("share of taxa", "m.set,Cloeon|Dytiscidae,,,\nm.level,family,,,\n");
  // Baetidae through Cloeon, Asellidae; Oligochaeta is too coarse and left out.
  const auto some =
      own_score(families, {n("Cloeon", 1), n("Baetis", 1), n("Asellus", 1), n("Oligochaeta", 1)});
  CHECK(near(some.value, 50, kExact));
  CHECK(has(some, ScopeReason::kSomeLeftOut));
  // Baetidae alone may be Cloeon: neither inside nor outside.
  const auto open = own_score(families, {n("Baetidae", 1), n("Asellus", 1), n("Dytiscus", 1)});
  CHECK(near(open.value, 50, kExact));
  CHECK(has(open, ScopeReason::kSomeLeftOut));
}

TEST_CASE("a name too coarse to tell is left out on both sides, and that is said") {
  const auto left =
      score("community-metrics", "ept-share", {n("Baetis", 3), n("Asellus", 9), n("Insecta", 88)});
  CHECK(near(left.value, 25, kExact));
  CHECK(left.in_scope);
  CHECK(has(left, ScopeReason::kSomeLeftOut));
  CHECK(left.unscored_taxa == 1);
  CHECK(core::reasons_text(left.reasons, *core::find_method("community-metrics")).starts_with("note: "));
  // A name of nowhere may be anything.
  CHECK(has(score("community-metrics", "ept-share", {n("Baetis", 3), n("grey blob", 9)}),
            ScopeReason::kSomeLeftOut));
  // None inside is a finding only where every name says so.
  const auto open = score("community-metrics", "ept-share", {n("Asellus", 9), n("Insecta", 1)});
  CHECK_FALSE(open.has_value);
  CHECK(has(open, ScopeReason::kNoScoringTaxa));
  const std::string why = core::reasons_text(open.reasons, *core::find_method("community-metrics"));
  CHECK(why.find("names too coarse or not listed leave it open") != std::string::npos);
  CHECK(why.find("can be scored by this method") == std::string::npos);
  const auto doubt = score("community-metrics", "ept-share", {n("Asellus", 9), unsure(n("Baetis", 1), 0.2F)});
  CHECK_FALSE(doubt.has_value);
  CHECK(has(doubt, ScopeReason::kTooUncertain));
  CHECK(score("community-metrics", "ept-share", {n("Asellus", 9), unsure(n("Physa", 1), 0.2F)}).has_value);
}

TEST_CASE("where the stage matters, an unknown stage is left out") {
  // Gyrinidae: the adult takes air from the surface, the larva has gills.
  const auto with = [](LifeStage stage) {
    return score("habits", "surface-breather-share",
                 {n("Gyrinus", 10, stage), n("Asellus", 30), n("Culex", 10)});
  };
  CHECK(near(with(LifeStage::kAdult).value, 40, kExact));
  CHECK(near(with(LifeStage::kLarva).value, 20, kExact));
  CHECK(near(with(LifeStage::kUnknown).value, 25, kExact));  // 10 of the 40 that can be told
  CHECK(has(with(LifeStage::kUnknown), ScopeReason::kSomeLeftOut));
  // An adult mayfly over the water is no larva in it.
  CHECK(score("habits", "sensitive-share", {n("Cloeon", 5, LifeStage::kAdult), n("Asellus", 5)}).value == 0);
  CHECK(near(score("habits", "sensitive-share", {n("Cloeon", 5), n("Asellus", 5)}).value, 50, kExact));
  // Both stages of one taxon: inside as a taxon, and by their animals in part.
  const std::vector<Found> both = {n("Gyrinus", 1, LifeStage::kAdult), n("Gyrinus", 3, LifeStage::kLarva)};
  CHECK(near(score("habits", "surface-breather-share", both).value, 25, kExact));
  CHECK(near(score("habits", "surface-breather-taxa-share", both).value, 100, kExact));
}

TEST_CASE("a share of animals needs counts, a share of taxa does not") {
  for (const Found& found : {present("Asellus"), letter("Asellus", 10, 99)}) {
    const auto score_animals = score("community-metrics", "ept-share", {n("Baetis", 3), found});
    CHECK_FALSE(score_animals.has_value);
    CHECK(has(score_animals, ScopeReason::kNeedsCounts));
    CHECK(has(score("community-metrics", "dominant-share", {n("Baetis", 3), found}),
              ScopeReason::kNeedsCounts));
    CHECK(near(score("habits", "sensitive-taxa-share", {n("Baetis", 3), found}).value, 50, kExact));
  }
}

TEST_CASE("a sample without animals has no share") {
  const core::Method& method = *core::find_method("habits");
  for (std::size_t m = 0; m < method.metrics.size(); ++m)
    for (const std::vector<Found>& sheet : {std::vector<Found>{},
                                            {absent("Daphnia"), absent("Insecta")},
                                            {n("Daphnia", 0)},
                                            {n("grey blob", 4)},
                                            {unsure(n("Daphnia", 4), 0.1F)}}) {
      const auto none = score("habits", method.metrics[m].id, sheet);
      CHECK_FALSE(none.has_value);
      CHECK(none.value == 0);
      CHECK(none.reasons != 0);
    }
}

TEST_CASE("doubling every count changes no share, and sorting half the catch neither" *
          doctest::test_suite("many draws")) {
  std::mt19937 random(5);
  const char* const names[] = {"Baetis",  "Leuctra", "Asellus", "Culex",
                               "Gyrinus", "Insecta", "Daphnia", "grey blob"};
  for (int i = 0; i < 200; ++i) {
    std::vector<Found> once, twice;
    for (int k = 0; k < 6; ++k) {
      const char* name = names[random() % std::size(names)];
      const auto count = static_cast<std::int64_t>(1 + random() % 50);
      once.push_back(n(name, count));
      twice.push_back(n(name, 2 * count));
    }
    for (const char* lines :
         {"m.set,Insecta,,,\n", "m.set,trait:gill breather|Cladocera,,,\nm.of,Arthropoda,,,\n"})
      for (const char* formula : {"share of animals", "share of taxa"}) {
        const core::Method method = own(formula, lines);
        const auto a = own_score(method, once), b = own_score(method, twice),
                   c = own_score(method, once, 0.5);
        CHECK((a.value == b.value && a.value == c.value && a.has_value == b.has_value));
        CHECK((a.value >= 0 && a.value <= 100));
      }
  }
}

TEST_CASE("a billion animals of each kind still make an exact share") {
  const auto huge =
      score("community-metrics", "ept-share", {n("Baetis", 1'000'000'000), n("Asellus", 3'000'000'000)});
  CHECK(huge.value == 25);
}

TEST_CASE("each record's part in a share is told") {
  SurveyBuilder b;
  const SampleIndex s = b.sample(b.site("S1", WaterKind::kPond), "2024-05-03",
                                 {n("Cyclops", 30), n("Copepoda", 5), n("Diaptomus", 10), n("Asellus", 2)});
  const core::Method& method = *core::find_method("zooplankton-shares");
  const auto parts = core::explain_sample(b.snapshot(), method, method.metrics[0], s);
  CHECK((parts[0].contributes && parts[0].value == 1 && parts[0].weight == 30));
  CHECK(parts[0].why == "Is one of those marked \"cyclopoid\"; its count of 30 is part of the share.");
  CHECK(parts[0].source.find("Cyclopoida / Copepoda") != std::string::npos);
  CHECK_FALSE(parts[1].contributes);
  CHECK(parts[1].why.find("left out of the share") != std::string::npos);
  CHECK((parts[2].contributes && parts[2].value == 0));
  CHECK(parts[3].why == "Asellus is none of Copepoda, of which this is a share.");
}

TEST_CASE("values by abundance code can be summed or averaged, a line being a group of its own") {
  const std::string source = ",own,Test,document\n";
  core::MethodTexts texts{.id = "mine", .descriptor = {"mine.method.csv", {}}, .tables = {}};
  texts.descriptor.text =
      "key,value,source_key,source_detail,confirmed\nid,mine,,,\ntitle,Mine" + source +
      "summary,Test,,,\nregion,any" + source +
      "flow,any,,,\nlevel,family,,,\nabundance_scheme,log-a-e,,,\nmetric,sum,,,\nmetric,mean,,,\n" +
      "sum.title,S,,,\nsum.formula,group code weights" + source +
      "sum.better,higher,,,\nmean.title,M,,,\nmean.formula,mean code weight" + source +
      "mean.better,higher,,,\n";
  texts.tables["scores"] = {
      "mine.scores.csv",
      "name,members,except,life_stage,score,group,source_key,source_detail,confirmed\n"
      "Baetidae,Baetidae,,,,,own,Test,document\nAsellidae,Asellidae,,,,,own,Test,document\n"};
  std::string weights = "group,code,weight,source_key,source_detail,confirmed\n";
  const char* const baetidae[] = {"3.6", "5.9", "7.2", "7.5", "7.5"};
  const char* const asellidae[] = {"4", "2.3", "0.8", "-1.6", "-1.6"};
  for (int code = 0; code < 5; ++code) {
    weights += std::string("Baetidae,") + static_cast<char>('A' + code) + "," + baetidae[code] + source;
    weights += std::string("Asellidae,") + static_cast<char>('A' + code) + "," + asellidae[code] + source;
  }
  texts.tables["weights"] = {"mine.weights.csv", weights};
  const core::Method mine = core::parse_method(texts);
  SurveyBuilder b;
  const SampleIndex s = b.stream_sample({n("Baetis", 60), n("Cloeon", 60), letter("Asellus", 1000, 9999)});
  const core::ScoreTable table = core::score_samples(b.snapshot(), mine);
  CHECK(near(table.metrics[0][s.value()].value, 5.6, kExact));  // 120 Baetidae: C, 7.2; Asellidae D, -1.6
  CHECK(near(table.metrics[1][s.value()].value, 2.8, kExact));
  const auto parts = core::explain_sample(b.snapshot(), mine, mine.metrics[1], s);
  CHECK(parts[0].value == 7.2);
  CHECK(parts[2].value == -1.6);
}

TEST_CASE("a set is refused where it cannot be meant") {
  const auto refused = [](const std::string& formula, const std::string& lines, const std::string& what) {
    try {
      own(formula, lines);
      FAIL_CHECK("accepted: ", lines);
    } catch (const brookmark::Error& error) {
      CHECK_MESSAGE(std::string(error.what()).find(what) != std::string::npos, error.what());
      CHECK(std::string(error.what()).starts_with("mine.method.csv, line "));
    }
  };
  refused("share of animals", "", "needs a line m.set");
  refused("share of animals", "m.set,trait:surfac breather,,,\n", "no trait is called \"surfac breather\"");
  refused("share of animals", "m.set,trait:,,,\n", "no taxon");
  refused("share of animals", "m.set,Daphnia,,,\nm.of,Cladozera,,,\n", "did you mean \"Cladocera\"");
  refused("share of animals", "m.set,Daphnia,,,\nm.level,family,,,\n", "no level");
  refused("dominance", "m.of,Cladocera,,,\n", "only a share");
  refused("richness", "m.set,Daphnia,,,\nm.of,Cladocera,,,\n", "only a share");
  CHECK(own("richness", "m.set,trait:gill breather|Cladocera,,,\n").metrics[0].set.size() == 2);
}

TEST_CASE("a method is no better confirmed than the trait that it leans on") {
  CHECK(own("share of taxa", "m.set,Daphnia,,,\n").confirmed == core::Confirmed::kDocument);
  CHECK(own("share of taxa", "m.set,trait:cyclopoid,,,\n").confirmed == core::Confirmed::kDocument);
  CHECK(own("share of taxa", "m.set,trait:gill breather,,,\n").confirmed == core::Confirmed::kMemory);
}

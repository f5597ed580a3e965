// Samples scored by hand from tests/reference/methods; the working stands beside each.
#include <doctest/doctest.h>

#include "tests/core/scoring/survey_builder.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;
using core::ScopeReason;

namespace {
constexpr std::size_t kBmwp = 0, kAspt = 1;
}

TEST_CASE("BMWP adds each family's score once and ASPT divides by the families") {
  // Heptageniidae 10 + Baetidae 4 + Gammaridae 6 + Chironomidae 2 + Oligochaeta 1 = 23; 23 / 5 = 4.6
  const std::vector<Found> sheet = {n("Heptageniidae", 3), n("Baetidae", 40), n("Gammaridae", 12),
                                    n("Chironomidae", 5), present("Oligochaeta")};
  const core::SampleScore bmwp = stream_score("bmwp-a", sheet, kBmwp);
  CHECK(bmwp.has_value);
  CHECK(bmwp.value == 23);
  CHECK(bmwp.class_rank == 4);  // 15-49 Poor
  CHECK(bmwp.scoring_taxa == 5);
  CHECK(bmwp.unscored_taxa == 0);
  CHECK(bmwp.in_scope);
  CHECK(bmwp.reasons == 0);
  const core::SampleScore aspt = stream_score("bmwp-a", sheet, kAspt);
  CHECK(aspt.value == 4.6);
  CHECK(aspt.class_rank == 3);  // 4.2-4.9 Fair
  CHECK(stream_score("bmwp-b", sheet, kBmwp).value == 23);
  CHECK(stream_score("bmwp-b", sheet, kBmwp).class_rank == 5);  // 15-35 IV Critical
  CHECK(stream_score("bmwp-b", sheet, kAspt).value == 4.6);
  CHECK(stream_score("bmwp-b", sheet, kAspt).class_rank == 0);  // no bands
}

TEST_CASE("a genus or a kind of worm scores through its family or group") {
  // Baetis -> Baetidae 4; Tubifex -> Tubificidae -> Oligochaeta 1; Dicranota -> a crane fly 5; sum 10
  const auto score = stream_score("bmwp-a", {n("Baetis", 1), n("Tubifex", 1), n("Dicranota", 1)});
  CHECK(score.value == 10);
  CHECK(score.scoring_taxa == 3);
}

TEST_CASE("a composite family counts once") {
  // Rhyacophilidae with Glossosomatidae 7, Planariidae with Dugesiidae 5: 12, from four families
  const auto score =
      stream_score("bmwp-a", {n("Rhyacophila", 2), n("Agapetus", 9), n("Dugesia", 1), n("Planariidae", 1)});
  CHECK(score.value == 12);
  CHECK(score.scoring_taxa == 2);
  CHECK(score.unscored_taxa == 0);
}

TEST_CASE("an ASPT of exactly 4.95 rounds to 5.0 and is Good") {
  // 4 families of 10, 7 of 5, 7 of 3, one of 2, one of 1: 40 + 35 + 21 + 2 + 1 = 99; 99 / 20 = 4.95
  std::vector<Found> sheet;
  for (const char* name :
       {"Heptageniidae", "Leuctridae", "Perlidae",  "Goeridae",  // 10
        "Gerridae",      "Nepidae",    "Corixidae", "Elmidae",     "Dytiscidae",  "Simuliidae",
        "Gyrinidae",  // 5
        "Valvatidae",    "Lymnaeidae", "Physidae",  "Planorbidae", "Sphaeriidae", "Asellidae",
        "Erpobdellidae",                  // 3
        "Chironomidae",  "Oligochaeta"})  // 2, 1
    sheet.push_back(present(name));
  CHECK(stream_score("bmwp-a", sheet, kBmwp).value == 99);
  CHECK(stream_score("bmwp-a", sheet, kAspt).value == 4.95);
  CHECK(stream_score("bmwp-a", sheet, kAspt).class_rank == 2);
}

TEST_CASE("the family biotic index weighs tolerances by counts") {
  // Baetidae 4 x 60 + Leuctridae 0 x 30 + Asellidae 8 x 20 + Chironomidae 6 x 40 = 640; 640 / 150 = 4.2666...
  // Lymnaea is no arthropod: not on the list, not in the mean.
  const auto score = stream_score("family-biotic-index", {n("Baetis", 60), n("Leuctra", 30), n("Asellus", 20),
                                                          n("Chironomidae", 40), n("Lymnaea", 50)});
  CHECK(score.value == 640.0 / 150.0);
  CHECK(score.class_rank == 3);  // 4.27: 4.26-5.00 Good
  CHECK(score.scoring_taxa == 4);
  CHECK(score.unscored_taxa == 1);
}

TEST_CASE("blood-red midges have a tolerance of their own") {
  // (8 x 50 + 6 x 50) / 100 = 7
  const auto score =
      stream_score("family-biotic-index", {n("Blood-red Chironomidae", 50), n("Orthocladiinae", 50)});
  CHECK(score.value == 7);
  CHECK(score.scoring_taxa == 2);
}

TEST_CASE("the family biotic index rounds to two decimals before banding, a half upwards") {
  struct Case {
    const char *low, *high;
    std::int64_t low_count, high_count;
    double value;
    int rank;
  };
  const Case cases[] = {
      {"Tipuloidea", "Baetidae", 50, 150, 3.75, 1},       // (3 x 50 + 4 x 150) / 200
      {"Tipuloidea", "Baetidae", 246, 754, 3.754, 1},     // (738 + 3016) / 1000, rounds to 3.75
      {"Tipuloidea", "Baetidae", 49, 151, 3.755, 2},      // (147 + 604) / 200, rounds to 3.76
      {"Tipuloidea", "Baetidae", 24, 76, 3.76, 2},        // (72 + 304) / 100
      {"Baetidae", "Calopterygidae", 75, 25, 4.25, 2},    // (300 + 125) / 100
      {"Baetidae", "Calopterygidae", 149, 51, 4.255, 3},  // (596 + 255) / 200, rounds to 4.26
      {"Calopterygidae", "Empididae", 199, 1, 5.005, 4},  // (995 + 6) / 200, rounds to 5.01
      {"Calopterygidae", "Empididae", 100, 0, 5.0, 3},    // only Calopterygidae: 5.00
  };
  for (const Case& c : cases) {
    const auto score = stream_score("family-biotic-index", {n(c.low, c.low_count), n(c.high, c.high_count)});
    CHECK(score.value == c.value);
    CHECK(static_cast<int>(score.class_rank) == c.rank);
  }
}

TEST_CASE("the family biotic index has no value while a scoring animal is not counted") {
  const auto score = stream_score("family-biotic-index", {n("Baetidae", 200), present("Leuctridae")});
  CHECK_FALSE(score.has_value);
  CHECK(score.class_rank == 0);
  CHECK(has(score, ScopeReason::kNeedsCounts));
  CHECK(has(stream_score("family-biotic-index", {n("Baetidae", 200), letter("Leuctridae", 1, 9)}),
            ScopeReason::kNeedsCounts));
  // An uncounted animal that is not on the list does not matter.
  const auto whole = stream_score("family-biotic-index", {n("Baetidae", 200), present("Lymnaeidae")});
  CHECK(whole.value == 4);
  CHECK(whole.in_scope);
}

TEST_CASE("the count rating gives three, two and one points for each kind present") {
  // Sensitive: stonefly, mayfly, caddisfly = 9; somewhat: scud, dragonfly = 4; tolerant: worm, midge, leech =
  // 3; 16
  const std::vector<Found> sheet = {n("Leuctra", 1),     present("Baetis"),    n("Heptageniidae", 5),
                                    n("Hydropsyche", 2), n("Gammarus", 300),   present("Aeshna"),
                                    n("Oligochaeta", 1), n("Chironomidae", 9), present("Erpobdella")};
  const auto score = stream_score("three-group-count", sheet);
  CHECK(score.value == 16);
  CHECK(score.class_rank == 3);    // 11-16 fair
  CHECK(score.scoring_taxa == 8);  // Baetis and Heptageniidae are both mayflies
}

TEST_CASE("the weighted rating takes rare, common and dominant from counts") {
  // Stoneflies 12 -> C 5.6; mayflies 3 -> R 5.0; midges 150 -> D 1.0; worms 5 -> R 1.2; 12.8
  const auto score = stream_score("three-group-abundance", {n("Plecoptera", 12), n("Baetidae", 3),
                                                            n("Chironomidae", 150), n("Oligochaeta", 5)});
  CHECK(score.value == 12.8);
  CHECK(score.class_rank == 3);  // < 20 Poor
}

TEST_CASE("counts of one kind add up before the abundance code is taken") {
  // Two mayfly families of 6: 12 mayflies are common (5.6), not rare twice (10.0). 9 and 10, 99 and 100 are
  // the limits.
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 6), n("Caenidae", 6)}).value == 5.6);
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 9)}).value == 5.0);
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 10)}).value == 5.6);
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 99)}).value == 5.6);
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 100)}).value == 5.3);
}

TEST_CASE("an index of exactly 40.0 stays Fair whatever it is added up from") {
  // Five sensitive kinds common, 5 x 5.6 = 28; four somewhat sensitive dominant, 4 x 3.0 = 12; 40.0
  std::vector<Found> sheet;
  for (const char* name : {"Plecoptera", "Ephemeroptera", "Trichoptera", "Elmidae", "Psephenidae"})
    sheet.push_back(n(name, 20));
  for (const char* name : {"Gammarus", "Asellus", "Sialis", "Athericidae"}) sheet.push_back(n(name, 500));
  CHECK(stream_score("three-group-abundance", sheet).value == 40.0);
  CHECK(stream_score("three-group-abundance", sheet).class_rank == 2);
  // With common clams, 3.4 more: 43.4 is Good.
  sheet.push_back(n("Bivalvia", 20));
  CHECK(stream_score("three-group-abundance", sheet).value == 43.4);
  CHECK(stream_score("three-group-abundance", sheet).class_rank == 1);
}

TEST_CASE("letters count as a code only where their limits lie inside one") {
  // Of its own scheme, and of a scheme with the same or narrower classes.
  CHECK(stream_score("three-group-abundance", {letter("Plecoptera", 10, 99)}).value == 5.6);
  CHECK(stream_score("three-group-abundance", {letter("Plecoptera", 1000, RecordColumns::kOpen)}).value ==
        5.3);
  CHECK(stream_score("three-group-abundance", {letter("Plecoptera", 100, 999)}).value == 5.3);
  for (const Found& vague : {letter("Plecoptera", 5, 20), present("Plecoptera")}) {
    const auto score = stream_score("three-group-abundance", {n("Baetidae", 3), vague});
    CHECK_FALSE(score.has_value);
    CHECK(score.class_rank == 0);
    CHECK(has(score, ScopeReason::kNeedsAbundance));
  }
  // Two rare letters of one kind may be 2 or 18 animals: no single code.
  CHECK_FALSE(
      stream_score("three-group-abundance", {letter("Baetidae", 1, 9), letter("Caenidae", 1, 9)}).has_value);
  // With a hundred counted beside it, a mere presence cannot change the code.
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 100), present("Caenidae")}).value == 5.3);
}

TEST_CASE("a share of the catch stands for the whole when the abundance code is taken") {
  // 30 mayflies in a tenth: 30 / 0.1 = 300, dominant 5.3, not common 5.6. 3 stoneflies: 30, common 5.6. 10.9
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 30), n("Plecoptera", 3)}, 0.1).value == 10.9);
  // One stonefly in a third is three: rare 5.0. Two lines of one kind: (2 + 1) / 0.3 = 10, common 5.6.
  CHECK(sorted_score("three-group-abundance", {n("Plecoptera", 1)}, 1.0 / 3.0).value == 5.0);
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 2), n("Caenidae", 1)}, 0.3).value == 5.6);
  // To whole animals: 19 / 0.2 = 95 common; 5 / 0.526 = 9.506, ten, common; 4 / 0.43 = 9.302, nine, rare.
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 19)}, 0.2).value == 5.6);
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 5)}, 0.526).value == 5.6);
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 4)}, 0.43).value == 5.0);
  // A letter says how many there were; a share of 1 is the whole catch.
  CHECK(sorted_score("three-group-abundance", {letter("Plecoptera", 10, 99)}, 0.1).value == 5.6);
  CHECK(sorted_score("three-group-abundance", {n("Baetidae", 30)}, 1).value == 5.6);
}

TEST_CASE("a record below a certainty of a half counts in nothing") {
  // Baetidae 4 + Gammaridae 6; Perlidae 10 is too uncertain. 0.5 is usable.
  const std::vector<Found> sheet = {n("Baetidae", 60), unsure(n("Gammaridae", 60), 0.5F),
                                    unsure(n("Perlidae", 60), 0.49F)};
  const auto bmwp = stream_score("bmwp-a", sheet, kBmwp);
  CHECK(bmwp.value == 10);
  CHECK(bmwp.scoring_taxa == 2);
  CHECK(bmwp.unscored_taxa == 1);
  // (4 x 60 + 4 x 60) / 120; 60 and 30 sure ones are below a hundred whatever the doubtful ones are.
  CHECK(stream_score("family-biotic-index", sheet).value == 4);
  CHECK_FALSE(
      stream_score("family-biotic-index", {n("Baetidae", 90), unsure(n("Perlidae", 60), 0.1F)}).in_scope);
  CHECK(stream_score("family-richness", sheet).value == 2);
  CHECK(stream_score("family-richness", sheet).unscored_taxa == 1);
  // Nine sure mayflies stay rare.
  CHECK(stream_score("three-group-abundance", {n("Baetidae", 9), unsure(n("Caenidae", 9), 0.3F)}).value ==
        5.0);
  // A doubtful finer name does not cover a sure coarser one; a sure record of the same name scores.
  CHECK(stream_score("ept-richness", {n("Baetidae", 1), unsure(n("Baetis", 1), 0.3F)}).value == 1);
  const auto both = stream_score("bmwp-a", {unsure(n("Baetidae", 1), 0.3F), n("Baetidae", 1)}, kBmwp);
  CHECK(both.value == 4);
  CHECK(both.unscored_taxa == 0);
  // Found, but what could score is too uncertain: not the same as nothing that could score.
  CHECK(has(stream_score("bmwp-a", {n("Copepoda", 9), unsure(n("Baetidae", 1), 0.3F)}),
            ScopeReason::kTooUncertain));
  CHECK(has(stream_score("bmwp-a", {n("Copepoda", 9), unsure(n("Cladocera", 1), 0.3F)}),
            ScopeReason::kNoScoringTaxa));
}

TEST_CASE("a doubt in words alone still scores") {
  CHECK(stream_score("bmwp-a", {marked(n("Baetidae", 6), "cf.")}).value == 4);
  CHECK(stream_score("bmwp-a", {marked(unsure(n("Baetidae", 6), 0.8F), "?")}).value == 4);
}

TEST_CASE("families split off later score within the line that older tables count them in") {
  // BMWP: Ameletidae in Siphlonuridae 10, Apataniidae in Limnephilidae 7; each pair once: 17.
  for (const char* id : {"bmwp-a", "bmwp-b"}) {
    CHECK(stream_score(id, {n("Ameletus", 1), n("Apatania", 1)}).value == 17);
    CHECK(stream_score(id, {n("Ameletus", 1), n("Siphlonuridae", 2), n("Apatania", 1), n("Limnephilidae", 3)})
              .value == 17);
  }
  // FBI: Ameletidae 7, Isonychiidae 2, Apataniidae 4, Uenoidae 4, Crangonyctidae 4, 40 each:
  // 40 x (7 + 2 + 4 + 4 + 4) / 200 = 840 / 200 = 4.2
  const auto fbi =
      stream_score("family-biotic-index", {n("Ameletus", 40), n("Isonychia", 40), n("Apatania", 40),
                                           n("Neophylax", 40), n("Crangonyctidae", 40)});
  CHECK(fbi.value == 4.2);
  CHECK(fbi.scoring_taxa == 4);  // Apataniidae and Uenoidae are one line
  CHECK(fbi.unscored_taxa == 0);
}

TEST_CASE("letters and presence are enough where a method only asks what is there") {
  CHECK(stream_score("bmwp-a", {letter("Baetidae", 5, 20), present("Gammaridae")}).value == 10);
  CHECK(stream_score("three-group-count", {letter("Baetidae", 5, 20), present("Gammaridae")}).value == 5);
}

TEST_CASE("a line for larvae takes larvae and unknown stages, not adults") {
  CHECK(stream_score("three-group-count", {n("Dytiscus", 1, LifeStage::kLarva)}).value == 2);
  CHECK(stream_score("three-group-count", {n("Dytiscus", 1)}).value == 2);
  const auto adult = stream_score("three-group-count", {n("Dytiscus", 1, LifeStage::kAdult), n("Elmis", 1)});
  CHECK(adult.value == 3);  // only the riffle beetle, whose line names no stage
  CHECK(adult.scoring_taxa == 1);
  CHECK(adult.unscored_taxa == 1);
  // Adult and larva of one name: the name scores.
  const auto mixed = stream_score("three-group-count",
                                  {n("Dytiscus", 1, LifeStage::kAdult), n("Dytiscus", 4, LifeStage::kLarva)});
  CHECK(mixed.value == 2);
  CHECK(mixed.unscored_taxa == 0);
}

TEST_CASE("the nearest line decides: riffle beetles and water pennies are not the other beetles") {
  // Elmidae 3, Psephenidae 3, other beetle larvae 2
  CHECK(stream_score("three-group-count", {n("Elmidae", 1), n("Psephenus", 1), n("Haliplus", 1)}).value == 8);
  // Corydalidae alone may be a dobsonfly (sensitive) or a fishfly (somewhat): no line takes it.
  const auto vague =
      stream_score("three-group-count", {n("Corydalidae", 1), n("Corydalus", 1), n("Nigronia", 1)});
  CHECK(vague.value == 5);
  CHECK(vague.unscored_taxa == 1);
}

TEST_CASE("too coarse, unlisted and foreign names are counted as unscored taxa") {
  // Trichoptera is no family; "wriggly thing" is unlisted; Copepoda has no score; Baetidae twice is one
  // taxon.
  const auto score = stream_score("bmwp-a", {n("Baetidae", 2), n("Baetidae", 1), n("Trichoptera", 2),
                                             present("wriggly thing"), n("Copepoda", 4), n("Copepoda", 1)});
  CHECK(score.value == 4);
  CHECK(score.scoring_taxa == 1);
  CHECK(score.unscored_taxa == 3);
}

TEST_CASE("an unlisted name scores through the family it was placed in, never by its own spelling") {
  SurveyBuilder b;
  b.own_taxon("Baetis of my brook", "Baetidae");
  const auto sample = b.stream_sample({n("Baetis of my brook", 2)});
  CHECK(score_of(b, "bmwp-a", 0, sample).value == 4);
  SurveyBuilder c;
  c.own_taxon("Gammaridae", "");  // the surveyor's own name, whatever it looks like
  CHECK_FALSE(score_of(c, "bmwp-a", 0, c.stream_sample({n("Gammaridae", 2)})).has_value);
}

TEST_CASE("EPT richness counts distinct names, a coarser one only when nothing finer is there") {
  // Baetis and Caenis are in; Ephemeroptera and Baetidae are covered by Baetis; Leuctridae counts; Gammarus
  // is none.
  const auto score =
      stream_score("ept-richness", {n("Ephemeroptera", 1), n("Baetidae", 1), n("Baetis", 3), n("Baetis", 2),
                                    n("Caenis", 1), present("Leuctridae"), n("Gammarus", 8)});
  CHECK(score.value == 3);
  CHECK(score.scoring_taxa == 3);
  CHECK(score.unscored_taxa == 1);
  CHECK(score.class_rank == 0);
  CHECK(stream_score("ept-richness", {n("Ephemeroptera", 1)}).value == 1);
  SurveyBuilder b;
  b.own_taxon("Caenis of my brook", "Caenis");
  CHECK(score_of(b, "ept-richness", 0, b.stream_sample({n("Caenis", 1), n("Caenis of my brook", 2)})).value ==
        1);
}

TEST_CASE("an absent finer name does not cover a coarser one") {
  CHECK(stream_score("ept-richness", {n("Baetidae", 1), absent("Baetis")}).value == 1);
}

TEST_CASE("an EPT richness of 0 is given only when everything found is known to lie outside") {
  const auto worms = stream_score("ept-richness", {n("Oligochaeta", 9), n("Gammarus", 1)});
  CHECK(worms.has_value);
  CHECK(worms.value == 0);
  for (const char* vague : {"Insecta", "wriggly thing"}) {
    const auto score = stream_score("ept-richness", {n("Oligochaeta", 9), n(vague, 1)});
    CHECK_FALSE(score.has_value);
    CHECK(has(score, ScopeReason::kNoScoringTaxa));
    CHECK(stream_score("ept-richness", {n("Baetis", 9), n(vague, 1)}).value == 1);
  }
}

TEST_CASE("an EPT richness of 0 is given when all three orders were looked for and absent") {
  const std::vector<Found> none = {absent("Ephemeroptera"), absent("Plecoptera"), absent("Trichoptera")};
  const auto with = [](std::vector<Found> sheet, const std::vector<Found>& more) {
    sheet.insert(sheet.end(), more.begin(), more.end());
    return stream_score("ept-richness", sheet);
  };
  for (const std::vector<Found>& beside : {std::vector<Found>{},
                                           {present("wriggly thing")},
                                           {n("Insecta", 3)},
                                           {unsure(n("Gammarus", 1), 0.2F)}}) {
    const auto score = with(none, beside);
    CHECK(score.has_value);
    CHECK(score.value == 0);
    CHECK(score.reasons == 0);
  }
  CHECK(stream_score("ept-richness", {absent("Insecta")}).has_value);  // that covers all three
  CHECK(with(none, {n("Baetis", 1)}).value == 1);                      // what was found was found
  // Two orders, a family of the third, or an uncertain absence do not cover the set.
  const auto two = stream_score("ept-richness", {absent("Ephemeroptera"), absent("Plecoptera")});
  CHECK(two.reasons == static_cast<std::uint16_t>(ScopeReason::kNothingFound));
  CHECK_FALSE(
      stream_score("ept-richness", {absent("Ephemeroptera"), absent("Plecoptera"), absent("Hydropsychidae")})
          .has_value);
  CHECK_FALSE(stream_score("ept-richness", {absent("Ephemeroptera"), absent("Plecoptera"),
                                            unsure(absent("Trichoptera"), 0.2F)})
                  .has_value);
  // A doubtful mayfly is not none.
  CHECK(has(with(none, {unsure(n("Baetis", 1), 0.2F)}), ScopeReason::kTooUncertain));
  CHECK(has(stream_score("ept-richness", {n("Oligochaeta", 9), unsure(n("Baetis", 1), 0.2F)}),
            ScopeReason::kTooUncertain));
}

TEST_CASE("family richness counts families, through whatever finer name") {
  // Baetidae (twice), Caenidae, Gammaridae = 3; Trichoptera is coarser than a family
  const auto score = stream_score("family-richness", {n("Baetis", 1), n("Cloeon", 1), n("Caenis", 1),
                                                      n("Gammaridae", 1), n("Trichoptera", 1)});
  CHECK(score.value == 3);
  CHECK(score.scoring_taxa == 3);
  CHECK(score.unscored_taxa == 1);
  CHECK_FALSE(stream_score("family-richness", {n("Trichoptera", 1)}).has_value);
  CHECK(stream_score("family-richness", {n("Chironomus", 1), n("Micronecta", 1)}).value == 2);
}

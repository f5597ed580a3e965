#include <doctest/doctest.h>

#include <set>

#include "tests/core/scoring/survey_builder.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::test;  // the field sheet's words
namespace core = brookmark::core;

namespace {

std::vector<core::RecordPart> explain(const std::string& method_id, const std::vector<Found>& sheet,
                                      std::size_t metric = 0, WaterKind kind = WaterKind::kStream,
                                      SampleKind sample_kind = SampleKind::kRoutine) {
  SurveyBuilder b;
  const SampleIndex sample = b.sample(b.site("S1", kind), "2024-05-03", sheet, sample_kind);
  const core::Method& method = *core::find_method(method_id);
  return core::explain_sample(b.snapshot(), method, method.metrics[metric], sample);
}

bool says(const core::RecordPart& part, const std::string& words) {
  INFO(part.why);
  CHECK(part.why.ends_with("."));  // a full sentence
  return part.why.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("every record has its sentence, absent ones too") {
  const auto parts = explain("bmwp-a", {n("Baetis", 40), absent("Perlidae"), n("Trichoptera", 2),
                                        present("wriggly thing"), n("Copepoda", 4), n("Baetidae", 1)});
  REQUIRE(parts.size() == 6);
  CHECK(parts[0].contributes);
  CHECK(parts[0].unit == "Baetidae");
  CHECK(parts[0].value == 4.0);
  CHECK(parts[0].weight == 1.0);
  CHECK(says(parts[0], "Scores 4 as \"Baetidae\" through \"Baetis\"."));
  CHECK(parts[0].confirmed == core::Confirmed::kMemory);  // Baetidae 4 is recalled, as its row says
  CHECK(parts[0].source.find("BMWP") == std::string::npos);
  CHECK(parts[0].source.find("Biological Monitoring Working Party 1978") != std::string::npos);
  CHECK(says(parts[1], "\"Perlidae\" was looked for and not found"));
  CHECK(says(parts[2], "Identified to order (Trichoptera); this method needs family."));
  CHECK(
      says(parts[3], "\"wriggly thing\" is not in the checklist; it is kept as a taxon and does not score."));
  CHECK(says(parts[4], "Copepoda is not in the method's table."));
  CHECK(says(parts[5], "Already counted: \"Baetidae\" counts once in a sample, here through \"Baetis\"."));
  for (std::size_t i = 1; i < parts.size(); ++i) {
    CHECK(parts[i].record.value() == i);
    CHECK_FALSE(parts[i].contributes);
    CHECK_FALSE(parts[i].weight.has_value());
  }
}

TEST_CASE(
    "a second family of a composite says through which it was counted, and that the pairing is recalled") {
  const auto parts = explain("bmwp-a", {n("Glossosoma", 1), n("Rhyacophila", 1)});
  CHECK(says(parts[0], "Scores 7 as \"Rhyacophilidae\" through \"Glossosoma\"."));
  CHECK(says(parts[0], "which families are counted together is recalled (memory)."));
  CHECK(says(parts[1], "here through \"Glossosoma\"."));
}

TEST_CASE("a record that scores through another member than the line's own name shows the weaker word") {
  // Rhyacophilidae 7 and Tipulidae 5 were read in a text quoting them; what is counted with them is recalled.
  const auto word = [](const std::string& name) { return explain("bmwp-a", {n(name, 1)})[0].confirmed; };
  CHECK(word("Rhyacophilidae") == core::Confirmed::kSecondary);
  CHECK(word("Rhyacophila") == core::Confirmed::kSecondary);
  CHECK(word("Glossosomatidae") == core::Confirmed::kMemory);
  CHECK(word("Agapetus") == core::Confirmed::kMemory);
  CHECK(word("Siphlonuridae") == core::Confirmed::kSecondary);
  CHECK(word("Ameletidae") == core::Confirmed::kMemory);
  CHECK(word("Tipulidae") == core::Confirmed::kSecondary);
  CHECK(word("Tipuloidea") == core::Confirmed::kMemory);
  CHECK(word("Limoniidae") == core::Confirmed::kMemory);
  CHECK(word("Elmidae") == core::Confirmed::kSecondary);  // printed as Elmidae (= Elminthidae)
}

TEST_CASE("a record too uncertain to use says so, and a doubt in words is said where it scores") {
  const auto parts =
      explain("bmwp-a", {unsure(n("Perlidae", 3), 0.3F), marked(n("Baetidae", 6), "cf. (larvae)"),
                         marked(n("Gammaridae", 1), "?"), marked(n("Asellidae", 1), "sp."),
                         marked(n("Copepoda", 1), "maybe"), marked(n("Caenidae", 1), "Prob.")});
  CHECK(says(parts[0], "\"Perlidae\" is too uncertain to use (certainty 0.3)."));
  CHECK_FALSE(parts[0].contributes);
  CHECK(parts[0].unit.empty());
  CHECK(says(parts[1], "It is marked \"cf.\" by the surveyor."));
  CHECK(parts[1].contributes);
  CHECK(says(parts[2], "marked \"?\" by the surveyor"));
  CHECK_FALSE(says(parts[3], "marked"));
  CHECK_FALSE(says(parts[4], "marked"));  // it does not score
  CHECK(says(parts[5], "marked \"Prob.\" by the surveyor"));
  const auto rich = explain("ept-richness", {marked(n("Baetis", 6), "aff."), unsure(n("Caenis", 6), 0.25F)});
  CHECK(says(rich[0], "marked \"aff.\" by the surveyor"));
  CHECK(says(rich[1], "(certainty 0.25)"));
}

TEST_CASE("a code that rests on a share of the catch says so") {
  SurveyBuilder b;
  const SampleIndex s = b.sample(b.site("S1", WaterKind::kStream), "2024-05-03",
                                 {n("Baetidae", 20), n("Caenidae", 10)}, SampleKind::kRoutine, 0.1);
  const core::Method& method = *core::find_method("three-group-abundance");
  const auto parts = core::explain_sample(b.snapshot(), method, method.metrics[0], s);
  CHECK(parts[0].value == 5.3);  // 30 / 0.1 = 300: dominant
  CHECK(says(parts[0], "A count of 30 in the sorted share of 0.1 stands for 300 in the whole catch."));
  CHECK_FALSE(says(parts[1], "stands for"));
  CHECK_FALSE(says(explain("three-group-abundance", {n("Baetidae", 20)})[0], "share"));
}

TEST_CASE("absences that make a richness 0 are part of the finding") {
  const auto none = explain("ept-richness", {absent("Ephemeroptera"), absent("Plecoptera"),
                                             absent("Trichoptera"), absent("Asellus")});
  CHECK(says(none[0], "was looked for and not found; that is part of finding none of the set."));
  CHECK(says(none[3], "an absence scores nothing."));
  CHECK(says(explain("ept-richness", {absent("Ephemeroptera")})[0], "an absence scores nothing."));
}

TEST_CASE("the parts of a weighted mean give its value again") {
  const std::vector<Found> sheet = {n("Baetis", 60), n("Caenis", 7), n("Baetidae", 5), n("Asellus", 60),
                                    n("Lymnaea", 9)};
  const auto parts = explain("family-biotic-index", sheet);
  double sum = 0, weight = 0;
  for (const core::RecordPart& part : parts)
    if (part.contributes) {
      sum += part.value.value() * part.weight.value();
      weight += part.weight.value();
    }
  CHECK(weight == 132);  // 60 + 7 + 5 + 60; the snail is not on the list
  CHECK(near(sum / weight, stream_score("family-biotic-index", sheet).value,
             1e-12));  // two divisions in doubles
  CHECK(says(parts[2], "weighted by its count of 5."));
}

TEST_CASE("the parts of a sum give its value again, for every method and any sheet") {
  const std::vector<Found> sheet = {
      n("Baetis", 6), n("Caenis", 7),   n("Plecoptera", 120),  n("Tubifex", 3),     n("Gammarus", 30),
      n("Physa", 2),  n("Elmidae", 11), n("Ephemeroptera", 1), n("Corydalidae", 1), n("Baetis", 2)};
  for (const core::Method& method : core::shipped_methods())
    for (std::size_t m = 0; m < method.metrics.size(); ++m) {
      const core::FormulaKind formula = method.metrics[m].formula;
      if (formula == core::FormulaKind::kMeanScore || formula == core::FormulaKind::kWeightedMean) continue;
      const bool share = core::uses_set(formula) && formula != core::FormulaKind::kRichness;
      double sum = 0, weights = 0;
      std::size_t contributing = 0;
      std::set<std::string> names;
      const auto parts = explain(method.id, sheet, m);
      for (std::size_t i = 0; i < parts.size(); ++i) {
        if (!parts[i].contributes) continue;
        sum += parts[i].value.value() * parts[i].weight.value();
        weights += parts[i].weight.value();
        names.insert(sheet[i].name);
        ++contributing;
      }
      INFO(method.id, " ", method.metrics[m].id);
      const auto score = stream_score(method.id, sheet, m);
      if (share && score.has_value) sum *= 100 / weights;
      CHECK(near(sum, score.value, 1e-9));  // weights of one decimal added in doubles; percentages
      if (score.has_value) CHECK((share ? names.size() : contributing) == score.scoring_taxa);
      if (!score.has_value) CHECK(contributing == 0);
    }
}

TEST_CASE("group weights name group and code, both sources, and the weaker confirmation") {
  const auto coded = explain("three-group-abundance", {n("Baetis", 6), n("Caenis", 7)});
  CHECK(coded[0].group == "sensitive");
  CHECK(coded[0].value == 5.6);  // 13 mayflies: common
  CHECK(says(coded[0],
             "Adds 5.6 as \"Mayfly nymphs\" through \"Baetis\", group \"sensitive\", abundance code C."));
  CHECK(says(coded[1], "Its animals are added to the number behind the code C."));
  const auto counted = explain("three-group-count", {present("Gammarus")});
  CHECK(counted[0].value == 2.0);
  CHECK(counted[0].confirmed == core::Confirmed::kMemory);  // the multiplier was read, the group is recalled
  CHECK(counted[0].source.find("EPA 841-B-97-003") != std::string::npos);
  CHECK(counted[0].source.find("; ") != std::string::npos);
}

TEST_CASE("another life stage is said") {
  const auto parts = explain("three-group-count", {n("Dytiscus", 1, LifeStage::kAdult), n("Elmis", 1)});
  CHECK(says(parts[0],
             "Recorded as adult; the line \"Beetle larvae (other than riffle beetle/water penny)\" counts "
             "only larva."));
  CHECK_FALSE(parts[0].contributes);
}

TEST_CASE("a name that could be in two groups is too coarse where the method knows no rank") {
  const auto parts = explain("three-group-count", {n("Corydalidae", 1)});
  CHECK(says(parts[0], "Identified to family (Corydalidae); this method needs a finer name."));
}

TEST_CASE("where a sample has no value no record contributes, and each says why") {
  const auto uncounted = explain("family-biotic-index", {n("Baetidae", 200), present("Leuctridae")});
  CHECK_FALSE(uncounted[0].contributes);
  CHECK(says(uncounted[0], "The sample has no value, though: no value: the method needs counts"));
  CHECK(says(uncounted[1], "the record gives no count"));
  const auto vague = explain("three-group-abundance", {n("Baetidae", 20), present("Plecoptera")});
  CHECK_FALSE(vague[0].contributes);
  CHECK(says(vague[1], "fits no single abundance code"));
  for (const core::Method& method : core::shipped_methods())
    for (const auto& part :
         explain(method.id, {n("Baetidae", 200)}, 0, WaterKind::kStream, SampleKind::kBlank)) {
      CHECK_FALSE(part.contributes);
      CHECK_FALSE(part.why.empty());
    }
}

TEST_CASE("out of scope the value still opens into its parts") {
  const auto parts = explain("bmwp-a", {n("Baetidae", 2)}, 0, WaterKind::kPond);
  CHECK(parts[0].contributes);
  CHECK(parts[0].value == 4.0);
}

TEST_CASE("richness says which name counts, which is covered and which is outside") {
  const auto parts =
      explain("ept-richness", {n("Ephemeroptera", 1), n("Baetis", 2), n("Baetis", 4), n("Gammarus", 1),
                               n("Insecta", 1), present("wriggly thing"), absent("Perla")});
  CHECK(says(parts[0], "A finer name within it, \"Baetis\", is in the sample and counts instead."));
  CHECK(says(parts[1], "Counts as a taxon of its own."));
  CHECK(parts[1].contributes);
  CHECK(says(parts[2], "Already counted: Baetis counts once in a sample"));
  CHECK(says(parts[3], "Gammarus is none of Ephemeroptera, Plecoptera or Trichoptera."));
  CHECK(says(parts[4], "It may or may not be one of the set."));
  CHECK(says(parts[5], "is not in the checklist"));
  CHECK(says(parts[6], "looked for and not found"));
  const auto families =
      explain("family-richness", {n("Baetis", 2), n("Trichoptera", 1), present("wriggly thing")});
  CHECK(says(families[0], "Counts as the family Baetidae."));
  CHECK(says(families[1], "Identified to order (Trichoptera); this metric counts families."));
  CHECK(says(families[2], "is not in the checklist and not placed in a family"));
}

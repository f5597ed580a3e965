#include "core/taxa/checklist.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "core/base/error.hpp"
#include "tests/support/near.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::core::Checklist;
using brookmark::core::LifeStage;
using brookmark::core::name_match_name;
using brookmark::core::NameMatch;
using brookmark::core::NameProposal;
using brookmark::core::NameResult;
using brookmark::core::ProposalKind;
using brookmark::core::Rank;
using brookmark::core::Taxon;

namespace {

// A list small enough to know by heart, so that no expectation hangs on the shipped one.
const char* const kSmall =
    "name,rank,parent,synonyms,common_names,source_key\n"
    "Insecta,class,,,insect,s\n"
    "Ephemeroptera,order,Insecta,,mayfly|up-winged fly,s\n"
    "Baetidae,family,Ephemeroptera,,,s\n"
    "Baetis,genus,Baetidae,,,s\n"
    "Heptageniidae,family,Ephemeroptera,Ecdyonuridae,,s\n"
    "Ecdyonurus,genus,Heptageniidae,Ecdyurus,,s\n"
    "Diptera,order,Insecta,,,s\n"
    "Simuliidae,family,Diptera,,black fly,s\n"
    "Tipuloidea,superfamily,Diptera,Tipulidae s.l.,crane fly,s\n"
    "Culicidae,family,Diptera,,mosquito,s\n"
    "Corixidae,family,Insecta,,lesser water boatman,s\n"
    "Asellidae,family,,,water louse,s\n"
    "Hirudinea,subclass,,,leech,s\n"
    "Planorbidae,family,,,ram's-horn snail,s\n"
    "Gammaridae,family,,,freshwater shrimp,s\n"
    "Gammarus,genus,Gammaridae,,,s\n";

const Checklist& small_list() {
  static const Checklist list = Checklist::from_csv(kSmall, "small.csv");
  return list;
}

// "Baetis<Baetidae<Ephemeroptera<Insecta"
std::string lineage_of(const NameResult& result) {
  std::string text;
  for (const Taxon& taxon : result.lineage) text += (text.empty() ? "" : "<") + taxon.name;
  return text;
}

struct Expected {
  const char* written;
  const char* name;
  NameMatch match;
  const char* qualifier;
};

void check_each(const std::vector<Expected>& cases) {
  for (const Expected& expected : cases) {
    CAPTURE(expected.written);
    const NameResult result = small_list().match(expected.written);
    CHECK(result.lineage.at(0).name == expected.name);
    CHECK(name_match_name(result.match) == std::string(name_match_name(expected.match)));
    CHECK(result.qualifier == expected.qualifier);
  }
}

}  // namespace

TEST_CASE("an accepted name brings its whole lineage, ready to store") {
  const NameResult result = small_list().match("Baetis");
  CHECK(result.match == NameMatch::kAccepted);
  CHECK(lineage_of(result) == "Baetis<Baetidae<Ephemeroptera<Insecta");
  CHECK(result.lineage[0].key == "checklist:Baetis");
  CHECK(result.lineage[0].parent_key == "checklist:Baetidae");
  CHECK(result.lineage[0].rank == Rank::kGenus);
  CHECK(result.lineage[3].parent_key.empty());
  for (const Taxon& taxon : result.lineage) CHECK(taxon.listed);
  CHECK(result.proposals.empty());
}

TEST_CASE("case, spacing, underscores and accents do not change a name") {
  check_each({{"BAETIDAE", "Baetidae", NameMatch::kAccepted, ""},
              {"baetidae", "Baetidae", NameMatch::kAccepted, ""},
              {"  Baetidae\t", "Baetidae", NameMatch::kAccepted, ""},
              {"_Baetidae_", "Baetidae", NameMatch::kAccepted, ""},
              {"Baëtidæ", "Baetidae", NameMatch::kAccepted, ""},
              {"lesser__water   Boatman", "Corixidae", NameMatch::kCommonName, ""},
              {"lesser\xC2\xA0water boatman", "Corixidae", NameMatch::kCommonName, ""}});
}

TEST_CASE("a synonym leads to the accepted name and says that it was a synonym") {
  check_each({{"Ecdyonuridae", "Heptageniidae", NameMatch::kSynonym, ""},
              {"ecdyurus", "Ecdyonurus", NameMatch::kSynonym, ""},
              {"Tipulidae s.l.", "Tipuloidea", NameMatch::kSynonym, ""},
              {"Tipulidae  S L", "Tipuloidea", NameMatch::kSynonym, ""}});
}

TEST_CASE("a common name matches in singular and plural, with and without hyphens and apostrophes") {
  check_each({{"mayfly", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"Mayflies", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"may-flies", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"May fly", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"up winged flies", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"blackfly", "Simuliidae", NameMatch::kCommonName, ""},
              {"Black Flies", "Simuliidae", NameMatch::kCommonName, ""},
              {"leeches", "Hirudinea", NameMatch::kCommonName, ""},
              {"mosquitoes", "Culicidae", NameMatch::kCommonName, ""},
              {"mosquitos", "Culicidae", NameMatch::kCommonName, ""},
              {"water lice", "Asellidae", NameMatch::kCommonName, ""},
              {"lesser water boatmen", "Corixidae", NameMatch::kCommonName, ""},
              {"Rams horn snails", "Planorbidae", NameMatch::kCommonName, ""},
              {"ram\xE2\x80\x99s horn snail", "Planorbidae", NameMatch::kCommonName, ""}});
}

TEST_CASE("a family's English short form counts as a common name") {
  check_each({{"baetid", "Baetidae", NameMatch::kCommonName, ""},
              {"simuliids", "Simuliidae", NameMatch::kCommonName, ""}});
}

TEST_CASE("articles, qualifiers and life stages are taken off and kept") {
  check_each({{"Baetis sp.", "Baetis", NameMatch::kAccepted, "sp."},
              {"Baetis_sp", "Baetis", NameMatch::kAccepted, "sp"},
              {"Baetis spp", "Baetis", NameMatch::kAccepted, "spp"},
              {"cf. Baetis", "Baetis", NameMatch::kAccepted, "cf."},
              {"cf.Baetis", "Baetis", NameMatch::kAccepted, "cf."},
              {"Baetidae?", "Baetidae", NameMatch::kAccepted, "?"},
              {"? Baetidae", "Baetidae", NameMatch::kAccepted, "?"},
              {"Baetidae gen. sp.", "Baetidae", NameMatch::kAccepted, "gen. sp."},
              {"Baetidae indet.", "Baetidae", NameMatch::kAccepted, "indet."},
              {"Baetidae (juv.)", "Baetidae", NameMatch::kAccepted, "(juv.)"},
              {"mayfly nymphs", "Ephemeroptera", NameMatch::kCommonName, ""},
              {"a crane fly larva", "Tipuloidea", NameMatch::kCommonName, ""},
              {"the Black-fly larvae", "Simuliidae", NameMatch::kCommonName, ""},
              {"possibly a mayfly", "Ephemeroptera", NameMatch::kCommonName, "possibly"},
              {"a Baetis sp. larva", "Baetis", NameMatch::kAccepted, "sp."}});
}

TEST_CASE("a species of a listed genus becomes a taxon of its own below that genus") {
  const NameResult result = small_list().match("Baetis_rhodani");
  CHECK(result.match == NameMatch::kGenusOfBinomial);
  CHECK(lineage_of(result) == "Baetis rhodani<Baetis<Baetidae<Ephemeroptera<Insecta");
  CHECK(result.lineage[0].key == "own:baetis rhodani");
  CHECK(result.lineage[0].rank == Rank::kSpecies);
  CHECK_FALSE(result.lineage[0].listed);
  CHECK(result.lineage[0].parent_key == "checklist:Baetis");
  CHECK(result.lineage[1].listed);
  CHECK(result.proposals.empty());
}

TEST_CASE("one species has one key, however its name is written") {
  for (const char* written : {"Baetis rhodani", "BAETIS RHODANI", "baetis  rhodani", "Baetis Rhodani",
                              "Baetis rhodani (Pictet, 1843)", "Baetis rhodani Pictet, 1843",
                              "Baetis rhodani Pictet", "Baetis (Baetis) rhodani", "Baetis cf. rhodani"}) {
    CAPTURE(written);
    const NameResult result = small_list().match(written);
    CHECK(result.lineage.at(0).key == "own:baetis rhodani");
    CHECK(result.lineage.at(0).name == "Baetis rhodani");
    CHECK(result.match == NameMatch::kGenusOfBinomial);
  }
  CHECK(small_list().match("Baetis cf. rhodani").qualifier == "cf.");
  CHECK(small_list().match("Baetis rhodani agg.").qualifier == "agg.");
}

TEST_CASE("a species under a synonym of its genus keeps the name as written and the accepted genus above") {
  CHECK(lineage_of(small_list().match("Ecdyurus venosus")) ==
        "Ecdyurus venosus<Ecdyonurus<Heptageniidae<Ephemeroptera<Insecta");
}

TEST_CASE("numbered unknown species stay apart from each other") {
  const NameResult a = small_list().match("Baetis sp. A");
  CHECK(a.match == NameMatch::kGenusOfBinomial);
  CHECK(lineage_of(a) == "Baetis sp. A<Baetis<Baetidae<Ephemeroptera<Insecta");
  CHECK(a.qualifier == "sp.");
  CHECK(small_list().match("Baetis sp.2").lineage[0].key == "own:baetis sp 2");
  CHECK(lineage_of(small_list().match("Baetidae sp. 1")) == "Baetidae sp. 1<Baetidae<Ephemeroptera<Insecta");
}

TEST_CASE("a name with its authority and year is the name") {
  check_each({{"Baetis Leach, 1815", "Baetis", NameMatch::kAccepted, ""},
              {"Baetis (Leach, 1815)", "Baetis", NameMatch::kAccepted, ""},
              {"Baetidae Leach, 1815", "Baetidae", NameMatch::kAccepted, ""}});
}

TEST_CASE("two names in one cell are not read as one of them") {
  for (const char* written :
       {"Baetis and Ecdyonurus", "Baetis Ecdyonurus", "Baetis/Ecdyonurus", "Gammarus freshwater shrimp",
        "Baetis rhodani Ecdyonurus venosus", "Gammarus mayfly"}) {
    CAPTURE(written);
    const NameResult result = small_list().match(written);
    CHECK(result.match == NameMatch::kNone);
    CHECK_FALSE(result.lineage.at(0).listed);
  }
}

TEST_CASE("a misspelt name is only proposed, with its distance") {
  const NameResult result = small_list().match("Ecdyonorus_sp");
  CHECK(result.match == NameMatch::kNone);
  CHECK(lineage_of(result) == "Ecdyonorus");
  CHECK(result.lineage[0].key == "own:ecdyonorus");
  CHECK_FALSE(result.lineage[0].listed);
  CHECK(result.qualifier == "sp");
  REQUIRE_FALSE(result.proposals.empty());
  CHECK(result.proposals[0].name == "Ecdyonurus");
  CHECK(result.proposals[0].matched_on == "Ecdyonurus");
  CHECK(result.proposals[0].distance == 1);  // o for u
  // One vowel for another weighs 0.6: 1 - 0.6 / 10 letters. The weights are held as floats.
  CHECK(brookmark::test::near(result.proposals[0].score, 0.94, 1e-7));
}

TEST_CASE("a misspelt genus of a species is proposed as a genus") {
  const NameResult result = small_list().match("Ecdyonorus venosus");
  CHECK(result.match == NameMatch::kNone);
  REQUIRE_FALSE(result.proposals.empty());
  CHECK(result.proposals[0].name == "Ecdyonurus");
}

TEST_CASE("proposals are at most three, one a taxon, nearest first, within a third of the length") {
  const Checklist list = Checklist::from_csv(
      "name,rank,parent,synonyms,common_names,source_key\n"
      "Abcdwp,genus,,Abcdwk,,s\nAbcdkp,genus,,,,s\nAbcdnp,genus,,,,s\nAbcdlp,genus,,,,s\nAbkpnl,genus,,,,s\n",
      "letters.csv");
  const std::vector<NameProposal> found = list.propose("Abcdwt");
  REQUIRE(found.size() == 3);
  CHECK(found[0].name == "Abcdwp");  // 1 letter away, as is its synonym
  CHECK(found[0].matched_on == "Abcdwp");
  CHECK(found[0].distance == 1);
  CHECK(found[0].kind == ProposalKind::kSpelling);
  CHECK(found[1].distance == 2);
  CHECK(found[2].distance == 2);
  CHECK(found[1].name == "Abcdkp");  // equal scores in alphabetical order
  CHECK(found[2].name == "Abcdlp");
  CHECK(list.propose("Abcdwt", 1).size() == 1);
  CHECK(list.propose("Azzzzq").empty());  // 4 or more of 6 letters, more than a third
  CHECK(list.propose("Xy").empty());
}

TEST_CASE("a name that is not listed stands under the nearest listed higher taxon of the file") {
  const std::vector<std::string> higher = {"Torleya", "", "Heptageniidae", "Ephemeroptera"};
  const NameResult result = small_list().match("Torleya major", higher);
  CHECK(result.match == NameMatch::kHigherTaxon);
  CHECK(lineage_of(result) == "Torleya major<Heptageniidae<Ephemeroptera<Insecta");
  CHECK_FALSE(result.lineage[0].listed);
  CHECK(result.lineage[0].parent_key == "checklist:Heptageniidae");
}

TEST_CASE("a placed misspelling still brings its proposals") {
  const std::vector<std::string> higher = {"Ephemeroptera"};
  const NameResult result = small_list().match("Ecdyonorus_sp", higher);
  CHECK(lineage_of(result) == "Ecdyonorus<Ephemeroptera<Insecta");
  REQUIRE_FALSE(result.proposals.empty());
  CHECK(result.proposals[0].name == "Ecdyonurus");
}

TEST_CASE("higher taxa do not touch a name that is listed itself") {
  const std::vector<std::string> higher = {"Diptera"};
  CHECK(lineage_of(small_list().match("Baetidae", higher)) == "Baetidae<Ephemeroptera<Insecta");
}

TEST_CASE("an unsure name without a taxon stays what was written") {
  for (const auto& [written, name] :
       std::vector<std::pair<const char*, const char*>>{{"a worm", "worm"},
                                                        {"larvae", "larvae"},
                                                        {"indet.", "indet."},
                                                        {"?", "?"},
                                                        {"thing 7", "thing 7"}}) {
    CAPTURE(written);
    const NameResult result = small_list().match(written);
    CHECK(result.match == NameMatch::kNone);
    REQUIRE(result.lineage.size() == 1);
    CHECK(result.lineage[0].name == name);
    CHECK(result.lineage[0].parent_key.empty());
    CHECK(result.lineage[0].rank == Rank::kInformal);
  }
}

TEST_CASE("a name without a letter is refused with a sentence") {
  for (const char* written : {"", "   ", "_", "..."}) {
    CAPTURE(written);
    try {
      small_list().match(written);
      FAIL("the name was taken");
    } catch (const Error& error) {
      CHECK(error.code() == ErrorCode::kBadInput);
      CHECK(std::string(error.what()).find("name of the animal is empty") != std::string::npos);
    }
  }
}

TEST_CASE("find takes exact names only") {
  REQUIRE(small_list().find("black flies") != nullptr);
  CHECK(small_list().find("black flies")->name == "Simuliidae");
  CHECK(small_list().find("Ecdyurus")->name == "Ecdyonurus");
  CHECK(small_list().find("Baetis sp.") == nullptr);
  CHECK(small_list().find("Baetiss") == nullptr);
  CHECK(small_list().find("") == nullptr);
}

TEST_CASE("text that is not UTF-8 or very long is kept, not mistaken") {
  CHECK(small_list().match("Baetid\xFF").match == NameMatch::kNone);
  CHECK(small_list().match(std::string(100000, 'x')).match == NameMatch::kNone);
}

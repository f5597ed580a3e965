// Names while they are typed, shortened names, and what the words around a name say.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/base/error.hpp"
#include "core/taxa/checklist.hpp"

using brookmark::Error;
using brookmark::core::checklist;
using brookmark::core::Checklist;
using brookmark::core::name_doubt_name;
using brookmark::core::name_extent_name;
using brookmark::core::NameDoubt;
using brookmark::core::NameExtent;
using brookmark::core::NameProposal;
using brookmark::core::NameResult;
using brookmark::core::NameUse;
using brookmark::core::ProposalKind;
using brookmark::core::Rank;

namespace {

std::string names_of(const std::vector<NameProposal>& proposals) {
  std::string names;
  for (const NameProposal& proposal : proposals) names += (names.empty() ? "" : " ") + proposal.name;
  return names;
}

const Checklist& few() {
  static const Checklist list = Checklist::from_csv(
      "name,rank,parent,synonyms,common_names,source_key\n"
      "Baetoidea,order,,,,s\n"
      "Baetidae,family,Baetoidea,,small mayfly,s\n"
      "Baetis,genus,Baetidae,Baetella,,s\n"
      "Baetisca,genus,Baetidae,,,s\n"
      "Gerridae,family,,,pond skater,s\n"
      "Gerris,genus,Gerridae,,,s\n"
      "Gammarus,genus,,,,s\n",
      "few.csv", "name,source_key\nBaetis rhodani,s\nGammarus pulex,s\n", "species.csv");
  return list;
}

}  // namespace

TEST_CASE("from three letters on a name is proposed by its start, the higher rank first, then the shorter") {
  CHECK(names_of(few().propose("bae", 9)) == "Baetoidea Baetidae Baetis Baetisca");
  CHECK(names_of(few().propose("BAETI", 9)) == "Baetidae Baetis Baetisca");
  CHECK(few().propose("ba", 9).empty());
  const NameProposal first = few().propose("Baetid.", 1).at(0);
  CHECK(first.kind == ProposalKind::kStart);
  CHECK(first.distance == 2);       // a and e
  CHECK(first.score == 6.0 / 8.0);  // 6 of 8 letters were written
  CHECK(first.rank == Rank::kFamily);
}

TEST_CASE("a word of a common name finds it") {
  const NameProposal found = few().propose("skat", 1).at(0);
  CHECK(found.name == "Gerridae");
  CHECK(found.matched_on == "pond skater");
  CHECK(found.kind == ProposalKind::kWord);
}

TEST_CASE("a name shortened word by word finds its species' genus") {
  for (const char* written : {"Baet. rhod.", "B. rhodani", "baetis rhod", "B.rhodani"}) {
    CAPTURE(written);
    const NameProposal found = few().propose(written, 1).at(0);
    CHECK(found.name == "Baetis");
    CHECK(found.matched_on == "Baetis rhodani");
    CHECK(found.kind == ProposalKind::kStart);
  }
  CHECK(names_of(few().propose("G. pulex", 9)) == "Gammarus");  // not Gerris: no species of it is called so
  CHECK(few().propose("B. ignotus", 9).empty());  // a letter and an unknown species say too little
  CHECK(names_of(few().propose("Baet. ignotus", 9)) == "Baetis Baetisca");
}

TEST_CASE("what the survey names often comes first") {
  const std::vector<NameUse> uses = {{"Baetisca", 7}, {"Baetis", 2}, {"Gerris foedus", 1}, {"blue thing", 4}};
  const Checklist known = few().known_in(uses);
  CHECK(names_of(known.propose("bae", 9)) == "Baetisca Baetis Baetoidea Baetidae");
  CHECK(known.propose("bae", 1).at(0).records == 7);
  const NameProposal own = known.propose("G. foed.", 1).at(0);  // a species that only the survey has
  CHECK(own.name == "Gerris");
  CHECK(own.matched_on == "Gerris foedus");
  CHECK(known.propose("blue thin", 9).empty());  // not a species of a listed genus
  CHECK(names_of(few().propose("bae", 9)) ==
        "Baetoidea Baetidae Baetis Baetisca");  // the list itself is as it was
}

TEST_CASE("a synonym's start comes after the starts of accepted names") {
  CHECK(names_of(few().propose("baete", 9)) == "Baetis");
  CHECK(few().propose("baete", 9).at(0).matched_on == "Baetella");
  CHECK(names_of(few().propose("baet", 9)) == "Baetoidea Baetidae Baetis Baetisca");
  CHECK(few().propose("baet", 9).at(2).matched_on == "Baetis");
}

TEST_CASE("letters with accents, strokes and ligatures are their plain letters in proposals too") {
  const Checklist list = Checklist::from_csv(
      "name,rank,parent,synonyms,common_names,source_key\nGrønåea,genus,,,Fließwasserløve|łososiowata,s\n",
      "o.csv");
  for (const char* written : {"gronaae", "GRØNÅAE", "fliesswasserlove x", "Lososiovata", "ŁOSOSIOVATA"}) {
    CAPTURE(written);
    CHECK(names_of(list.propose(written, 1)) == "Grønåea");
  }
  CHECK(list.find("GRONAEA") != nullptr);
  CHECK(list.find("losOsiowata") != nullptr);
}

TEST_CASE("a list of species that names an unknown genus is refused with its line") {
  const auto read = [](const char* species) {
    return Checklist::from_csv("name,rank,parent,synonyms,common_names,source_key\nBaetis,genus,,,,s\n",
                               "few.csv", species, "species.csv");
  };
  CHECK_NOTHROW(read("name,source_key\nBaetis rhodani,s\n"));
  for (const char* bad : {"name,source_key\nBatis rhodani,s\n", "name,source_key\nBaetis,s\n"}) {
    try {
      read(bad);
      FAIL("taken");
    } catch (const Error& error) {
      CHECK(std::string(error.what()).find("species.csv, line 2") != std::string::npos);
    }
  }
}

TEST_CASE("the words around a name say how sure it is and how far it goes") {
  struct Said {
    const char *written, *doubt;
    std::optional<Rank> doubted;
    const char* extent;
    Rank rank;
  };
  const std::vector<Said> cases = {
      {"Baetis", "", std::nullopt, "", Rank::kGenus},
      {"Baetis sp.", "", std::nullopt, "one species", Rank::kGenus},
      {"Baetis spp.", "", std::nullopt, "several species", Rank::kGenus},
      {"Baetidae indet.", "", std::nullopt, "not determined further", Rank::kFamily},
      {"Baetidae gen. sp.", "", std::nullopt, "one species", Rank::kFamily},
      {"Baetis rhodani agg.", "", std::nullopt, "species group", Rank::kSpecies},
      {"Baetis gr. rhodani", "", std::nullopt, "species group", Rank::kSpecies},
      {"Baetis cf. rhodani", "compare with (cf.)", Rank::kSpecies, "", Rank::kSpecies},
      {"cf. Baetis rhodani", "compare with (cf.)", Rank::kGenus, "", Rank::kSpecies},
      {"cf. Baetis", "compare with (cf.)", Rank::kGenus, "", Rank::kGenus},
      {"Baetis aff. rhodani", "near to (aff.)", Rank::kSpecies, "", Rank::kSpecies},
      {"Baetis rhodani?", "unsure", Rank::kSpecies, "", Rank::kSpecies},
      {"Baetis? rhodani", "unsure", Rank::kGenus, "", Rank::kSpecies},
      {"?Baetidae", "unsure", Rank::kFamily, "", Rank::kFamily},
      {"possibly a mayfly", "unsure", Rank::kOrder, "", Rank::kOrder},
      {"Baetis rhodani, probably", "unsure", Rank::kSpecies, "", Rank::kSpecies},
      {"cf. Baetis sp.?", "unsure", Rank::kGenus, "one species", Rank::kGenus}};
  for (const Said& said : cases) {
    CAPTURE(said.written);
    const NameResult result = checklist().match(said.written);
    CHECK(name_doubt_name(result.doubt) == std::string(said.doubt));
    CHECK(result.doubted == said.doubted);
    CHECK(name_extent_name(result.extent) == std::string(said.extent));
    CHECK(result.lineage.at(0).rank == said.rank);
  }
  const NameResult unlisted = checklist().match("cf. wriggler");
  CHECK(unlisted.doubt == NameDoubt::kCompare);
  CHECK_FALSE(unlisted.doubted.has_value());  // of what rank a wriggler is, nobody knows
}

TEST_CASE("a species spelt nearly like a well-known one is taken as written, and the other is proposed") {
  const NameResult near = few().match("Baetis rhodanni");
  CHECK(near.lineage.at(0).name == "Baetis rhodanni");
  REQUIRE(near.proposals.size() == 1);
  CHECK(near.proposals[0].name == "Baetis");
  CHECK(near.proposals[0].matched_on == "Baetis rhodani");
  CHECK(near.proposals[0].distance == 1);
  CHECK(few().match("Baetis rhodani").proposals.empty());
  CHECK(few().match("Baetis fuscatus").proposals.empty());  // another species, not a misspelling
  CHECK(few().match("Baetis sp. A").proposals.empty());
}

TEST_CASE("names that are no text or very long bring no proposals and do no harm") {
  CHECK(checklist().propose("").empty());
  CHECK(checklist().propose("   ").empty());
  CHECK(checklist().propose("sp.").empty());
  CHECK(checklist().propose("?").empty());
  CHECK(checklist().propose(std::string(100'000, 'a')).empty());
  CHECK(checklist().propose("\xFF\xFE\x80").empty());
  CHECK_NOTHROW(checklist().propose(std::string("Baetis\0rhodani", 14)));
}

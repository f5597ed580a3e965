#include <doctest/doctest.h>

#include <string>

#include "core/base/error.hpp"
#include "core/taxa/checklist.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::core::Checklist;

namespace {

const std::string kHeader = "name,rank,parent,synonyms,common_names,source_key\n";

// The list must be refused as bad input, with each piece of text in the sentence.
void check_refused(const std::string& csv, std::initializer_list<const char*> pieces) {
  CAPTURE(csv);
  try {
    Checklist::from_csv(csv, "mine.csv");
    FAIL("the checklist was taken");
  } catch (const Error& error) {
    const std::string text = error.what();
    CAPTURE(text);
    CHECK(error.code() == ErrorCode::kBadInput);
    CHECK(text.find("mine.csv") != std::string::npos);
    for (const char* piece : pieces) CHECK(text.find(piece) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a checklist with an unknown parent is refused") {
  check_refused(kHeader + "Insecta,class,,,,s\nBaetidae,family,Ephemeroptera,,,s\n",
                {"line 3", "\"Ephemeroptera\"", "\"Baetidae\"", "not in the list"});
}

TEST_CASE("a checklist whose parents run in a circle is refused") {
  check_refused(kHeader + "A,order,B,,,s\nB,class,C,,,s\nC,phylum,A,,,s\n", {"line 2", "circle"});
  check_refused(kHeader + "A,order,A,,,s\n", {"line 2", "its own parent"});
}

TEST_CASE("a name that leads to two taxa is refused") {
  check_refused(kHeader + "Baetis,genus,,,,s\nCloeon,genus,,Baetis,,s\n",
                {"line 3", "\"baetis\"", "\"Baetis\"", "\"Cloeon\"", "leads both"});
  check_refused(kHeader + "Corixidae,family,,,water boatman,s\nNotonectidae,family,,,Water-boatmen,s\n",
                {"\"waterboatman\"", "\"Corixidae\"", "\"Notonectidae\""});
}

TEST_CASE("a taxon listed twice is refused") {
  check_refused(kHeader + "Baetis,genus,,,,s\nBaetis,genus,,,,s\n", {"line 3", "listed twice", "line 2"});
}

TEST_CASE("a taxon without a name, with an unknown rank or with letterless names is refused") {
  check_refused(kHeader + ",genus,,,,s\n", {"line 2", "no name"});
  check_refused(kHeader + "Baetis,kind,,,,s\n", {"line 2", "\"kind\"", "rank"});
  check_refused(kHeader + "Baetis,genus,,...,,s\n", {"line 2", "no letters"});
}

TEST_CASE("a checklist without a column, without rows, or with a row too short is refused") {
  check_refused("name,rank,parent,synonyms,common_names\nBaetis,genus,,,\n", {"\"source_key\"", "missing"});
  check_refused(kHeader, {"no taxa"});
  check_refused("", {"empty"});
  check_refused(kHeader + "Baetis,genus\n", {"line 2", "2 cells"});
}

TEST_CASE("the same name twice for one taxon does no harm, and empty list entries are passed over") {
  const Checklist list = Checklist::from_csv(kHeader + "Hydra,genus,,Hydra||,hydra|hydras,s\n", "mine.csv");
  REQUIRE(list.entries().size() == 1);
  CHECK(list.entries()[0].synonyms.size() == 1);
  CHECK(list.match("hydras").lineage.at(0).name == "Hydra");
}

TEST_CASE("a short form that the file gives to another taxon stays with that taxon") {
  const Checklist list =
      Checklist::from_csv(kHeader + "Perlidae,family,,,,s\nPlecoptera,order,,,perlid,s\n", "mine.csv");
  CHECK(list.match("perlids").lineage.at(0).name == "Plecoptera");
}

TEST_CASE("a parent may stand below its child, and extra columns are for readers") {
  const Checklist list = Checklist::from_csv(
      "note,name,rank,parent,synonyms,common_names,source_key\nx,Baetis,genus,Baetidae,,,s\n"
      "y,Baetidae,family,,,,s\n",
      "mine.csv");
  CHECK(list.match("Baetis").lineage.size() == 2);
}

#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::LifeStage;
using core::NameMatch;
using core::Severity;

namespace {

core::ImportReport records(const std::string& csv, const core::ImportOptions& options = test::options()) {
  return test::plan_csv(core::ImportKind::kRecords, csv, test::small_survey(), options);
}

core::Record named(const std::string& name) {
  const auto report = records("sample,taxon\nS1-A,\"" + name + "\"\n");
  const auto added = test::edits_of<core::AddRecord>(report);
  REQUIRE_MESSAGE(added.size() == 1, test::issues_text(report));
  return added[0].record;
}

core::ImportReport staged(const std::string& name, const std::string& stage) {
  return records("sample,taxon,stage\nS1-A," + name + "," + stage + "\n");
}

}  // namespace

TEST_CASE("a name that says absent or dead is kept unlisted with a warning that says what to do") {
  for (const char* name : {"Gammarus none", "Leuctra missing", "Aeshna exuviae", "Anodonta shells",
                           "Baetis not found", "Sialis nil", "Perla dead", "Ecdyonurus nymphs absent"}) {
    CAPTURE(name);
    const auto report = records("sample,taxon,family\nS1-A," + std::string(name) + ",Baetidae\n");
    const auto added = test::edits_of<core::AddRecord>(report);
    REQUIRE(added.size() == 1);
    CHECK(added[0].record.match == NameMatch::kNone);
    CHECK(added[0].record.verbatim_name == name);
    REQUIRE(report.issues.size() == 1);
    CHECK(test::has_issue(report, Severity::kWarning, 2, "taxon", "occurrenceStatus or a count of 0"));
    const auto taxa = test::edits_of<core::AddTaxon>(report);
    REQUIRE(taxa.size() == 1);
    CHECK_FALSE(taxa[0].taxon.listed);
  }
}

TEST_CASE("a name cell that names no animal is a bad row that says where absence is written") {
  for (const char* name : {"absent", "none", "not found", "nil", "none seen", "n/a", "-", "0"}) {
    CAPTURE(name);
    const auto report = records("sample,taxon\nS1-A," + std::string(name) + "\n");
    CHECK(report.bad_rows == 1);
    CHECK(
        test::has_issue(report, Severity::kError, 2, "taxon", "absent in occurrenceStatus, or a count of 0"));
  }
}

TEST_CASE("a species of a listed genus is noted once an import, with its rows") {
  const auto report = records("sample,taxon,count\nS1-A,Baetis rhodani,1\nS1-A,Baetis rhodani,2\n");
  CHECK(report.issues.size() == 1);
  CHECK(test::has_issue(
      report, Severity::kNote, 2, "taxon",
      "The name \"Baetis rhodani\" (2 rows) is taken as a species of the listed genus Baetis."));
}

TEST_CASE("the life stage of the name holds where the column is empty") {
  CHECK(named("adult beetle").stage == LifeStage::kAdult);
  CHECK(named("caddis larvae").stage == LifeStage::kLarva);
  const auto empty = staged("mayfly adults", "");
  CHECK(test::edits_of<core::AddRecord>(empty).at(0).record.stage == LifeStage::kAdult);
  const auto same = staged("mayfly nymphs", "larva");
  CHECK(test::edits_of<core::AddRecord>(same).at(0).record.stage == LifeStage::kLarva);
}

TEST_CASE("a life stage of the name against the column's, or two in one name, is a bad row") {
  CHECK(test::has_issue(staged("Crane fly adult", "larva"), Severity::kError, 2, "stage", "make them agree"));
  CHECK(test::has_issue(staged("Elmidae larvae adults", ""), Severity::kError, 2, "taxon",
                        "more than one life stage"));
}

TEST_CASE("doubt in the name and in its column are both kept, and no certainty is made of them") {
  CHECK(named("cf. Baetidae").qualifier == "cf.");
  CHECK(named("stonefly nymph, maybe").qualifier == "maybe");
  CHECK(named("?Sialis").qualifier == "?");
  CHECK_FALSE(named("?Sialis").certainty);
  const auto both =
      records("sample,taxon,identificationQualifier\nS1-A,Baetis sp.,cf.\nS1-A,Baetis cf.,cf.\n");
  const auto added = test::edits_of<core::AddRecord>(both);
  REQUIRE(added.size() == 2);
  CHECK(added[0].record.qualifier == "cf. sp.");
  CHECK(added[1].record.qualifier == "cf.");
}

TEST_CASE("what was decided about a doubtful name keeps its doubt and its life stage") {
  core::ImportOptions options = test::options();
  options.names = {{"adult Ecdyonorus?", "Ecdyonurus"}};
  const auto added =
      test::edits_of<core::AddRecord>(records("sample,taxon\nS1-A,adult Ecdyonorus?\n", options));
  REQUIRE(added.size() == 1);
  CHECK(added[0].record.match == NameMatch::kChosen);
  CHECK(added[0].record.qualifier == "?");
  CHECK(added[0].record.stage == LifeStage::kAdult);
}

TEST_CASE("a name that contradicts its family or order column is taken with a warning on that column") {
  const auto report = records(
      "sample,taxon,family,order\nS1-A,Baetis,Heptageniidae,Ephemeroptera\nS1-A,Gammarus "
      "pulex,Gammaridae,Diptera\n"
      "S1-A,Sialis,Sialidae,Megaloptera\n");
  CHECK(report.good_rows == 3);
  CHECK(test::has_issue(report, Severity::kWarning, 2, "family", "Heptageniidae"));
  CHECK(test::has_issue(report, Severity::kWarning, 3, "order", "Diptera"));
  CHECK(report.issues.size() == 3);  // and the note on the species
}

TEST_CASE("a misspelt name that its order places warns with its proposals") {
  for (const char* name : {"Ecdyonorus", "Ecdyonorus_sp", "Ecdyonorus venosus"}) {
    CAPTURE(name);
    const auto report = records("sample,taxon,order\nS1-A," + std::string(name) + ",Ephemeroptera\n");
    CHECK(test::has_issue(report, Severity::kWarning, 2, "taxon", "misspelling of Ecdyonurus"));
    CHECK(test::has_issue(report, Severity::kWarning, 2, "taxon", "placed under Ephemeroptera"));
  }
}

TEST_CASE("a proposal says its score, and a shortened name is not called a misspelling") {
  CHECK(test::has_issue(records("sample,taxon\nS1-A,Ecdyonorus\n"), Severity::kWarning, 2, "taxon",
                        "Perhaps it is a misspelling of Ecdyonurus (score 0.94)"));
  CHECK(test::has_issue(records("sample,taxon\nS1-A,Heptag.\n"), Severity::kWarning, 2, "taxon",
                        "Perhaps it is short for Heptageniidae (score 0.46) or Heptagenia (score 0.60)."));
  CHECK(test::has_issue(records("sample,taxon\nS1-A,Baetis rhodanni\n"), Severity::kNote, 2, "taxon",
                        "misspelling of Baetis (Baetis rhodani, score"));
}

TEST_CASE("a shortened name can be decided to be a species") {
  core::ImportOptions options = test::options();
  options.names = {{"G. pul.", "Gammarus pulex"}};
  const auto report = records("sample,taxon\nS1-A,G. pul.\n", options);
  const auto added = test::edits_of<core::AddRecord>(report);
  REQUIRE(added.size() == 1);
  CHECK(added[0].record.match == NameMatch::kChosen);
  CHECK(added[0].record.taxon_key == "own:gammarus pulex");
  CHECK(added[0].record.verbatim_name == "G. pul.");
  for (const char* unlisted : {"Qwxyzzyia", "", "sp."}) {
    options.names = {{"G. pul.", unlisted}};
    CHECK_THROWS_WITH_AS(records("sample,taxon\nS1-A,G. pul.\n", options),
                         doctest::Contains("not in the checklist"), brookmark::Error);
  }
}

TEST_CASE("a name that is placed and resembles nothing is a note") {
  const auto report = records("sample,taxon,family\nS1-A,Qwxyzzyia,Baetidae\n");
  CHECK(test::has_issue(report, Severity::kNote, 2, "taxon", "placed under Baetidae"));
}

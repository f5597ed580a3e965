#include <doctest/doctest.h>

#include <set>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::NameMatch;
using core::QuantityKind;
using core::Severity;

namespace {

core::ImportReport records(const std::string& csv, const core::ImportOptions& options = test::options()) {
  return test::plan_csv(ImportKind::kRecords, csv, test::small_survey(), options);
}

core::Record record_of(const core::ImportReport& report) {
  const auto added = test::edits_of<core::AddRecord>(report);
  REQUIRE_MESSAGE(added.size() == 1, test::issues_text(report));
  return added[0].record;
}

core::ImportReport one(const std::string& column, const std::string& cell,
                       const core::ImportOptions& options = test::options()) {
  return records("sample,taxon," + column + "\nS1-A,Gammarus," + cell + "\n", options);
}

core::ImportOptions with_scheme(const std::string& scheme) {
  core::ImportOptions options = test::options();
  options.abundance_scheme = scheme;
  return options;
}

}  // namespace

TEST_CASE("a count is kept as a number and as written") {
  const core::Record record = record_of(one("count", "12"));
  CHECK(record.sample_key == "key-S1-A");
  CHECK(record.verbatim_name == "Gammarus");
  CHECK(record.verbatim_quantity == "12");
  CHECK(record.quantity == QuantityKind::kCount);
  CHECK(record.count_min == 12);
  CHECK(record.count_max == 12);
  CHECK(record.key.size() == 36);
}

TEST_CASE("an empty quantity is present, never zero") {
  const core::Record record = record_of(one("count", ""));
  CHECK(record.quantity == QuantityKind::kPresent);
  CHECK_FALSE(record.count_min);
  CHECK_FALSE(record.count_max);
  CHECK(record_of(records("sample,taxon\nS1-A,Gammarus\n")).quantity == QuantityKind::kPresent);
}

TEST_CASE("a count of zero, and a status of absent, are looked for and absent") {
  CHECK(record_of(one("count", "0")).quantity == QuantityKind::kAbsent);
  CHECK(record_of(one("count", "0")).verbatim_quantity == "0");
  CHECK(record_of(one("occurrenceStatus", "absent")).quantity == QuantityKind::kAbsent);
  CHECK(record_of(one("occurrenceStatus", "absent")).count_max == 0);
  CHECK(record_of(one("occurrenceStatus", "Present")).quantity == QuantityKind::kPresent);
}

TEST_CASE("a status that contradicts its count, or is not known, is a bad row") {
  const auto report = records(
      "sample,taxon,count,occurrenceStatus\nS1-A,Gammarus,3,absent\nS1-A,Asellus,0,present\nS1-A,Baetis,,"
      "perhaps\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "occurrenceStatus", "absent and also how many"));
  CHECK(test::has_issue(report, Severity::kError, 3, "occurrenceStatus", "present and also"));
  CHECK(test::has_issue(report, Severity::kError, 4, "occurrenceStatus", "present, absent"));
  CHECK(report.good_rows == 0);
}

TEST_CASE("negative, fractional, huge and worded counts are bad rows") {
  CHECK(test::has_issue(one("count", "-3"), Severity::kError, 2, "count", "-3 is not possible"));
  CHECK(test::has_issue(one("count", "2.5"), Severity::kError, 2, "count", "whole number"));
  CHECK(test::has_issue(one("count", "1000000001"), Severity::kError, 2, "count", "1,000,000,000"));
  CHECK(record_of(one("count", "1000000000")).count_min == 1000000000);
  CHECK(test::has_issue(one("count", "many"), Severity::kError, 2, "count", "not a count"));
  CHECK(test::has_issue(one("count", "100+"), Severity::kError, 2, "count", "not a count"));
  CHECK(record_of(one("count", "3.0")).count_min == 3);  // as some spreadsheets write whole numbers
}

TEST_CASE("letters without a scheme are a bad row whose sentence lists the schemes") {
  const auto report = one("abundance", "B");
  CHECK(report.bad_rows == 1);
  CHECK(test::has_issue(report, Severity::kError, 2, "abundance", "log-a-e"));
  CHECK(test::has_issue(report, Severity::kError, 2, "abundance", "rare-common-dominant"));
}

TEST_CASE("letters with their scheme are a class with its limits") {
  // log-a-e: B is 10 to 99, E is 10000 or more (Environment Agency biological indices note).
  const core::Record b = record_of(one("abundance", "B", with_scheme("log-a-e")));
  CHECK(b.quantity == QuantityKind::kAbundanceClass);
  CHECK(b.class_scheme == "log-a-e");
  CHECK(b.class_code == "B");
  CHECK(b.verbatim_quantity == "B");
  CHECK(b.count_min == 10);
  CHECK(b.count_max == 99);
  const core::Record e = record_of(one("count", "e", with_scheme("log-a-e")));
  CHECK(e.class_code == "E");
  CHECK(e.count_min == 10000);
  CHECK_FALSE(e.count_max);
}

TEST_CASE("the row's own scheme comes before the one given with the import") {
  const auto report = records(
      "sample,taxon,organismQuantity,organismQuantityType\n"
      "S1-A,Gammarus,C,rare-common-dominant\nS1-A,Asellus,14,individuals\nS1-A,Baetis,C,feet\n",
      with_scheme("log-a-e"));
  const auto added = test::edits_of<core::AddRecord>(report);
  REQUIRE(added.size() == 2);
  CHECK(added[0].record.count_max == 99);  // common: 10 to 99; log-a-e would say 999
  CHECK(added[1].record.quantity == QuantityKind::kCount);
  CHECK(test::has_issue(report, Severity::kError, 4, "organismQuantityType", "abundance schemes"));
}

TEST_CASE("a letter that its scheme does not have is refused with those that it has") {
  CHECK(test::has_issue(one("abundance", "X", with_scheme("rare-common-dominant")), Severity::kError, 2,
                        "abundance", "R, C, D"));
  CHECK_THROWS_AS(one("abundance", "B", with_scheme("no-such-scheme")), brookmark::Error);
}

TEST_CASE("a number beside letters stays a count") {
  CHECK(record_of(one("count", "7", with_scheme("log-a-e"))).quantity == QuantityKind::kCount);
}

TEST_CASE("a listed name brings its parents, parents first, each once, and none that the survey has") {
  const auto report = records("sample,taxon,count\nS1-A,Gammarus,1\nS1-A,gammarus,2\nS1-A,Baetis,3\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  std::set<std::string> seen{"checklist:Baetis"};  // in the small survey
  for (const core::Edit& edit : report.batch.edits) {
    if (const auto* taxon = edit.as<core::AddTaxon>()) {
      CHECK_MESSAGE(seen.insert(taxon->taxon.key).second, taxon->taxon.key);
      CHECK_MESSAGE((taxon->taxon.parent_key.empty() || seen.contains(taxon->taxon.parent_key)),
                    taxon->taxon.key);
    }
    if (const auto* record = edit.as<core::AddRecord>()) CHECK(seen.contains(record->record.taxon_key));
  }
  CHECK(seen.contains("checklist:Gammaridae"));
}

TEST_CASE("underscored names with and without a species, as in old tables, come to their genus") {
  const auto report = records(
      "sample,taxon,count\nS1-A,Ephemera_danica,4\nS1-A,Baetis_sp,7\nS1-A,Baetis_rhodani,10\nS1-A,Ecdyonorus_"
      "sp,2\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto added = test::edits_of<core::AddRecord>(report);
  REQUIRE(added.size() == 4);
  CHECK(added[0].record.verbatim_name == "Ephemera_danica");
  CHECK(added[0].record.match == NameMatch::kGenusOfBinomial);
  CHECK(added[1].record.match == NameMatch::kAccepted);
  CHECK(added[1].record.taxon_key == "checklist:Baetis");
  CHECK(added[1].record.qualifier == "sp");
  CHECK(added[2].record.match == NameMatch::kGenusOfBinomial);
  // A misspelling of Ecdyonurus is only proposed: nothing is guessed silently.
  CHECK(added[3].record.match == NameMatch::kNone);
  CHECK(test::has_issue(report, Severity::kWarning, 5, "taxon", "Ecdyonurus"));
  // Each species of a listed genus is a note.
  CHECK(test::has_issue(report, Severity::kNote, 2, "taxon", "species of the listed genus Ephemera"));
  CHECK(test::has_issue(report, Severity::kNote, 4, "taxon", "species of the listed genus Baetis"));
  CHECK(report.issues.size() == 3);
}

TEST_CASE("an unlisted name is kept, with one warning however often it stands there") {
  const auto report = records("sample,taxon,count\nS1-A,Xyzzyia,1\nS1-A,Xyzzyia,2\n");
  CHECK(report.good_rows == 2);
  CHECK(test::has_issue(report, Severity::kWarning, 2, "taxon", "(2 rows)"));
  CHECK(report.issues.size() == 1);
  const auto taxa = test::edits_of<core::AddTaxon>(report);
  REQUIRE(taxa.size() == 1);
  CHECK_FALSE(taxa[0].taxon.listed);
  CHECK(taxa[0].taxon.name == "Xyzzyia");
}

TEST_CASE("an unlisted name is placed by the family column") {
  const auto report = records("sample,taxon,family,order\nS1-A,Xyzzyia,Baetidae,Ephemeroptera\n");
  CHECK(record_of(report).match == NameMatch::kHigherTaxon);
  const auto taxa = test::edits_of<core::AddTaxon>(report);
  REQUIRE_FALSE(taxa.empty());
  CHECK(taxa.back().taxon.name == "Xyzzyia");
  CHECK(taxa.back().taxon.parent_key == "checklist:Baetidae");
}

TEST_CASE("what the surveyor decided about a name is taken and marked as chosen") {
  core::ImportOptions options = test::options();
  options.names = {{"Ecdyonorus_sp", "Ecdyonurus"}};
  const core::Record record = record_of(records("sample,taxon\nS1-A,ecdyonorus sp.\n", options));
  CHECK(record.match == NameMatch::kChosen);
  CHECK(record.taxon_key == "checklist:Ecdyonurus");
  CHECK(record.verbatim_name == "ecdyonorus sp.");
  options.names = {{"Ecdyonorus_sp", "Nosuchia"}};
  CHECK_THROWS_AS(records("sample,taxon\nS1-A,Baetis\n", options), brookmark::Error);
}

TEST_CASE("a common name stands in where the scientific one is empty") {
  const auto report = records("sample,scientificName,vernacularName\nS1-A,,mayfly\nS1-A,,\n");
  const core::Record record = record_of(report);
  CHECK(record.match == NameMatch::kCommonName);
  CHECK(record.taxon_key == "checklist:Ephemeroptera");
  CHECK(record.verbatim_name == "mayfly");
  CHECK(test::has_issue(report, Severity::kError, 3, "vernacularName", "no name"));
}

TEST_CASE("a name of nothing but points is a bad row") {
  CHECK(test::has_issue(records("sample,taxon\nS1-A,...\n"), Severity::kError, 2, "taxon", "no name"));
}

TEST_CASE("stage, qualifier, certainty and note are kept; what cannot be is refused") {
  const core::Record record = record_of(records(
      "sample,taxon,stage,identificationQualifier,certainty,note\nS1-A,Baetis,nymph,cf.,0.7,small\n"));
  CHECK(record.stage == core::LifeStage::kLarva);
  CHECK(record.qualifier == "cf.");
  CHECK(record.certainty == 0.7);
  CHECK(record.note == "small");
  CHECK(test::has_issue(one("stage", "teenager"), Severity::kError, 2, "stage",
                        "unknown, egg, larva, pupa, adult"));
  CHECK(test::has_issue(one("certainty", "1.2"), Severity::kError, 2, "certainty", "0 to 1"));
  CHECK(test::has_issue(one("certainty", "quite"), Severity::kError, 2, "certainty", "0 to 1"));
}

TEST_CASE("a record without sample, of an unknown sample or without a name is a bad row") {
  const auto report = records("sample,taxon\n,Baetis\nS1-B,Baetis\ns1-a,Baetis\nS1-A,\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "sample", "no sample"));
  CHECK(test::has_issue(report, Severity::kError, 3, "sample", "no sample \"S1-B\""));
  CHECK(test::has_issue(report, Severity::kError, 4, "sample", "did you mean \"S1-A\"?"));
  CHECK(test::has_issue(report, Severity::kError, 5, "taxon", "no name"));
  CHECK(report.batch.edits.empty());
}

TEST_CASE("a record that the survey has already is a bad row, so that no file comes in twice") {
  const auto report = records("sample,taxon,count\nS1-A,Baetis,7\nS1-A,Baetis,8\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "taxon", "already has this record"));
  CHECK(report.good_rows == 1);
}

TEST_CASE("bad rows bring no taxa") {
  const auto report = records("sample,taxon,count\nS1-A,Gammarus,-1\nS1-A,Baetis,1\n");
  for (const core::AddTaxon& added : test::edits_of<core::AddTaxon>(report))
    CHECK_MESSAGE(added.taxon.key != "checklist:Gammarus", added.taxon.key);
  CHECK(report.batch.summary == "1 record from sheet.csv");
}

TEST_CASE("a table of records needs sample and name columns") {
  CHECK(test::error_of([] { records("taxon,count\nBaetis,1\n"); }).find("eventID") != std::string::npos);
  CHECK(test::error_of([] { records("sample,count\nS1-A,1\n"); }).find("scientificName") !=
        std::string::npos);
}

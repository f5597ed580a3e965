#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::Severity;
using test::plan_csv;

namespace {

core::ImportReport log(const std::string& csv, const core::Snapshot& survey = test::small_survey()) {
  return plan_csv(ImportKind::kKit, csv, survey);
}

bool says(const core::ImportReport& report, const char* part) {
  return test::issues_text(report).find(part) != std::string::npos;
}

constexpr const char* kHead = "kit,kind,set,date,site,agent,strength,temperature,minutes,override,note\n";

}  // namespace

TEST_CASE("a log of kit gives items, uses and cleanings") {
  const auto report = log(std::string(kHead) +
                          "N1,net,red,2024-05-03T09:30+01:00,S1,,,,,went in a hurry,clear water\n"
                          "N1,,,2024-05-03T18:00+01:00,,Virkon,1,,10,,\n"
                          "V1,vessel,,2024-05-04,S2,,,,,,\n");
  CHECK_MESSAGE(report.issues.empty(), test::issues_text(report));
  const auto items = test::edits_of<core::AddKit>(report);
  REQUIRE(items.size() == 2);
  CHECK(items[0].kit.code == "N1");
  CHECK(items[0].kit.kind == core::KitKind::kNet);
  CHECK(items[0].kit.set == "red");
  CHECK(items[1].kit.kind == core::KitKind::kVessel);
  const auto uses = test::edits_of<core::AddKitUse>(report);
  REQUIRE(uses.size() == 2);
  CHECK(uses[0].use.kit_key == items[0].kit.key);
  CHECK(uses[0].use.site_key == "key-S1");
  CHECK(core::format_moment(uses[0].use.when) == "2024-05-03T09:30+01:00");
  CHECK(uses[0].use.override_reason == "went in a hurry");
  CHECK(uses[0].use.note == "clear water");
  const auto cleanings = test::edits_of<core::AddCleaning>(report);
  REQUIRE(cleanings.size() == 1);
  CHECK(cleanings[0].cleaning.agent == "Virkon S");  // as the rules name it
  CHECK(cleanings[0].cleaning.concentration_pct == 1);
  CHECK(cleanings[0].cleaning.contact_min == 10);
  CHECK_FALSE(cleanings[0].cleaning.temperature_c);
  CHECK(report.batch.summary == "3 entries of kit from sheet.csv");
}

TEST_CASE(
    "a cleaning without a time, a strength or a known agent is kept, and a warning says that it proves "
    "nothing") {
  const auto report = log(std::string(kHead) +
                          "N1,net,,2024-05-03T18:00,,Virkon S,1,,,,\n"
                          "N1,net,,2024-05-04T18:00,,vinegar,5,,10,,\n"
                          "N1,net,,2024-05-05,,hot water,,60,5,,\n");
  CHECK(report.good_rows == 3);
  CHECK(report.bad_rows == 0);
  CHECK(says(report, "proves nothing as it stands: the contact time was not noted"));
  CHECK(says(report, "\"vinegar\" is in none of the rules"));
  CHECK(says(report, "has no time of day, so it does not count for uses of the same day"));
  CHECK(test::edits_of<core::AddKit>(report).size() == 1);
}

TEST_CASE("rows of a log that cannot be meant get a sentence each") {
  const auto bad = [](const std::string& row) { return log(std::string(kHead) + row + "\n"); };
  CHECK(says(bad("N1,net,,2024-05-03,,,,,,,"), "neither a site (a use) nor an agent (a cleaning)"));
  CHECK(says(bad("N1,net,,2024-05-03,S1,bleach,3,,1,,"), "make two rows of it"));
  CHECK(says(bad("N1,net,,2024-05-03,S7,,,,,,"), "There is no site \"S7\" in the survey"));
  CHECK(says(bad("N1,spoon,,2024-05-03,S1,,,,,,"), "The entry \"spoon\" is not known here"));
  CHECK(says(bad(",net,,2024-05-03,S1,,,,,,"), "This row has no code of an item"));
  CHECK(says(bad("N1,net,,2024-02-31,S1,,,,,,"), "not a date that exists"));
  CHECK(says(bad("N1,net,,2025-05-03,S1,,,,,,"), "in the future"));
  CHECK(says(bad("N1,net,,2024-05-03,,bleach,300,,1,,"), "cannot be a strength in per cent"));
  CHECK(says(bad("N1,net,,2024-05-03,,hot water,,900,1,,"), "cannot be a temperature"));
  CHECK(says(bad("N1,net,,2024-05-03,,hot water,,60,-5,,"), "cannot be a contact time"));
  CHECK(bad("N1,spoon,,2024-05-03,S1,,,,,,").bad_rows == 1);
  CHECK(test::edits_of<core::AddKit>(bad("N1,spoon,,2024-05-03,S1,,,,,,")).empty());
  CHECK_THROWS_AS(log("site,date\nS1,2024-05-03\n"), brookmark::Error);
}

TEST_CASE("an entry that is there already is a bad row, in the survey or in the file") {
  core::Snapshot survey = test::small_survey();
  core::Kit kit;
  kit.key = "key-N1";
  kit.code = "N1";
  survey.kit.push_back(kit);
  core::KitUse use;
  use.kit_key = "key-N1";
  use.site_key = "key-S1";
  use.when = *core::parse_moment("2024-05-03T09:30");
  survey.kit_uses.push_back(use);
  const auto report =
      log("kit,date,site,agent\nN1,2024-05-03T09:30,S1,\nN1,2024-05-03T09:30,S2,\nN1,2024-05-03T09:30,S2,\n",
          survey);
  CHECK(report.good_rows == 1);
  CHECK(report.bad_rows == 2);
  CHECK(says(report, "The same use of \"N1\" is there already"));
  CHECK(test::edits_of<core::AddKit>(report).empty());
  CHECK(test::edits_of<core::AddKitUse>(report).front().use.kit_key == "key-N1");
}

#include <doctest/doctest.h>

#include <algorithm>

#include "core/analysis/check.hpp"
#include "tests/core/analysis/findings.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/core/network/ascii_river.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::Severity;
using test::AsciiRiver;
using test::check;
using test::count_of;
using test::find;
using test::text_of;

namespace {

std::vector<core::Finding> check_river(const std::string& drawing) {
  core::Snapshot survey;
  survey.reaches = AsciiRiver(drawing).reaches();
  return check(survey);
}

}  // namespace

TEST_CASE("sites and outfalls off every channel are found; a pond need not lie on one") {
  core::Snapshot survey = test::small_survey();
  test::add_site(survey, "S3", {10.00, 60.02}, core::WaterKind::kPond);
  survey.sites.position[1] = {10.01, 60.01};  // 0.01 degrees of latitude, about 1.1 km, north of the channel
  survey.reaches.push_back({"r1", "", {{9.99, 60.0}, {10.02, 60.0}}});
  survey.outfalls.push_back({});
  survey.outfalls.back().code = "O1";
  survey.outfalls.back().position = {10.0, 60.03};
  const auto findings = check(survey);
  CHECK_FALSE(find(findings, "site off every channel", "site S1").has_value());
  CHECK(find(findings, "site off every channel", "site S2").has_value());
  CHECK_FALSE(find(findings, "site off every channel", "site S3").has_value());
  CHECK(find(findings, "outfall off every channel", "outfall O1").has_value());
}

TEST_CASE("a pond beside a stream is no finding; a site of unknown kind there is asked for its kind") {
  const AsciiRiver river(R"(
    A
    |
    |
    B
)");
  core::Snapshot survey;
  survey.reaches = river.reaches();
  for (const double east_m : {3.0, 80.0, 400.0})
    test::add_site(survey, "P" + std::to_string(static_cast<int>(east_m)), river.beside('A', east_m, -100),
                   core::WaterKind::kPond);
  test::add_site(survey, "U80", river.beside('A', 80, -100), core::WaterKind::kUnknown);
  test::add_site(survey, "D80", river.beside('A', 80, -100), core::WaterKind::kDitch);
  for (core::SiteStatus& status : survey.sites.status) status = core::SiteStatus::kProposed;
  const auto findings = check(survey);
  CHECK_MESSAGE(findings.size() == 1, text_of(findings));
  const auto unknown = find(findings, "site without a kind of water", "site U80");
  REQUIRE(unknown.has_value());
  CHECK(unknown->severity == Severity::kNote);
  CHECK(unknown->text.rfind("No watercourse lies within 10 m; a stream would be looked for within 250 m",
                            0) == 0);
}

TEST_CASE("a reach joined to nothing is found among those that are joined") {
  core::Snapshot survey = test::small_survey();
  survey.reaches.push_back({"r1", "upper", {{9.99, 60.0}, {10.00, 60.0}}});
  // Alone there is nothing to join.
  CHECK(count_of(check(survey), "reach joined to nothing") == 0);
  survey.reaches.push_back({"r2", "", {{10.00, 60.0}, {10.02, 60.0}}});
  survey.reaches.push_back({"r3", "", {{10.00, 60.04}, {10.02, 60.04}}});
  const auto findings = check(survey);
  CHECK_FALSE(find(findings, "reach joined to nothing", "reach upper").has_value());
  CHECK_FALSE(find(findings, "reach joined to nothing", "reach 2").has_value());
  CHECK(find(findings, "reach joined to nothing", "reach 3").has_value());
}

TEST_CASE("a reach drawn twice is found, whichever way round") {
  core::Snapshot survey = test::small_survey();
  const core::Line line{{9.99, 60.0}, {10.00, 60.001}, {10.02, 60.0}};
  survey.reaches.push_back({"r1", "Mill Brook", line});
  survey.reaches.push_back({"r2", "again", line});
  survey.reaches.push_back({"r3", "turned", {line.rbegin(), line.rend()}});
  survey.reaches.push_back({"r4", "shorter", {line[0], line[2]}});
  const auto findings = check(survey);
  CHECK(count_of(findings, "reach drawn twice") == 2);
  REQUIRE(find(findings, "reach drawn twice", "reach again").has_value());
  CHECK(find(findings, "reach drawn twice", "reach again")->severity == Severity::kWarning);
  CHECK(find(findings, "reach drawn twice", "reach again")->text.find("reach Mill Brook, point for point.") !=
        std::string::npos);
  CHECK(find(findings, "reach drawn twice", "reach turned")->text.find("other way round") !=
        std::string::npos);
  // One line drawn to and fro is no circle of water.
  CHECK(count_of(findings, "water runs in a circle") == 0);
}

TEST_CASE("a proper tree and a proper braid with one outlet are no finding") {
  const char* const kTree = R"(
    A   B
     \ /
      C   D
      |  /
      | /
      |/
      E
      |
      F
)";
  const char* const kBraid = R"(
      A
      |
      B
     / \
    C   D
     \ /
      E
      |
      F
)";
  const char* const kTwoMeetAtTheOutlet = R"(
    A   B
     \ /
      C
)";
  for (const char* const drawing : {kTree, kBraid, kTwoMeetAtTheOutlet}) {
    const auto findings = check_river(drawing);
    CHECK_MESSAGE(findings.empty(), text_of(findings));
  }
}

TEST_CASE("a reach turned round within a chain is named") {
  const auto findings = check_river(R"(
    A
    |
    B
    ^
    C
    |
    D
)");
  CHECK_MESSAGE(findings.size() == 1, text_of(findings));
  const auto against = find(findings, "drawn against the flow?", "reach stroke 2");
  REQUIRE_MESSAGE(against.has_value(), text_of(findings));
  CHECK(against->severity == Severity::kWarning);
  CHECK(against->text.find("drawn against the flow?") != std::string::npos);
}

TEST_CASE("a first reach turned round gives its channels a second outlet") {
  const auto findings = check_river(R"(
    A
    ^
    B
    |
    C
)");
  CHECK_MESSAGE(findings.size() == 1, text_of(findings));
  const auto outlets = find(findings, "more than one outlet", "reach stroke 1");
  REQUIRE_MESSAGE(outlets.has_value(), text_of(findings));
  CHECK(outlets->text.find("run out at 2 ends: reach stroke 1 at ") != std::string::npos);
  CHECK(outlets->text.find("drawn against the flow?") != std::string::npos);
}

TEST_CASE("in a tree a turned tributary is a second outlet, a turned main reach a meeting head to head") {
  // Reaches are numbered as their first stroke stands on the page.
  const auto tributary = check_river(R"(
    A   D
    |   ^
    B---C
    |
    E
)");
  CHECK_MESSAGE(tributary.size() == 1, text_of(tributary));
  CHECK(count_of(tributary, "more than one outlet") == 1);

  const auto main_reach = check_river(R"(
    A   B
     \ /
      C   D
      ^  /
      ^ /
      ^/
      E
      |
      F
)");
  CHECK_MESSAGE(main_reach.size() == 1, text_of(main_reach));
  const auto meeting = find(main_reach, "reaches meet head to head", "reach stroke 1");
  REQUIRE_MESSAGE(meeting.has_value(), text_of(main_reach));
  CHECK(meeting->text.rfind("reach stroke 1, reach stroke 2 and reach stroke 3 end at ", 0) == 0);
}

TEST_CASE("an arm of a braid turned round lets the water run in a circle") {
  const AsciiRiver river(R"(
      A
      |
      B
     / \
    C   D
     \ /
      E
      |
      F
)");
  core::Snapshot survey;
  survey.reaches = river.reaches();
  int turned = 0;
  for (core::Reach& reach : survey.reaches)
    if (reach.line.front() == river.at('C') || reach.line.back() == river.at('C')) {
      std::reverse(reach.line.begin(), reach.line.end());
      ++turned;
    }
  REQUIRE(turned == 2);
  const auto findings = check(survey);
  CHECK_MESSAGE(findings.size() == 1, text_of(findings));
  CHECK(findings[0].what == "water runs in a circle");
  for (const char* part : {"stroke 2", "stroke 3", "stroke 4", "stroke 5"})
    CHECK(findings[0].text.find(part) != std::string::npos);
  CHECK(findings[0].text.find("stroke 6") == std::string::npos);
}

TEST_CASE("each river on its own has one outlet") {
  const auto findings = check_river(R"(
    A   C    E   F
    |   |     \ /
    B   D      G
    |   |      |
    H   I      J
)");
  CHECK_MESSAGE(findings.empty(), text_of(findings));
}

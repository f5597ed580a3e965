// Why: the demo survey, made, written and read back once for all tests of this folder, with the questions
// they ask.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/network/channels.hpp"
#include "core/scoring/assessment.hpp"
#include "core/scoring/method.hpp"
#include "core/scoring/score.hpp"
#include "core/store/survey_file.hpp"
#include "demo_area/demo.hpp"
#include "tests/support/files.hpp"

namespace brookmark::test {

// Read back from a file, once for all tests here.
struct Demo {
  core::Snapshot survey;
  core::ChannelNetwork channels;
  core::CatchmentNesting nesting;
};

inline core::Snapshot make_and_read() {
  const test::TemporaryFolder folder;
  demo::make_demo_survey(folder / "demo.brook");
  return core::SurveyFile::open(folder / "demo.brook", core::Access::kRead).read();
}

inline const Demo& made() {
  static const Demo demo = [] {
    core::Snapshot survey = make_and_read();
    core::ChannelNetwork channels = core::build_channels(survey.reaches);
    core::CatchmentNesting nesting = core::nest_catchments(survey);
    return Demo{std::move(survey), std::move(channels), std::move(nesting)};
  }();
  return demo;
}

inline const core::Method& default_method() {
  return core::shipped_methods().front();
}

inline std::size_t site(std::string_view code) {
  const auto found = made().survey.find_site(code);
  REQUIRE_MESSAGE(found.has_value(), std::string(code));
  return found->value();
}

inline std::size_t catchment(std::string_view code) {
  const auto& all = made().survey.catchments;
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const core::Catchment& one) { return one.code == code; });
  REQUIRE(found != all.end());
  return static_cast<std::size_t>(found - all.begin());
}

inline std::size_t outfall(std::string_view code) {
  const auto& all = made().survey.outfalls;
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const core::Outfall& one) { return one.code == code; });
  REQUIRE(found != all.end());
  return static_cast<std::size_t>(found - all.begin());
}

inline core::Assessment on(const char* day, const core::Method& method = default_method(),
                           std::size_t metric = 0) {
  const auto date = core::parse_date(day);
  REQUIRE(date.has_value());
  const core::ScoreTable scores = core::score_samples(made().survey, method);
  return core::assess(made().survey, scores, metric, made().nesting, *date);
}

inline std::string class_name(const core::Assessment& assessment, std::string_view code) {
  const core::SiteAssessment& one = assessment.sites[site(code)];
  for (const core::ClassBand& band : assessment.metric_info().bands)
    if (band.rank == one.class_rank) return band.name;
  return "";
}

// Relation and along-channel metres from a site to an outfall.
inline core::ChannelDistance to_outfall(std::string_view from, std::string_view to) {
  const auto& survey = made().survey;
  const std::vector<core::LonLat> target{survey.outfalls[outfall(to)].position};
  const auto found =
      core::distances_to(made().channels, survey.sites.position[site(from)], target, core::Direction::kAny);
  REQUIRE(found.size() == 1);
  return found.front();
}

}  // namespace brookmark::test

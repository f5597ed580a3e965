#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "core/analysis/rank_driver.hpp"
#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

constexpr double kDrawnM = 0.5;

// Two rows of one river: sites b, d, f at 200, 800 and 1400 m of 1600 m, with a lettered place every 200 m or so.
const char* const kRiver = R"(
   A
   |
   b
   |
   |
   |
   |
   |
   d
   |
   |
   |
   |
   |
   f
   |
   G
)";

double inside_m(const CatchmentChannels& channels, std::size_t catchment) {
  double sum_m = 0;
  for (const EdgePart& part : channels.inside[catchment]) sum_m += part.to_m - part.from_m;
  return sum_m;
}

// A square between two places of the drawing, given by metres beside a letter.
MultiPolygon box(const DrawnSurvey& s, char letter, double west, double south, double east, double north) {
  const auto at = [&](double x, double y) { return s.river.beside(letter, x, y); };
  return {Polygon{{{at(west, south), at(east, south), at(east, north), at(west, north), at(west, south)}}}};
}

struct Assessed {
  Assessment assessment;
  CatchmentNesting nesting;
  ReachAssessment reaches;
  CatchmentChannels inside;
  std::vector<Drop> drops;
};

Assessed assess_all(const DrawnSurvey& s, const std::string& method_id = "bmwp-a") {
  const Method& method = *find_method(method_id);
  const Snapshot& snapshot = s.builder.snapshot();
  const ScoreTable scores = score_samples(snapshot, method);
  Assessed a;
  a.nesting = nest_catchments(snapshot);
  a.assessment = assess(snapshot, scores, 0, a.nesting, *parse_date("2024-12-31"));
  a.reaches = assess_reaches(snapshot, a.assessment, s.network);
  a.inside = channels_in_catchments(snapshot, s.network);
  add_channel_shares(a.assessment, a.reaches, a.inside);
  a.drops = find_drops(snapshot, scores, 0, s.network, *parse_date("2024-12-31"));
  return a;
}

std::string driver(const DrawnSurvey& s, const Assessed& a, std::size_t catchment, CatchmentRule rule) {
  return rank_driver({s.builder.snapshot(), a.assessment, a.nesting, a.reaches, a.inside, a.drops},
                     CatchmentIndex(catchment), rule);
}

}  // namespace

TEST_CASE("a channel is cut where it crosses the border, and what lies in a hole is outside") {
  DrawnSurvey s(kRiver);
  s.builder.catchment("all", box(s, 'A', -500, -2000, 500, 100));
  s.builder.catchment("top", box(s, 'A', -500, -750, 500, 100));
  s.builder.catchment("bottom", box(s, 'A', -500, -2000, 500, -750));
  s.builder.catchment("beside", box(s, 'A', 100, -2000, 500, 100));
  MultiPolygon ring = box(s, 'A', -500, -2000, 500, 100);
  ring[0].rings.push_back(box(s, 'A', -100, -700, 100, -300)[0].rings[0]);
  s.builder.catchment("ring", ring);
  const CatchmentChannels channels = channels_in_catchments(s.builder.snapshot(), s.network);
  REQUIRE(channels.inside.size() == 5);
  CHECK(near(inside_m(channels, 0), 1600, kDrawnM));
  CHECK(near(inside_m(channels, 1), 750, kDrawnM));
  CHECK(near(inside_m(channels, 2), 850, kDrawnM));
  CHECK(channels.inside[3].empty());
  CHECK(near(inside_m(channels, 4), 1200, kDrawnM));
}

TEST_CASE("what crosses itself counts by the even-odd rule and shares nothing out twice") {
  // A figure of eight over the river: its two halves meet in a point beside the channel's middle.
  DrawnSurvey s(kRiver);
  const auto at = [&](double x, double y) { return s.river.beside('A', x, y); };
  s.builder.catchment("eight",
                      {Polygon{{{at(-300, 0), at(300, -1600), at(-300, -1600), at(300, 0), at(-300, 0)}}}});
  const CatchmentChannels channels = channels_in_catchments(s.builder.snapshot(), s.network);
  CHECK(near(inside_m(channels, 0), 1600, kDrawnM));  // the channel runs down the middle, through both halves
}

TEST_CASE("cut lengths agree with a walk along the channel in short steps") {
  std::mt19937 random(77);
  std::uniform_real_distribution<double> step(-150, 150), angle(0, 2 * 3.14159265358979);
  const LocalFrame frame(kInventedOrigin);
  for (int round = 0; round < 30; ++round) {
    CAPTURE(round);
    std::vector<PlanePoint> line{{0, 0}};
    for (int i = 0; i < 30; ++i) line.push_back({line.back().x + step(random), line.back().y - 60});
    SurveyBuilder b;
    b.reaches({reach_through(frame, line)});
    std::vector<LonLat> outline;
    for (int i = 0; i < 12; ++i) {
      const double turn = i * 2 * 3.14159265358979 / 12, radius = 300 + 4 * std::abs(step(random));
      outline.push_back(frame.to_lonlat({radius * std::cos(turn), -900 + radius * std::sin(turn)}));
    }
    outline.push_back(outline.front());
    b.catchment("C", {Polygon{{outline}}});
    const ChannelNetwork network = build_channels(b.snapshot().reaches);
    const CatchmentChannels channels = channels_in_catchments(b.snapshot(), network);
    double walked_m = 0;
    constexpr double kStepM = 0.25;
    for (std::uint32_t e = 0; e < network.edges().size(); ++e)
      for (std::size_t i = 1; i < network.edges()[e].line.size(); ++i) {
        const LonLat p = network.edges()[e].line[i - 1], q = network.edges()[e].line[i];
        const double whole_m = network.along_m(e)[i] - network.along_m(e)[i - 1];
        const int steps = static_cast<int>(whole_m / kStepM) + 1;
        for (int k = 0; k < steps; ++k) {
          const double t = (k + 0.5) / steps;
          if (contains(b.snapshot().catchments[0].shape,
                       {p.lon + t * (q.lon - p.lon), p.lat + t * (q.lat - p.lat)}))
            walked_m += whole_m / steps;
        }
      }
    // Each crossing may be missed by half a step, of some dozen crossings at most.
    CHECK(near(inside_m(channels, 0), walked_m, 12 * kStepM));
  }
}

TEST_CASE("shares of measured, inferred and unknown channel are those of the pieces inside") {
  DrawnSurvey s(kRiver);
  s.builder.catchment("all", box(s, 'A', -500, -2000, 500, 100));
  s.builder.catchment("foot", box(s, 'A', -500, -2000, 500, -1000));
  s.sample('b', "2024-04-10", kGood);
  s.sample('d', "2024-04-10", kPoor);
  const Assessed a = assess_all(s);
  // b is measured from the head to half way to d, 500 m; d from there to 500 m below it, 1300 m; then unknown.
  const ChannelShares& all = a.assessment.catchments[0].channel.value();
  CHECK(near(all.measured_m, 1300, kDrawnM));
  CHECK(near(all.inferred_m, 0, kDrawnM));
  CHECK(near(all.unknown_m, 300, kDrawnM));
  const ChannelShares& foot = a.assessment.catchments[1].channel.value();
  CHECK(near(foot.measured_m, 300, kDrawnM));
  CHECK(near(foot.unknown_m, 300, kDrawnM));
  // 800 of 1300 m are as poor as d: the middle of the known length is.
  CHECK(all.middle_rank == a.assessment.sites[1].class_rank);
  CHECK(foot.middle_rank == a.assessment.sites[1].class_rank);
  CHECK_FALSE(all.mean_value.has_value());
}

TEST_CASE("without classes the mean value over the measured length stands for the catchment") {
  DrawnSurvey s(kRiver);
  s.builder.catchment("all", box(s, 'A', -500, -2000, 500, 100));
  s.sample('b', "2024-04-10", kGood);  // 6 taxa for 500 m
  s.sample('d', "2024-04-10", kFair);  // 2 taxa for 800 m
  const ChannelShares all = assess_all(s, "ept-richness").assessment.catchments[0].channel.value();
  CHECK(all.middle_rank == 0);
  CHECK(near(all.mean_value.value(), (6 * 500 + 2 * 800) / 1300.0, 0.005));
}

TEST_CASE("the three rules may rank otherwise, and each says what it rests on") {
  // Two catchments: in the upper one poor site beside two good ones, but the poor water is short; the lower all fair.
  DrawnSurvey s(R"(
   A
   |
   b
   |
   |
   |
   |
   |
   c
   |
   d
   |
   E
   |
   |
   |
   |
   f
   |
   G
)");
  s.builder.catchment("up", box(s, 'A', -500, -1150, 500, 100));
  s.builder.catchment("low", box(s, 'A', -500, -2500, 500, -1150));
  s.builder.catchment("dry", box(s, 'A', 1000, -2500, 1500, -1150));
  s.sample('b', "2024-04-10", kGood);
  s.sample('c', "2024-04-10", kGood);
  s.sample('d', "2024-04-10", kPoor);
  s.sample('f', "2024-04-10", kFair);
  const Assessed a = assess_all(s);
  const auto order = [&](CatchmentRule rule) {
    std::string words;
    for (const CatchmentIndex c : worst_first(a.assessment, rule))
      words += s.builder.snapshot().catchments[c.value()].code + " ";
    return words;
  };
  CHECK(order(CatchmentRule::kWorst) == "up low dry ");
  CHECK(order(CatchmentRule::kMedian) == "low up dry ");
  CHECK(order(CatchmentRule::kLength) == "low up dry ");
  const std::string worst = driver(s, a, 0, CatchmentRule::kWorst);
  CHECK(worst.find("d is ") == 0);
  CHECK(worst.find("worse than c above it by 57") != std::string::npos);
  CHECK(driver(s, a, 0, CatchmentRule::kMedian).find("the middle of 3 assessed sites: b, ") == 0);
  CHECK(driver(s, a, 1, CatchmentRule::kMedian).find("f, ") == 0);
  CHECK(driver(s, a, 1, CatchmentRule::kMedian).find(", the only assessed site") != std::string::npos);
  CHECK(driver(s, a, 1, CatchmentRule::kLength).find(" km of channel known") != std::string::npos);
  CHECK(driver(s, a, 2, CatchmentRule::kWorst) == "no site in it is assessed");
  CHECK(driver(s, a, 2, CatchmentRule::kLength) == "no channel in it is measured or inferred");
}

TEST_CASE("a catchment's place is not laid to a fall that is not a clear one") {
  DrawnSurvey s(R"(
   A
   |
   b
   |
   C
)");
  s.builder.catchment("all", box(s, 'A', -500, -1500, 500, 100));
  // One point of 60 (without the worms), by presence alone: no class is lost and nothing tells whether it is chance.
  s.sample('A', "2024-04-10", kGood);
  s.sample('b', "2024-04-10", {kGood.begin(), kGood.end() - 1});
  const Assessed hair = assess_all(s);
  REQUIRE(hair.drops.size() == 1);
  REQUIRE(hair.drops[0].newest()->fall == 1.0);
  const std::string words = driver(s, hair, 0, CatchmentRule::kWorst);
  CHECK(words.find("b is ") == 0);
  CHECK(words.find("not clearly different from A above it") != std::string::npos);
  CHECK(words.find("worse") == std::string::npos);

  DrawnSurvey lost(R"(
   A
   |
   b
   |
   C
)");
  lost.builder.catchment("all", box(lost, 'A', -500, -1500, 500, 100));
  lost.sample('A', "2024-04-10", kGood);
  lost.sample('b', "2024-04-10", kFair);
  CHECK(driver(lost, assess_all(lost), 0, CatchmentRule::kWorst).find("worse than A above it by 40") !=
        std::string::npos);
}

TEST_CASE("the words for the rules read back, and others are none") {
  for (const CatchmentRule rule : {CatchmentRule::kWorst, CatchmentRule::kMedian, CatchmentRule::kLength})
    CHECK(parse_catchment_rule(catchment_rule_name(rule)) == rule);
  CHECK_FALSE(parse_catchment_rule("mean").has_value());
}

#include "core/network/mend.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include "core/base/error.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::Error;
using brookmark::test::AsciiRiver;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;
using core::ChannelFault;
using core::ChannelFinding;
using core::LonLat;
using core::mend_lines;
using core::MendOptions;
using core::MendResult;
using core::Reach;
using core::ReachIndex;

namespace {

// The drawing's plane is right to 1.7 ppm within 10 km: well below a millimetre on a few hundred metres.
constexpr double kMillimetre = 0.001;

std::vector<ChannelFinding> of(const MendResult& result, ChannelFault fault) {
  std::vector<ChannelFinding> found;
  for (const ChannelFinding& f : result.findings)
    if (f.fault == fault) found.push_back(f);
  return found;
}

std::string text_of(const MendResult& result) {
  std::string text;
  for (const ChannelFinding& f : result.findings)
    text += std::string(core::fault_name(f.fault)) + " | " + f.text + " | " + f.remedy + "\n";
  return text;
}

MendOptions within(double tolerance_m) {
  MendOptions options;
  options.tolerance_m = tolerance_m;
  return options;
}

core::ChannelNetwork network_of(const std::vector<Reach>& reaches, double tolerance_m) {
  core::ChannelOptions options;
  options.join_tolerance_m = tolerance_m;
  return core::build_channels(reaches, options);
}

// Along the channel, downstream; nothing where no flow leads there.
std::optional<double> downstream_m(const std::vector<Reach>& reaches, LonLat from, LonLat to) {
  const auto network = network_of(reaches, 0.01);
  const std::vector<LonLat> targets{to};
  const auto answers = core::distances_to(network, from, targets, core::Direction::kDownstream, 1);
  return answers.empty() ? std::nullopt : answers[0].distance_m;
}

}  // namespace

TEST_CASE("clean lines come back as they were, without a finding") {
  const AsciiRiver river(R"(
    A   B
     \ /
      C
      |
      D
)");
  const MendResult result = mend_lines(river.reaches(), {});
  CHECK_MESSAGE(result.findings.empty(), text_of(result));
  REQUIRE(result.reaches.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(result.reaches[i].line == river.reaches()[i].line);
    CHECK(result.notes[i].empty());
  }
}

TEST_CASE("a line of no length is left out and told with its place") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{reach_through(frame, {{0, 0}, {100, 0}}),
                                 reach_through(frame, {{50, 50}, {50, 50}}, "Dot"),
                                 reach_through(frame, {{100, 0}, {200, 0}})};
  const MendResult result = mend_lines(lines, {});
  CHECK(result.reaches.size() == 2);
  REQUIRE(result.findings.size() == 1);
  CHECK(result.findings[0].fault == ChannelFault::kNoLength);
  CHECK(result.findings[0].done);
  CHECK(result.findings[0].reach == ReachIndex(1));
  CHECK(near(core::geodesic_m(result.findings[0].position, lines[1].line[0]), 0, kMillimetre));
}

TEST_CASE("a line drawn again is left out, whichever way round and with whatever points on it") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{reach_through(frame, {{0, 0}, {100, 0}, {300, 50}}, "Mill Brook"),
                                 reach_through(frame, {{300, 50}, {100, 0}, {0, 0}}),
                                 reach_through(frame, {{0, 0}, {50, 0}, {100, 0}, {300, 50}}),
                                 reach_through(frame, {{0, 0}, {100, 0}, {300, 50}})};
  const MendResult result = mend_lines(lines, {});
  REQUIRE(result.reaches.size() == 1);
  CHECK(result.reaches[0].name == "Mill Brook");
  const auto found = of(result, ChannelFault::kDrawnTwice);
  REQUIRE(found.size() == 3);
  CHECK(result.findings.size() == 3);
  for (const ChannelFinding& f : found) CHECK(f.done);
  // 100 m and the root of 200 squared and 50 squared.
  CHECK(near(*found[0].distance_m, 100 + std::hypot(200, 50), 0.01));
  // A stored line stays, and the new one is left out.
  const MendResult again = mend_lines(std::span(lines).subspan(1, 1), std::span(lines).first(1));
  CHECK(again.reaches.empty());
  CHECK(of(again, ChannelFault::kDrawnTwice).size() == 1);
}

TEST_CASE("a line that runs along a part of another is told and not cut") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{reach_through(frame, {{0, 0}, {1000, 0}}),
                                 reach_through(frame, {{400, 0}, {700, 0}, {700, 300}})};
  const MendResult result = mend_lines(lines, {});
  REQUIRE(result.reaches.size() == 2);
  CHECK(result.reaches[1].line == lines[1].line);
  const auto found = of(result, ChannelFault::kOverlap);
  REQUIRE_MESSAGE(found.size() == 1, text_of(result));
  CHECK_FALSE(found[0].done);
  CHECK(found[0].reach == ReachIndex(1));
  CHECK(near(*found[0].distance_m, 300, 0.01));
  CHECK(of(result, ChannelFault::kDrawnTwice).empty());
}

TEST_CASE("lines cut at the border of a tile are led on to meet, within the tolerance and not beyond") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{reach_through(frame, {{0, 0}, {500, 0}}, "West"),
                                 reach_through(frame, {{503, 4}, {1000, 4}}, "East")};
  const MendResult result = mend_lines(lines, {}, within(5.001));
  REQUIRE(result.reaches.size() == 2);
  REQUIRE_MESSAGE(result.findings.size() == 1, text_of(result));
  const ChannelFinding& gap = result.findings[0];
  CHECK(gap.fault == ChannelFault::kGap);
  CHECK(gap.done);
  CHECK(near(*gap.distance_m, 5, kMillimetre));  // 3 and 4
  CHECK(result.reaches[0].line.back() == result.reaches[1].line.front());
  CHECK(near(*downstream_m(result.reaches, lines[0].line[0], lines[1].line[1]), 500 + 5 + 497, kMillimetre));
  const std::size_t moved = gap.reach.value();
  CHECK(result.notes[moved].find("stops 5.00 m short of") != std::string::npos);
  CHECK(result.notes[1 - moved].empty());

  const MendResult apart = mend_lines(lines, {}, within(4.999));
  CHECK(apart.done_count() == 0);
  CHECK(of(apart, ChannelFault::kAlone).size() == 2);
  CHECK_FALSE(downstream_m(apart.reaches, lines[0].line[0], lines[1].line[1]).has_value());
}

TEST_CASE("an end short of the main stem is led on to it, to the nearest place") {
  const AsciiRiver river(R"(
    A
    |
 B- m
    |
    C
)");
  // The tributary's last cell lies two cells, 200 m, from the stem.
  const MendResult result = mend_lines(river.reaches(), {}, within(200.01));
  REQUIRE(result.reaches.size() == 2);
  const auto found = of(result, ChannelFault::kShort);
  REQUIRE_MESSAGE(found.size() == 1, text_of(result));
  CHECK(near(*found[0].distance_m, 200, kMillimetre));
  CHECK(near(core::geodesic_m(found[0].position, river.beside('B', 100, 0)), 0, kMillimetre));
  // 100 m drawn, 200 m led on, 200 m of stem.
  CHECK(near(*downstream_m(result.reaches, river.at('B'), river.at('C')), 500, 0.01));
  CHECK(mend_lines(river.reaches(), {}, within(199.99)).done_count() == 0);
}

TEST_CASE("an end is led on to a stored line, and the stored line stays as it is") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> stored{reach_through(frame, {{0, 100}, {0, -100}}, "Stem")};
  const std::vector<Reach> lines{reach_through(frame, {{-300, 0}, {-3, 0}})};
  const MendResult result = mend_lines(lines, stored);
  REQUIRE(result.reaches.size() == 1);
  REQUIRE_MESSAGE(result.findings.size() == 1, text_of(result));
  CHECK(near(*result.findings[0].distance_m, 3, kMillimetre));
  CHECK(result.findings[0].text.find("the stored reach Stem") != std::string::npos);
  CHECK(near(core::geodesic_m(result.reaches[0].line.back(), kInventedOrigin), 0, kMillimetre));
}

TEST_CASE("ends in a row, each near the next, are led on step by step and none farther than the tolerance") {
  const core::LocalFrame frame(kInventedOrigin);
  std::vector<Reach> lines;
  for (int i = 0; i < 5; ++i) lines.push_back(reach_through(frame, {{i * 4.0, 100}, {i * 4.0, 0}}));
  const MendResult result = mend_lines(lines, {}, within(5));
  for (const ChannelFinding& f : result.findings)
    if (f.done) CHECK(*f.distance_m <= 5);
  CHECK(result.done_count() >= 4);
  const auto network = network_of(result.reaches, 0.01);
  for (std::uint32_t n = 0; n < network.graph().node_count(); ++n) CHECK(network.graph().component(n) == 0);
}

TEST_CASE("a short dead end is told, and removed only on request") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{
      reach_through(frame, {{0, 0}, {500, 0}}), reach_through(frame, {{500, 0}, {1000, 0}}),
      reach_through(frame, {{500, 7}, {500, 0}}), reach_through(frame, {{800, 30}, {800, 0}})};
  const MendResult told = mend_lines(lines, {});
  CHECK(told.reaches.size() == 4);
  REQUIRE(of(told, ChannelFault::kStub).size() == 1);
  CHECK_FALSE(of(told, ChannelFault::kStub)[0].done);
  CHECK(near(*of(told, ChannelFault::kStub)[0].distance_m, 7, kMillimetre));
  CHECK(of(told, ChannelFault::kStub)[0].reach == ReachIndex(2));
  MendOptions options;
  options.remove_stubs = true;
  const MendResult gone = mend_lines(lines, {}, options);
  CHECK(gone.reaches.size() == 3);
  REQUIRE(of(gone, ChannelFault::kStub).size() == 1);
  CHECK(of(gone, ChannelFault::kStub)[0].done);
  // A short last reach before the mouth is no stub.
  const std::vector<Reach> mouth{reach_through(frame, {{0, 0}, {500, 0}}),
                                 reach_through(frame, {{500, 0}, {505, 0}})};
  CHECK(mend_lines(mouth, {}, options).reaches.size() == 2);
}

TEST_CASE("a crossing without a node is told, and joined only where told") {
  const AsciiRiver river(R"(
    A
    |
 B--+--C
    |
 D--+--E
    |
    F
)");
  const MendResult told = mend_lines(river.reaches(), {});
  CHECK(told.done_count() == 0);
  REQUIRE(of(told, ChannelFault::kCrossing).size() == 2);
  const LonLat upper = river.beside('B', 300, 0), lower = river.beside('D', 300, 0);
  CHECK(near(core::geodesic_m(of(told, ChannelFault::kCrossing)[0].position, upper), 0, kMillimetre));
  CHECK_FALSE(downstream_m(told.reaches, river.at('B'), river.at('F')).has_value());

  MendOptions one;
  one.crossings = {lower};
  const MendResult lower_only = mend_lines(river.reaches(), {}, one);
  CHECK(lower_only.reaches.size() == 4);
  CHECK(lower_only.done_count() == 1);
  CHECK_FALSE(downstream_m(lower_only.reaches, river.at('B'), river.at('F')).has_value());
  CHECK(near(*downstream_m(lower_only.reaches, river.at('D'), river.at('F')), 500, kMillimetre));

  MendOptions all;
  all.join_crossings = true;
  const MendResult both = mend_lines(river.reaches(), {}, all);
  CHECK(both.reaches.size() == 5);
  CHECK(of(both, ChannelFault::kCrossing).size() == 2);
  CHECK(near(*downstream_m(both.reaches, river.at('B'), river.at('F')), 700, kMillimetre));
  CHECK(near(*downstream_m(both.reaches, river.at('A'), river.at('E')), 700, kMillimetre));
  CHECK(mend_lines(both.reaches, {}, all).done_count() == 0);
}

TEST_CASE("bad options are refused") {
  CHECK_THROWS_AS(mend_lines({}, {}, within(-1)), Error);
  CHECK_THROWS_AS(mend_lines({}, {}, within(std::nan(""))), Error);
  MendOptions options;
  options.stub_m = std::numeric_limits<double>::infinity();
  CHECK_THROWS_AS(mend_lines({}, {}, options), Error);
  options = {};
  options.flow_from = core::FlowFrom::kHeights;
  CHECK_THROWS_WITH_AS(mend_lines({}, {}, options),
                       "The flow cannot be told from heights without a terrain model.", Error);
  CHECK(mend_lines({}, {}).reaches.empty());
}

namespace {

// Lines on a coarse lattice with shaken ends: gaps, ends short of lines, overlaps, crossings, lines drawn twice.
std::vector<Reach> dirty_lines(std::mt19937& random) {
  const core::LocalFrame frame(kInventedOrigin);
  const auto below = [&](int limit) { return static_cast<int>(random() % static_cast<unsigned>(limit)); };
  const auto shaken = [&] { return below(3) == 0 ? 0.0 : (below(121) - 60) / 10.0; };
  std::vector<Reach> lines;
  for (int i = 0, count = 3 + below(12); i < count; ++i) {
    const double x = below(4) * 50.0, y = below(4) * 50.0;
    const core::PlanePoint a{x + shaken(), y + shaken()};
    const core::PlanePoint b{x + (below(3) - 1) * 50 + shaken(), y + (below(3) - 1) * 50 + shaken()};
    lines.push_back(reach_through(frame, {a, {(a.x + b.x) / 2 + shaken(), (a.y + b.y) / 2}, b}));
    if (below(8) == 0) lines.push_back(lines.back());
    if (below(12) == 0) std::reverse(lines.back().line.begin(), lines.back().line.end());
  }
  return lines;
}

bool holds_in_order(const core::Line& all, const core::Line& part) {
  auto at = all.begin();
  for (const LonLat p : part) {
    at = std::find(at, all.end(), p);
    if (at == all.end()) return false;
  }
  return true;
}

void check_dirty(const MendOptions& options, std::uint32_t seed) {
  std::mt19937 random(seed);
  CAPTURE(seed);
  std::size_t done = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    const std::vector<Reach> lines = dirty_lines(random);
    const MendResult once = mend_lines(lines, {}, options);
    done += once.done_count();
    for (const ChannelFinding& f : once.findings) {
      if (f.done && (f.fault == ChannelFault::kGap || f.fault == ChannelFault::kShort))
        REQUIRE(*f.distance_m <= options.tolerance_m);
      REQUIRE_FALSE(f.text.empty());
      REQUIRE(f.done == !f.remedy.empty());
    }
    // Every point that is not left out as a whole is there still, in its order.
    if (!options.join_crossings) {
      std::size_t left_out = 0;
      for (const Reach& line : lines) {
        const core::Line back(line.line.rbegin(), line.line.rend());
        const bool kept = std::any_of(once.reaches.begin(), once.reaches.end(), [&](const Reach& mended) {
          return holds_in_order(mended.line, line.line) || holds_in_order(mended.line, back);
        });
        left_out += kept ? 0 : 1;
      }
      std::size_t told = 0;
      for (const ChannelFault fault :
           {ChannelFault::kNoLength, ChannelFault::kDrawnTwice, ChannelFault::kStub})
        for (const ChannelFinding& f : of(once, fault)) told += f.done ? 1 : 0;
      REQUIRE(left_out <= told);
      REQUIRE(once.reaches.size() + told == lines.size());
    }
    const MendResult twice = mend_lines(once.reaches, {}, options);
    REQUIRE_MESSAGE(twice.done_count() == 0, (text_of(once) + "---\n" + text_of(twice)));
    REQUIRE(twice.reaches.size() == once.reaches.size());
    for (std::size_t i = 0; i < once.reaches.size(); ++i)
      REQUIRE(twice.reaches[i].line == once.reaches[i].line);
  }
  CHECK(done > 400);
}

}  // namespace

TEST_CASE("of 400 dirty networks none loses a point, and mending a mended one does nothing") {
  check_dirty(within(5), 20241105);
}

TEST_CASE("so it is with crossings joined, stubs removed and the flow led to the outlet") {
  MendOptions options = within(5);
  options.join_crossings = true;
  options.remove_stubs = true;
  options.stub_m = 30;
  options.flow_from = core::FlowFrom::kMajority;
  check_dirty(options, 20241106);
}

#include <doctest/doctest.h>

#include <map>
#include <random>
#include <set>
#include <tuple>
#include <utility>
#include <vector>

#include "core/network/line_meetings_internal.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;
using core::ChannelLine;
using core::LineMeeting;
using core::PlanePoint;
using core::Reach;

namespace {

std::vector<ChannelLine> lines_of(const std::vector<Reach>& reaches, const core::LocalFrame& frame) {
  core::ChannelFindings findings;
  return core::clean_lines(reaches, frame, core::numbered_label(reaches), findings);
}

double side(PlanePoint a, PlanePoint b, PlanePoint p) {
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

}  // namespace

TEST_CASE("on 300 random bundles of lines the crossings are those that comparing all segments finds") {
  std::mt19937 random(20241109);
  std::uniform_real_distribution<double> place(0, 1000);
  const core::LocalFrame frame(kInventedOrigin);
  std::size_t compared = 0;
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    std::vector<Reach> reaches;
    for (std::size_t l = 0; l < 2 + random() % 6; ++l) {
      std::vector<PlanePoint> points;
      for (std::size_t p = 0; p < 2 + random() % 40; ++p) points.push_back({place(random), place(random)});
      reaches.push_back(reach_through(frame, points));
    }
    const std::vector<ChannelLine> lines = lines_of(reaches, frame);
    std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> expected, found;
    std::set<std::pair<std::uint32_t, std::uint32_t>> close;
    for (std::uint32_t a = 0; a < lines.size(); ++a)
      for (std::uint32_t b = a + 1; b < lines.size(); ++b)
        for (std::size_t i = 1; i < lines[a].plane.size(); ++i)
          for (std::size_t j = 1; j < lines[b].plane.size(); ++j) {
            const PlanePoint p = lines[a].plane[i - 1], q = lines[a].plane[i];
            const PlanePoint r = lines[b].plane[j - 1], s = lines[b].plane[j];
            // A corner within a centimetre of the other line meets it, crossing or not: such pairs are left out.
            for (const auto& [corner, u, v] : {std::tuple(r, p, q), {s, p, q}, {p, r, s}, {q, r, s}})
              if (core::squared_m(corner, core::between(u, v, core::nearest_share(u, v, corner))) <
                  0.05 * 0.05)
                close.insert({a, b});
            if ((side(p, q, r) > 0) != (side(p, q, s) > 0) && (side(r, s, p) > 0) != (side(r, s, q) > 0))
              ++expected[{a, b}];
          }
    for (const LineMeeting& m : core::line_meetings(lines, frame, 0)) {
      REQUIRE(m.shared_m == 0);
      ++found[{m.a, m.b}];
      // The place is on both lines.
      REQUIRE(near(core::geodesic_m(core::place_on(lines[m.a], m.along_a_m), m.position), 0, 0.001));
      REQUIRE(near(core::geodesic_m(core::place_on(lines[m.b], m.along_b_m), m.position), 0, 0.001));
    }
    for (const auto& pair : close) expected.erase(pair), found.erase(pair);
    REQUIRE(found == expected);
    for (const auto& [pair, count] : expected) compared += count;
  }
  CHECK(compared > 10'000);
}

TEST_CASE("lines that share a part are told once with its length, whatever their points on it") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{0, 0}, {1000, 0}}),
                                   reach_through(frame, {{900, 0}, {500, 0}, {200, 0}, {200, 300}}),
                                   reach_through(frame, {{0, 0}, {300, 0}, {1000, 0}})};
  const std::vector<ChannelLine> lines = lines_of(reaches, frame);
  const auto meetings = core::line_meetings(lines, frame, 5);
  REQUIRE(meetings.size() == 3);
  CHECK(near(meetings[0].shared_m, 700, 0.001));  // the first two
  CHECK_FALSE(core::is_same_course(meetings[0], lines));
  CHECK(near(meetings[1].shared_m, 1000, 0.001));  // the first and the last
  CHECK(core::is_same_course(meetings[1], lines));
  CHECK(near(meetings[2].shared_m, 700, 0.001));
}

TEST_CASE("lines with a common point that ends neither meet once there") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{-100, 0}, {0, 0}, {100, 0}}),
                                   reach_through(frame, {{0, -100}, {0, 0}, {0, 100}})};
  const auto meetings = core::line_meetings(lines_of(reaches, frame), frame, 5);
  REQUIRE(meetings.size() == 1);
  CHECK(near(meetings[0].along_a_m, 100, 0.001));
  CHECK(near(core::geodesic_m(meetings[0].position, kInventedOrigin), 0, 0.001));
}

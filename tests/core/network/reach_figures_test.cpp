#include "core/network/reach_figures.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::AsciiRiver;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;

TEST_CASE("every reach has its order, length upstream and way to the mouth at its lower end") {
  // Two heads meet in C, and a third runs into the stem in the middle of its reach C-F, at e.
  const LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> reaches{reach_through(frame, {{-300, 400}, {0, 0}}, "west"),
                                   reach_through(frame, {{300, 400}, {0, 0}}, "east"),
                                   reach_through(frame, {{0, 0}, {0, -1000}}, "stem"),
                                   reach_through(frame, {{-200, -400}, {0, -400}}, "side")};
  const ChannelNetwork network = build_channels(reaches);
  const auto figures = reach_figures(reaches, network);
  REQUIRE(figures.size() == 4);
  // 3-4-5 triangles of 500 m; 10 cm for the plane of the drawing.
  const double upstream_m[] = {500, 500, 2200, 200}, to_mouth_m[] = {1000, 1000, 0, 600};
  const int order[] = {1, 1, 2, 1};
  for (std::size_t i = 0; i < 4; ++i) {
    CAPTURE(i);
    CHECK(figures[i].stream_order == order[i]);
    CHECK(near(figures[i].upstream_m.value(), upstream_m[i], 0.1));
    CHECK(near(figures[i].to_mouth_m.value(), to_mouth_m[i], 0.1));
    CHECK(figures[i].note.empty());
  }
}

TEST_CASE("a figure that the rule does not give is empty, and the note says why") {
  const LocalFrame frame(kInventedOrigin);
  std::vector<Reach> reaches{
      reach_through(frame, {{0, 0}, {100, 0}}), reach_through(frame, {{100, 0}, {100, 100}}),
      reach_through(frame, {{100, 100}, {0, 0}}), reach_through(frame, {{5000, 0}, {5000, 0}})};
  const auto circle = reach_figures(reaches, build_channels(reaches));
  CHECK_FALSE(circle[0].to_mouth_m);
  CHECK(circle[0].note.find("no mouth") != std::string::npos);
  CHECK(near(circle[0].upstream_m.value(), 200 + 141.421, 0.1));
  CHECK_FALSE(circle[3].stream_order);
  CHECK_FALSE(circle[3].upstream_m);
  CHECK_FALSE(circle[3].to_mouth_m);
  CHECK(circle[3].note.find("no part of the network") != std::string::npos);
  reaches = {reach_through(frame, {{0, 0}, {100, 0}})};
  reaches[0].two_way = true;
  CHECK(reach_figures(reaches, build_channels(reaches))[0].note.find("either way") != std::string::npos);
  CHECK(reach_figures({}, build_channels({})).empty());
}

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "core/base/error.hpp"
#include "core/network/channels.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::core::build_channels;
using brookmark::core::ChannelNetwork;
using brookmark::core::Reach;
using brookmark::test::AsciiRiver;
using brookmark::test::kInventedOrigin;
using brookmark::test::near;
using brookmark::test::reach_through;

namespace {

// The drawing's plane is right to 1.7 ppm within 10 km: below a millimetre over 250 m.
constexpr double kMillimetre = 0.001;

}  // namespace

TEST_CASE("a place snaps to the nearest channel, keeps the distance, and not beyond the limit") {
  const AsciiRiver river(R"(
    A
    |
    |
    B
)");
  const ChannelNetwork network = build_channels(river.reaches(), {5, 250});
  const auto point = network.snap(river.beside('A', 120, -70));
  REQUIRE(point.has_value());
  CHECK(point->edge == 0);
  CHECK(near(point->along_m, 70, kMillimetre));
  CHECK(near(point->snap_m, 120, kMillimetre));
  CHECK(near(core::geodesic_m(point->position, river.beside('A', 0, -70)), 0, kMillimetre));
  CHECK(network.snap(river.beside('A', 249.99, -70)).has_value());
  CHECK_FALSE(network.snap(river.beside('A', 250.01, -70)).has_value());
  CHECK_FALSE(network.snap({std::nan(""), 40}).has_value());
  CHECK_FALSE(network.snap({0, 95}).has_value());
}

TEST_CASE("snapping agrees with looking at every segment, over random channels and places") {
  const core::LocalFrame frame(kInventedOrigin);
  std::mt19937 random(20240504);
  std::uniform_real_distribution<double> place(0, 5000);
  std::normal_distribution<double> step(0, 60);
  std::vector<Reach> reaches;
  for (int r = 0; r < 150; ++r) {
    std::vector<core::PlanePoint> line{{place(random), place(random)}};
    const int points = 2 + static_cast<int>(random() % 20);
    while (static_cast<int>(line.size()) < points) {
      line.push_back({line.back().x + step(random), line.back().y + step(random)});
    }
    reaches.push_back(reach_through(frame, line));
  }
  const ChannelNetwork network = build_channels(reaches, {5, 250});
  int on = 0;
  for (int i = 0; i < 3000; ++i) {
    const core::PlanePoint p{place(random) * 1.2 - 500, place(random) * 1.2 - 500};
    // Brute force in the plane of the drawing, 1.7 ppm of at most 250 m: below a millimetre.
    double nearest_m = std::numeric_limits<double>::infinity();
    for (const core::ChannelEdge& edge : network.edges()) {
      for (std::size_t s = 0; s + 1 < edge.line.size(); ++s) {
        const core::PlanePoint a = frame.to_plane(edge.line[s]);
        const core::PlanePoint b = frame.to_plane(edge.line[s + 1]);
        const double dx = b.x - a.x, dy = b.y - a.y;
        const double t = std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        nearest_m = std::min(nearest_m, std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy));
      }
    }
    if (std::abs(nearest_m - 250) < 0.01) continue;  // too near the limit for the plane to tell
    const auto point = network.snap(frame.to_lonlat(p));
    REQUIRE(point.has_value() == (nearest_m < 250));
    if (!point) continue;
    ++on;
    REQUIRE(near(point->snap_m, nearest_m, kMillimetre));
    // The place on the edge that the answer names is where the answer says it is.
    const core::Line& line = network.edges()[point->edge].line;
    const auto along_m = network.along_m(point->edge);
    REQUIRE(point->along_m >= 0);
    REQUIRE(point->along_m <= along_m.back());
    std::size_t s = 0;
    while (s + 2 < line.size() && along_m[s + 1] < point->along_m) ++s;
    REQUIRE(near(core::geodesic_m(line[s], point->position), point->along_m - along_m[s], kMillimetre));
  }
  CHECK(on > 1000);
}

TEST_CASE("waters that run, ditches and canals look far for their channel; still and unknown ones do not") {
  using core::WaterKind;
  core::ChannelOptions options;
  CHECK(options.still_water_snap_m == 10);
  options.max_snap_m = 300;
  options.still_water_snap_m = 20;
  for (const WaterKind kind :
       {WaterKind::kSpring, WaterKind::kStream, WaterKind::kRiver, WaterKind::kDitch, WaterKind::kCanal})
    CHECK(core::snap_limit_m(kind, options) == 300);
  for (const WaterKind kind :
       {WaterKind::kPond, WaterKind::kPool, WaterKind::kLakeMargin, WaterKind::kUnknown})
    CHECK(core::snap_limit_m(kind, options) == 20);
}

TEST_CASE("a limit given for one place holds instead of the network's, nearer or farther") {
  const AsciiRiver river(R"(
    A
    |
    |
    B
)");
  const ChannelNetwork network = build_channels(river.reaches());
  CHECK(network.snap(river.beside('A', 9.99, -70), 10).has_value());
  CHECK_FALSE(network.snap(river.beside('A', 10.01, -70), 10).has_value());
  CHECK(network.snap(river.beside('A', 300, -70), 310).has_value());
  CHECK(network.snap(river.beside('A', 0, -70), 0.001).has_value());
  CHECK_THROWS_AS(network.snap(river.at('A'), -1), brookmark::Error);
  CHECK_THROWS_AS(network.snap(river.at('A'), std::nan("")), brookmark::Error);
  CHECK_THROWS_AS(build_channels(river.reaches(), {5, 250, -1}), brookmark::Error);
}

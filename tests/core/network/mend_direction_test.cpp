#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "core/network/mend.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
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

namespace {

MendOptions by_majority() {
  MendOptions options;
  options.flow_from = core::FlowFrom::kMajority;
  return options;
}

// The reaches that were turned, by number from 1.
std::vector<std::size_t> turned(const std::vector<Reach>& lines, const MendResult& result) {
  std::vector<std::size_t> numbers;
  REQUIRE(result.reaches.size() == lines.size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const core::Line back(lines[i].line.rbegin(), lines[i].line.rend());
    if (result.reaches[i].line == back)
      numbers.push_back(i + 1);
    else
      REQUIRE(result.reaches[i].line == lines[i].line);
  }
  return numbers;
}

std::vector<std::size_t> turned_by_majority(const std::string& drawing) {
  const std::vector<Reach> lines = AsciiRiver(drawing).reaches();
  const MendResult result = mend_lines(lines, {}, by_majority());
  const auto numbers = turned(lines, result);
  CHECK(result.done_count() == numbers.size());
  CHECK(mend_lines(result.reaches, {}, by_majority()).done_count() == 0);
  return numbers;
}

using Numbers = std::vector<std::size_t>;

}  // namespace

TEST_CASE("a reach turned round within a chain is turned back, and told with its length and the majority") {
  const AsciiRiver river(R"(
    A
    |
    |
    B
    ^
    C
    |
    |
    D
)");
  const MendResult result = mend_lines(river.reaches(), {}, by_majority());
  CHECK(turned(river.reaches(), result) == Numbers{2});
  REQUIRE(result.findings.size() == 1);
  const ChannelFinding& f = result.findings[0];
  CHECK(f.fault == ChannelFault::kAgainstFlow);
  CHECK(f.done);
  CHECK(near(*f.distance_m, 200, 0.001));
  CHECK(f.text.find("75 % of the length") != std::string::npos);  // 300 + 300 of 800 m
  CHECK(result.notes[1].find("turned round") != std::string::npos);
}

TEST_CASE("a tributary drawn away from the main stem is turned, whole if it has parts") {
  CHECK(turned_by_majority(R"(
    A
    |
    |   E F
    |   ^ ^
    B---C-D
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    G
)") == Numbers{2, 3, 4, 5});
  // Here three outlets are as likely: for G 1,200 m would be turned, for E 1,500 m, for F 1,300 m.
  CHECK(turned_by_majority(R"(
    A
    |
    |   E F
    |   ^ ^
    B---C-D
    |
    |
    |
    |
    |
    |
    |
    |
    |
    G
)") == Numbers{});
}

TEST_CASE("where two outlets are as likely, neither arm is turned, and both are told with their costs") {
  const AsciiRiver river(R"(
      A
      |
      B
     / \
    C   D
)");
  const MendResult result = mend_lines(river.reaches(), {}, by_majority());
  CHECK(turned(river.reaches(), result) == Numbers{});
  const auto told = std::find_if(result.findings.begin(), result.findings.end(), [](const ChannelFinding& f) {
    return f.fault == ChannelFault::kAgainstFlow;
  });
  REQUIRE(told != result.findings.end());
  CHECK_FALSE(told->done);
  CHECK(near(*told->distance_m, 2 * brookmark::test::kDiagonalM, 0.01));  // an arm of two cells

  for (const char place : {'C', 'D'})  // the other arm
    CHECK(told->text.find(core::place_words(river.at(place)) + " (283 m would be turned)") !=
          std::string::npos);
}

TEST_CASE("an overlap on a stem that ends in a two-way canal turns nothing") {
  const core::LocalFrame frame(kInventedOrigin);
  for (const bool turned_order : {false, true}) {
    // Two lines run one beside the other over 400 m, so that the stem there is a block; no dead end is an outlet as drawn
    // but that of the canal.
    std::vector<Reach> lines{reach_through(frame, {{0, 1000}, {0, 600}, {0, 200}}, "stem"),
                             reach_through(frame, {{0, 600}, {0, 200}, {0, 0}}, "again"),
                             reach_through(frame, {{0, 0}, {0, -300}}, "canal")};
    lines[2].two_way = true;
    if (turned_order) std::reverse(lines.begin(), lines.end());
    const MendResult result = mend_lines(lines, {}, by_majority());
    CHECK(turned(lines, result) == Numbers{});
  }
}

TEST_CASE("a proper tree, a braid and two streams that meet at the outlet stay as drawn") {
  for (const char* drawing : {R"(
    A   B
     \ /
      C   D
      |  /
      | /
      |/
      E
      |
      F
)",
                              R"(
      A
      |
      B
     / \
    C   D
     \ /
      E
      |
      F
)",
                              R"(
    A   B
     \ /
      C
)"})
    CHECK(turned_by_majority(drawing) == Numbers{});
}

TEST_CASE("an arm of a braid that makes a circle is turned, and one half turned that dams it as well") {
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
  for (const bool both_halves : {true, false}) {
    std::vector<Reach> lines = river.reaches();
    Numbers wrong;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const bool at_c = lines[i].line.front() == river.at('C') || lines[i].line.back() == river.at('C');
      const bool lower = lines[i].line.back() == river.at('E') && at_c;
      if (!at_c || (!both_halves && !lower)) continue;
      std::reverse(lines[i].line.begin(), lines[i].line.end());
      wrong.push_back(i + 1);
    }
    REQUIRE(wrong.size() == (both_halves ? 2 : 1));
    const MendResult result = mend_lines(lines, {}, by_majority());
    CHECK(turned(lines, result) == wrong);
  }
}

TEST_CASE("of random trees with some lines turned, the majority leads all water to the outlet") {
  std::mt19937 random(20241107);
  const core::LocalFrame frame(kInventedOrigin);
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    // A tree on a lattice: every place drains to one drawn before; the outlet is a long last reach.
    std::vector<core::PlanePoint> places{{0, -2000}, {0, 0}};
    std::vector<Reach> lines{reach_through(frame, {places[1], places[0]})};
    while (places.size() < 20) {
      const core::PlanePoint down = places[1 + random() % (places.size() - 1)];
      const double dx = static_cast<double>(random() % 3) - 1;
      const core::PlanePoint up{down.x + 100 * dx,
                                down.y + 100 * (dx == 0 ? 1.0 : static_cast<double>(random() % 2))};
      if (std::find(places.begin(), places.end(), up) != places.end()) continue;
      places.push_back(up);
      lines.push_back(reach_through(frame, {up, down}));
    }
    const std::vector<Reach> right = lines;
    for (std::size_t i = 1; i < lines.size(); ++i)
      if (random() % 6 == 0) std::reverse(lines[i].line.begin(), lines[i].line.end());
    MendOptions options = by_majority();
    options.tolerance_m = 0.5;
    const MendResult result = mend_lines(lines, {}, options);
    // Diagonals of the lattice may cross, never join. At most 19 of 100 to 141 m may be turned: the outlet's
    // 2,000 m decide.
    for (std::size_t i = 0; i < lines.size(); ++i) REQUIRE(result.reaches[i].line == right[i].line);
  }
}

TEST_CASE(
    "a line that climbs is turned by the heights, one that hardly climbs or is off the terrain is not") {
  const core::LocalFrame frame(kInventedOrigin);
  const std::vector<Reach> lines{reach_through(frame, {{0, 0}, {0, 500}}, "up"),
                                 reach_through(frame, {{0, 0}, {500, 0}}, "level"),
                                 reach_through(frame, {{0, 0}, {0, -500}}, "down"),
                                 reach_through(frame, {{0, 500}, {0, 5000}}, "beyond")};
  // A plane that rises one in a hundred to the north, and one in a thousand to the east.
  MendOptions options;
  options.flow_from = core::FlowFrom::kHeights;
  options.height_at = [&](LonLat at) -> std::optional<double> {
    const core::PlanePoint p = frame.to_plane(at);
    if (p.y > 1000) return std::nullopt;
    return 100 + p.y / 100 + p.x / 1000;
  };
  const MendResult result = mend_lines(lines, {}, options);
  CHECK(turned(lines, result) == Numbers{1});
  const auto told = std::find_if(result.findings.begin(), result.findings.end(),
                                 [](const ChannelFinding& f) { return f.done; });
  REQUIRE(told != result.findings.end());
  CHECK(told->text.find("climbs 5.0 m from its first point to its last (100.0 to 105.0 m)") !=
        std::string::npos);
  CHECK(std::any_of(result.findings.begin(), result.findings.end(), [](const ChannelFinding& f) {
    return f.fault == ChannelFault::kHeightUnknown && f.reach == core::ReachIndex(3);
  }));
  CHECK(mend_lines(result.reaches, {}, options).done_count() == 0);
}

namespace {

// Heights of the places by letter.
MendOptions with_heights(const AsciiRiver& river, const std::vector<std::pair<char, double>>& heights) {
  MendOptions options;
  options.flow_from = core::FlowFrom::kHeights;
  std::vector<std::pair<LonLat, double>> places;
  for (const auto& [letter, height_m] : heights) places.emplace_back(river.at(letter), height_m);
  options.height_at = [places](LonLat at) -> std::optional<double> {
    for (const auto& [place, height_m] : places)
      if (core::geodesic_m(place, at) < 1) return height_m;
    return std::nullopt;
  };
  return options;
}

}  // namespace

TEST_CASE("a level line that dams what comes down is turned, a level dead end is only told") {
  const AsciiRiver river(R"(
    A
    |
    |
    B
    ^
    C
    |
    D-E
    |
    F
)");
  // B-C is drawn upwards and level; D-E leads off level, and may be a leat.
  const MendOptions options =
      with_heights(river, {{'A', 20}, {'B', 10}, {'C', 10}, {'D', 8}, {'E', 8.5}, {'F', 2}});
  const std::vector<Reach> lines = river.reaches();
  const MendResult result = mend_lines(lines, {}, options);
  const Numbers numbers = turned(lines, result);
  REQUIRE(numbers.size() == 1);
  CHECK(lines[numbers[0] - 1].line.back() == river.at('B'));
  CHECK(std::any_of(result.findings.begin(), result.findings.end(), [&](const ChannelFinding& f) {
    return f.fault == ChannelFault::kAgainstFlow && !f.done && f.position == river.at('D');
  }));
  CHECK(mend_lines(result.reaches, {}, options).done_count() == 0);
}

TEST_CASE("a line that climbs on its way to the lowest end is told and stays as drawn") {
  const AsciiRiver river(R"(
    A
    |
    B
    |
    C
    |
    D
)");
  const MendOptions options = with_heights(river, {{'A', 20}, {'B', 10}, {'C', 14}, {'D', 2}});
  const MendResult result = mend_lines(river.reaches(), {}, options);
  CHECK(turned(river.reaches(), result) == Numbers{});
  CHECK(std::any_of(result.findings.begin(), result.findings.end(), [](const ChannelFinding& f) {
    return f.fault == ChannelFault::kAgainstFlow &&
           f.text.find("lead this way to their lowest end") != std::string::npos;
  }));
}

TEST_CASE(
    "of random trees with a third of the lines turned, heights with noise turn back all and no others") {
  std::mt19937 random(20260412);
  const core::LocalFrame frame(kInventedOrigin);
  for (int round = 0; round < 200; ++round) {
    CAPTURE(round);
    std::vector<core::PlanePoint> places{{0, 0}, {0, 100}};
    std::vector<double> height_m{0, 5};
    std::vector<Reach> right{reach_through(frame, {places[1], places[0]})};
    while (places.size() < 25) {
      const std::size_t below = 1 + random() % (places.size() - 1);
      const double dx = static_cast<double>(random() % 3) - 1;
      const core::PlanePoint up{places[below].x + 100 * dx,
                                places[below].y + 100 * (dx == 0 ? 1.0 : static_cast<double>(random() % 2))};
      if (std::find(places.begin(), places.end(), up) != places.end()) continue;
      places.push_back(up);
      height_m.push_back(height_m[below] + 1.5 + static_cast<double>(random() % 10));
      right.push_back(reach_through(frame, {up, places[below]}));
    }
    MendOptions options;
    options.tolerance_m = 0.5;
    options.flow_from = core::FlowFrom::kHeights;
    for (double& h : height_m)
      h += static_cast<double>(random() % 100) / 400 - 0.125;  // an eighth of a metre
    options.height_at = [&](LonLat at) -> std::optional<double> {
      for (std::size_t i = 0; i < places.size(); ++i)
        if (core::geodesic_m(frame.to_lonlat(places[i]), at) < 0.1) return height_m[i];
      return std::nullopt;
    };
    std::vector<Reach> lines = right;
    for (Reach& reach : lines)
      if (random() % 3 == 0) std::reverse(reach.line.begin(), reach.line.end());
    const MendResult result = mend_lines(lines, {}, options);
    for (std::size_t i = 0; i < lines.size(); ++i) REQUIRE(result.reaches[i].line == right[i].line);
  }
}

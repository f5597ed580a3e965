#include "core/network/flow_neighbours.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "core/base/error.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::AsciiRiver;
using brookmark::test::kCellM;
using brookmark::test::kDiagonalM;
using brookmark::test::near;

namespace {

constexpr double kDrawnM =
    0.1;  // the plane of the drawing is right to 1.7 ppm and its letters to less than a millimetre

// Sites at letters of a drawn river.
struct Placed {
  AsciiRiver river;
  std::string letters;
  ChannelNetwork network;
  std::vector<ChannelPoint> points;
  FlowNeighbours flow;

  Placed(const std::string& drawing, const std::string& at)
      : river(drawing),
        letters(at),
        network(build_channels(river.reaches())),
        points(points_at()),
        flow(network, points) {}

  std::vector<ChannelPoint> points_at() const {
    std::vector<ChannelPoint> out;
    for (const char c : letters) out.push_back(network.snap(river.at(c)).value());
    return out;
  }
  std::uint32_t number(char letter) const { return static_cast<std::uint32_t>(letters.find(letter)); }
  // "B 200 C 341" of what lies below a letter, metres rounded.
  std::string below(char letter) const {
    std::string out;
    for (const NextPlace& next : flow.below(number(letter)))
      out += (out.empty() ? "" : " ") + std::string(1, letters[next.place]) + " " +
             std::to_string(std::lround(next.distance_m));
    return out;
  }
};

// Letters s, t, u ... stand on passing strokes.
const char* const kMeeting = R"(
   a   b
    \ /
     C
     |
     d
     |
     E
)";

}  // namespace

TEST_CASE("on a line each place has the next one below it and no other") {
  const Placed p(R"(
   A
   |
   b
   |
   |
   c
   |
   D
)",
                 "AbcD");
  CHECK(p.below('A') == "b 200");
  CHECK(p.below('b') == "c 300");
  CHECK(p.below('c') == "D 200");
  CHECK(p.below('D').empty());
  CHECK_THROWS_AS((void)p.flow.stretch(p.number('A'), p.number('c')), brookmark::Error);
  CHECK_THROWS_AS((void)p.flow.stretch(p.number('b'), p.number('A')), brookmark::Error);
  const FlowStretch bc = p.flow.stretch(p.number('b'), p.number('c'));
  CHECK(near(bc.length_m, 3 * kCellM, kDrawnM));
  CHECK(near(length_m(bc.line), bc.length_m, 0.001));
  CHECK(bc.line.front() == p.points[p.number('b')].position);
  CHECK(bc.line.back() == p.points[p.number('c')].position);
  CHECK(bc.enters.empty());
}

TEST_CASE("below a confluence a place has one neighbour up each branch, and branches are never neighbours") {
  const Placed p(kMeeting, "abd");
  CHECK(p.below('a') == "d 483");  // two diagonals and two cells
  CHECK(p.below('b') == "d 483");
  CHECK(p.below('d').empty());
  const FlowStretch ad = p.flow.stretch(p.number('a'), p.number('d'));
  CHECK(near(ad.length_m, 2 * kDiagonalM + 2 * kCellM, kDrawnM));
  REQUIRE(ad.enters.size() == 1);  // the other branch
  CHECK(near(ad.enters[0].distance_m, 2 * kCellM, kDrawnM));
  CHECK(near(p.network.graph().edges()[ad.enters[0].edge].length_m, 2 * kDiagonalM, kDrawnM));
}

TEST_CASE("a place on the confluence itself is between those above and those below") {
  const Placed p(kMeeting, "abCd");
  CHECK(p.below('a') == "C 283");
  CHECK(p.below('b') == "C 283");
  CHECK(p.below('C') == "d 200");
  // At the confluence the other branch has come in, at no distance; below it nothing has.
  const FlowStretch ac = p.flow.stretch(p.number('a'), p.number('C'));
  REQUIRE(ac.enters.size() == 1);
  CHECK(ac.enters[0].distance_m == 0);
  CHECK(p.flow.stretch(p.number('C'), p.number('d')).enters.empty());
}

TEST_CASE(
    "both arms of a braid lead to the place below, the shorter one counts, and an arm is no tributary") {
  const Placed p(R"(
     a
     |
     B
    / \
   /   \
  C     D
   \    |
    \   |
     \  E
      \/
      F
      |
      g
)",
                 "ag");
  CHECK(p.flow.below(p.number('a')).size() == 1);
  const FlowStretch whole = p.flow.stretch(p.number('a'), p.number('g'));
  CHECK(whole.enters.empty());
  CHECK(near(whole.length_m, p.flow.below(p.number('a'))[0].distance_m, 1e-9));

  // With a place on one arm, water from above reaches both it and, by the other arm, the one below.
  const Placed q(R"(
     a
     |
     B
    / \
   /   \
  c     d
   \   /
    \ /
     E
     |
     f
)",
                 "acf");
  CHECK(q.below('a') == "c 624 f 1249");
  CHECK(q.below('c') == "f 624");
  const FlowStretch af = q.flow.stretch(q.number('a'), q.number('f'));
  CHECK(af.enters.size() == 1);  // the arm that another place watches
  CHECK(q.network.edges()[af.enters[0].edge].line.size() >= 2);
}

TEST_CASE("a tributary that joins an arm of a braid enters the stretch") {
  const Placed p(R"(
     a
     |
     B
    / \
   /   \
  C     D--<--T
   \   /
    \ /
     E
     |
     f
)",
                 "af");
  const FlowStretch af = p.flow.stretch(p.number('a'), p.number('f'));
  REQUIRE(af.enters.size() == 1);
  CHECK(near(af.enters[0].distance_m, 2 * kDiagonalM + kDiagonalM + 2 * kCellM, kDrawnM));
}

TEST_CASE("water that runs in a circle finds the places on and below it, never the place it left") {
  const Placed p(R"(
     a
     |
     B-->--C
     |     |
     ^     |
     |     |
     D--<--E
           |
           g
)",
                 "ag");
  CHECK_FALSE(p.network.graph().is_tree());
  CHECK(p.below('a') == "g 1400");  // 200 + 600 + 400 + 200
  CHECK(p.below('g').empty());

  const Placed q(R"(
     a
     |
     B-->--C
     |     |
     ^     h
     |     |
     D--<--E
           |
           g
)",
                 "ahg");
  CHECK(q.below('a') == "h 1000");
  CHECK(q.below('h') == "g 400");  // and round to itself, which is left out
}

TEST_CASE("places on one spot are one, and the first listed stands for them") {
  const AsciiRiver river("\nA\n|\nb\n|\nC\n");
  const ChannelNetwork network = build_channels(river.reaches());
  const std::vector<ChannelPoint> points{*network.snap(river.at('C')), *network.snap(river.at('b')),
                                         *network.snap(river.beside('b', 30, 0)),
                                         *network.snap(river.at('A')), *network.snap(river.at('C'))};
  const FlowNeighbours flow(network, points);
  CHECK(flow.same_place(2) == 1);
  CHECK(flow.same_place(4) == 0);
  for (const std::uint32_t b : {1U, 2U}) {
    REQUIRE(flow.below(b).size() == 1);
    CHECK(flow.below(b)[0].place == 0);
    CHECK(near(flow.below(b)[0].distance_m, 2 * kCellM, kDrawnM));
  }
  REQUIRE(flow.below(3).size() == 1);
  CHECK(flow.below(3)[0].place == 1);
}

TEST_CASE("from any point the next places down are found, one that stands there first") {
  const Placed p(kMeeting, "ad");
  const auto from_b = p.flow.below(*p.network.snap(p.river.at('b')));
  REQUIRE(from_b.size() == 1);
  CHECK(p.letters[from_b[0].place] == 'd');
  CHECK(near(from_b[0].distance_m, 2 * kDiagonalM + 2 * kCellM, kDrawnM));
  const auto from_d = p.flow.below(p.points[p.number('d')]);
  REQUIRE(from_d.size() == 1);
  CHECK(p.letters[from_d[0].place] == 'd');
  CHECK(from_d[0].distance_m == 0);
  CHECK(p.flow.below(*p.network.snap(p.river.at('E'))).empty());
}

TEST_CASE("without places, or without channels, there is nothing to find") {
  const AsciiRiver river(kMeeting);
  const ChannelNetwork network = build_channels(river.reaches());
  const FlowNeighbours none(network, {});
  CHECK(none.below(*network.snap(river.at('a'))).empty());
  const ChannelNetwork empty = build_channels({});
  CHECK_NOTHROW(FlowNeighbours(empty, {}));
}

TEST_CASE("in a canal that flows either way each of two places is below the other") {
  AsciiRiver river("\na\n|\nB--c--D--e\n      |\n      F\n      |\n      g\n");
  std::vector<Reach> reaches = river.reaches();
  const ChannelPoint one_way = build_channels(reaches).snap(river.at('c')).value();
  for (Reach& reach : reaches)
    if (reach.line.front() == reaches[one_way.edge].line.front()) reach.two_way = true;
  const ChannelNetwork network = build_channels(reaches);
  std::vector<ChannelPoint> points;
  for (const char letter : std::string("ceg")) points.push_back(network.snap(river.at(letter)).value());
  const FlowNeighbours flow(network, points);
  bool any_two_way = false;
  for (std::uint32_t e = 0; e < network.graph().edges().size(); ++e)
    any_two_way = any_two_way || network.graph().is_two_way(e);
  CHECK(any_two_way);
  for (std::uint32_t p = 0; p < points.size(); ++p)
    for (const NextPlace& next : flow.below(p)) {
      const FlowStretch stretch = flow.stretch(p, next.place);
      CHECK(near(stretch.length_m, next.distance_m, 1e-6));
      CHECK(near(length_m(stretch.line), next.distance_m, 0.01));
      CHECK(stretch.line.front() == points[p].position);
      CHECK(stretch.line.back() == points[next.place].position);
    }
}

TEST_CASE("on random trees, braids and loops the neighbours are those that a walk from each place finds") {
  std::mt19937 random(20250917);
  const LocalFrame frame(brookmark::test::kInventedOrigin);
  std::uniform_real_distribution<double> where(0, 5000);
  std::size_t pairs = 0, looped = 0;
  for (int round = 0; round < 1000; ++round) {
    CAPTURE(round);
    const bool loops = round % 2 == 1;
    std::vector<LonLat> nodes;
    const std::size_t node_count = 4 + random() % 12;
    while (nodes.size() < node_count) nodes.push_back(frame.to_lonlat({where(random), where(random)}));
    std::vector<Reach> reaches;
    for (std::size_t i = 0; i < node_count + random() % 6; ++i) {
      std::size_t from = random() % node_count, to = random() % node_count;
      if (from == to) continue;
      if (!loops && from > to) std::swap(from, to);
      Reach reach;
      reach.line = {nodes[from], nodes[to]};
      reach.two_way = loops && random() % 4 == 0;
      reaches.push_back(reach);
    }
    const ChannelNetwork network = build_channels(reaches, {0.01, 1});
    const auto edges = network.graph().edges();
    std::vector<ChannelPoint> points;
    const std::size_t place_count = edges.empty() ? 0 : 2 + random() % 8;
    for (std::size_t i = 0; i < place_count; ++i) {
      const auto e = static_cast<std::uint32_t>(random() % edges.size());
      const double share = static_cast<double>(random() % 11) / 10;  // 0 and 1: on a node
      points.push_back({e, share * edges[e].length_m, 0, {}});
    }
    const FlowNeighbours flow(network, points);

    // The graph with every edge cut at its places; a walk goes on from a node only where no place stands.
    const std::size_t n = network.graph().node_count();
    std::vector<std::size_t> vertex(points.size());
    std::map<std::pair<std::uint32_t, long>, std::size_t> spot;  // edge and millimetres
    std::size_t vertices = n;
    std::vector<int> place_at(n, -1);
    for (std::size_t p = 0; p < points.size(); ++p) {
      const GraphEdge& e = edges[points[p].edge];
      if (points[p].along_m == 0 || points[p].along_m == e.length_m) {
        vertex[p] = points[p].along_m == 0 ? e.from : e.to;
      } else {
        const auto [it, added] =
            spot.try_emplace({points[p].edge, std::lround(points[p].along_m * 1000)}, vertices);
        if (added) ++vertices, place_at.push_back(-1);
        vertex[p] = it->second;
      }
      if (place_at[vertex[p]] < 0) place_at[vertex[p]] = static_cast<int>(p);
    }
    std::vector<std::vector<std::pair<std::size_t, double>>> out(vertices);
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      std::vector<std::pair<double, std::size_t>> along{{0, edges[e].from}};
      for (std::size_t p = 0; p < points.size(); ++p)
        if (points[p].edge == e && vertex[p] >= n) along.emplace_back(points[p].along_m, vertex[p]);
      std::sort(along.begin() + 1, along.end());
      along.emplace_back(edges[e].length_m, edges[e].to);
      for (std::size_t i = 0; i + 1 < along.size(); ++i)
        if (along[i].second != along[i + 1].second || along[i].second < n) {
          const double step_m = along[i + 1].first - along[i].first;
          out[along[i].second].emplace_back(along[i + 1].second, step_m);
          if (network.graph().is_two_way(e)) out[along[i + 1].second].emplace_back(along[i].second, step_m);
        }
    }
    for (std::uint32_t p = 0; p < points.size(); ++p) {
      CAPTURE(p);
      const auto self = static_cast<std::uint32_t>(place_at[vertex[p]]);
      REQUIRE(flow.same_place(p) == self);
      std::vector<double> d(vertices, kNoPath);
      std::map<std::uint32_t, double> expected;
      // Bellman and Ford: relax until nothing changes; places take and do not give.
      std::vector<std::pair<std::size_t, double>> open{{vertex[p], 0}};
      while (!open.empty()) {
        const auto [v, m] = open.back();
        open.pop_back();
        for (const auto& [to, step] : out[v]) {
          if (m + step >= d[to]) continue;
          d[to] = m + step;
          if (place_at[to] < 0) open.emplace_back(to, d[to]);
        }
      }
      for (std::size_t v = 0; v < vertices; ++v)
        if (place_at[v] >= 0 && v != vertex[p] && d[v] != kNoPath)
          expected[static_cast<std::uint32_t>(place_at[v])] = d[v];
      const auto found = flow.below(p);
      REQUIRE(found.size() == expected.size());
      for (const NextPlace& next : found) {
        REQUIRE(expected.count(next.place) == 1);
        REQUIRE(near(next.distance_m, expected[next.place], 1e-6));
        const FlowStretch stretch = flow.stretch(p, next.place);
        REQUIRE(near(stretch.length_m, next.distance_m, 1e-6));
        REQUIRE(near(length_m(stretch.line), next.distance_m, 0.01));
        ++pairs;
      }
    }
    if (loops && !network.graph().is_tree()) ++looped;
  }
  MESSAGE("neighbours compared: ", pairs);
  CHECK(pairs > 1000);
  CHECK(looped > 50);
}

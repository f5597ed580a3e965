#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "core/network/channels.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using std::string_literals::operator""s;
using brookmark::core::build_channels;
using brookmark::core::ChannelDistance;
using brookmark::core::ChannelNetwork;
using brookmark::core::Direction;
using brookmark::core::distances_to;
using brookmark::core::LonLat;
using brookmark::core::Relation;
using brookmark::test::AsciiRiver;
using brookmark::test::kDiagonalM;
using brookmark::test::near;

namespace {

// The drawing's plane is right to 0.2 ppm within 1 km, 1.7 ppm within 10 km: millimetres on these rivers.
constexpr double kTolerance = 0.005;

struct Asked {
  std::string order;  // letters of the targets in the order of the answer
  std::vector<ChannelDistance> answers;
  const ChannelDistance& operator[](char letter) const { return answers.at(order.find(letter)); }
};

Asked ask(const AsciiRiver& river, char from, const std::string& targets, Direction direction,
          const core::ChannelOptions& options = {}) {
  const ChannelNetwork network = build_channels(river.reaches(), options);
  std::vector<LonLat> places;
  for (const char letter : targets) places.push_back(river.at(letter));
  Asked asked;
  asked.answers = distances_to(network, river.at(from), places, direction);
  for (const ChannelDistance& answer : asked.answers) asked.order.push_back(targets[answer.target]);
  return asked;
}

// What holds for every answer with a path: it is drawn from one place on the channel to the other, as long as
// it says.
void check_path(const ChannelDistance& answer, LonLat from, LonLat to, double tolerance_m) {
  REQUIRE(answer.distance_m.has_value());
  REQUIRE_FALSE(answer.path.empty());
  CHECK(near(core::geodesic_m(answer.path.front(), from), *answer.snap_m, tolerance_m));
  CHECK(near(core::geodesic_m(answer.path.back(), to), *answer.target_snap_m, tolerance_m));
  CHECK(near(core::length_m(answer.path), *answer.distance_m, tolerance_m));
  CHECK(answer.reach_count >= 1);
  CHECK(answer.note.empty());
}

}  // namespace

TEST_CASE("at a confluence places upstream, downstream and across are told apart") {
  const AsciiRiver river(R"(
     A       B
      \     /
       a   b
        \ /
         C
         |
         c
         |
         D
)");
  const Asked any = ask(river, 'a', "ABbcD", Direction::kAny);
  CHECK(any.order == "AcbDB");
  CHECK(any['A'].relation == Relation::kUpstream);
  CHECK(near(*any['A'].distance_m, 2 * kDiagonalM, kTolerance));
  CHECK(any['c'].relation == Relation::kDownstream);
  CHECK(near(*any['c'].distance_m, 2 * kDiagonalM + 200, kTolerance));
  CHECK(any['b'].relation == Relation::kViaConfluence);
  CHECK(near(*any['b'].distance_m, 4 * kDiagonalM, kTolerance));
  CHECK(near(*any['D'].distance_m, 2 * kDiagonalM + 400, kTolerance));
  CHECK(near(*any['B'].distance_m, 6 * kDiagonalM, kTolerance));
  CHECK(near(any['b'].straight_m, 400, kTolerance));
  CHECK(any['A'].reach_count == 1);
  CHECK(any['D'].reach_count == 2);
  for (const char letter : std::string("ABbcD"))
    check_path(any[letter], river.at('a'), river.at(letter), kTolerance);
  CHECK(any['D'].path.size() == 3);  // a, the confluence, D

  CHECK(ask(river, 'a', "ABbcD", Direction::kUpstream).order == "A");
  CHECK(ask(river, 'a', "ABbcD", Direction::kDownstream).order == "cD");
  const Asked up = ask(river, 'c', "DbaAB", Direction::kUpstream);
  CHECK(up.order.size() == 4);
  CHECK(up.order.find('D') == std::string::npos);
  CHECK(std::max(up.order.find('a'), up.order.find('b')) < std::min(up.order.find('A'), up.order.find('B')));
  CHECK(ask(river, 'b', "bcD", Direction::kUpstream).order == "b");
}

TEST_CASE("a place at a confluence has every arm above it upstream") {
  const AsciiRiver river(R"(
     A   B
      \ /
       C
       |
       D
)");
  const Asked up = ask(river, 'C', "DAB", Direction::kUpstream);
  CHECK(up.order == "AB");
  CHECK(near(*up['A'].distance_m, 2 * kDiagonalM, kTolerance));
  const Asked down = ask(river, 'C', "ABD", Direction::kDownstream);
  CHECK(down.order == "D");
  CHECK(near(*down['D'].distance_m, 200, kTolerance));
}

TEST_CASE("two places on one reach have the distance between them, whichever way one asks") {
  const AsciiRiver river(R"(
    A
    |
    a
    |
    b
    |
    B
)");
  const Asked down = ask(river, 'a', "b", Direction::kDownstream);
  REQUIRE(down.order == "b");
  CHECK(near(*down['b'].distance_m, 200, kTolerance));
  CHECK(down['b'].reach_count == 1);
  check_path(down['b'], river.at('a'), river.at('b'), kTolerance);
  CHECK(ask(river, 'a', "b", Direction::kUpstream).order.empty());
  CHECK(ask(river, 'b', "a", Direction::kUpstream).order == "a");
  CHECK(ask(river, 'b', "a", Direction::kDownstream).order.empty());
  const Asked any = ask(river, 'b', "a", Direction::kAny);
  CHECK(any['a'].relation == Relation::kUpstream);
  check_path(any['a'], river.at('b'), river.at('a'), kTolerance);
}

TEST_CASE("a place is no distance from itself, upstream as well as downstream") {
  const AsciiRiver river(R"(
    A
    |
    a
    |
    B
)");
  for (const Direction direction : {Direction::kUpstream, Direction::kDownstream, Direction::kAny}) {
    const Asked asked = ask(river, 'a', "a", direction);
    REQUIRE(asked.order == "a");
    CHECK(near(*asked['a'].distance_m, 0, 1e-9));
    CHECK(asked['a'].reach_count == 1);
    CHECK(asked['a'].path.size() == 1);
  }
}

TEST_CASE("on a braid the shorter arm counts") {
  const AsciiRiver river(R"(
     A
     |
     B---C
     |   |
     x   y
     |   |
     D   |
     |   |
     |   |
     E-<-F
     |
     G
)");
  const Asked down = ask(river, 'A', "GxyE", Direction::kDownstream);
  // x: 200 to B, 200 on. E: 200 + 800 by x; the other arm is 400 + 800 + 400. y: 200 + 400 + 200.
  CHECK(down.order == "xyEG");
  CHECK(near(*down['x'].distance_m, 400, kTolerance));
  CHECK(near(*down['y'].distance_m, 800, kTolerance));
  CHECK(near(*down['E'].distance_m, 900, kTolerance));
  CHECK(near(*down['G'].distance_m, 1100, kTolerance));
  CHECK(down['G'].reach_count == 4);  // A-B, B-D, D-E, E-G
  for (const char letter : std::string("xyEG"))
    check_path(down[letter], river.at('A'), river.at(letter), kTolerance);
  // Neither arm drains to the other: over the top 200 + 400 + 200, below 500 + 400 + 500.
  const Asked across = ask(river, 'x', "y", Direction::kAny);
  CHECK(across['y'].relation == Relation::kViaConfluence);
  CHECK(near(*across['y'].distance_m, 800, kTolerance));
  check_path(across['y'], river.at('x'), river.at('y'), kTolerance);
  CHECK(ask(river, 'x', "y", Direction::kUpstream).order.empty());
}

TEST_CASE("upstream and downstream distances follow the flow even where a path against it is shorter") {
  const AsciiRiver river(R"(
     A-->-----B
     |        |
     |        |
     C-<---s--D
     |
     E
)");
  // From s up to A: 300 to D, 300 up to B, 900 back to A. Across C and up the short arm it is 600 + 300.
  const Asked any = ask(river, 's', "A", Direction::kAny);
  CHECK(any['A'].relation == Relation::kUpstream);
  CHECK(near(*any['A'].distance_m, 1500, kTolerance));
  CHECK(near(*ask(river, 's', "A", Direction::kUpstream)['A'].distance_m, 1500, kTolerance));
}

TEST_CASE("in a loop everything lies both up and down; the shorter way names it") {
  const AsciiRiver river(R"(
     A--a-->--B
     ^        |
     |        |
     D--<-b---C
)");
  // Round the loop: 900 + 300 + 900 + 300 = 2400. With the flow from a: 600 + 300 + 400 = 1300 to b;
  // against it 300 + 300 + 500 = 1100.
  const Asked down = ask(river, 'a', "b", Direction::kDownstream);
  CHECK(down['b'].relation == Relation::kDownstream);
  CHECK(near(*down['b'].distance_m, 1300, kTolerance));
  const Asked up = ask(river, 'a', "b", Direction::kUpstream);
  CHECK(up['b'].relation == Relation::kUpstream);
  CHECK(near(*up['b'].distance_m, 1100, kTolerance));
  const Asked any = ask(river, 'a', "b", Direction::kAny);
  CHECK(any['b'].relation == Relation::kUpstream);
  CHECK(near(*any['b'].distance_m, 1100, kTolerance));
  for (const Asked* asked : {&down, &up, &any})
    check_path((*asked)['b'], river.at('a'), river.at('b'), kTolerance);
}

TEST_CASE("two places on one reach of a loop can be reached going round") {
  const AsciiRiver river(R"(
     A--a--b->B
     ^        |
     |        |
     D--<-----C
)");
  // Along the reach a to b is 300; round the loop, against the flow, 2400 - 300.
  const Asked up = ask(river, 'a', "b", Direction::kUpstream);
  REQUIRE(up.order == "b");
  CHECK(near(*up['b'].distance_m, 2100, kTolerance));
  CHECK(up['b'].reach_count == 4);
  check_path(up['b'], river.at('a'), river.at('b'), kTolerance);
  CHECK(near(*ask(river, 'a', "b", Direction::kDownstream)['b'].distance_m, 300, kTolerance));
  CHECK(near(*ask(river, 'b', "a", Direction::kDownstream)['a'].distance_m, 2100, kTolerance));
}

TEST_CASE("a tributary that ends short of the main stem drains to it within the tolerance only") {
  const AsciiRiver river(R"(
       A
       |
 b--   m
       |
       |
       B
)");
  // The tributary's last cell lies 400 m from the stem at m; the join adds nothing to the distance.
  const Asked joined = ask(river, 'B', "bA", Direction::kUpstream, {400.1, 50});
  CHECK(joined.order == "bA");
  CHECK(near(*joined['b'].distance_m, 500, kTolerance));
  CHECK(joined['b'].reach_count == 2);
  const Asked apart = ask(river, 'B', "bA", Direction::kUpstream, {399.9, 50});
  CHECK(apart.order == "Ab");
  CHECK(apart['b'].relation == Relation::kUnconnected);
}

TEST_CASE("a tributary drawn onto a passing line drains to it") {
  const AsciiRiver river(R"(
       A
       |
 b--s--m
       |
       o
       |
       B
)");
  const Asked up = ask(river, 'o', "AbsB", Direction::kUpstream);
  CHECK(up.order == "Asb");
  CHECK(near(*up['s'].distance_m, 200 + 300, kTolerance));
  CHECK(near(*up['b'].distance_m, 200 + 600, kTolerance));
  CHECK(up['b'].reach_count == 2);
  CHECK(near(*ask(river, 's', "Bo", Direction::kDownstream)['o'].distance_m, 500, kTolerance));
  CHECK(ask(river, 's', "A", Direction::kAny)['A'].relation == Relation::kViaConfluence);
}

TEST_CASE("channels that cross without a node do not lead from one to the other") {
  const AsciiRiver river(R"(
       A
       |
       |
 B-----+-----C
       |
       |
       D
)");
  const Asked any = ask(river, 'B', "ACD", Direction::kAny);
  CHECK(any.order[0] == 'C');
  CHECK(any['A'].relation == Relation::kUnconnected);
  CHECK(any['D'].relation == Relation::kUnconnected);
  CHECK_FALSE(any['A'].distance_m.has_value());
}

TEST_CASE("a place that no channel joins is listed last, with the straight line named as such") {
  const AsciiRiver river(R"(
    A        E
    |        |
    B        F


                  P
)");
  for (const Direction direction : {Direction::kUpstream, Direction::kDownstream, Direction::kAny}) {
    const Asked asked = ask(river, 'A', "PEFAB", direction);
    const std::string reached = direction == Direction::kUpstream ? "A" : "AB";
    REQUIRE(asked.order == reached + "EFP");  // 900, 922 and 1523 m in a straight line
    CHECK(asked['E'].relation == Relation::kUnconnected);
    CHECK_FALSE(asked['E'].distance_m.has_value());
    CHECK(asked['E'].path.empty());
    CHECK(asked['E'].reach_count == 0);
    CHECK(near(*asked['E'].snap_m, 0, kTolerance));
    CHECK(near(asked['E'].straight_m, 900, kTolerance));
    CHECK(asked['E'].note ==
          "no channel joins the two places; 900 m in a straight line, which is not a distance along water");
    CHECK(asked['P'].relation == Relation::kOffChannel);
    CHECK_FALSE(asked['P'].target_snap_m.has_value());
    // 14 cells east and 5 south: the square root of 14^2 + 5^2 is 14.866.
    CHECK(near(asked['P'].straight_m, 1486.607, kTolerance));
    CHECK(asked['P'].note ==
          "no channel within 250 m of the other place; 1487 m in a straight line, which is not a distance "
          "along "
          "water");
  }
}

TEST_CASE("from an isolated pool everything is off channel, nearest in a straight line first") {
  const AsciiRiver river(R"(
    A
    |
    B


           P
           Q
)");
  const Asked asked = ask(river, 'P', "ABQ", Direction::kUpstream);
  CHECK(asked.order == "QBA");
  for (const ChannelDistance& answer : asked.answers) {
    CHECK(answer.relation == Relation::kOffChannel);
    CHECK_FALSE(answer.distance_m.has_value());
    CHECK_FALSE(answer.snap_m.has_value());
  }
  CHECK(asked['Q'].note ==
        "no channel within 250 m of either place; 100 m in a straight line, which is not a distance along "
        "water");
  CHECK(asked['B'].note.rfind("no channel within 250 m of this place; ", 0) == 0);
  CHECK(near(*asked['B'].target_snap_m, 0, kTolerance));
}

TEST_CASE("a survey without channels says that there are none to follow") {
  const std::vector<LonLat> targets{{-38, 40.001}};
  const auto answers = distances_to(build_channels({}), {-38, 40}, targets, Direction::kAny);
  REQUIRE(answers.size() == 1);
  CHECK(answers[0].relation == Relation::kOffChannel);
  CHECK(answers[0].note ==
        "there are no channels to follow; 111 m in a straight line, which is not a distance along water");
  CHECK(distances_to(build_channels({}), {-38, 40}, {}, Direction::kAny).empty());
}

TEST_CASE("places beside the channel are measured from where they snap, and the snap is kept") {
  const AsciiRiver river(R"(
    A
    |
    |
    |
    B
)");
  const ChannelNetwork network = build_channels(river.reaches());
  const LonLat site = river.beside('A', 40, -300);
  const std::vector<LonLat> outfalls{river.beside('A', -25, -120), river.beside('A', 0, 60)};
  const auto answers = distances_to(network, site, outfalls, Direction::kUpstream);
  REQUIRE(answers.size() == 2);
  CHECK(answers[0].target == 0);
  CHECK(near(*answers[0].distance_m, 180, kTolerance));
  CHECK(near(*answers[0].snap_m, 40, kTolerance));
  CHECK(near(*answers[0].target_snap_m, 25, kTolerance));
  CHECK(near(answers[0].straight_m, std::hypot(65, 180), kTolerance));
  check_path(answers[0], site, outfalls[0], kTolerance);
  CHECK(near(*answers[1].distance_m, 300, kTolerance));  // snapped to the head of the stream
}

TEST_CASE("a pond beside a stream is on no channel; a pond drawn onto the stream is") {
  const AsciiRiver river(R"(
    A
    |
    |
    |
    B
)");
  const ChannelNetwork network = build_channels(river.reaches());
  const double limit_m = core::snap_limit_m(core::WaterKind::kPond, network.options());
  const std::vector<LonLat> outfalls{river.at('A'), river.beside('A', 400, -100)};

  const auto beside =
      distances_to(network, river.beside('A', 80, -300), outfalls, Direction::kUpstream, limit_m);
  REQUIRE(beside.size() == 2);
  for (const ChannelDistance& answer : beside) {
    CHECK(answer.relation == Relation::kOffChannel);
    CHECK_FALSE(answer.distance_m.has_value());
    CHECK_FALSE(answer.snap_m.has_value());
  }
  // Straight: sqrt(80^2 + 300^2) = 310 m to A, sqrt(320^2 + 200^2) = 377 m to the outfall off every channel.
  CHECK(
      beside[0].note ==
      "no channel within 10 m of this place; 310 m in a straight line, which is not a distance along water");
  CHECK(beside[1].note ==
        "no channel within 10 m of this place nor within 250 m of the other place; 377 m in a straight line, "
        "which is not a distance along water");

  const auto drawn_onto =
      distances_to(network, river.beside('A', 3, -300), outfalls, Direction::kUpstream, limit_m);
  CHECK(drawn_onto.at(0).relation == Relation::kUpstream);
  CHECK(near(drawn_onto.at(0).distance_m.value_or(0), 300, kTolerance));
  CHECK(drawn_onto.at(0).note.empty());
  CHECK(drawn_onto.at(1).note.rfind("no channel within 250 m of the other place; ", 0) == 0);
}

TEST_CASE("a place moved more than 50 m to the channel says so, whatever the relation") {
  const AsciiRiver river(R"(
    A    P
    |    |
    |    |
    |    |
    B    Q
)");
  const ChannelNetwork network = build_channels(river.reaches());
  const LonLat site = river.beside('A', -237, -300);
  const std::vector<LonLat> targets{river.at('A'), river.beside('B', -79, 0), river.at('Q')};
  const auto answers = distances_to(network, site, targets, Direction::kAny);
  REQUIRE(answers.size() == 3);
  CHECK(answers[0].target == 1);  // 100 m down the stream
  CHECK(answers[0].relation == Relation::kDownstream);
  CHECK(answers[0].note ==
        "the place was moved 237 m to the channel; the other place was moved 79 m to the channel");
  CHECK(answers[1].note == "the place was moved 237 m to the channel");
  CHECK(answers[2].relation == Relation::kUnconnected);
  CHECK(answers[2].note.rfind("no channel joins the two places; ", 0) == 0);
  CHECK(answers[2].note.find("; the place was moved 237 m to the channel") != std::string::npos);

  const std::vector<LonLat> head{river.at('A')};
  CHECK(distances_to(network, river.beside('A', 49.9, -300), head, Direction::kAny).at(0).note.empty());
  CHECK(distances_to(network, river.beside('A', 50.1, -300), head, Direction::kAny).at(0).note ==
        "the place was moved 50 m to the channel");
}

TEST_CASE("each relation has its name") {
  CHECK(relation_name(Relation::kUpstream) == "upstream"s);
  CHECK(relation_name(Relation::kDownstream) == "downstream"s);
  CHECK(relation_name(Relation::kViaConfluence) == "via confluence"s);
  CHECK(relation_name(Relation::kUnconnected) == "unconnected"s);
  CHECK(relation_name(Relation::kOffChannel) == "off channel"s);
}

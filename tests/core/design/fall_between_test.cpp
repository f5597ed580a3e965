// Any two sites on one flow path can be narrowed down between, and the sites on the way share the fall out.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "core/base/error.hpp"
#include "core/base/random.hpp"
#include "core/design/narrow.hpp"
#include "core/network/channel_walk.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

const char* const kLong = R"(
    A
    |
    |
    |
    B
    |
    |
    |
    C<---E
    |
    |
    |
    D
)";  // 400 m from letter to letter; E comes in at C

struct Chain : DesignSurvey {
  explicit Chain(const char* drawing = kLong) : DesignSurvey(drawing) {}
  void read() {
    refresh();
    falls = drawn.drops("2024-12-31");
    scores = score_samples(snapshot, *find_method("bmwp-a"));
  }
  FallToNarrow between(std::string_view up, std::string_view down) const {
    return fall_between({snapshot, scores, 0, drawn.network, period}, falls, up, down);
  }
  std::string refusal(std::string_view up, std::string_view down) const {
    try {
      between(up, down);
    } catch (const Error& error) {
      return error.what();
    }
    return "nothing was refused";
  }
  Period period = parse_date("2024-12-31").value();
  std::vector<Drop> falls;
  ScoreTable scores;
};

}  // namespace

TEST_CASE(
    "between two sites with others on the way the whole stretch is suspect, and the steps share the fall "
    "out") {
  Chain d;
  d.drawn.sample('A', "2024-05-03", kGood);
  d.drawn.sample('B', "2024-05-03", kFair);
  d.drawn.sample('D', "2024-05-03", kPoor);
  d.drawn.sample('E', "2024-05-03", kGood);
  d.read();
  const FallToNarrow task = d.between("A", "D");
  CHECK(near(task.fall.stretch.length_m, 1200, 0.1));
  REQUIRE(task.fall.newest() != nullptr);
  CHECK(*task.fall.newest()->fall == kGoodScore - kPoorScore);
  // The arm's own step (E to D) is not on the way.
  REQUIRE(task.steps.size() == 2);
  CHECK(d.drawn.said(task.steps) == "A>B 40, B>D 17");
  CHECK(steps_words(d.snapshot, task) ==
        "on the way from A to D: A to B worse by 40.00, B to D worse by 17.00; it falls most between A and "
        "B, and that "
        "stretch can be narrowed down by itself");
  const Suggestions s = suggest_narrow(d.source(), {.count = 1}, task, {.clear = {.clear_m = 0}});
  REQUIRE(s.list.size() == 1);
  CHECK(says(s.notes, "on the way from A to D: A to B worse by 40.00"));
  // 1,200 m and the arm for 250 m: half is 725 m.
  CHECK(near(d.metres_from('A', s.list[0]), 725, 13));
  // Of neighbours there is nothing to share out, and the answer is the same as ever.
  const FallToNarrow step = d.between("B", "D");
  CHECK(step.steps.empty());
  CHECK(near(step.fall.stretch.length_m, 800, 0.1));
  CHECK(steps_words(d.snapshot, step).empty());
  CHECK(d.between("E", "D").steps.empty());
}

TEST_CASE("the steps add up to the whole, and one that betters is told as such") {
  Chain d;
  d.drawn.sample('A', "2024-05-03", kFair);
  d.drawn.sample('B', "2024-05-03", kGood);
  d.drawn.sample('C', "2024-05-03", kGood);
  d.drawn.sample('D', "2024-05-03", kPoor);
  d.read();
  const FallToNarrow task = d.between("A", "D");
  REQUIRE(task.steps.size() == 3);
  double sum = 0;
  for (const Drop& step : task.steps) sum += *step.newest()->fall;
  // C is still as good as A, so what is left to narrow down is C to D.
  REQUIRE(task.asked.has_value());
  CHECK(sum == *task.asked->newest()->fall);
  CHECK(*task.fall.newest()->fall == kGoodScore - kPoorScore);
  CHECK(steps_words(d.snapshot, task)
            .starts_with("on the way from A to D: A to B better by 40.00, B to C no difference, C to D worse "
                         "by 57.00; it falls most between C "
                         "and D"));
}

TEST_CASE("what cannot be narrowed between two sites gets a sentence each") {
  Chain d;
  d.drawn.sample('A', "2024-05-03", kGood);
  d.drawn.sample('B', "2024-05-03", kGood);
  d.drawn.sample('C', "2024-11-03", kPoor);
  d.drawn.sample('E', "2024-05-03", kPoor);
  d.drawn.site('D');
  d.read();
  CHECK(d.refusal("A", "E").starts_with("no water runs from A to E, so "));
  CHECK(d.refusal("B", "A").find("name the upper site first") != std::string::npos);
  CHECK(d.refusal("A", "D").find("has no sample of the last two years") != std::string::npos);
  CHECK(d.refusal("A", "C").find("cannot be compared: no two samples of one season") != std::string::npos);
  CHECK(d.refusal("A", "B").find("quality does not fall between A and B") != std::string::npos);
  CHECK(d.refusal("A", "Z") == "there is no site \"Z\" in this survey");
}

// On small networks drawn at random: what lies above each spot is found by walking from every suspect, and the lightest heavier part
// of all spots is that of the spot suggested.
TEST_CASE("no spot of the network parts the suspects more evenly, against every spot, on 80 drawn networks") {
  Random random(21, stream_of("narrow, networks"));
  int with_arms = 0;
  for (int round = 0; round < 80; ++round) {
    CAPTURE(round);
    // A stem of three stretches; an arm may come in at each of its joints.
    std::string drawing;
    const std::size_t lengths[] = {2 + random.below(6), 2 + random.below(6), 2 + random.below(6)};
    const bool arms[] = {random.below(2) == 0, random.below(2) == 0};
    drawing += "    A\n";
    for (std::size_t part = 0; part < 3; ++part) {
      for (std::size_t i = 0; i < lengths[part]; ++i) drawing += "    |\n";
      drawing += part == 0   ? (arms[0] ? "    B<---E\n" : "    B\n")
                 : part == 1 ? (arms[1] ? "    C<---F\n" : "    C\n")
                             : "    D\n";
    }
    Chain d(drawing.c_str());
    const double stem_m = static_cast<double>(lengths[0] + lengths[1] + lengths[2] + 3) * 100;
    std::vector<LonLat> outfalls;
    for (std::size_t o = random.below(3); o > 0; --o) {
      outfalls.push_back(d.drawn.river.beside('A', 0, -(60 + random.uniform() * (stem_m - 120))));
      d.drawn.builder.outfall("O" + std::to_string(o), OutfallKind::kTreatedSewage, outfalls.back());
    }
    d.drawn.sample('A', "2024-05-03", kGood);
    if (random.below(2) == 0) d.drawn.sample('C', "2024-05-03", kFair);  // a site on the way
    d.drawn.sample('D', "2024-05-03", kPoor);
    d.read();
    const NarrowOptions narrow{.clear = {.clear_m = 0}};
    const FallToNarrow task = d.between("A", "D");
    const Suggestions s = suggest_narrow(d.source(), {.count = 1}, task, narrow);
    REQUIRE(s.list.size() == 1);

    const ChannelNetwork& network = d.drawn.network;
    const auto snapped = [&](LonLat place) { return network.snap(place).value(); };
    std::vector<std::pair<char, char>> joints;
    if (arms[0]) joints.emplace_back('E', 'B');
    if (arms[1]) joints.emplace_back('F', 'C');
    with_arms += joints.empty() ? 0 : 1;
    const double whole =
        stem_m + 250.0 * static_cast<double>(joints.size()) + 500.0 * static_cast<double>(outfalls.size());
    // The heavier part of standing at a spot: what drains to it, or all else.
    const auto heavier = [&](const Spot& spot) {
      const ChannelPoint here{spot.edge, spot.along_m, 0, spot.position};
      ChannelWalk walk(network);
      const auto drains_here = [&](LonLat place) {
        walk.start(snapped(place), Direction::kDownstream);
        return walk.distance_m(here).has_value();
      };
      double above = 0;
      const bool on_stem = drains_here(d.drawn.river.at('A'));
      if (on_stem) {
        walk.start(snapped(d.drawn.river.at('A')), Direction::kDownstream);
        above += *walk.distance_m(here);
      }
      for (const auto& [head, joint] : joints)
        if (drains_here(d.drawn.river.at(head))) above += 250;
      for (const LonLat outfall : outfalls)
        if (drains_here(outfall)) above += 500;
      return std::max(above, whole - above);
    };
    const LocalFrame frame(kInventedOrigin);
    const KeepOut out(d.snapshot, {}, frame);
    const SpotFrame all = find_spots(d.snapshot, network, {}, {}, out, frame);
    double best = HUGE_VAL;
    for (const Spot& spot : all.spots) best = std::min(best, heavier(spot));
    CHECK(near(heavier(s.list[0].spot), best, 0.5));
  }
  CHECK(with_arms > 30);
}

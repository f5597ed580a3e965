// What sites between two others leave of the stretch in which a fall is looked for.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "core/base/no_answer.hpp"
#include "core/base/random.hpp"
#include "core/design/narrow.hpp"
#include "core/network/channel_walk.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

namespace {

// 400 m from letter to letter; arms from E and F come in at B and C, G and H are places on the stem below them.
const char* const kStem = R"(
    A
    |
    |
    |
    B<---E
    |
    |
    |
    G
    |
    |
    |
    C<---F
    |
    |
    |
    H
    |
    |
    |
    D
)";

struct Stem : DesignSurvey {
  explicit Stem(const char* drawing = kStem) : DesignSurvey(drawing) {}
  void read() {
    refresh();
    falls = drawn.drops("2024-12-31");
    scores = score_samples(snapshot, *find_method("bmwp-a"));
  }
  FallToNarrow task() const {
    return fall_between({snapshot, scores, 0, drawn.network, period}, falls, "A", "D");
  }
  std::string left() const {
    const Drop fall = task().fall;
    return std::string(snapshot.sites.code[fall.up.value()]) + " to " +
           std::string(snapshot.sites.code[fall.down.value()]);
  }
  Period period = parse_date("2024-12-31").value();
  std::vector<Drop> falls;
  ScoreTable scores;
};

using Taxa = const std::vector<Found>*;

Stem with(Taxa g, Taxa h) {
  Stem d;
  d.drawn.sample('A', "2024-05-03", kGood);
  if (g != nullptr) d.drawn.sample('G', "2024-05-03", *g);
  if (h != nullptr) d.drawn.sample('H', "2024-05-03", *h);
  d.drawn.sample('D', "2024-05-03", kPoor);
  d.read();
  return d;
}

}  // namespace

TEST_CASE(
    "a site between that is still good leaves what lies below it, one that is bad already what lies above "
    "it") {
  CHECK(with(&kGood, nullptr).left() == "G to D");
  CHECK(with(nullptr, &kPoor).left() == "A to H");
  CHECK(with(&kGood, &kPoor).left() == "G to H");
  CHECK(with(&kGood, &kGood).left() == "H to D");
  CHECK(with(&kPoor, &kPoor).left() == "A to G");
  // What is neither says nothing, and the whole stretch stays.
  CHECK(with(&kFair, nullptr).left() == "A to D");
  CHECK(with(&kFair, &kPoor).left() == "A to H");
  CHECK(with(nullptr, nullptr).left() == "A to D");
  // It recovered: what lowers it at D comes in below H.
  CHECK(with(&kPoor, &kGood).left() == "H to D");
}

TEST_CASE("what the sites between say is told, with the steps of the whole way") {
  const Stem d = with(&kGood, &kPoor);
  const FallToNarrow task = d.task();
  CHECK(
      task.evidence ==
      "G, between A and D, is as good as A, so the fall lies below it; H is as bad as D already, so the fall "
      "lies above it: G to H is left to narrow down");
  const Suggestions s = suggest_narrow(d.source(), {.count = 1}, task, {.clear = {.clear_m = 0}});
  CHECK(says(s.notes, "G, between A and D, is as good as A"));
  CHECK(says(s.notes, "on the way from A to D: A to G no difference, G to H worse by"));
  REQUIRE(s.list.size() == 1);
  CHECK(s.list[0].reason.starts_with("it parts what may lower the quality between G and H"));
  // 800 m from G to H and the arm for 250 m at 400 m: half is 525 m, below the mouth 275 m of channel.
  CHECK(near(d.metres_from('G', s.list[0]), 400, 140));
  CHECK(with(nullptr, nullptr).task().evidence.empty());
}

// Every single thing to blame is tried: what would the sites between then have shown? Of what is left the spot suggested parts the
// suspects as evenly as any spot of the network can.
TEST_CASE(
    "of all culprits that the sites between leave, no spot parts them more evenly, on 80 drawn networks") {
  Random random(22, stream_of("narrow, sites between"));
  int shrunk = 0, asked = 0;
  for (int round = 0; round < 80; ++round) {
    CAPTURE(round);
    const char* const letters[] = {"A", "B<---E", "G", "C<---F", "H", "D"};
    std::string drawing;
    std::vector<double> at_m;
    double stem_m = 0;
    const bool arms[] = {random.below(2) == 0, random.below(2) == 0};
    for (std::size_t part = 0; part < 6; ++part) {
      at_m.push_back(stem_m);
      const bool bare = (part == 1 && !arms[0]) || (part == 3 && !arms[1]);
      drawing += "    " + std::string(letters[part]).substr(0, bare ? 1 : std::string::npos) + "\n";
      if (part == 5) break;
      const std::size_t rows = 1 + random.below(4);
      for (std::size_t i = 0; i < rows; ++i) drawing += "    |\n";
      stem_m += static_cast<double>(rows + 1) * 100;
    }
    Stem d(drawing.c_str());
    struct Culprit {
      LonLat place;
      double weight_m = 0;
    };
    std::vector<Culprit> culprits;
    for (double m = 2.5; m < stem_m; m += 5) culprits.push_back({d.drawn.river.beside('A', 0, -m), 5});
    if (arms[0]) culprits.push_back({d.drawn.river.at('E'), 250});
    if (arms[1]) culprits.push_back({d.drawn.river.at('F'), 250});
    for (std::size_t o = random.below(3); o > 0; --o) {
      // Not on the spot of a site.
      const double m = 100 * std::floor(random.uniform() * (stem_m / 100)) + 20 + 60 * random.uniform();
      culprits.push_back({d.drawn.river.beside('A', 0, -m), 500});
      d.drawn.builder.outfall("O" + std::to_string(o), OutfallKind::kTreatedSewage, culprits.back().place);
    }
    // What G and H show: 0 nothing to go by, 1 still good, 2 bad already.
    const std::size_t shows[] = {random.below(3), random.below(3)};
    if (shows[0] == 2 && shows[1] == 1)
      continue;  // more than one thing is to blame; told apart by hand above
    const Taxa taxa[] = {&kFair, &kGood, &kPoor};
    d.drawn.sample('A', "2024-05-03", kGood);
    d.drawn.sample('G', "2024-05-03", *taxa[shows[0]]);
    d.drawn.sample('H', "2024-05-03", *taxa[shows[1]]);
    d.drawn.sample('D', "2024-05-03", kPoor);
    d.read();

    const ChannelNetwork& network = d.drawn.network;
    ChannelWalk walk(network);
    const ChannelPoint places[] = {network.snap(d.drawn.river.at('G')).value(),
                                   network.snap(d.drawn.river.at('H')).value()};
    std::vector<Culprit> left;
    double whole = 0;
    std::size_t items = 0;
    for (const Culprit& culprit : culprits) {
      walk.start(network.snap(culprit.place).value(), Direction::kDownstream);
      bool fits = true;
      for (std::size_t i = 0; i < 2; ++i)
        if (shows[i] != 0) fits = fits && walk.distance_m(places[i]).has_value() == (shows[i] == 2);
      if (!fits) continue;
      left.push_back(culprit);
      whole += culprit.weight_m;
      items += culprit.weight_m > 5 ? 1 : 0;
    }
    shrunk += left.size() < culprits.size() ? 1 : 0;

    Suggestions s;
    try {
      s = suggest_narrow(d.source(), {.count = 1}, d.task(), {.clear = {.clear_m = 0}});
    } catch (const brookmark::AnswerIsNo&) {
      double items_m = 0;
      for (const Culprit& culprit : left) items_m += culprit.weight_m > 5 ? culprit.weight_m : 0;
      // No spot of the 25 m parts one thing and 100 m of channel, or less.
      CHECK(items <= 1);
      CHECK(whole - items_m <= 105);
      continue;
    }
    ++asked;
    REQUIRE(s.list.size() == 1);
    const LocalFrame frame(kInventedOrigin);
    const KeepOut out(d.snapshot, {}, frame);
    std::vector<Spot> spots = find_spots(d.snapshot, network, {}, {}, out, frame).spots;
    spots.push_back(s.list[0].spot);
    std::vector<double> above(spots.size(), 0);
    for (const Culprit& culprit : left) {
      walk.start(network.snap(culprit.place).value(), Direction::kDownstream);
      for (std::size_t i = 0; i < spots.size(); ++i)
        if (walk.distance_m({spots[i].edge, spots[i].along_m, 0, spots[i].position}))
          above[i] += culprit.weight_m;
    }
    double best = HUGE_VAL;
    for (const double m : above) best = std::min(best, std::max(m, whole - m));
    // Culprits on the stem stand for 5 m each.
    CHECK(near(std::max(above.back(), whole - above.back()), best, 6));
  }
  CHECK(shrunk > 30);
  CHECK(asked > 40);
}

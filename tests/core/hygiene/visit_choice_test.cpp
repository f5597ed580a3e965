// The search for the stops of a short day, beside every choice of them.
#include <doctest/doctest.h>

#include "core/base/random.hpp"
#include "core/hygiene/visit_round_internal.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

struct Count {
  int rounds = 0, shortened = 0, fewer = 0, more = 0, most_fewer = 0;
};

// A day of half a round or so, over drawn ponds; in one of three rounds a few sets of kit have to be cleaned on the way, in another a pond
// at risk comes last.
Count beside_every_choice(std::size_t stops, int rounds, std::uint64_t seed) {
  core::Random random(seed, core::stream_of("visit choice"));
  Count count;
  for (int round = 0; round < rounds; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    for (std::size_t i = 0; i < stops; ++i)
      s.site("S" + std::to_string(i), "Pond " + std::to_string(i),
             at_m(random.uniform() * 12'000, random.uniform() * 12'000));
    if (round % 3 == 1) s.risk("S0", "ranavirus", "2025-06-01");
    const HygieneBook book(s.snapshot);
    core::PlanRequest request;
    for (std::size_t i = 0; i < stops; ++i) request.sites.emplace_back(i);
    request.day = moment("2025-12-20").date;
    request.utc_offset_min = -120;
    request.start = at_m(6000, 6000);
    request.and_back = round % 2 == 0;
    request.stop_min = 15 + random.uniform() * 45;
    request.clean_sets = round % 3 == 2 ? 3 : stops;
    if (round % 3 == 2) {
      request.on_the_way.emplace();
      request.on_the_way->agent = "Virkon S";
      request.on_the_way->concentration_pct = 1;
      request.on_the_way->contact_min = 10;
    }
    core::VisitPlan light;
    light.sunrise_min = 480;
    const core::KitAtHand at_hand;
    const core::VisitRound round_of(s.snapshot, book.waters, request, at_hand, light);
    std::vector<std::uint32_t> every;
    for (std::uint32_t i = 0; i < stops; ++i) every.push_back(i);
    const auto all = round_of.best(every);
    const double limit_min = 540 + (all.work_end_min() - 540) * (0.3 + 0.5 * random.uniform());
    const auto wanted = round_of.by_every_choice(limit_min, stops);
    const auto found = round_of.by_search(limit_min, all);
    ++count.rounds;
    REQUIRE(wanted.has_value() == found.has_value());
    if (!found) continue;
    ++count.shortened;
    CHECK(found->work_end_min() <= limit_min);
    // Every choice is tried in its shortest order: where kit is cleaned on the way, or the way back counts, the work may end earlier in
    // another one.
    if (!request.on_the_way && !request.and_back) REQUIRE(found->order.size() <= wanted->order.size());
    const int fewer = static_cast<int>(wanted->order.size()) - static_cast<int>(found->order.size());
    count.fewer += fewer > 0 ? 1 : 0;
    count.more += fewer < 0 ? 1 : 0;
    count.most_fewer = std::max(count.most_fewer, fewer);
  }
  MESSAGE(stops << " stops, " << count.rounds << " rounds: fewer than the best choice in " << count.fewer
                << ", by " << count.most_fewer << " at most; more in " << count.more);
  return count;
}

}  // namespace

TEST_CASE(
    "the search for what fits into a day keeps as many stops as the best choice, but for one in few rounds") {
  const Count nine = beside_every_choice(9, 60, 1);
  CHECK(nine.shortened > 50);
  // 3 of 60 when this was written; of 100 rounds of twelve stops, drawn alike with seed 2, 4.
  CHECK(nine.fewer <= 6);
  CHECK(nine.most_fewer <= 1);
}

// A long history, with an answer that is known: no pair of uses is looked at twice.
#include <doctest/doctest.h>

#include <ctime>

#include "core/hygiene/tracing.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

double processor_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

core::Moment minute(std::int64_t at) {
  return {{static_cast<std::int32_t>(18000 + at / 1440)}, static_cast<int>(at % 1440), 0};
}

void add_use(HygieneSurvey& s, const std::string& kit, const std::string& site, std::int64_t at) {
  core::KitUse use;
  use.kit_key = kit;
  use.site_key = site;
  use.when = minute(at);
  s.snapshot.kit_uses.push_back(use);
}

}  // namespace

// Item i goes a hundred times from water i into water i + 1, in the i-th thousand minutes. So water i is reached after i
// steps, at the second use of item i - 1. Every second item was cleaned before, and none after.
TEST_CASE("a hundred thousand uses of kit are traced at once, each water after as many steps as it is away") {
  constexpr std::size_t kItems = 1000, kUses = 100;
  HygieneSurvey s;
  for (std::size_t w = 0; w <= kItems; ++w) s.site("S" + std::to_string(w), "W" + std::to_string(w));
  for (std::size_t k = 0; k < kItems; ++k) s.kit("K" + std::to_string(k));
  for (std::size_t k = 0; k < kItems; ++k)
    for (std::size_t u = 0; u < kUses; ++u)
      add_use(s, "K" + std::to_string(k), "S" + std::to_string(k + u % 2),
              static_cast<std::int64_t>(1000 * k + 10 * u));
  REQUIRE(s.snapshot.kit_uses.size() == 100'000);
  const core::SurveyWaters waters(s.snapshot);
  const double before = processor_s();
  const core::KitHistory history(s.snapshot, waters);
  const auto traced = core::trace_contacts(s.snapshot, waters, history,
                                           {core::BodyIndex(0), {}, core::find_target("ranavirus")});
  const double taken = processor_s() - before;
  REQUIRE(traced.size() == kItems);
  for (std::size_t w = 0; w < traced.size(); ++w) {
    CHECK(traced[w].body == core::BodyIndex(w + 1));
    CHECK(traced[w].chain.size() == w + 1);
    CHECK(traced[w].when.from_min ==
          core::span_of(minute(static_cast<std::int64_t>(1000 * w + 10))).from_min);
  }
  CHECK(taken < 20);  // at most 0.5 s unoptimised on the slowest machine in use; every pair would take hours
}

TEST_CASE("one item that goes up and down a stream a hundred thousand times is one move") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)});
  s.site("S1", "Brook", at_m(200, 3), core::WaterKind::kStream);
  s.site("S2", "Brook", at_m(1200, 3), core::WaterKind::kStream);
  s.kit("N1");
  for (std::int64_t u = 0; u < 100'000; ++u) add_use(s, "N1", u % 2 == 0 ? "S2" : "S1", 10 * u);
  const HygieneBook book(s.snapshot);
  const double before = processor_s();
  const auto moves = core::upstream_moves(s.snapshot, book.waters, book.history,
                                          {core::BodyIndex(0), {}, core::find_target("ranavirus")});
  const double taken = processor_s() - before;
  REQUIRE(moves.size() == 1);
  CHECK(moves[0].step.in.when.from_min == core::span_of(minute(10)).from_min);
  CHECK(taken < 20);
}

// The Brook is reached by water at B, and not at U: half of the uses at B first, and then from one to the other and back.
TEST_CASE("one item that goes from below a risk up the same water a hundred thousand times is one contact") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)});
  s.site("A", "Mill Pond", at_m(200, 3), core::WaterKind::kStream);
  s.site("B", "Brook", at_m(1200, 3), core::WaterKind::kStream);
  s.site("U", "Brook", at_m(1200, 5000), core::WaterKind::kStream);
  s.kit("N1");
  for (std::int64_t u = 0; u < 100'000; ++u) add_use(s, "N1", u < 50'000 || u % 2 == 0 ? "B" : "U", 10 * u);
  const HygieneBook book(s.snapshot);
  const double before = processor_s();
  const auto traced = core::trace_contacts(s.snapshot, book.waters, book.history,
                                           {book.waters.of(s.at("A")), {}, core::find_target("ranavirus")});
  const double taken = processor_s() - before;
  MESSAGE("traced in " << taken << " s of processor time");
  REQUIRE(traced.size() == 1);
  CHECK(traced[0].kit == std::vector{core::KitIndex(0)});
  CHECK(traced[0].sites == std::vector{s.at("U")});
  CHECK(traced[0].when.from_min == core::span_of(minute(500'010)).from_min);
  CHECK(taken < 20);
}

// A stream of 500 waters, one above the other, and a pond beside each. Item i goes two hundred times from water i to pond i and back.
TEST_CASE("a hundred thousand uses below a risk are followed at once, each into its own pond") {
  constexpr std::size_t kItems = 500, kUses = 200;
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(60'000, 0)});
  for (std::size_t w = 0; w < kItems; ++w) {
    s.site("S" + std::to_string(w), "W" + std::to_string(w), at_m(50 + 100 * static_cast<double>(w), 1),
           core::WaterKind::kStream);
    s.site("P" + std::to_string(w), "Pond " + std::to_string(w),
           at_m(50 + 100 * static_cast<double>(w), 5000));
    s.kit("K" + std::to_string(w));
  }
  for (std::size_t k = 0; k < kItems; ++k)
    for (std::size_t u = 0; u < kUses; ++u)
      add_use(s, "K" + std::to_string(k), (u % 2 == 0 ? "S" : "P") + std::to_string(k),
              static_cast<std::int64_t>(10 * u + k));
  REQUIRE(s.snapshot.kit_uses.size() == 100'000);
  const HygieneBook book(s.snapshot);
  const double before = processor_s();
  const auto traced = core::trace_contacts(s.snapshot, book.waters, book.history,
                                           {book.waters.of(s.at("S0")), {}, core::find_target("ranavirus")});
  const double taken = processor_s() - before;
  MESSAGE("traced in " << taken << " s of processor time");
  REQUIRE(traced.size() == kItems);
  for (std::size_t i = 0; i < traced.size(); ++i) {
    CHECK(book.waters.name(traced[i].body) == "Pond " + std::to_string(i));
    CHECK(traced[i].by_water == (i > 0));
    CHECK(traced[i].when.from_min == core::span_of(minute(static_cast<std::int64_t>(10 + i))).from_min);
  }
  CHECK(taken < 20);
}

// Sites inside a drawn ring, and what they say together.
#include "core/analysis/selection.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "tests/core/analysis/drawn_survey.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;

TEST_CASE("sites inside a ring are found, those without a position are not") {
  SurveyBuilder b;
  b.site("in", WaterKind::kStream, core::LonLat{0.5, 0.5});
  b.site("out", WaterKind::kStream, core::LonLat{1.5, 0.5});
  b.site("notch", WaterKind::kStream, core::LonLat{0.5, 0.9});
  b.site("nowhere", WaterKind::kStream, core::kUnplaced);
  // A square with a notch cut into its upper side.
  const core::Line ring{{0, 0}, {1, 0}, {1, 1}, {0.5, 0.6}, {0, 1}};
  const auto inside = core::sites_within(b.snapshot(), ring);
  REQUIRE(inside.size() == 1);
  CHECK(inside[0] == SiteIndex(0));
  CHECK(core::sites_within(b.snapshot(), std::span(ring).first(2)).empty());
  CHECK(core::sites_within(b.snapshot(), {}).empty());
}

TEST_CASE("a ring agrees with the angle it makes round each site") {
  // Brute force: the winding of the ring round the point, by adding up angles; simple rings only (stars).
  std::mt19937 random(5);
  std::uniform_real_distribution<double> unit(0, 1);
  for (int round = 0; round < 40; ++round) {
    core::Line ring;
    for (int i = 0; i < 12; ++i) {
      const double angle = i * 0.5235987755982988, radius = 0.2 + unit(random);  // a twelfth of a turn
      ring.push_back({radius * std::cos(angle), radius * std::sin(angle)});
    }
    SurveyBuilder b;
    std::vector<bool> expected;
    for (int i = 0; i < 40; ++i) {
      const core::LonLat p{unit(random) * 2 - 1, unit(random) * 2 - 1};
      b.site("S" + std::to_string(100 + i), WaterKind::kStream, p);
      double turn = 0;
      for (std::size_t k = 0; k < ring.size(); ++k) {
        const core::LonLat a = ring[k], c = ring[(k + 1) % ring.size()];
        const double ax = a.lon - p.lon, ay = a.lat - p.lat, cx = c.lon - p.lon, cy = c.lat - p.lat;
        turn += std::atan2(ax * cy - ay * cx, ax * cx + ay * cy);
      }
      expected.push_back(std::abs(turn) > 3);
    }
    std::vector<bool> found(40, false);
    for (const SiteIndex site : core::sites_within(b.snapshot(), ring)) found[site.value()] = true;
    CHECK(found == expected);
  }
}

TEST_CASE("a selection counts each class, what has none, and the samples of the period") {
  SurveyBuilder b;
  const std::vector<Found> trays[] = {kGood, kPoor, kFair, {}};
  for (int i = 0; i < 4; ++i) {
    const SiteIndex site = b.site("S" + std::to_string(i), WaterKind::kStream);
    b.sample(site, "2021-05-01", kGood);
    if (i < 3) b.sample(site, "2023-05-01", trays[i]);
  }
  const auto scores = core::score_samples(b.snapshot(), *core::find_method("bmwp-a"));
  const auto a = core::assess(b.snapshot(), scores, 0, {},
                              {*core::parse_date("2023-12-31"), core::parse_date("2022-01-01")});
  const std::vector<SiteIndex> all{SiteIndex(0), SiteIndex(1), SiteIndex(2), SiteIndex(3)};
  const core::Selection s = core::summarise(b.snapshot(), a, all);
  // Bands of the method (core/reference/methods): 60 lies in 50 to 69 (3), 20 in 15 to 49 (4), 3 below 15 (5).
  CHECK(s.by_rank == std::vector<std::uint32_t>{0, 0, 1, 1, 1});
  CHECK(s.without_class == 1);
  CHECK(s.samples == 3);
  CHECK(s.known.worst_rank == 5);
  CHECK(s.known.median_value == kFairScore);
  CHECK(core::summarise(b.snapshot(), a, {}).known.sites == 0);
}

// Gathering sites and thinning lines: against brute force.
#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <set>

#include "tests/support/near.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/map/line_detail.hpp"

namespace brookmark::viewer {
namespace {

double gap(core::PlanePoint a, core::PlanePoint b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

double off(core::PlanePoint p, core::PlanePoint a, core::PlanePoint b) {
  const double dx = b.x - a.x, dy = b.y - a.y, l = dx * dx + dy * dy;
  const double t = l > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / l, 0.0, 1.0) : 0;
  return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

}  // namespace

TEST_CASE("every site is in one sign or alone, and none that stands alone hides another") {
  std::mt19937 random(7);
  for (const double side : {50.0, 400.0, 3000.0}) {
    std::vector<core::PlanePoint> places;
    for (int i = 0; i < 600; ++i)
      places.push_back({std::uniform_real_distribution(-side, side)(random),
                        std::uniform_real_distribution(-side, side)(random)});
    places.push_back({std::nan(""), 0});
    const double near_m = 11, reach_m = 37;
    const SiteClusters gathered(places, near_m, reach_m);
    CAPTURE(side);
    std::vector<int> seen(places.size(), 0);
    for (const SiteCluster& c : gathered.clusters()) {
      CHECK(c.size() >= 2);
      for (const std::uint32_t i : gathered.members(c)) {
        ++seen[i];
        CHECK((places[i].x >= c.box.min_x && places[i].x <= c.box.max_x));
        CHECK(gap(places[i], c.place) <= 2 * (reach_m + near_m));
      }
    }
    const auto singles = gathered.singles_in({-1e9, -1e9, 1e9, 1e9});
    for (const std::uint32_t i : singles) ++seen[i];
    for (std::size_t i = 0; i + 1 < seen.size(); ++i) CHECK(seen[i] == 1);
    CHECK(seen.back() == 0);  // without a place
    // Brute force: two that stand alone are never on one spot (a spot is half as wide as what hides).
    for (std::size_t a = 0; a < singles.size(); ++a)
      for (std::size_t b = 0; b < a; ++b) CHECK(gap(places[singles[a]], places[singles[b]]) > near_m / 4);
    if (side == 50.0) CHECK(singles.size() + gathered.clusters().size() < 30);
    if (side == 3000.0) CHECK(singles.size() > 500);
  }
}

TEST_CASE("ten thousand sites on one spot are one sign") {
  const std::vector<core::PlanePoint> places(10000, {12.5, -3});
  const SiteClusters gathered(places, 1e-3, 3e-3);
  REQUIRE(gathered.clusters().size() == 1);
  CHECK(gathered.clusters()[0].size() == 10000);
  CHECK(gathered.cluster_of(9999) == 0);
  CHECK(SiteClusters({}, 1, 2).clusters().empty());
  CHECK(SiteClusters(places, std::nan(""), 0).clusters().size() == 1);
}

TEST_CASE("two sites apart stay apart, and moved together they become one sign") {
  const std::vector<core::PlanePoint> apart{{0, 0}, {30, 0}};
  CHECK(SiteClusters(apart, 11, 37).clusters().empty());
  const std::vector<core::PlanePoint> together{{0, 0}, {9, 0}, {30, 0}, {60, 0}};
  const SiteClusters gathered(together, 11, 37);
  REQUIRE(gathered.clusters().size() == 1);
  CHECK(gathered.clusters()[0].size() == 3);  // the third lies within the sign's reach
  CHECK(gathered.cluster_of(3) == SiteClusters::kNone);
}

TEST_CASE("a sign counts its sites by class and knows the worst") {
  std::vector<Mark> marks(6);
  marks[0].colour = kColourFirstClass;
  marks[1].colour = kColourFirstClass + 2;
  marks[2].colour = kColourFirstClass + 2 + kFaded;
  marks[3].colour = kColourUnclassed;
  marks[4].colour = kColourFirstClass + 4;
  const std::uint32_t sites[] = {0, 1, 2, 3};
  const ClusterLook look = cluster_look(sites, marks);
  CHECK(look.count == 4);
  CHECK(look.share[kColourFirstClass] == 1);
  CHECK(look.share[kColourFirstClass + 2] == 2);
  CHECK(look.share[kColourUnclassed] == 1);
  CHECK(look.worst_rank == 3);
  const std::uint32_t hollow[] = {3};
  CHECK(cluster_look(hollow, marks).worst_rank == 0);
}

TEST_CASE("a chosen site stands alone, and the map may move without anything changing") {
  const Model model(make_session(test::many_sites(400, 600)));
  Viewport view{{0, 0, 800, 600}, {0, 0}, 20};
  GatheredSites sites;
  sites.follow(model, view, 16, std::nullopt);
  REQUIRE_FALSE(sites.signs().empty());
  const std::uint32_t hidden = sites.clusters().members(sites.clusters().clusters()[sites.signs()[0]])[0];
  CHECK_FALSE(sites.stands_alone(hidden));
  const auto count = sites.clusters().clusters().size();
  view.centre = {333, -77};
  sites.follow(model, view, 16, hidden);
  CHECK(sites.clusters().clusters().size() == count);
  CHECK(sites.stands_alone(hidden));
  CHECK(std::find(sites.singles().begin(), sites.singles().end(), hidden) != sites.singles().end());
  view.metres_per_pixel = kNearestMetresPerPixel;
  sites.follow(model, view, 16, std::nullopt);
  CHECK(sites.signs().empty());
}

TEST_CASE("a simplified line passes no point farther than was allowed, and keeps its ends") {
  std::mt19937 random(11);
  std::vector<core::PlanePoint> line{{0, 0}};
  for (int i = 0; i < 3000; ++i)
    line.push_back({line.back().x + std::uniform_real_distribution(-1.0, 3.0)(random),
                    line.back().y + std::normal_distribution(0.0, 2.0)(random)});
  for (const double tolerance : {0.5, 4.0, 60.0, 1e9}) {
    const auto kept = simplified(line, tolerance);
    CHECK((kept.front() == 0 && kept.back() == line.size() - 1));
    std::size_t piece = 0;
    double worst = 0;
    for (std::uint32_t i = 0; i < line.size(); ++i) {
      while (kept[piece + 1] < i) ++piece;
      worst = std::max(worst, off(line[i], line[kept[piece]], line[kept[piece + 1]]));
    }
    CAPTURE(tolerance);
    CHECK(worst <= tolerance);
    if (tolerance == 60.0) CHECK(kept.size() < line.size() / 10);
  }
  CHECK(simplified({}, 1).empty());
}

TEST_CASE(
    "what is chosen of the lines covers the view, at half a pixel, and lets the smallest go where it is too "
    "much") {
  std::mt19937 random(3);
  LineDetail lines(3);
  std::vector<std::vector<core::PlanePoint>> drawn;
  for (int n = 0; n < 900; ++n) {
    std::vector<core::PlanePoint> line{{std::uniform_real_distribution(-20000.0, 20000.0)(random),
                                        std::uniform_real_distribution(-20000.0, 20000.0)(random)}};
    for (int i = 0; i < 60; ++i)
      line.push_back({line.back().x + std::normal_distribution(3.0, 5.0)(random),
                      line.back().y + std::normal_distribution(3.0, 5.0)(random)});
    lines.add(line, static_cast<std::size_t>(n % 3));
    drawn.push_back(line);
  }
  lines.finish();
  CHECK(lines.segments(0).size() == 900U * 60);
  REQUIRE(lines.grade_count() > 3);
  const SegmentRange seventh = lines.line(7);
  CHECK(seventh.end - seventh.begin == 60);
  CHECK(lines.segments(0)[seventh.begin].from.x == static_cast<float>(drawn[7][0].x));
  for (std::size_t g = 1; g < lines.grade_count(); ++g)
    CHECK(lines.segments(g).size() < lines.segments(g - 1).size());
  // Each point of every line in view lies near a chosen segment.
  const PlaneBox box{-3000, -3000, 3000, 3000};
  for (const double scale : {1.0, 10.0, 40.0}) {
    const auto view = lines.choose(box, scale, 1000000);
    CAPTURE(scale);
    CHECK_FALSE(view.left_out);
    double worst = 0;
    for (const auto& line : drawn)
      for (const core::PlanePoint p : line) {
        if (p.x < box.min_x || p.x > box.max_x || p.y < box.min_y || p.y > box.max_y) continue;
        double nearest = 1e9;
        for (const DetailRange& range : view.ranges)
          for (std::uint32_t i = range.segments.begin; i < range.segments.end; ++i) {
            const Segment& s = lines.segments(range.grade)[i];
            nearest = std::min(nearest, off(p, {s.from.x, s.from.y}, {s.to.x, s.to.y}));
          }
        worst = std::max(worst, nearest);
      }
    CHECK(worst <= 0.5 * scale + 0.01);  // and what a float rounds
  }
  const auto all = lines.choose({-1e6, -1e6, 1e6, 1e6}, 0.1, 1000000);
  CHECK(all.segments == 900U * 60);
  const auto less = lines.choose({-1e6, -1e6, 1e6, 1e6}, 0.1, 40000);
  CHECK(less.left_out);
  for (const DetailRange& range : less.ranges) CHECK(range.group > 0);
  CHECK_FALSE(lines.choose({-1e6, -1e6, 1e6, 1e6}, 0.1, 1).ranges.empty());  // never nothing at all
  CHECK(lines.choose({1e8, 1e8, 2e8, 2e8}, 1, 100).ranges.empty());
  LineDetail nothing;
  nothing.finish();
  CHECK(nothing.choose(box, 1, 100).ranges.empty());
}

}  // namespace brookmark::viewer

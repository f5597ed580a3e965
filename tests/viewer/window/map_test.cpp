// The map's buffers: colours, marks, triangles, labels. No graphics needed.
#include <doctest/doctest.h>

#include <cmath>

#include "sample_survey.hpp"
#include "tests/support/near.hpp"
#include "viewer/map/area_places.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/map/leaders.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/map/scene.hpp"
#include "viewer/map/triangulate.hpp"

namespace brookmark::viewer {
using test::near;

TEST_CASE("contrast is that of the published formula") {
  // WCAG 2.1: black on white is 21:1; grey #777777 on white is 4.48:1 (the well-known just-failing grey).
  CHECK(near(contrast({0, 0, 0}, {255, 255, 255}), 21, 1e-9));
  CHECK(near(contrast({0x77, 0x77, 0x77}, {255, 255, 255}), 4.48, 0.005));  // printed to two decimals
}

TEST_CASE("every class colour carries a readable rank") {
  for (std::size_t classes = 1; classes <= kMostClasses; ++classes) {
    const auto colours = class_colours(classes);
    REQUIRE(colours.size() == classes);
    // 3:1 is what WCAG 2.1 (1.4.3) asks of large or bold signs.
    for (const Colour c : colours) CHECK(contrast(c, ink_on(c)) >= 3.0);
  }
}

TEST_CASE("five classes go from blue over green, yellow and orange to red") {
  const auto c = class_colours(5);
  CHECK((c[0].b > c[0].r && c[0].b > c[0].g));
  CHECK((c[1].g > c[1].r && c[1].g > c[1].b));
  CHECK((c[2].r > 200 && c[2].g > 200 && c[2].b < 100));
  CHECK((c[3].r > 200 && c[3].g > 100 && c[3].g < 180));
  CHECK((c[4].r > 180 && c[4].g < 80));
}

TEST_CASE("for every number of classes the best is blue and the worst is red") {
  for (std::size_t classes = 2; classes <= kMostClasses; ++classes)
    for (const ClassColours choice : {ClassColours::kDirective, ClassColours::kOrdered}) {
      const auto colours = class_colours(classes, choice);
      CAPTURE(classes);
      const Colour best = colours.front(), worst = colours.back();
      CHECK((best.b > best.r && best.b > best.g));
      CHECK((worst.r > worst.g + 40 && worst.r > worst.b + 40));
    }
}

TEST_CASE("the sign in a faded mark can be read too") {
  for (std::size_t classes = 1; classes <= kMostClasses; ++classes) {
    const MarkColours colours = mark_colours(classes);
    for (std::size_t i = kColourValue; i < kColourFirstClass + classes; ++i)
      CHECK(contrast(colours.fill[i + kFaded], colours.ink[i + kFaded]) >= 3.0);
  }
}

TEST_CASE("the line to a mark that stands aside leaves out every disc it passes") {
  // From x = 0 to 100 along y = 0. A disc of 10 about (30, 6) covers 22..38: sqrt(10^2 - 6^2) = 8; one of 5
  // about the end covers 95..100; one of 3 about (60, 4) is not met.
  const Disc discs[] = {{{100, 0}, 5}, {{30, 6}, 10}, {{60, 4}, 3}};
  const auto seen = outside({{0, 0}, {100, 0}}, discs);
  REQUIRE(seen.size() == 2);
  CHECK(near(seen[0].from.x, 0, 1e-9));  // rounding of doubles only, here and below
  CHECK(near(seen[0].to.x, 22, 1e-9));
  CHECK(near(seen[1].from.x, 38, 1e-9));
  CHECK(near(seen[1].to.x, 95, 1e-9));
  const Disc all[] = {{{50, 0}, 60}};
  CHECK(outside({{0, 0}, {100, 0}}, all).empty());
  CHECK(outside({{0, 0}, {100, 0}}, {}).size() == 1);
  CHECK(outside({{7, 7}, {7, 7}}, {}).empty());
}

TEST_CASE("a label is clearly nearer to its own mark than to any other, or is left out") {
  for (int turn = 0; turn < 24; ++turn) {
    LabelSpace space({0, 0, 300, 200});
    const double angle = turn * 3.14159265358979 / 12;
    const Pixel own{150, 100}, other{150 + 26 * std::cos(angle), 100 + 26 * std::sin(angle)};
    space.add_mark(own, 10);
    space.add_mark(other, 10);
    for (const Pixel p : {own, other}) space.block({p.x - 10, p.y - 10, 20, 20});
    const auto at = space.place(own, 14, 30, 12, LabelSides::kAround);
    REQUIRE(at);  // there is always room on the far side
    const auto gap_to = [&](Pixel p) {
      const double dx = std::max({at->x - p.x, 0.0, p.x - at->x - 30});
      const double dy = std::max({at->y - p.y, 0.0, p.y - at->y - 12});
      return std::hypot(dx, dy) - 10;
    };
    CAPTURE(turn);
    CHECK(gap_to(other) > gap_to(own) * 1.2);
  }
}

TEST_CASE("an outfall is in use from its first day to its last, both included") {
  core::Outfall o;
  o.since = *core::parse_date("2005-01-01");
  o.until = *core::parse_date("2021-12-31");
  CHECK(outfall_use(o, core::parse_date("2004-12-31")) == OutfallUse::kNotYet);
  CHECK(outfall_use(o, core::parse_date("2005-01-01")) == OutfallUse::kInUse);
  CHECK(outfall_use(o, core::parse_date("2021-12-31")) == OutfallUse::kInUse);
  CHECK(outfall_use(o, core::parse_date("2022-01-01")) == OutfallUse::kClosed);
  CHECK(outfall_use(o, {}) == OutfallUse::kInUse);  // without a day nothing is known of it
  CHECK(outfall_use(core::Outfall{}, core::parse_date("2022-01-01")) == OutfallUse::kInUse);
  CHECK(outfall_mark(o, core::parse_date("2022-01-01"), false).colour == kColourOutfall + kFaded);
  CHECK(outfall_mark(o, core::parse_date("2022-01-01"), true).colour == kColourLit + kFaded);
  CHECK(outfall_mark(o, core::parse_date("2021-01-01"), false).colour == kColourOutfall);
}

TEST_CASE("a site is drawn faded when its sample is more than two years older than the day") {
  test::SurveyBuilder b;
  b.site("A", "", test::ocean(0, 0));
  b.sample("2020-02-29", test::tray(2, 0));
  b.site("B", "", test::ocean(900, 0));
  b.sample("2024-02-29", test::tray(2, 0));
  const Model model(make_session(b.snapshot));
  const auto faded_on = [&](const char* day, std::size_t site) {
    const auto* a = model.assessment({0, 0}, core::parse_date(day));
    return site_marks(*a, model.snapshot(), core::parse_date(day))[site].colour >= kFaded;
  };
  CHECK_FALSE(faded_on("2022-02-28", 0));
  CHECK(faded_on("2022-03-01", 0));  // two years and a day; 2022 has no 29 February
  CHECK_FALSE(faded_on("2024-02-29", 1));
  CHECK(faded_on("2024-02-29", 0));
}

TEST_CASE("a retired site is drawn faded, but not on days up to its last sample") {
  test::SurveyBuilder b;
  b.site("A", "", test::ocean(0, 0));
  b.sample("2021-05-01", test::tray(2, 0));
  b.site("B", "", test::ocean(900, 0));
  b.sample("2022-05-01", test::tray(2, 0));
  b.site("C", "", test::ocean(1800, 0));
  for (const std::size_t i : {0U, 1U, 2U}) b.snapshot.sites.status[i] = core::SiteStatus::kRetired;
  CHECK_FALSE(Ageing(b.snapshot, core::parse_date("2021-05-01")).retired(0));
  CHECK(Ageing(b.snapshot, core::parse_date("2021-05-02")).retired(0));
  CHECK(Ageing(b.snapshot, core::parse_date("2022-05-01")).retired(1));  // the survey's last day: as of now
  CHECK(Ageing(b.snapshot, core::parse_date("2021-05-01")).retired(2));  // never sampled
}

TEST_CASE("a name's place lies inside the area and outside its parts, the roomiest first") {
  // A square of 100 with a part over its western 60.
  const PlaneRing whole[] = {{{0, 0}, {100, 0}, {100, 100}, {0, 100}, {0, 0}}};
  const PlaneRing part[] = {{{0, 0}, {60, 0}, {60, 100}, {0, 100}, {0, 0}}};
  const AreaPlaces places(whole, part);
  CHECK(near(places.own_share(), 0.4, 1.0 / 48));  // to a cell
  for (const core::PlanePoint p : places.own()) CHECK((p.x > 60 && p.x < 100 && p.y > 0 && p.y < 100));
  CHECK(near(places.anywhere().front().x, 50, 100.0 / 48));  // the middle, to a cell
  CHECK(places.holds({65, 20, 95, 30}, true));
  CHECK_FALSE(places.holds({40, 20, 95, 30}, true));
  CHECK(places.holds({40, 20, 95, 30}, false));
  CHECK_FALSE(places.holds({80, 20, 120, 30}, false));
  CHECK(AreaPlaces(std::span<const PlaneRing>{}, {}).anywhere().empty());
}

TEST_CASE("a mark tells class, value, outside scope, no value and not sampled apart") {
  core::Metric classes;
  classes.bands.resize(5);
  core::Metric values;
  core::SiteAssessment site;
  CHECK(site_mark(site, classes) == Mark{MarkShape::kRing, kColourUnclassed, 12, 255});  // question mark
  site.newest_sample = core::SampleIndex(4);
  CHECK(site_mark(site, classes).first == static_cast<std::uint8_t>(Sign::kTimes));
  site.sample = core::SampleIndex(3);
  CHECK(site_mark(site, classes).first == static_cast<std::uint8_t>(Sign::kTimes));  // a collapse: no value
  site.has_value = true;
  site.value = 12;
  CHECK(site_mark(site, classes).first == static_cast<std::uint8_t>(Sign::kDash));  // in_scope is false
  CHECK(site_mark(site, classes).shape == MarkShape::kRing);
  site.in_scope = true;
  site.class_rank = 4;
  CHECK(site_mark(site, classes) == Mark{MarkShape::kDisc, kColourFirstClass + 3, 4, 255});
  CHECK(site_mark(site, values) == Mark{MarkShape::kDisc, kColourValue, 1, 2});
  site.value = 4.25;  // does not fit into a mark: written beside it
  CHECK(site_mark(site, values).first == static_cast<std::uint8_t>(Sign::kNone));
}

TEST_CASE("triangles cover exactly the area of a concave shape with a hole") {
  // An L of 3 by 3 less 2 by 2, and in it a hole of 0.5 by 0.5: 9 - 4 - 0.25 = 4.75.
  const std::vector<std::vector<core::PlanePoint>> rings = {
      {{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 3}, {0, 3}, {0, 0}},
      {{0.2, 0.2}, {0.2, 0.7}, {0.7, 0.7}, {0.7, 0.2}, {0.2, 0.2}}};
  const auto corners = triangulate(rings);
  REQUIRE(corners.size() % 3 == 0);
  double area = 0;
  for (std::size_t i = 0; i < corners.size(); i += 3) {
    const auto a = corners[i], b = corners[i + 1], c = corners[i + 2];
    area += std::abs((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)) / 2;
  }
  CHECK(near(area, 4.75, 1e-12));  // exact but for rounding
}

TEST_CASE("a shape that crosses itself, a flat one and an open one do no harm") {
  const std::vector<std::vector<core::PlanePoint>> bow = {{{0, 0}, {2, 2}, {2, 0}, {0, 2}, {0, 0}}};
  CHECK(triangulate(bow).size() == 6);  // mended into its two triangles
  const std::vector<std::vector<core::PlanePoint>> flat = {{{0, 0}, {1, 0}, {2, 0}, {0, 0}}};
  CHECK(triangulate(flat).empty());
  const std::vector<std::vector<core::PlanePoint>> open = {{{0, 0}, {1, 0}, {1, 1}, {0, 1}}};
  CHECK(triangulate(open).empty());
  CHECK(triangulate({}).empty());
}

TEST_CASE("a boundary that two catchments share is drawn once") {
  test::SurveyBuilder b;
  b.snapshot.samples.record_begin.push_back(0);
  b.catchment("A", "Left", test::ocean_line({{0, 0}, {100, 0}, {100, 100}, {0, 100}, {0, 0}}));
  b.catchment("B", "Right", test::ocean_line({{100, 0}, {200, 0}, {200, 100}, {100, 100}, {100, 0}}));
  const Model model(make_session(b.snapshot));
  CHECK(MapScene(model).catchments.segments(0).size() == 7);  // 4 + 4 sides, one of them common
}

TEST_CASE("labels never lie over one another or over the edge") {
  LabelSpace space({0, 0, 300, 200});
  std::vector<PixelBox> placed;
  for (int i = 0; i < 400; ++i) {
    const Pixel anchor{static_cast<double>(i * 37 % 300), static_cast<double>(i * 53 % 200)};
    if (const auto at =
            space.place(anchor, 6, 40, 12, i % 3 == 0 ? LabelSides::kCentred : LabelSides::kAround))
      placed.push_back({at->x, at->y, 40, 12});
  }
  CHECK(placed.size() > 20);  // 300 x 200 holds 112 of them at most
  for (std::size_t i = 0; i < placed.size(); ++i) {
    CHECK(
        (placed[i].left >= 0 && placed[i].top >= 0 && placed[i].right() <= 300 && placed[i].bottom() <= 200));
    for (std::size_t k = 0; k < i; ++k) {
      const bool apart = placed[i].left >= placed[k].right() || placed[k].left >= placed[i].right() ||
                         placed[i].top >= placed[k].bottom() || placed[k].top >= placed[i].bottom();
      CHECK(apart);
    }
  }
}

}  // namespace brookmark::viewer

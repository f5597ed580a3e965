// The map's buffers: colours, marks, triangles, labels. No graphics needed.
#include <doctest/doctest.h>

#include <cmath>

#include "sample_survey.hpp"
#include "tests/support/near.hpp"
#include "viewer/map/labels.hpp"
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

TEST_CASE("another number of classes is ordered in lightness, so that it can be read without seeing hue") {
  for (const std::size_t classes : {2U, 3U, 4U, 6U, 7U, 9U}) {
    const auto colours = class_colours(classes);
    for (std::size_t i = 1; i < classes; ++i) CHECK(luminance(colours[i]) > luminance(colours[i - 1]));
  }
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

TEST_CASE("streams grow in order where two of one order meet, not where a small one joins") {
  // 0 -> 2 <- 1 makes order 2; 3 (order 1) joins at 4: still 2; 5 -> 7 <- 6 makes another 2, and both meet at
  // 8: 3.
  core::RiverGraph graph(
      10,
      {{0, 2, 1}, {1, 2, 1}, {2, 4, 1}, {3, 4, 1}, {4, 8, 1}, {5, 7, 1}, {6, 7, 1}, {7, 8, 1}, {8, 9, 1}});
  CHECK(stream_orders(graph) == std::vector<std::uint8_t>{1, 1, 2, 1, 2, 1, 1, 2, 3});
}

TEST_CASE("a loop in the flow does not hang the order") {
  core::RiverGraph graph(3, {{0, 1, 1}, {1, 2, 1}, {2, 0, 1}});
  CHECK(stream_orders(graph) == std::vector<std::uint8_t>{1, 1, 1});
}

TEST_CASE("a boundary that two catchments share is drawn once") {
  test::SurveyBuilder b;
  b.snapshot.samples.record_begin.push_back(0);
  b.catchment("A", "Left", test::ocean_line({{0, 0}, {100, 0}, {100, 100}, {0, 100}, {0, 0}}));
  b.catchment("B", "Right", test::ocean_line({{100, 0}, {200, 0}, {200, 100}, {100, 100}, {100, 0}}));
  const Model model(make_session(b.snapshot));
  CHECK(MapScene(model).catchments.size() == 7);  // 4 + 4 sides, one of them common
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

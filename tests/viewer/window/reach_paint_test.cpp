// What is known of the channels, as the map draws it. No graphics needed.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "tests/support/near.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/map/reach_paint.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// One straight stream of 2 km with a good site near its head, an outfall, and a poor one below.
core::Snapshot falling_stream() {
  using core::Rank;
  test::SurveyBuilder b;
  b.reach("Tarnet Brook", test::ocean_line({{0, 2000}, {0, 0}}));
  b.outfall("O1", "works", core::OutfallKind::kTrade, test::ocean(0, 1200));
  b.site("A", "above", test::ocean(0, 1800));
  b.sample("2024-04-10", {{"Heptageniidae", 20}, {"Leuctridae", 20}, {"Perlidae", 20}, {"Baetidae", 60}});
  b.site("B", "below", test::ocean(0, 400));
  b.sample("2024-04-10", {{"Chironomidae", 60}, {"Asellidae", 60}});
  return b.snapshot;
}

double length_of(const std::vector<Segment>& segments) {
  double sum = 0;
  for (const Segment& s : segments) sum += std::hypot(s.to.x - s.from.x, s.to.y - s.from.y);
  return sum;
}

}  // namespace

TEST_CASE("measured water is drawn in its class's colour, the falling stretch from site to site") {
  const Model model(make_session(falling_stream()));
  const State state = opening_state(model);
  const core::ReachAssessment* reaches = model.reaches(state.choice, state.date);
  const std::vector<core::Drop>* drops = model.drops(state.choice, state.date);
  REQUIRE(reaches != nullptr);
  REQUIRE(drops != nullptr);
  const ReachPaint paint = reach_paint(*reaches, *drops, model);
  // A: 200 m to the head and 500 down; B: 500 up and 400 to the mouth. Places are good to a metre or two here.
  CHECK(test::near(length_of(paint.measured), 700 + 900, 5));
  CHECK(paint.inferred.empty());
  CHECK(test::near(length_of(paint.drops), 1400, 5));
  REQUIRE(paint.measured_classes.size() == 2);
  CHECK(paint.measured_classes[0].colour < paint.measured_classes[1].colour);  // the better class first
  CHECK(paint.measured_classes[1].segments.end == paint.measured.size());
  const core::Assessment* known = model.assessment(state.choice, state.date);
  const std::string words = drop_in_words(model.snapshot(), drops->front(), known->metric_info());
  CHECK(words.find("A to B: worse by ") == 0);
  CHECK(words.find("O1 trade discharge") != std::string::npos);
}

TEST_CASE("before any sample, and without watercourses, nothing is carried along a channel") {
  core::Snapshot dry = falling_stream();
  dry.reaches.clear();
  const Model without(make_session(std::move(dry)));
  const State state = opening_state(without);
  CHECK(without.reaches(state.choice, state.date) == nullptr);
  CHECK(without.drops(state.choice, state.date) == nullptr);
  const Model model(make_session(falling_stream()));
  const core::ReachAssessment* before = model.reaches({}, core::parse_date("2020-01-01"));
  REQUIRE(before != nullptr);
  CHECK(before->measured_m == 0);
  CHECK(model.drops({}, core::parse_date("2020-01-01"))->empty());
}

TEST_CASE("the key draws with the layers of the channels on and off, for every method") {
  const Model model(make_session(falling_stream()));
  Stage stage(model, {});
  stage.resize(1280, 800);
  for (const bool shown : {true, false}) {
    stage.apply(ShowLayer{Layer::kReaches, shown});
    stage.apply(ShowLayer{Layer::kDrops, shown});
    for (std::size_t m = 0; m < core::shipped_methods().size(); ++m) {
      stage.apply(ChooseMetric{{m, 0}});
      draw_frames(stage, 2);
      CHECK(stage.state().layers[Layer::kReaches] == shown);
      CHECK(stage.map_frame().reaches != nullptr);
    }
  }
}

TEST_CASE(
    "a fall between two sites whose marks touch has its number beside the lower one, clear of the marks") {
  core::Snapshot near_by = falling_stream();
  near_by.sites.position[1] = test::ocean(0, 1780);  // 20 m below the other
  const Model model(make_session(std::move(near_by)));
  Stage stage(model, {});
  for (const auto& [width, height] : {std::pair{1280.0, 800.0}, {1024.0, 700.0}, {2560.0, 1440.0}}) {
    stage.resize(width, height);
    draw_frames(stage, 3);
    REQUIRE(stage.fall_numbers().size() == 1);
    const PixelBox tag = stage.fall_numbers()[0];
    const double radius = stage.map_frame().site_radius_px;
    const auto away = [&](std::size_t site) {  // from the middle of a mark to the nearest point of the number
      const Pixel p = stage.state().view.to_pixel(model.site_places()[site]);
      return std::hypot(p.x - std::clamp(p.x, tag.left, tag.right()),
                        p.y - std::clamp(p.y, tag.top, tag.bottom()));
    };
    const Pixel up = stage.state().view.to_pixel(model.site_places()[0]),
                down = stage.state().view.to_pixel(model.site_places()[1]);
    CHECK(std::hypot(up.x - down.x, up.y - down.y) < 2 * radius);  // the stretch lies below the marks
    CHECK(away(0) >= radius);
    CHECK(away(1) >= radius);
    CHECK(away(1) <= 4 * radius);
    CHECK(away(1) <= away(0) + 1);
  }
  stage.apply(ShowLayer{Layer::kDrops, false});
  draw_frames(stage, 2);
  CHECK(stage.fall_numbers().empty());
}

TEST_CASE("no line of the key is out of reach, and what falls is in sight at once, at every size") {
  const Model model(make_session(falling_stream()));
  Stage stage(model, {});
  for (const auto& [width, height] :
       {std::pair{1024.0, 700.0}, {1280.0, 800.0}, {2560.0, 1440.0}, {640.0, 420.0}}) {
    INFO(width, " x ", height);
    stage.resize(width, height);
    draw_frames(stage, 4);
    const KeyInSight key = stage.key_in_sight();
    const double seen = key.bottom - key.top;
    REQUIRE(seen > 0);
    CHECK(key.content_px <= seen + key.scroll_most_px + 1);
    CHECK(key.scroll_bar == (key.scroll_most_px > 0));
    CHECK(key.widest_px <= key.room_px + 1);
    if (height >= 700) CHECK(key.falls_bottom <= key.bottom);
  }
}

}  // namespace brookmark::viewer

// What stands over the map for a while: a view that is fitted keeps clear of it, and what was just stored comes into view.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "desk.hpp"
#include "frames.hpp"
#include "viewer/actions/map_actions.hpp"

namespace brookmark::viewer {
namespace {

bool is_covered(const Desk& desk, Pixel p) {
  const auto& controls = desk.stage.map_controls();
  return !desk.state().view.box.contains(p) ||
         std::any_of(controls.begin(), controls.end(),
                     [p](const PixelBox& box) { return box.width > 0 && box.contains(p); });
}

void store_site(Desk& desk, const char* code, core::LonLat at) {
  desk.stage.apply(TakeTool{EditTool::kAddSite});
  desk.stage.apply(PlaceEdit{at});
  desk.stage.apply(TypeEditCode{code});
  desk.stage.apply(StoreEdit{});
  desk.draw(3);
}

}  // namespace

TEST_CASE("everything in view is clear of the messages that stay, and the map rests when they come and go") {
  for (const auto& [width, height] : {std::pair{1024.0, 700.0}, {1280.0, 800.0}, {768.0, 1024.0}}) {
    const test::TemporaryFolder folder;
    Desk desk(make_survey(folder), {}, width, height);
    CAPTURE(width);
    desk.stage.apply(ShowPanel{false});
    desk.draw(3);
    // Sites from the north to the south: what is fitted is as high as the map.
    store_site(desk, "N", test::ocean(100, 2500));
    store_site(desk, "S", test::ocean(100, -2500));
    REQUIRE(desk.sites() == 4);
    REQUIRE_FALSE(desk.state().messages.empty());
    desk.stage.apply(ShowPanel{false});
    desk.stage.apply(Fit{});
    desk.draw(3);
    for (const core::PlanePoint p : desk.model.site_places())
      CHECK_FALSE(is_covered(desk, desk.state().view.to_pixel(p)));
    const Viewport with = desk.state().view;
    while (!desk.state().messages.empty()) desk.stage.apply(PutAwayMessage{0});
    desk.draw(3);
    CHECK(desk.state().view == with);
    desk.stage.apply(Fit{});
    desk.draw(3);
    CHECK(desk.state().view.metres_per_pixel < with.metres_per_pixel);  // there is more room now
    // Closing a page brings back the same.
    const Viewport all = desk.state().view;
    desk.stage.apply(ShowPage{Page::kTable});
    desk.draw(3);
    desk.stage.apply(ShowPanel{false});
    desk.draw(3);
    CHECK(desk.state().view == all);
  }
}

TEST_CASE("a card of a tool at the foot of the map hides nothing that is fitted") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder), {}, 1024, 700);
  store_site(desk, "N", test::ocean(100, 2500));
  store_site(desk, "S", test::ocean(100, -2500));
  while (!desk.state().messages.empty()) desk.stage.apply(PutAwayMessage{0});
  desk.stage.apply(ShowPanel{false});
  desk.stage.apply(StartMeasure{});
  desk.draw(3);
  desk.stage.apply(Fit{});
  desk.draw(3);
  for (const core::PlanePoint p : desk.model.site_places())
    CHECK_FALSE(is_covered(desk, desk.state().view.to_pixel(p)));
}

TEST_CASE("a site that is stored outside the view comes into it, and the map comes no nearer") {
  const test::TemporaryFolder folder;
  const auto path = folder / "empty.brook";
  core::SurveyFile::create(path, {{}, "Empty (invented)", {}});
  Desk desk(path, {}, 1024, 700);
  store_site(desk, "A1", test::ocean(0, 0));
  const auto seen = [&](const char* code) {
    return !is_covered(desk, desk.state().view.to_pixel(desk.model.site_places()[desk.site(code).value()]));
  };
  CHECK(seen("A1"));
  // One view after another, to all sides, near and far.
  for (const auto& [code, east_m, north_m] : {std::tuple{"A2", 900.0, 0.0},
                                              {"A3", 900.0, 1500.0},
                                              {"A4", -4000.0, 1500.0},
                                              {"A5", -4000.0, -9000.0}}) {
    const double scale = desk.state().view.metres_per_pixel;
    store_site(desk, code, test::ocean(east_m, north_m));
    CAPTURE(code);
    CHECK(seen(code));
    CHECK(desk.state().view.metres_per_pixel == scale);
  }
  // What is in sight moves nothing.
  const Viewport before = desk.state().view;
  const core::LonLat near = desk.model.frame().to_lonlat(
      {before.centre.x + 3 * before.metres_per_pixel, before.centre.y - 40 * before.metres_per_pixel});
  store_site(desk, "A6", near);
  CHECK(seen("A6"));
  CHECK(
      std::hypot(desk.state().view.centre.x - before.centre.x, desk.state().view.centre.y - before.centre.y) <
      1e-3);  // metres; to degrees and back again
}

TEST_CASE(
    "an outfall that is chosen from a list comes into view, as a site does, and the map comes no nearer") {
  Model model(make_session(test::sample_snapshot()));
  Stage stage(model, {});
  stage.resize(1024, 700);
  draw_frames(stage, 3);
  const core::Snapshot& s = model.snapshot();
  REQUIRE(s.outfalls.size() > 1);
  for (std::size_t i = 0; i < s.outfalls.size(); ++i) {
    stage.apply(ZoomCentre{30});
    for (int turn = 0; turn < 3; ++turn) stage.apply(Pan{4000, 4000});
    draw_frames(stage, 2);
    const double nearness = stage.state().view.metres_per_pixel;
    stage.apply(SelectOutfall{core::OutfallIndex(i)});
    draw_frames(stage, 30);
    const Pixel p = stage.state().view.to_pixel(model.frame().to_plane(s.outfalls[i].position));
    CHECK(stage.state().view.box.contains(p));
    CHECK(stage.state().view.metres_per_pixel == nearness);
  }
}

TEST_CASE("the words of a place that was asked for hide no sign, and names keep off its cross") {
  Model model(make_session(test::sample_snapshot()));
  Stage stage(model, {});
  stage.resize(1024, 700);
  stage.apply(ShowPanel{false});
  draw_frames(stage, 3);
  for (std::size_t i = 0; i < model.snapshot().sites.size(); ++i) {
    const core::LonLat at = model.snapshot().sites.position[i];
    if (!core::is_placed(at)) continue;
    stage.apply(GoToPlace{{at.lon - 0.002, at.lat}});
    stage.apply(Fit{});
    draw_frames(stage, 3);
    // Of the sides of the cross there is always one on which nothing lies here.
    for (const core::PlanePoint& place : model.site_places()) {
      const Pixel sign = stage.state().view.to_pixel(place);
      for (const PixelBox& box : stage.map_controls())
        if (box.height > 0 && box.width > 3 * box.height && box.width < 300) CHECK_FALSE(box.contains(sign));
    }
    for (const MapWord& word : stage.map_words())
      for (const PixelBox& box : stage.map_controls())
        CHECK_FALSE((box.left < word.box.right() && word.box.left < box.right() &&
                     box.top < word.box.bottom() && word.box.top < box.bottom()));
  }
}

}  // namespace brookmark::viewer

// Actions are pure functions on the state: tested here without any window.
#include <doctest/doctest.h>

#include <cmath>

#include "sample_survey.hpp"
#include "tests/support/near.hpp"
#include "viewer/actions/actions.hpp"

namespace brookmark::viewer {
using test::near;

namespace {

struct Desk {
  Model model;
  State state;
  explicit Desk(core::Snapshot snapshot)
      : model(make_session(std::move(snapshot))), state(opening_state(model)) {
    place_map(state, model, {0, 50, 800, 600});
  }
  void act(const Action& action) { apply(action, state, model); }
  Pixel site_pixel(const char* code) const {
    return state.view.to_pixel(model.site_places()[model.snapshot().find_site(code)->value()]);
  }
};

core::Date day(const char* text) {
  return *core::parse_date(text);
}

}  // namespace

TEST_CASE("a pixel turned into a place and back is the same pixel") {
  Viewport view{{10, 20, 640, 480}, {1234.5, -987.25}, 3.7};
  const Pixel p = view.to_pixel(view.to_plane({123, 456}));
  CHECK(near(p.x, 123, 1e-9));  // rounding of doubles only
  CHECK(near(p.y, 456, 1e-9));
  CHECK(view.to_plane({330, 260}) == view.centre);     // the middle of the box: 10 + 640/2, 20 + 480/2
  CHECK(view.to_plane({330, 100}).y > view.centre.y);  // up on the screen is north
}

TEST_CASE("a new window shows all of the survey") {
  Desk desk(test::sample_snapshot());
  const PlaneBox all = *desk.model.bounds(), shown = desk.state.view.shown();
  CHECK(shown.min_x <= all.min_x);
  CHECK(shown.max_x >= all.max_x);
  CHECK(shown.min_y <= all.min_y);
  CHECK(shown.max_y >= all.max_y);
}

TEST_CASE("zooming keeps the place under the pointer where it is") {
  Desk desk(test::sample_snapshot());
  const Pixel at{123, 456};
  const core::PlanePoint before = desk.state.view.to_plane(at);
  const double scale = desk.state.view.metres_per_pixel;
  desk.act(ZoomAt{2.5, at});
  CHECK(near(desk.state.view.metres_per_pixel, scale / 2.5, 1e-12));
  CHECK(near(desk.state.view.to_plane(at).x, before.x, 1e-6));  // a micrometre, far below a pixel
  CHECK(near(desk.state.view.to_plane(at).y, before.y, 1e-6));
}

TEST_CASE("zooming stops at both ends and takes no nonsense") {
  Desk desk(test::sample_snapshot());
  for (int i = 0; i < 200; ++i) desk.act(ZoomCentre{3});
  CHECK(desk.state.view.metres_per_pixel == kNearestMetresPerPixel);
  for (int i = 0; i < 200; ++i) desk.act(ZoomCentre{0.3});
  CHECK(desk.state.view.metres_per_pixel == kFarthestMetresPerPixel);
  desk.act(ZoomCentre{0});
  desk.act(ZoomCentre{-2});
  CHECK(desk.state.view.metres_per_pixel == kFarthestMetresPerPixel);
}

TEST_CASE("panning moves the content with the hand") {
  Desk desk(test::sample_snapshot());
  const Pixel before = desk.site_pixel("T05");
  desk.act(Pan{40, -15});
  CHECK(near(desk.site_pixel("T05").x, before.x + 40, 1e-6));
  CHECK(near(desk.site_pixel("T05").y, before.y - 15, 1e-6));
}

TEST_CASE("a survey opens on its newest sampling day, and days stay within the survey") {
  Desk desk(test::sample_snapshot());
  // The builder's last dates: September 2023, the 23rd and the 24th.
  CHECK(desk.state.date == day("2023-09-24"));
  desk.act(SetDate{day("2030-01-01")});
  CHECK(desk.state.date == day("2023-09-24"));
  desk.act(SetDate{day("1999-01-01")});
  CHECK(desk.state.date == day("2021-05-11"));
  desk.act(SetDate{day("2022-01-01")});
  CHECK(desk.state.date == day("2022-01-01"));
}

TEST_CASE("stepping goes from sampling day to sampling day") {
  Desk desk(test::sample_snapshot());
  desk.act(SetDate{day("2021-05-11")});
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2021-05-11"));
  desk.act(StepDate{1});
  CHECK(desk.state.date == day("2021-05-12"));
  desk.act(SetDate{day("2022-01-01")});  // between two days
  desk.act(StepDate{1});
  CHECK(desk.state.date == day("2022-05-12"));
  desk.act(SetDate{day("2022-01-01")});
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2021-09-22"));
}

TEST_CASE("a click on a site chooses it and opens the sample behind its class") {
  Desk desk(test::sample_snapshot());
  desk.act(ClickMap{desk.site_pixel("T04"), 12});
  REQUIRE(desk.state.site);
  CHECK(desk.model.snapshot().sites.code[desk.state.site->value()] == "T04");
  CHECK(desk.state.page == Page::kSite);
  REQUIRE(desk.state.sample);
  CHECK(desk.model.snapshot().samples.date[desk.state.sample->value()] == day("2023-09-23"));
  desk.act(SetDate{day("2022-01-01")});  // the opened sample follows the day
  CHECK(desk.model.snapshot().samples.date[desk.state.sample->value()] == day("2021-09-21"));
}

TEST_CASE("a click on an outfall shows the outfall, a click beside everything closes") {
  Desk desk(test::sample_snapshot());
  desk.act(ClickMap{desk.state.view.to_pixel(desk.model.outfall_places()[2]), 12});
  REQUIRE(desk.state.outfall);
  CHECK(desk.state.outfall->value() == 2);
  CHECK_FALSE(desk.state.site);
  desk.act(ClickMap{{5, 60}, 12});
  CHECK_FALSE(desk.state.outfall);
  CHECK(desk.state.page == Page::kKey);
}

TEST_CASE("a hidden layer cannot be clicked") {
  Desk desk(test::sample_snapshot());
  desk.act(ShowLayer{Layer::kSites, false});
  desk.act(ClickMap{desk.site_pixel("T09"), 6});
  CHECK_FALSE(desk.state.site);
}

TEST_CASE("clicking sites that share one spot lists them all, in order, from the one that is chosen") {
  Desk desk(test::many_sites(10000, 0));
  const Pixel spot = desk.site_pixel("M000000");
  desk.act(ClickMap{spot, 12});
  CHECK_FALSE(desk.state.site);
  const SpotList& list = desk.state.desk.spot;
  REQUIRE(list.sites.size() == 10000);
  CHECK(list.row == 0);
  for (std::size_t i = 0; i < list.sites.size(); ++i) REQUIRE(list.sites[i].value() == i);
  desk.act(CloseSpot{});
  desk.act(SelectSite{core::SiteIndex(9999)});
  desk.act(ClickMap{spot, 12});
  CHECK(desk.state.desk.spot.row == 9999);
  desk.act(LightSpot{20000});
  CHECK(desk.state.desk.spot.row == 9999);
}

// A window that is made larger shows what it showed, larger; a page closed at its side shows more of the same.
TEST_CASE("a window that grows or shrinks at both sides goes on showing what was chosen to be seen") {
  Desk desk(test::sample_snapshot());
  desk.act(ZoomCentre{4});
  desk.act(Pan{30, -20});
  place_map(desk.state, desk.model, {0, 50, 800, 600});
  const PlaneBox chosen = desk.state.view.shown();
  for (const auto& [width, height] :
       {std::pair{1600.0, 1200.0}, {2400.0, 1300.0}, {400.0, 300.0}, {700.0, 900.0}}) {
    place_map(desk.state, desk.model, {0, 50, width, height});
    CAPTURE(width);
    const PlaneBox shown = desk.state.view.shown();
    CHECK(shown.min_x <= chosen.min_x + 1e-6);  // a micrometre of rounding
    CHECK(shown.max_x >= chosen.max_x - 1e-6);
    CHECK(shown.min_y <= chosen.min_y + 1e-6);
    CHECK(shown.max_y >= chosen.max_y - 1e-6);
    // And fills the map in one direction.
    const double across = (chosen.max_x - chosen.min_x) / (shown.max_x - shown.min_x),
                 up = (chosen.max_y - chosen.min_y) / (shown.max_y - shown.min_y);
    CHECK(near(std::max(across, up), 1, 1e-9));
  }
  place_map(desk.state, desk.model, {0, 50, 800, 600});
  CHECK(near(desk.state.view.shown().min_x, chosen.min_x, 1e-6));
  const double scale = desk.state.view.metres_per_pixel;
  place_map(desk.state, desk.model, {0, 50, 1200, 600});  // a page at the side is closed
  CHECK(near(desk.state.view.metres_per_pixel, scale, 1e-12));
}

TEST_CASE("what was looked at in an empty survey is let go once there is something to see") {
  Desk desk(test::sample_snapshot());
  desk.act(ZoomCentre{4});
  desk.act(Pan{30, -20});
  place_map(desk.state, desk.model, {0, 50, 800, 600});
  place_map(desk.state, desk.model, {0, 50, 900, 600});  // what was asked for is kept
  desk.state.view.centre = {4e6, -7e6};
  desk.state.view_chosen = false;
  place_map(desk.state, desk.model, {0, 50, 900, 600});
  State fresh = opening_state(desk.model);
  place_map(fresh, desk.model, {0, 50, 900, 600});
  CHECK(near(desk.state.view.centre.x, fresh.view.centre.x, 1e-6));
  CHECK(near(desk.state.view.centre.y, fresh.view.centre.y, 1e-6));
  CHECK(near(desk.state.view.metres_per_pixel, fresh.view.metres_per_pixel, 1e-9));
}

TEST_CASE("an empty survey opens where its grid is made for, or with all of the Earth") {
  core::Snapshot utm = test::empty_snapshot();
  utm.survey.crs = "EPSG:25832";
  Desk desk(utm);
  CHECK(desk.model.has_area());
  // The area of use of EPSG:25832 lies between 6 and 12 degrees east.
  CHECK(near(desk.model.frame().centre().lon, 9, 0.05));  // the register's box passes the zone by hundredths
  CHECK(desk.model.frame().centre().lat > 36);
  for (const core::LonLat place : {core::LonLat{6.5, 50}, {11.5, 50}, {9, 70}}) {
    const Pixel p = desk.state.view.to_pixel(desk.model.frame().to_plane(place));
    CAPTURE(place.lon);
    CHECK(desk.state.view.box.contains(p));
  }
  for (const char* crs : {"", "EPSG:4326", "EPSG:99999", "nonsense"}) {
    core::Snapshot plain = test::empty_snapshot();
    plain.survey.crs = crs;
    Desk other(plain);
    CAPTURE(crs);
    CHECK_FALSE(other.model.has_area());
    const PlaneBox shown = other.state.view.shown();
    CHECK(shown.max_y - shown.min_y > 1e7);  // from pole to pole are 2e7 m along the ground
  }
  // The first place is where the survey is from then on.
  Desk placed(test::sample_snapshot());
  CHECK_FALSE(placed.model.has_area());
}

TEST_CASE("a query from a site finds the outfalls along the channel, nearest first") {
  Desk desk(test::sample_snapshot());
  desk.act(QueryFromSite{*desk.model.snapshot().find_site("T05")});
  CHECK(desk.state.page == Page::kDistance);
  REQUIRE(desk.state.query.distances.size() == 5);
  for (std::size_t i = 1; i < 5; ++i)
    CHECK(*desk.state.query.distances[i - 1].distance_m <= *desk.state.query.distances[i].distance_m);
  desk.act(SetDirection{core::Direction::kUpstream});
  REQUIRE(desk.state.query.distances.size() == 1);  // only the works lie upstream of T05
  CHECK(desk.model.snapshot().outfalls[desk.state.query.distances[0].target].code == "O1");
  desk.act(ClearQuery{});
  CHECK(desk.state.query.distances.empty());
}

TEST_CASE("a query from a point waits for the next click on the map") {
  Desk desk(test::sample_snapshot());
  desk.act(StartPointPick{});
  CHECK(desk.state.picking_point);
  const Pixel at = desk.site_pixel("T06");  // a site under the click is not chosen then
  desk.act(ClickMap{at, 12});
  CHECK_FALSE(desk.state.picking_point);
  CHECK_FALSE(desk.state.site);
  CHECK(desk.state.query.from == Query::From::kPoint);
  const core::LonLat site = desk.model.snapshot().sites.position[5];
  CHECK(near(desk.state.query.point.lon, site.lon, 1e-8));  // a millimetre: the inverse projection iterates
  CHECK(near(desk.state.query.point.lat, site.lat, 1e-8));
}

TEST_CASE("the page of distances starts at once from the chosen site") {
  Desk desk(test::sample_snapshot());
  desk.act(ShowPage{Page::kDistance});
  CHECK(desk.state.query.from == Query::From::kNone);  // nothing is chosen
  desk.act(SelectSite{*desk.model.snapshot().find_site("T05")});
  desk.act(ShowPage{Page::kDistance});
  CHECK(desk.state.query.from == Query::From::kSite);
  CHECK(desk.state.query.distances.size() == 5);
  desk.act(SelectSite{*desk.model.snapshot().find_site("T06")});
  desk.act(ShowPage{Page::kDistance});  // another site was chosen since
  CHECK(desk.model.snapshot().sites.code[desk.state.query.site.value()] == "T06");
  desk.act(QueryFromPoint{desk.model.snapshot().sites.position[3]});
  desk.act(ShowPage{Page::kSite});
  desk.act(ShowPage{Page::kDistance});  // a point that was asked for stays
  CHECK(desk.state.query.from == Query::From::kPoint);
}

TEST_CASE("a pond beside a stream has no distance along it, the same spot asked as a point has") {
  test::SurveyBuilder b;
  b.site("P", "Pond by the stream", test::ocean(100, 60), core::WaterKind::kPond);
  b.site("S", "In the stream", test::ocean(100, 60));
  b.outfall("O", "Drain", core::OutfallKind::kFieldDrain, test::ocean(600, 0));
  b.reach("Stream", test::ocean_line({{0, 0}, {1000, 0}}));
  b.snapshot.samples.record_begin.push_back(0);
  Desk desk(b.snapshot);
  desk.act(QueryFromSite{core::SiteIndex(0)});
  REQUIRE(desk.state.query.distances.size() == 1);
  CHECK_FALSE(desk.state.query.distances[0].distance_m);  // 60 m off, more than any pond's limit
  desk.act(QueryFromSite{core::SiteIndex(1)});
  CHECK(near(desk.state.query.distances[0].distance_m.value_or(0), 500, 5));  // the plane is a rough one
  desk.act(QueryFromPoint{test::ocean(100, 60)});
  CHECK(desk.state.query.distances[0].distance_m.has_value());
}

namespace {

core::Snapshot half_placed(bool none = false) {
  core::Snapshot s = test::sample_snapshot();
  for (std::size_t i = 0; i < s.sites.size(); ++i)
    if (none || i % 2 == 0) s.sites.position[i] = core::kUnplaced;
  return s;
}

bool finite(const PlaneBox& box) {
  return std::isfinite(box.min_x) && std::isfinite(box.min_y) && std::isfinite(box.max_x) &&
         std::isfinite(box.max_y);
}

}  // namespace

TEST_CASE("a site without a position is chosen from the list and never met on the map") {
  Desk desk(half_placed());
  REQUIRE(desk.model.unplaced_sites().size() == 7);  // the even ones of 13
  REQUIRE(desk.model.bounds());
  CHECK(finite(*desk.model.bounds()));
  const Viewport before = desk.state.view;
  CHECK(finite(before.shown()));
  for (const std::uint32_t i : desk.model.site_grid().inside({-1e12, -1e12, 1e12, 1e12})) CHECK(i % 2 == 1);
  desk.act(SelectSite{core::SiteIndex(2)});
  CHECK(desk.state.site == core::SiteIndex(2));
  CHECK(desk.state.sample);  // it is scored all the same
  CHECK(desk.state.view.centre == before.centre);
  desk.act(ShowPage{Page::kDistance});
  CHECK(desk.state.query.from == Query::From::kNone);  // nothing can be measured from nowhere
  CHECK(desk.state.query.distances.empty());
  CHECK(desk.state.page == Page::kDistance);
}

TEST_CASE("a survey in which nothing has a position takes every action") {
  test::SurveyBuilder b;
  b.site("A", "Somewhere", core::kUnplaced);
  b.sample("2022-02-03", test::tray(2, 0));
  Desk desk(b.snapshot);
  CHECK_FALSE(desk.model.bounds());
  CHECK(finite(desk.state.view.shown()));
  const Action all[] = {Fit{},
                        ClickMap{{400, 300}, 12},
                        SelectSite{core::SiteIndex(0)},
                        QueryFromSite{core::SiteIndex(0)},
                        QueryFromPoint{{0, 0}},
                        ZoomCentre{2}};
  for (const Action& action : all) desk.act(action);
  CHECK(finite(desk.state.view.shown()));
}

TEST_CASE("closing goes one step at a time") {
  Desk desk(test::sample_snapshot());
  desk.act(SelectSite{core::SiteIndex(3)});
  desk.act(QueryFromSite{core::SiteIndex(3)});
  desk.act(StartPointPick{});
  desk.act(ClearAll{});
  CHECK_FALSE(desk.state.picking_point);
  CHECK(desk.state.query.from == Query::From::kSite);
  desk.act(ClearAll{});
  CHECK(desk.state.query.from == Query::From::kNone);
  CHECK(desk.state.site);
  desk.act(ClearAll{});
  CHECK_FALSE(desk.state.site);
}

TEST_CASE("a site that is chosen by name comes into view") {
  Desk desk(test::sample_snapshot());
  desk.act(Pan{100000, 0});
  desk.act(SelectSite{core::SiteIndex(3)});
  CHECK(desk.state.view.box.contains(desk.site_pixel("T04")));
}

TEST_CASE("an empty survey takes every action") {
  Desk desk(test::empty_snapshot());
  CHECK_FALSE(desk.state.date);
  const Action all[] = {Pan{3, 4},
                        ZoomCentre{2},
                        Fit{},
                        SetDate{day("2020-01-01")},
                        StepDate{1},
                        ClickMap{{400, 300}, 12},
                        HoverMap{Pixel{400, 300}, 12},
                        SelectSite{core::SiteIndex(0)},
                        QueryFromSite{core::SiteIndex(0)},
                        QueryFromPoint{{0, 0}},
                        SetDirection{core::Direction::kUpstream},
                        FocusTarget{std::size_t{3}},
                        ClearAll{},
                        ChooseMetric{{999, 0}},
                        ChooseMetric{{0, 999}}};
  for (const Action& action : all) desk.act(action);
  CHECK_FALSE(desk.state.date);
  CHECK_FALSE(desk.state.site);
  CHECK(desk.state.choice == Choice{});
}

TEST_CASE("a box finds exactly the points inside it") {
  const core::Snapshot s = test::many_sites(500, 10000);
  Model model(make_session(s));
  for (const PlaneBox box : {PlaneBox{-1000, -2000, 3000, 500}, PlaneBox{-9e9, -9e9, 9e9, 9e9},
                             PlaneBox{1, 1, 1.5, 1.5}, PlaneBox{20000, 0, 30000, 10}}) {
    std::vector<std::uint32_t> expected;  // by looking at every one
    for (std::uint32_t i = 0; i < model.site_places().size(); ++i) {
      const core::PlanePoint p = model.site_places()[i];
      if (p.x >= box.min_x && p.x <= box.max_x && p.y >= box.min_y && p.y <= box.max_y) expected.push_back(i);
    }
    CHECK(model.site_grid().inside(box) == expected);
    CHECK(model.site_grid().count_about(box) >= expected.size());
  }
}

}  // namespace brookmark::viewer

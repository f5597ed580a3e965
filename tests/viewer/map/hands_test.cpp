// What hands do to the map: throwing, catching, measuring; and what is said of places. No window needed.
#include <doctest/doctest.h>

#include <cmath>

#include "tests/support/near.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/map/position_words.hpp"

namespace brookmark::viewer {
using test::near;
namespace {

struct Table {
  Model model{make_session(test::sample_snapshot())};
  State state = opening_state(model);
  Table() { place_map(state, model, {0, 0, 800, 600}); }
  template <class A>
  void act(const A& action) {
    apply(Action(action), state, model);
  }
};

}  // namespace

TEST_CASE("a thrown map glides as far as its speed carries it, however time is cut") {
  // Under exponential slowing the whole way is speed times the time constant: 1000 px/s * 0.32 s = 320 px.
  for (const double step : {0.001, 0.016, 0.05}) {
    Table t;
    const core::PlanePoint from = t.state.view.centre;
    for (int i = 0; i < 60; ++i) t.act(Drag{1000 * 0.008, 0, 0.008});
    const core::PlanePoint thrown = t.state.view.centre;
    CHECK(near((from.x - thrown.x) / t.state.view.metres_per_pixel, 480, 1e-6));  // the hand's own way
    t.act(LetGo{});
    REQUIRE(t.state.map.glide.moves());
    int steps = 0;
    while (t.state.map.glide.moves() && steps < 100000) t.act(PassTime{step}), ++steps;
    CAPTURE(step);
    // Ends at 12 px/s: 12 * 0.32 = 3.84 px short, and a step more or less.
    CHECK(near((thrown.x - t.state.view.centre.x) / t.state.view.metres_per_pixel, 320 - 3.84, 1.5));
    CHECK(t.state.map.glide == Glide{});
  }
}

TEST_CASE("a hand stops a gliding map at once, and a slow hand throws nothing") {
  Table t;
  for (int i = 0; i < 30; ++i) t.act(Drag{10, 0, 0.01});
  t.act(LetGo{});
  REQUIRE(t.state.map.glide.moves());
  t.act(HoldMap{});
  CHECK_FALSE(t.state.map.glide.moves());
  const core::PlanePoint here = t.state.view.centre;
  t.act(PassTime{0.1});
  CHECK(t.state.view.centre == here);
  t.act(LetGo{});
  CHECK_FALSE(t.state.map.glide.moves());
  // Moved fast, then held still for a while before letting go.
  for (int i = 0; i < 30; ++i) t.act(Drag{10, 0, 0.01});
  t.act(Drag{0, 0, 0.5});
  t.act(LetGo{});
  CHECK_FALSE(t.state.map.glide.moves());
  // Zooming, fitting and stepping end it too.
  for (const Action& a : {Action(ZoomCentre{2}), Action(Fit{}), Action(Pan{1, 1})}) {
    for (int i = 0; i < 30; ++i) t.act(Drag{10, 0, 0.01});
    t.act(LetGo{});
    apply(a, t.state, t.model);
    CHECK_FALSE(t.state.map.glide.moves());
  }
  t.act(PassTime{std::nan("")});
  t.act(Drag{1, 1, 0});
  CHECK(std::isfinite(t.state.map.glide.x_px_s));
}

TEST_CASE("an area is brought into view with room around it") {
  Table t;
  t.act(ShowArea{{-100, -50, 300, 150}});
  const PlaneBox shown = t.state.view.shown();
  CHECK((shown.min_x < -100 && shown.max_x > 300 && shown.min_y < -50 && shown.max_y > 150));
  CHECK(near(t.state.view.metres_per_pixel, 400.0 / 800 * 1.25, 1e-12));
  t.act(ShowArea{{7, 7, 7, 7}});  // a spot: moved there, not nearer
  CHECK(near(t.state.view.metres_per_pixel, 400.0 / 800 * 1.25, 1e-12));
  t.act(ShowArea{{0, 0, std::nan(""), 1}});
  CHECK(t.state.view.centre.x == 7);
}

TEST_CASE("measuring adds geodesic legs and the way along the channel") {
  Table t;
  t.act(StartMeasure{});
  REQUIRE(t.state.map.measure.on);
  const core::LonLat a = test::ocean(-2600, 2890), b = test::ocean(700, 280), c = test::ocean(700, 1280);
  t.act(AddCorner{a});
  CHECK(t.state.map.measure.legs_m.empty());
  t.act(AddCorner{b});
  const Measure& m = t.state.map.measure;
  REQUIRE(m.legs_m.size() == 1);
  CHECK(near(m.total_m(), core::geodesic_m(a, b), 1e-9));
  // Both are points of the drawn Tarnet Brook: its length between them, leg by leg.
  const core::Line drawn = test::ocean_line({{-2600, 2890},
                                             {-2250, 2500},
                                             {-1700, 2160},
                                             {-1200, 1700},
                                             {-750, 1490},
                                             {-520, 1320},
                                             {-250, 1120},
                                             {60, 900},
                                             {340, 630},
                                             {700, 280}});
  REQUIRE((m.along && m.along->distance_m));
  CHECK(near(*m.along->distance_m, core::length_m(drawn), 0.01));  // joins within a centimetre
  CHECK(m.along->relation == core::Relation::kDownstream);
  t.act(AddCorner{c});
  CHECK(near(t.state.map.measure.total_m(), core::geodesic_m(a, b) + core::geodesic_m(b, c), 1e-9));
  t.act(AddCorner{c});  // the same place twice is one corner
  CHECK(t.state.map.measure.corners.size() == 3);
  t.act(DropCorner{});
  CHECK(t.state.map.measure.corners.size() == 2);
  // While measuring a click sets a corner and chooses nothing.
  t.act(ClickMap{{400, 300}, 12});
  CHECK(t.state.map.measure.corners.size() == 3);
  CHECK_FALSE(t.state.site);
  t.act(ClearAll{});
  CHECK_FALSE(t.state.map.measure.on);
  t.act(AddCorner{a});  // not measuring: nothing
  CHECK(t.state.map.measure.corners.empty());
  t.act(StartMeasure{});
  t.act(AddCorner{{500, 95}});
  CHECK(t.state.map.measure.corners.empty());
  for (int i = 0; i < 700; ++i) t.act(AddCorner{test::ocean(i, 0)});
  CHECK(t.state.map.measure.corners.size() == kMostCorners);
  t.act(StartPointPick{});  // the other thing that waits for a click
  CHECK_FALSE(t.state.map.measure.on);
}

TEST_CASE("a position is written in degrees, in minutes or in the grid of the survey") {
  CHECK(position_words({9.5, 54.2}, PositionForm::kDegrees, nullptr) == "54.20000\u00B0 N  9.50000\u00B0 E");
  CHECK(position_words({-0.123456, -33.9}, PositionForm::kDegrees, nullptr) ==
        "33.90000\u00B0 S  0.12346\u00B0 W");
  // 9.5 degrees is 9 30'; 54.2051 is 54 12' 18.36", to a tenth 18.4".
  CHECK(position_words({9.5, 54.2051}, PositionForm::kMinutes, nullptr) ==
        "54\u00B0 12\u2032 18.4\u2033 N  9\u00B0 30\u2032 0.0\u2033 E");
  // 59.96" rounds to a full minute, and that to a full degree.
  CHECK(position_words({1 + 59.0 / 60 + 59.96 / 3600, 0}, PositionForm::kMinutes, nullptr) ==
        "0\u00B0 0\u2032 0.0\u2033 N  2\u00B0 0\u2032 0.0\u2033 E");
  const core::CrsConverter utm("EPSG:25832");
  // 9 degrees east is the central meridian of zone 32: easting 500 000; northing of 54 N 5 983 522 (tests/geodata).
  const std::string grid = position_words({9, 54}, PositionForm::kGrid, &utm);
  CHECK(grid.substr(0, 8) == "E 500000");
  CHECK(grid.find("N 59") != std::string::npos);
  CHECK(position_words({9, 54}, PositionForm::kGrid, nullptr) == "54.00000\u00B0 N  9.00000\u00B0 E");
  CHECK(position_words({200, 54}, PositionForm::kDegrees, nullptr).empty());
  CHECK(position_words(core::kUnplaced, PositionForm::kMinutes, nullptr).empty());
}

TEST_CASE("a typed position is read with letters, or as latitude and longitude, and never in two ways") {
  // 45 0' 3.6" is 45.001 degrees, 30 0' 7.2" is 30.002: 3.6 / 3600 and 7.2 / 3600.
  for (const char* words :
       {"45.001, -30.002", "45.001 -30.002", " 45.001;-30.002 ", "+45.001, \u221230.002", "45.001 N 30.002 W",
        "45.001\u00B0 N, 30.002\u00B0 W", "30.002W 45.001N", "n 45.001 w 30.002", "W 30.002, N 45.001",
        "45\u00B0 0\u2032 3.6\u2033 N  30\u00B0 0\u2032 7.2\u2033 W", "45\u00B00'3.6\"N 30\u00B00'7.2\"W",
        "45.001\u00B0, -30.002\u00B0"}) {
    CAPTURE(words);
    const auto at = read_position(words);
    REQUIRE(at);
    CHECK(near(at->lat, 45.001, 1e-12));
    CHECK(near(at->lon, -30.002, 1e-12));
  }
  for (const char* words : {"",
                            "45.001",
                            "45,001, -30,002",
                            "45.001 N",
                            "45.001 N 30.002",
                            "45.001 N 44.0 S",
                            "45.001 E 30.002 W",
                            "-45.001 S 30.002 W",
                            "95, 10",
                            "10, 190",
                            "120.5, 45",
                            "north of here",
                            "45 0 3.6, 30 0 7.2",
                            "45\u00B0 60' N 30\u00B0 W",
                            "45.5\u00B0 10' N 30\u00B0 W",
                            "45' N 30' W",
                            "45.001 30.002 N W",
                            "nan, 1",
                            "1e5, 3",
                            "45..1, 30",
                            "E 500000 N 5983522",
                            "--45, 30",
                            "45-, 30"}) {
    CAPTURE(words);
    CHECK_FALSE(read_position(words));
  }
  // What is shown can be typed again.
  for (const PositionForm form : {PositionForm::kDegrees, PositionForm::kMinutes})
    for (const core::LonLat at : {core::LonLat{9.5, 54.2}, {-0.12346, -33.9}, {179.9, -89.5}, {0, 0}}) {
      const auto back = read_position(position_words(at, form, nullptr));
      REQUIRE(back);
      CHECK(core::geodesic_m(*back, at) < 2.5);  // a tenth of a second is three metres: half of it each way
    }
}

TEST_CASE("the nearest of places is told in metres, and none where none is placed") {
  // One degree along the equator of WGS 84: 6378137 * pi / 180 = 111 319.49 m.
  const std::vector<core::LonLat> places{{5, 0}, core::kUnplaced, {1, 0}};
  CHECK(near(nearest_place_m({0, 0}, places).value(), 111319.49, 0.01));
  CHECK_FALSE(nearest_place_m({0, 0}, {}));
  CHECK_FALSE(nearest_place_m({0, 0}, std::vector<core::LonLat>{core::kUnplaced}));
}

TEST_CASE("the scale bar is true where the map is, and north is where it is") {
  const core::LocalFrame frame({10, 60});
  Viewport view{{0, 0, 800, 600}, {0, 0}, 10};
  CHECK(near(true_metres_per_pixel(view, frame), 10, 1e-5));  // 0.2 ppm within a kilometre
  CHECK(near(*north_on_map(view, frame), 0, 1e-9));
  // 500 km to the east the equal-area plane is no longer true: against the geodesic over the same two places.
  view.centre = {500000, 0};
  const core::LonLat a = frame.to_lonlat({499000, 0}), b = frame.to_lonlat({501000, 0});
  CHECK(near(true_metres_per_pixel(view, frame), core::geodesic_m(a, b) / 200, 1e-4));
  // Meridians run together northwards: to the east of the centre north leans to the left. The convergence of an
  // azimuthal plane is about the difference of longitude times the sine of the latitude: 8.96 deg * sin 59.7 = 7.7.
  CHECK(near(*north_on_map(view, frame) * 180 / 3.14159265358979, -7.7, 0.3));
  view.metres_per_pixel = kFarthestMetresPerPixel;
  view.centre = {3e7, 3e7};  // off the Earth
  CHECK(std::isfinite(true_metres_per_pixel(view, frame)));
}

}  // namespace brookmark::viewer

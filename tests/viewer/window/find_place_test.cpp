// Coordinates in the find box: what can be read, in which ways, and what is said of the rest.
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include <cmath>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "tests/support/near.hpp"
#include "viewer/actions/find_place.hpp"
#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {
using test::near;

namespace {

bool is_at(const PlaceReading& reading, core::LonLat at, double degrees = 1e-9) {
  return near(reading.at.lon, at.lon, degrees) && near(reading.at.lat, at.lat, degrees);
}

bool has(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("two bare numbers are offered as latitude first and as longitude first") {
  const TypedPlace typed = read_place("45.001, -30.002", nullptr);
  REQUIRE(typed.readings.size() == 2);
  CHECK(is_at(typed.readings[0], {-30.002, 45.001}));
  CHECK(typed.readings[0].how == "latitude, then longitude");
  CHECK(is_at(typed.readings[1], {45.001, -30.002}));
  CHECK(typed.readings[1].how == "longitude, then latitude");
  CHECK(typed.trouble.empty());
  // Beyond 90 degrees there is one way alone.
  const TypedPlace one = read_place("-120.5 45.25", nullptr);
  REQUIRE(one.readings.size() == 1);
  CHECK(is_at(one.readings[0], {-120.5, 45.25}));
  CHECK(one.readings[0].how == "longitude, then latitude");
  CHECK(read_place("7 7", nullptr).readings.size() == 1);  // both ways are one
}

TEST_CASE("letters say which is which, also with minutes and seconds") {
  for (const char* words : {"45.001 N 30.002 W", "30.002 W, 45.001 N", "N45.001 W30.002"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    REQUIRE(typed.readings.size() == 1);
    CHECK(is_at(typed.readings[0], {-30.002, 45.001}));
    CHECK(typed.readings[0].how == "its letters say");
  }
  // 45 degrees 0' 3.6" is 45.001, 30 degrees 0' 7.2" is 30.002.
  const TypedPlace typed = read_place("45\u00B0 0\u2032 3.6\u2033 N 30\u00B0 0\u2032 7.2\u2033 W", nullptr);
  REQUIRE(typed.readings.size() == 1);
  CHECK(is_at(typed.readings[0], {-30.002, 45.001}));
}

TEST_CASE("easting and northing are read in the survey's grid, inside the area it is made for") {
  const core::CrsConverter utm("EPSG:25832");
  // On the central meridian the easting is 500 000 m by definition of the system (EPSG 25832: false easting); 54 degrees
  // north there is 0.9996 times the meridian's arc of 5 985 916 m from the equator (GRS 80).
  for (const char* words : {"500000 5983522", "500000, 5983522", "E 500000 N 5983522", "N 5983522 E 500000",
                            "E 500000  N 5983522"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, &utm);
    REQUIRE(typed.readings.size() == 1);
    CHECK(is_at(typed.readings[0], {9, 54}, 1e-4));
  }
  CHECK(read_place("500000 5983522", &utm).readings[0].how == "easting, then northing");
  CHECK(read_place("5983522 500000", &utm).readings[0].how == "northing, then easting");
  CHECK(is_at(read_place("5983522 500000", &utm).readings[0], {9, 54}, 1e-4));
  CHECK(has(read_place("9000000 9000000", &utm).trouble, "grid"));
  CHECK(has(read_place("500000 5983522", nullptr).trouble, "has no grid"));
  // Degrees stay degrees where the survey has a grid.
  CHECK(read_place("54, 9", &utm).readings.size() == 2);
}

TEST_CASE("what looks like coordinates and is none is told, and other words are left alone") {
  for (const char* words :
       {"95, 100.5", "-91 -95", "45 0 3.6", "45 N 30 N", "91 N 10 E", "1 2 3 4", "45.0.1 30", "1,2,3,4",
        "95,5 100,25", "50 7 64 N 4 34 5 W", "50 7.5 24 N 4 34 5 W", "50 7 24 8 N 4 34 5 W"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    CHECK(typed.readings.empty());
    CHECK_FALSE(typed.trouble.empty());
  }
  for (const char* words : {"", " ", "E01", "Mill ford", "S07", "- 5 -", "N", "45.001 mill 30", "E",
                            "NaN NaN", "inf 5", "1e5 1e5 x", "\xC3\xA4 5 5"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    CHECK(typed.readings.empty());
    CHECK(typed.trouble.empty());
  }
}

TEST_CASE("decimal commas are read where a blank or a semicolon parts the numbers") {
  for (const char* words : {"50,1234 -4,5678", "50,1234; -4,5678", "50,1234, -4,5678", "50,1234;-4,5678",
                            " 50,1234   \u22124,5678 "}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    REQUIRE(typed.readings.size() == 2);
    CHECK(is_at(typed.readings[0], {-4.5678, 50.1234}));
    CHECK(typed.readings[0].how == "latitude, then longitude, with decimal commas");
    CHECK(is_at(typed.readings[1], {50.1234, -4.5678}));
    CHECK(typed.trouble.empty());
  }
  for (const char* words : {"50,1234 N 4,5678 W", "4,5678 W; 50,1234 N", "N50,1234 W4,5678"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    REQUIRE(typed.readings.size() == 1);
    CHECK(is_at(typed.readings[0], {-4.5678, 50.1234}));
  }
  // 54 north on the central meridian of zone 32, as above.
  const core::CrsConverter utm("EPSG:25832");
  const TypedPlace grid = read_place("500000,0 5983522,0", &utm);
  REQUIRE(grid.readings.size() == 1);
  CHECK(is_at(grid.readings[0], {9, 54}, 1e-4));
  // A comma that parts two whole numbers stays what it was.
  const TypedPlace pair = read_place("45,30", nullptr);
  REQUIRE(pair.readings.size() == 2);
  CHECK(is_at(pair.readings[0], {30, 45}));
}

TEST_CASE(
    "degrees, minutes and seconds are read with blanks between them, where letters say which is which") {
  // 50 7' 24" is 50 + 7/60 + 24/3600, 4 34' 5" is 4 + 34/60 + 5/3600.
  const core::LonLat place{-(4 + 34.0 / 60 + 5.0 / 3600), 50 + 7.0 / 60 + 24.0 / 3600};
  for (const char* words :
       {"50 7 24 N 4 34 5 W", "N 50 7 24 W 4 34 5", "50 7 24N, 4 34 5W", "4 34 5 W 50 7 24 N",
        "50\u00B0 7 24 N 4\u00B0 34' 5 W", "50 7 24,0 N; 4 34 5,0 W"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    REQUIRE(typed.readings.size() == 1);
    CHECK(is_at(typed.readings[0], place, 1e-12));
  }
  const TypedPlace minutes = read_place("50 7.4 N 4 34.5 W", nullptr);
  REQUIRE(minutes.readings.size() == 1);
  CHECK(is_at(minutes.readings[0], {-(4 + 34.5 / 60), 50 + 7.4 / 60}, 1e-12));
}

TEST_CASE("a geo: address is read as RFC 5870 has it") {
  // RFC 5870 (Mayrhofer and Spanring 2010), section 3.3: latitude, longitude, perhaps a height; memory.
  for (const char* words :
       {"geo:13.4125,103.8667", "GEO:13.4125,103.8667", " geo:13.4125,103.8667,183 ",
        "geo:13.4125,103.8667;crs=WGS84", "geo:13.4125,103.8667;crs=wgs84;u=35;name=well"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    REQUIRE(typed.readings.size() == 1);
    CHECK(is_at(typed.readings[0], {103.8667, 13.4125}));
    CHECK(has(typed.readings[0].how, "geo: address"));
    CHECK(has(typed.readings[0].how, "35 m") == has(words, "u=35"));
  }
  CHECK(is_at(read_place("geo:-33.9,-70.5", nullptr).readings[0], {-70.5, -33.9}));
  CHECK(has(read_place("geo:13.4,103.8;crs=EPSG4326", nullptr).trouble, "only wgs84"));
  for (const char* words :
       {"geo:", "geo:13.4", "geo:13.4,103.8,1,2", "geo:91,10", "geo:10,190", "geo:0,0?q=1,2",
        "geo:13,4;103,8", "geo:1e1,5", "geo:nan,1", "geo:a,b", "geo:,"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    CHECK(typed.readings.empty());
    CHECK(has(typed.trouble, "geo:45.001,-30.002"));
  }
}

TEST_CASE("one number alone and a military grid reference are answered with how to write a place") {
  for (const char* words : {"12.5", "45", "-4,5678x", "-30.002", "+7"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    CHECK(typed.readings.empty());
    const bool number = !has(words, "x");
    CHECK(has(typed.trouble, "One number alone is no place") == number);
    CHECK(has(typed.trouble, "45.0010, -30.0020") == number);
  }
  for (const char* words : {"30UXB1234567890", "30U XB 12345 67890", "4qfj1234", "18S UJ 23 06"}) {
    CAPTURE(words);
    const TypedPlace typed = read_place(words, nullptr);
    CHECK(typed.readings.empty());
    CHECK(has(typed.trouble, "MGRS"));
    CHECK(has(typed.trouble, "Write latitude"));
  }
  for (const char* words : {"30UXB", "30UIB12", "30UXB123", "Q01-2023", "12 XAB 1", "E01"}) {
    CAPTURE(words);
    CHECK(read_place(words, nullptr).trouble.empty());
  }
  // In the box a name goes before: a site called 12 is found, and nothing is said of numbers.
  const Model model(make_session(test::sample_snapshot()));
  const auto hits = place_hits("12.5", model, PositionForm::kDegrees, nullptr);
  REQUIRE(hits.size() == 1);
  CHECK(hits[0].actions.empty());
}

TEST_CASE("a site or an outfall that is added after a place was asked for stands at the cross") {
  const Model model(make_session(test::sample_snapshot()));
  State state = opening_state(model);
  place_map(state, model, {0, 0, 800, 600});
  apply(TakeTool{EditTool::kAddSite}, state, model);
  CHECK(state.edit.points.empty());  // without a cross the map is to be tapped
  apply(TakeTool{EditTool::kNone}, state, model);
  apply(GoToPlace{{-30.01, 45.01}}, state, model);
  for (const EditTool tool : {EditTool::kAddSite, EditTool::kAddOutfall}) {
    apply(TakeTool{tool}, state, model);
    REQUIRE(state.edit.points.size() == 1);
    CHECK(state.edit.points[0].at == core::LonLat{-30.01, 45.01});
  }
  apply(TakeTool{EditTool::kDrawReach}, state, model);
  CHECK(state.edit.points.empty());
}

TEST_CASE("after arrow and Enter in the find box no frame of the keyboard stands on anything else") {
  Model model(make_session(test::sample_snapshot()));
  Stage stage(model, {});
  stage.resize(1280, 800);
  draw_frames(stage);
  const auto key = [&](ImGuiKey which) {
    ImGui::GetIO().KeysDown[which] = true;
    draw_frames(stage);
    ImGui::GetIO().KeysDown[which] = false;
    draw_frames(stage);
  };
  for (const char* words : {"t0", "45.02 N 30.01 W", "look"}) {
    CAPTURE(words);
    stage.apply(OpenFind{words});
    draw_frames(stage, 3);
    const std::size_t row = stage.state().desk.find.row;
    key(ImGuiKey_DownArrow);
    CHECK(stage.state().desk.find.row == row + 1);
    CHECK(ImGui::GetIO().WantTextInput);  // the line keeps the keyboard
    key(ImGuiKey_UpArrow);
    CHECK(stage.state().desk.find.row == row);
    key(ImGuiKey_DownArrow);
    key(ImGuiKey_Enter);
    CHECK_FALSE(stage.state().desk.find.open);
    for (int i = 0; i < 4; ++i) {
      draw_frames(stage);
      const ImGuiContext& context = *ImGui::GetCurrentContext();
      const bool framed = context.NavId != 0 && !context.NavDisableHighlight;
      CHECK_FALSE(framed);
    }
  }
}

TEST_CASE("no words whatever make a place that is none") {
  std::uint64_t state = 7;
  const auto random = [&state](std::size_t below) {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<std::size_t>(state >> 33) % below;
  };
  const core::CrsConverter utm("EPSG:25832");
  static constexpr const char* kBits[] = {"4", "5",  "9",      "0", ".", ",", "-",
                                          " ", " ",  "N",      "E", "S", "W", "\u00B0",
                                          "'", "\"", "\u2032", "+", ";", "e", "\u2212"};
  for (int i = 0; i < 20000; ++i) {
    std::string words;
    for (std::size_t k = random(24); k > 0; --k) words += kBits[random(std::size(kBits))];
    CAPTURE(words);
    for (const PlaceReading& reading : read_place(words, i % 2 == 0 ? &utm : nullptr).readings)
      CHECK(core::is_valid(reading.at));
  }
}

TEST_CASE("the reading near the survey's sites comes first, and the map goes there") {
  const Model model(make_session(test::sample_snapshot()));
  State state = opening_state(model);
  place_map(state, model, {0, 0, 800, 600});
  // The survey lies at 45 north, 30 west: written longitude first.
  const auto hits = place_hits("-30.01 45.01", model, PositionForm::kDegrees, nullptr);
  REQUIRE(hits.size() == 4);  // two readings, distances, a new site
  CHECK(hits[0].title == "Go to 45.01000\u00B0 N  30.01000\u00B0 W");
  CHECK(has(hits[0].below, "longitude, then latitude"));
  CHECK(has(hits[1].below, "latitude, then longitude"));
  for (const Action& action : hits[0].actions) apply(action, state, model);
  REQUIRE(state.map.found);
  CHECK(*state.map.found == core::LonLat{-30.01, 45.01});
  const Pixel there = state.view.to_pixel(model.frame().to_plane({-30.01, 45.01}));
  CHECK(near(there.x, 400, 1));
  CHECK(state.view.box.contains(there));
  CHECK(state.view.metres_per_pixel < 2);
  apply(ClearAll{}, state, model);
  CHECK_FALSE(state.map.found);
  for (const Action& action : hits[3].actions) apply(action, state, model);
  CHECK(state.edit.tool == EditTool::kAddSite);
  REQUIRE(state.edit.points.size() == 1);
  CHECK(near(state.edit.points[0].at.lon, -30.01, 1e-9));
  const auto trouble = place_hits("95 100.5", model, PositionForm::kDegrees, nullptr);
  REQUIRE(trouble.size() == 1);
  CHECK(trouble[0].actions.empty());
  CHECK(place_hits("Mill reach", model, PositionForm::kDegrees, nullptr).empty());
  apply(GoToPlace{{500, 95}}, state, model);
  CHECK_FALSE(state.map.found);
}

TEST_CASE("coordinates typed into the find box and Enter bring the map there, with a cross") {
  Model model(make_session(test::sample_snapshot()));
  Stage stage(model, {});
  stage.resize(1280, 800);
  draw_frames(stage);
  stage.apply(OpenFind{"45.02 N 30.01 W"});
  draw_frames(stage, 3);
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = true;
  draw_frames(stage);
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = false;
  draw_frames(stage);
  CHECK_FALSE(stage.state().desk.find.open);
  REQUIRE(stage.state().map.found);
  CHECK(*stage.state().map.found == core::LonLat{-30.01, 45.02});
  // Words that name nothing and are no place are answered, and Enter does nothing.
  stage.apply(OpenFind{"95 100"});
  draw_frames(stage, 3);
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = true;
  draw_frames(stage);
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = false;
  draw_frames(stage);
  CHECK(stage.state().desk.find.open);
}

}  // namespace brookmark::viewer

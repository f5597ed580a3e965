// Sites, outfalls and reaches changed on the map: by taps and drags, stored as one edit, taken back in another run.
#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "core/base/text.hpp"
#include "desk.hpp"

namespace brookmark::viewer {

namespace {

// Where a place of the invented ocean lies on the screen.
Pixel pixel_at(const Desk& desk, double east_m, double north_m) {
  return desk.state().view.to_pixel(desk.model.frame().to_plane(test::ocean(east_m, north_m)));
}

double apart_m(core::LonLat a, core::LonLat b) {
  return core::geodesic_m(a, b);
}

}  // namespace

TEST_CASE("a site is added by a tap, stored, shown, and taken back in another run") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Desk desk(path);
    desk.stage.apply(TakeTool{EditTool::kAddSite});
    CHECK(desk.state().page == Page::kEdit);
    desk.draw(2);
    desk.click(pixel_at(desk, 200, 100));
    REQUIRE(desk.state().edit.points.size() == 1);
    CHECK(desk.sites() == 2);  // not before it is stored
    desk.stage.apply(TypeEditCode{"K7"});
    desk.stage.apply(TypeEditName{"Kingfisher bend"});
    desk.stage.apply(ChooseEditWater{core::WaterKind::kStream});
    desk.stage.apply(StoreEdit{});
    REQUIRE(desk.sites() == 3);
    const core::SiteIndex k7 = desk.site("K7");
    const auto& sites = desk.model.snapshot().sites;
    // A tap hits a pixel: the place is right to one.
    CHECK(apart_m(sites.position[k7.value()], test::ocean(200, 100)) < desk.state().view.metres_per_pixel);
    CHECK_FALSE(sites.accuracy_m[k7.value()]);
    CHECK(sites.raw[k7.value()].crs == "EPSG:4326");
    CHECK(sites.raw[k7.value()].note.find("placed on the map") == 0);
    CHECK(desk.state().site == k7);
    CHECK(desk.state().edit.tool == EditTool::kNone);
    desk.draw(2);
  }
  Desk desk(path);
  CHECK(desk.sites() == 3);
  CHECK(desk.model.session().edits.back().summary == "Site K7 added");
  desk.stage.apply(UndoEdit{});
  CHECK(desk.sites() == 2);
}

TEST_CASE("in an empty survey a button leads to the first site, whose place can be written in figures") {
  const test::TemporaryFolder folder;
  const auto path = folder / "empty.brook";
  core::SurveyFile::create(path, {{}, "Empty (invented)", {}});
  Desk desk(path);
  const auto tap = [&](const char* words) {
    const auto box = desk.stage.target(words);
    CAPTURE(words);
    REQUIRE(box);
    desk.click({box->left + box->width / 2, box->top + box->height / 2});
  };
  tap("Add a site on the map");
  CHECK(desk.state().edit.tool == EditTool::kAddSite);
  CHECK(desk.state().page == Page::kEdit);
  const char* field = "Or latitude, longitude in degrees, then Enter";
  tap(field);
  desk.type("45.0113, -30.0021");
  desk.key(ImGuiKey_Enter);
  REQUIRE(desk.state().edit.points.size() == 1);
  CHECK(apart_m(desk.state().edit.points[0].at, {-30.0021, 45.0113}) < 0.01);
  tap(field);  // what is no place changes nothing
  desk.type("north of here");
  desk.key(ImGuiKey_Enter);
  REQUIRE(desk.state().edit.points.size() == 1);
  CHECK(apart_m(desk.state().edit.points[0].at, {-30.0021, 45.0113}) < 0.01);
  desk.stage.apply(TypeEditCode{"A1"});
  desk.stage.apply(StoreEdit{});
  REQUIRE(desk.sites() == 1);
  CHECK(apart_m(desk.model.snapshot().sites.position[0], {-30.0021, 45.0113}) < 0.01);
  desk.draw(3);
  CHECK_FALSE(desk.stage.target("Add a site on the map"));
  CHECK(desk.stage.target("Import samples \u2026"));
}

TEST_CASE("a typed place far from every site is asked back, and can be exchanged") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder), {}, 1280, 1400);
  const auto tap = [&](const char* words) {
    const auto box = desk.stage.target(words);
    CAPTURE(words);
    REQUIRE(box);
    desk.click({box->left + box->width / 2, box->top + box->height / 2});
  };
  const char* field = "Or latitude, longitude in degrees, then Enter";
  const core::LonLat near_b = test::ocean(0, 300);
  const std::string lat = std::to_string(near_b.lat), lon = std::to_string(near_b.lon);
  desk.stage.apply(ShowPage{Page::kEdit});
  desk.stage.apply(TakeTool{EditTool::kAddSite});
  desk.draw(3);
  tap(field);
  desk.type(lon + ", " + lat);
  desk.key(ImGuiKey_Enter);
  CHECK(desk.state().edit.points.empty());
  tap("Exchange them");
  REQUIRE(desk.state().edit.points.size() == 1);
  CHECK(apart_m(desk.state().edit.points[0].at, near_b) < 0.2);  // to a millionth of a degree
  desk.draw(2);
  CHECK_FALSE(desk.stage.target("Exchange them"));
  // Far away on purpose.
  tap(field);
  desk.type("10 S 10 E");
  desk.key(ImGuiKey_Enter);
  CHECK(apart_m(desk.state().edit.points[0].at, near_b) < 0.2);
  CHECK_FALSE(desk.stage.target("Exchange them"));  // exchanged it would be as far
  tap("No, it is there");
  CHECK(apart_m(desk.state().edit.points[0].at, {10, -10}) < 0.2);
  // Near by nothing is asked.
  tap(field);
  desk.type(lat + ", " + lon);
  desk.key(ImGuiKey_Enter);
  CHECK(apart_m(desk.state().edit.points[0].at, near_b) < 0.2);
}

TEST_CASE("an edit of today is undone at once; an import, or an edit of another day, is asked back") {
  const test::TemporaryFolder folder;
  const auto path = folder / "undo.brook";
  core::StoreOptions back_then;
  back_then.now = [] { return std::string("2025-05-03T08:30:00Z"); };
  {
    core::SurveyFile file = core::SurveyFile::create(path, {{}, "Undo (invented)", {}}, back_then);
    file.apply({"add", "site of another day", {core::AddSite{site_at("A", test::ocean(0, 0))}}});
  }
  {
    core::SurveyFile file = core::SurveyFile::open(path, core::Access::kEdit);
    file.apply({"import sites", "1 site from sites.csv", {core::AddSite{site_at("B", test::ocean(500, 0))}}});
    file.apply({"add", "site of today", {core::AddSite{site_at("C", test::ocean(900, 0))}}});
  }
  Desk desk(path, {}, 1280, 1400);
  const auto tap = [&](const char* words) {
    const auto box = desk.stage.target(words);
    CAPTURE(words);
    REQUIRE(box);
    desk.click({box->left + box->width / 2, box->top + box->height / 2});
  };
  desk.stage.apply(ShowPage{Page::kEdit});
  desk.draw(3);
  REQUIRE(desk.sites() == 3);
  tap("Undo the newest edit");
  CHECK(desk.sites() == 2);
  tap("Undo the newest edit");
  CHECK(desk.sites() == 2);
  tap("Leave it");
  CHECK(desk.sites() == 2);
  tap("Undo the newest edit");
  tap("Take back 1 site?");
  CHECK(desk.sites() == 1);
  tap("Undo the newest edit");
  CHECK(desk.sites() == 1);
  tap("Take it back");
  CHECK(desk.sites() == 0);
}

TEST_CASE("a code that is taken, or none, or no place: the site is not stored and nothing is lost") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(TakeTool{EditTool::kAddSite});
  desk.stage.apply(StoreEdit{});
  CHECK_FALSE(desk.state().edit.trouble.empty());
  desk.stage.apply(PlaceEdit{test::ocean(10, 10)});
  for (const char* code : {"", "  ", "B", " B "}) {
    desk.stage.apply(TypeEditCode{code});
    desk.stage.apply(StoreEdit{});
    CHECK_FALSE(desk.state().edit.trouble.empty());
    CHECK(desk.state().edit.points.size() == 1);
  }
  CHECK(desk.sites() == 2);
  for (const core::LonLat bad : {core::LonLat{200, 0}, {0, 95}, core::kUnplaced})
    desk.stage.apply(PlaceEdit{bad});
  CHECK(desk.state().edit.points[0].at == test::ocean(10, 10));
  desk.draw(3);
}

TEST_CASE("a site is moved by dragging, only once it is confirmed") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Desk desk(path);
    desk.stage.apply(TakeTool{EditTool::kMoveSite});  // none chosen
    CHECK(desk.state().edit.tool == EditTool::kNone);
    CHECK_FALSE(desk.state().edit.trouble.empty());
    desk.stage.apply(SelectSite{desk.site("B")});
    desk.stage.apply(TakeTool{EditTool::kMoveSite});
    desk.draw(2);
    const core::PlanePoint middle = desk.state().view.centre;
    desk.drag(pixel_at(desk, 0, 0), pixel_at(desk, 120, 90));
    CHECK(desk.state().view.centre == middle);  // the site moved, not the map
    REQUIRE(desk.state().edit.points.size() == 1);
    CHECK(apart_m(desk.state().edit.points[0].at, test::ocean(120, 90)) <
          2 * desk.state().view.metres_per_pixel);
    CHECK(apart_m(desk.model.snapshot().sites.position[0], test::ocean(0, 0)) < 0.01);
    desk.stage.apply(StoreEdit{});
    CHECK(apart_m(desk.model.snapshot().sites.position[0], test::ocean(120, 90)) < 5);
    CHECK(desk.model.session().edits.back().summary.find("Site B moved by 15") ==
          0);  // 3-4-5 triangle: 150 m
  }
  Desk desk(path);
  desk.stage.apply(UndoEdit{});
  CHECK(apart_m(desk.model.snapshot().sites.position[0], test::ocean(0, 0)) < 0.01);
  desk.stage.apply(SelectSite{desk.site("B")});
  desk.stage.apply(TakeTool{EditTool::kMoveSite});
  desk.draw(2);
  desk.drag(pixel_at(desk, 0, 0), pixel_at(desk, 50, 0));
  desk.key(ImGuiKey_Escape);
  CHECK(desk.state().edit.tool == EditTool::kNone);
  CHECK(apart_m(desk.model.snapshot().sites.position[0], test::ocean(0, 0)) < 0.01);
}

TEST_CASE("elsewhere a drag still moves the map while a tool is in hand") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(TakeTool{EditTool::kAddSite});
  desk.draw(2);
  const core::PlanePoint middle = desk.state().view.centre;
  desk.drag(pixel_at(desk, 100, 200), pixel_at(desk, 200, 200));
  CHECK(desk.state().view.centre.x < middle.x - 20);
  CHECK(desk.state().edit.points.empty());
}

TEST_CASE("a site is retired and taken up again") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(SetStatus{core::SiteStatus::kRetired});  // none chosen: nothing
  desk.stage.apply(SelectSite{desk.site("D")});
  desk.stage.apply(SetStatus{core::SiteStatus::kRetired});
  CHECK(desk.model.snapshot().sites.status[1] == core::SiteStatus::kRetired);
  CHECK(desk.state().site == desk.site("D"));
  desk.stage.apply(SetStatus{core::SiteStatus::kRetired});  // it is already
  CHECK(desk.model.session().edits.size() == 2);
  desk.stage.apply(UndoEdit{});
  CHECK(desk.model.snapshot().sites.status[1] == core::SiteStatus::kActive);
}

TEST_CASE("an outfall is added with its kind") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(TakeTool{EditTool::kAddOutfall});
  CHECK(desk.state().edit.code == "O01");
  desk.draw(2);
  desk.click(pixel_at(desk, 250, 0));
  desk.stage.apply(ChooseEditOutfall{core::OutfallKind::kTrade});
  desk.stage.apply(StoreEdit{});
  REQUIRE(desk.model.snapshot().outfalls.size() == 1);
  CHECK(desk.model.snapshot().outfalls[0].kind == core::OutfallKind::kTrade);
  desk.stage.apply(TakeTool{EditTool::kAddOutfall});
  CHECK(desk.state().edit.code == "O02");
}

TEST_CASE("a reach is drawn downstream, joined to the one it meets, and the network knows it") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  REQUIRE(desk.model.session().channels.edges().size() == 1);
  desk.stage.apply(TakeTool{EditTool::kDrawReach});
  desk.draw(2);
  desk.click(pixel_at(desk, 100, 400));
  desk.click(pixel_at(desk, 200, 200));
  // A few pixels off the line of the brook: joined to it.
  const Pixel on_line = pixel_at(desk, 300, 0);
  desk.click({on_line.x, on_line.y - 6});
  REQUIRE(desk.state().edit.points.size() == 3);
  const EditVertex& end = desk.state().edit.points[2];
  CHECK(end.joined == "Tarnet Brook");
  // The pointer stands on whole pixels.
  CHECK(std::abs(end.joined_m - 6 * desk.state().view.metres_per_pixel) <=
        desk.state().view.metres_per_pixel);
  CHECK(apart_m(end.at, test::ocean(300, 0)) < 2);
  desk.stage.apply(TypeEditName{"Lind Beck"});
  desk.stage.apply(StoreEdit{});
  const core::Snapshot& s = desk.model.snapshot();
  REQUIRE(s.reaches.size() == 2);
  CHECK(s.reaches[1].note.find("was put onto Tarnet Brook") != std::string::npos);
  // Brook cut in two by the confluence, and the beck: three edges.
  CHECK(desk.model.session().channels.edges().size() == 3);
  // D lies below the beck's head: 100, 400 -> 200, 200 -> 300, 0 -> 500, 0 = 223.6 + 223.6 + 200 m.
  const core::LonLat head = s.reaches[1].line.front();
  const auto way = core::distances_to(desk.model.session().channels, head, std::array{test::ocean(500, 0)},
                                      core::Direction::kDownstream);
  REQUIRE(way.size() == 1);
  REQUIRE(way[0].distance_m);
  CHECK(std::abs(*way[0].distance_m - 647.2) < 4 * desk.state().view.metres_per_pixel);
  desk.stage.apply(UndoEdit{});
  CHECK(desk.model.session().channels.edges().size() == 1);
}

TEST_CASE("a vertex that ends near another line's end takes its very place") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(TakeTool{EditTool::kDrawReach});
  desk.draw(2);
  const Pixel mouth = pixel_at(desk, 900, 0);
  desk.click({mouth.x + 5, mouth.y + 5});
  REQUIRE(desk.state().edit.points.size() == 1);
  CHECK(desk.state().edit.points[0].joined == "the end of Tarnet Brook");
  CHECK(desk.state().edit.points[0].at == desk.model.snapshot().reaches[0].line.back());
}

TEST_CASE("a reach is put right: a point moved, one put in, one taken out, turned, made two-way") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  desk.stage.apply(TakeTool{EditTool::kFixReach});
  desk.draw(2);
  desk.click(pixel_at(desk, 200, 400));  // nothing there
  CHECK_FALSE(desk.state().edit.trouble.empty());
  desk.click(pixel_at(desk, 200, 0));
  REQUIRE(desk.state().edit.points.size() == 4);
  CHECK(desk.state().edit.trouble.empty());
  desk.drag(pixel_at(desk, 0, 0), pixel_at(desk, 0, 80));
  CHECK(apart_m(desk.state().edit.points[1].at, test::ocean(0, 80)) < 2 * desk.state().view.metres_per_pixel);
  desk.click(pixel_at(desk, 250, 40));  // halfway between two points: a new one
  REQUIRE(desk.state().edit.points.size() == 5);
  CHECK(desk.state().edit.chosen == 2);
  desk.stage.apply(StepBackEdit{});
  CHECK(desk.state().edit.points.size() == 4);
  desk.click(pixel_at(desk, 500, 0));  // a point is tapped: chosen, not added
  REQUIRE(desk.state().edit.points.size() == 4);
  REQUIRE(desk.state().edit.chosen == 2);
  desk.stage.apply(TakeOutVertex{});
  CHECK(desk.state().edit.points.size() == 3);
  desk.stage.apply(TurnReach{});
  desk.stage.apply(SetTwoWay{true});
  desk.stage.apply(StoreEdit{});
  {
    const core::Reach& reach = desk.model.snapshot().reaches[0];
    REQUIRE(reach.line.size() == 3);
    CHECK(apart_m(reach.line.front(), test::ocean(900, 0)) < 0.01);
    CHECK(apart_m(reach.line.back(), test::ocean(-500, 0)) < 0.01);
    CHECK(reach.two_way);
    CHECK(reach.name == "Tarnet Brook");
  }
  desk.stage.apply(UndoEdit{});
  CHECK(desk.model.snapshot().reaches[0].line.size() == 4);
  CHECK_FALSE(desk.model.snapshot().reaches[0].two_way);
}

TEST_CASE("a reach keeps two points, and can be removed and brought back") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(TakeTool{EditTool::kDrawReach});
  desk.stage.apply(PlaceEdit{test::ocean(0, 300)});
  desk.stage.apply(PlaceEdit{test::ocean(0, 300)});  // the same place twice is one point
  desk.stage.apply(StoreEdit{});
  CHECK_FALSE(desk.state().edit.trouble.empty());
  CHECK(desk.model.snapshot().reaches.size() == 1);
  desk.stage.apply(TakeTool{EditTool::kFixReach});
  desk.draw(2);
  desk.click(pixel_at(desk, 200, 0));
  for (int i = 0; i < 6; ++i) {
    desk.click(pixel_at(desk, i % 2 == 0 ? 0 : 500, 0));
    desk.stage.apply(TakeOutVertex{});
  }
  CHECK(desk.state().edit.points.size() == 2);
  desk.stage.apply(RemoveReach{});
  CHECK(desk.model.snapshot().reaches.empty());
  desk.draw(3);
  desk.stage.apply(UndoEdit{});
  CHECK(desk.model.snapshot().reaches.size() == 1);
}

TEST_CASE("the next code counts on from the highest") {
  CHECK(next_code({}, "S01") == "S01");
  CHECK(next_code({"S01", "S09"}, "S01") == "S10");
  CHECK(next_code({"Q099", "Q7"}, "S01") == "Q100");
  CHECK(next_code({"mill", "ford"}, "S01") == "S01");
  CHECK(next_code({"A1", "B1"}, "S01") == "A2");
  CHECK(next_code({"12345678901234567890"}, "S01") == "S01");
}

TEST_CASE("what is drawn near a large network is joined as brute force says") {
  test::SurveyBuilder b;
  b.snapshot.samples.record_begin.push_back(0);
  std::uint64_t seed = 7;
  const auto random = [&seed] {
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(seed >> 11) / 9007199254740992.0;
  };
  for (int r = 0; r < 60; ++r) {
    core::Line line;
    double x = (random() - 0.5) * 2000, y = (random() - 0.5) * 2000;
    for (int i = 0; i < 12; ++i)
      line.push_back(test::ocean(x += (random() - 0.5) * 200, y += (random() - 0.5) * 200));
    b.reach("R" + std::to_string(r), line);
  }
  const Model model(make_session(b.snapshot));
  int joined = 0;
  for (int t = 0; t < 300; ++t) {
    const core::LonLat at = test::ocean((random() - 0.5) * 2200, (random() - 0.5) * 2200);
    const double limit = 40;
    double vertex = 1e9, line = 1e9;
    const core::PlanePoint p = model.frame().to_plane(at);
    for (const core::Reach& reach : model.snapshot().reaches)
      for (std::size_t i = 0; i < reach.line.size(); ++i) {
        const core::PlanePoint q = model.frame().to_plane(reach.line[i]);
        vertex = std::min(vertex, std::hypot(q.x - p.x, q.y - p.y));
        if (i == 0) continue;
        const core::PlanePoint o = model.frame().to_plane(reach.line[i - 1]);
        for (int k = 0; k <= 2000; ++k) {  // the line in small steps
          const double f = k / 2000.0;
          line = std::min(line, std::hypot(o.x + f * (q.x - o.x) - p.x, o.y + f * (q.y - o.y) - p.y));
        }
      }
    const auto found = joined_vertex(model, at, limit, "");
    if (vertex <= limit) {
      REQUIRE(found);
      CHECK(std::abs(found->joined_m - vertex) < 1e-6);
    } else if (line <= limit - 0.1) {
      REQUIRE(found);
      CHECK(std::abs(found->joined_m - line) < 0.1);  // the steps are up to 0.15 m long
    } else if (line > limit + 0.1) {
      CHECK_FALSE(found);
    }
    if (found) ++joined;
  }
  CHECK(joined > 50);
}

}  // namespace brookmark::viewer

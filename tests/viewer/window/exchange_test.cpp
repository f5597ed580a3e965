// What goes out and comes back through the window: a hand-over with its choices and what stays at home, a partner's
// changes, photos.
#include <doctest/doctest.h>
#include <sqlite3.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string_view>

#include "bench.hpp"
#include "core/sharing/sharing.hpp"
#include "core/survey/rows.hpp"
#include "demo_area/demo.hpp"
#include "frames.hpp"
#include "viewer/change_work.hpp"
#include "viewer/photo_work.hpp"
#include "viewer/platform/picture.hpp"
#include "words_in_frame.hpp"

namespace brookmark::viewer {
namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

struct Exchange : Bench {
  Exchange() {
    demo::make_demo_survey(file("demo.brook"));
    act(DropFile{file("demo.brook").string()});
    finish();
    REQUIRE(model.snapshot().sites.size() == 26);
  }
  void apply_edit(core::Edit edit) {
    stage.apply(StoreEdits{{"test", "an edit", {std::move(edit)}}});
    draw_frames(stage);
  }
  core::Site site(const char* code) const {
    return core::site_row(model.snapshot(), *model.snapshot().find_site(code));
  }
  void hand_over_to(
      const char* name, const std::function<void(Dialog&)>& how = [](Dialog&) {}) {
    act(OpenDialog{DialogKind::kHandOver});
    fill([&](Dialog& d) {
      d.name = name;
      how(d);
    });
    REQUIRE(missing_in(stage.state(), model) == "");
    act(RunDialog{});
    finish();
    REQUIRE(has(stage.state().messages.back().text, "Wrote"));
  }
  // As somebody's GIS does it: plain SQL on the file.
  void edit_gpkg(const char* name, const char* sql) const {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(file(name).c_str(), &db) == SQLITE_OK);
    // Functions that the triggers of a GeoPackage name; they fire for shapes only.
    for (const char* function : {"ST_IsEmpty", "ST_MinX", "ST_MaxX", "ST_MinY", "ST_MaxY"})
      sqlite3_create_function(
          db, function, 1, SQLITE_UTF8, nullptr,
          [](sqlite3_context* context, int, sqlite3_value**) { sqlite3_result_int(context, 0); }, nullptr,
          nullptr);
    char* message = nullptr;
    const int code = sqlite3_exec(db, sql, nullptr, nullptr, &message);
    INFO(std::string(message ? message : ""));
    REQUIRE(code == SQLITE_OK);
    sqlite3_close(db);
  }
  void look_at_changes(const char* name) {
    act(OpenDialog{DialogKind::kChanges});
    fill([&](Dialog& d) { d.name = name; });
    finish();
  }
};

}  // namespace

TEST_CASE("every form of a hand-over can be written, and the licence stands in the file") {
  Exchange e;
  for (const char* name : {"out.zip", "out.kml", "out.fgb"}) {
    e.hand_over_to(name, [](Dialog& d) { d.licence = "CC BY 4.0 (invented for this test)"; });
    CAPTURE(name);
    CHECK(std::filesystem::file_size(e.file(name)) > 200);
  }
  e.hand_over_to("out.gpkg", [](Dialog& d) { d.licence = "CC BY 4.0 (invented for this test)"; });
  CHECK(has(bytes_of(e.file("out.gpkg")), "CC BY 4.0 (invented for this test)"));
  e.hand_over_to("outfalls.geojson", [](Dialog& d) { d.layers = {"outfalls"}; });
  CHECK(has(bytes_of(e.file("outfalls.geojson")), "OUT-1"));
  CHECK_FALSE(has(bytes_of(e.file("outfalls.geojson")), "\"Q04\""));
  e.act(OpenDialog{DialogKind::kHandOver});
  e.fill([](Dialog& d) { d.cell = "wide"; });
  CHECK(has(missing_in(e.stage.state(), e.model), "grid cell"));
}

TEST_CASE("what stays at home is shown before anything is written, and follows the choices") {
  Exchange e;
  core::Site q04 = e.site("Q04");
  q04.sharing = core::Sharing::kBlurred;
  e.apply_edit(core::Replace<core::Site>{q04});
  e.act(OpenDialog{DialogKind::kHandOver});
  e.finish();
  REQUIRE(e.desk().leaving);
  // The same as core says, item by item; other rules, other items.
  const auto expected = [&](const core::SharingRules& rules) {
    std::vector<std::string> lines;
    const core::SharedSurvey shared = core::share(e.model.snapshot(), rules);
    for (const core::HiddenItem& item : shared.hidden())
      lines.push_back(item.layer + "|" + item.code + "|" + item.what + "|" + item.why);
    return lines;
  };
  const auto shown = [&] {
    std::vector<std::string> lines;
    for (const core::HiddenItem& item : e.desk().leaving->hidden)
      lines.push_back(item.layer + "|" + item.code + "|" + item.what + "|" + item.why);
    return lines;
  };
  core::SharingRules rules;
  rules.until = e.stage.state().date;
  CHECK(shown() == expected(rules));
  const auto before = shown();
  CHECK(std::any_of(before.begin(), before.end(),
                    [](const std::string& line) { return has(line, "sites|Q04"); }));
  e.fill([](Dialog& d) {
    d.cell = "5 km";
    d.people = false;
  });
  e.finish();
  rules.cell_m = 5000;
  rules.people = false;
  REQUIRE(e.desk().leaving);
  CHECK(shown() == expected(rules));
  CHECK(shown() != before);
}

TEST_CASE("a partner's changes are listed, taken one by one in one edit, and one undo takes them back") {
  Exchange e;
  e.hand_over_to("out.gpkg");
  e.look_at_changes("out.gpkg");
  CHECK(has(missing_in(e.stage.state(), e.model), "Nothing in this file differs"));
  e.edit_gpkg("out.gpkg",
              "UPDATE sites SET name = 'Their ford' WHERE code = 'Q04';"
              "UPDATE sites SET name = 'Their weir' WHERE code = 'Q05';"
              "UPDATE sites SET name = 'Their mill' WHERE code = 'Q06';");
  // Meanwhile ours goes on: Q06 is renamed here too.
  core::Site q06 = e.site("Q06");
  q06.name = "Our mill";
  e.apply_edit(core::Replace<core::Site>{q06});
  const std::string ours_q05(e.model.snapshot().sites.name[e.model.snapshot().find_site("Q05")->value()]);
  e.look_at_changes("out.gpkg");
  REQUIRE(e.desk().changes);
  const auto& changes = e.desk().changes->list.changes;
  REQUIRE(changes.size() == 3);
  std::string id_q05, id_q06;
  for (const core::Change& change : changes) {
    CHECK(change.column == "name");
    if (change.code == "Q05") id_q05 = change.id;
    if (change.code == "Q06") id_q06 = change.id;
    CHECK((change.state == core::ChangeState::kConflict) == (change.code == "Q06"));
  }
  // What both changed is not taken unasked.
  CHECK(e.desk().dialog.taken.size() == 2);
  CHECK_FALSE(e.desk().dialog.taken.contains(id_q06));
  e.fill([&](Dialog& d) {
    d.taken.erase(id_q05);
    d.taken.insert(id_q06);
  });
  e.act(RunDialog{});
  e.finish();
  CHECK(e.desk().dialog.kind == DialogKind::kNone);
  CHECK(e.site("Q04").name == "Their ford");
  CHECK(e.site("Q05").name == ours_q05);
  CHECK(e.site("Q06").name == "Their mill");
  e.stage.apply(UndoEdit{});
  CHECK(e.site("Q04").name != "Their ford");
  CHECK(e.site("Q06").name == "Our mill");
}

TEST_CASE("changes that look different by the time they are taken are not taken") {
  Exchange e;
  e.hand_over_to("out.gpkg");
  e.edit_gpkg("out.gpkg", "UPDATE sites SET name = 'Their ford' WHERE code = 'Q04'");
  core::SurveyFile file = core::SurveyFile::open(e.file("demo.brook"), core::Access::kEdit);
  const ChangePlan seen = plan_changes(file.read(), e.file("out.gpkg"));
  REQUIRE(seen.list.changes.size() == 1);
  const std::string id = seen.list.changes[0].id;
  core::Site q04 = e.site("Q04");
  q04.name = "Renamed here";
  file.apply({"test", "renamed", {core::Replace<core::Site>{q04}}});
  CHECK_THROWS_WITH(take_changes(file, e.file("out.gpkg"), seen, {id}),
                    doctest::Contains("nothing was taken"));
  CHECK_THROWS(take_changes(file, e.file("out.gpkg"), seen, {}));
  const core::Snapshot after = file.read();
  CHECK(after.sites.name[after.find_site("Q04")->value()] == "Renamed here");
}

TEST_CASE("a file that is no hand-over is a sentence in the dialog of changes") {
  Exchange e;
  std::ofstream(e.file("noise.gpkg")) << "no database";
  for (const char* name : {"noise.gpkg", "none.gpkg", "demo.brook"}) {
    e.look_at_changes(name);
    CAPTURE(name);
    CHECK_FALSE(e.desk().changes);
    // A name of no file may still be on its way: no alarm, but nothing can be taken either.
    CHECK(e.desk().trouble.empty() == (std::string_view(name) == "none.gpkg"));
    CHECK_FALSE(missing_in(e.stage.state(), e.model).empty());
  }
}

TEST_CASE(
    "a photo is copied beside the survey, named in one edit, linked to the visit of its day, and undone") {
  Exchange e;
  const test::TemporaryFolder elsewhere;
  const std::filesystem::path photo = elsewhere / "ford.png";
  write_png({8, 6, std::vector<std::uint8_t>(8 * 6 * 3, 120)}, photo);
  const auto site = *e.model.snapshot().find_site("Q04");
  const core::SampleIndex first = e.model.snapshot().samples_of(site).first;
  const core::Date day = e.model.snapshot().samples.date[first.value()];
  const std::size_t before = e.model.snapshot().photos.size();
  const auto add = [&](const std::string& date, const std::string& note) {
    e.act(OpenDialog{DialogKind::kPhoto, {}, std::string(e.model.snapshot().sites.key[site.value()])});
    Dialog d = e.desk().dialog;
    d.folder = elsewhere.path().string();
    d.name = "ford.png";
    d.day = date;
    d.note = note;
    e.act(ChangeDialog{d});
    REQUIRE(missing_in(e.stage.state(), e.model) == "");
    e.act(RunDialog{});
    e.finish();
  };
  add(core::format_date(day), "upstream of the ford");
  REQUIRE(e.model.snapshot().photos.size() == before + 1);
  const core::Photo row = e.model.snapshot().photos.back();
  CHECK(row.file == "demo-photos/ford.png");
  CHECK(row.caption == "upstream of the ford");
  CHECK(row.visit_key ==
        e.model.snapshot().visits.key[e.model.snapshot().samples.visit[first.value()].value()]);
  CHECK(bytes_of(e.file("demo-photos/ford.png")) == bytes_of(photo));
  // The same once more is the same file; another one of that name is another.
  add("", "again");
  CHECK(e.model.snapshot().photos.back().file == "demo-photos/ford.png");
  write_png({8, 6, std::vector<std::uint8_t>(8 * 6 * 3, 10)}, photo);
  add("1999-01-02", "darker");
  CHECK(e.model.snapshot().photos.back().file == "demo-photos/ford-2.png");
  CHECK(e.model.snapshot().photos.back().caption == "darker, 2 January 1999");
  for (int i = 0; i < 3; ++i) e.stage.apply(UndoEdit{});
  CHECK(e.model.snapshot().photos.size() == before);
}

TEST_CASE("what is no photo, or no day, is a sentence, and no file is copied") {
  Exchange e;
  const test::TemporaryFolder elsewhere;
  std::ofstream(elsewhere / "noise.png") << "no picture";
  core::SurveyFile file = core::SurveyFile::open(e.file("demo.brook"), core::Access::kEdit);
  const std::string key(e.model.snapshot().sites.key[0]);
  CHECK_THROWS(add_photo(file, e.file("demo.brook"), {elsewhere / "noise.png", key}));
  CHECK_THROWS(add_photo(file, e.file("demo.brook"), {elsewhere / "none.png", key}));
  CHECK_THROWS(add_photo(file, e.file("demo.brook"), {elsewhere.path(), key}));
  write_png({4, 4, std::vector<std::uint8_t>(48, 9)}, elsewhere / "good.png");
  CHECK_THROWS(add_photo(file, e.file("demo.brook"), {elsewhere / "good.png", "no such site"}));
  CHECK_FALSE(std::filesystem::exists(e.file("demo-photos/noise.png")));
  CHECK_FALSE(std::filesystem::exists(e.file("demo-photos/good.png")));
  e.act(OpenDialog{DialogKind::kPhoto, {}, key});
  e.fill([](Dialog& d) {
    d.name = "x.png";
    d.day = "yesterday";
  });
  CHECK(has(missing_in(e.stage.state(), e.model), "2024-05-03"));
}

TEST_CASE("no words of the dialogs of exchange are cut off, with something in them, at any scale") {
  Exchange e;
  core::Site q04 = e.site("Q04");
  q04.sharing = core::Sharing::kBlurred;
  e.hand_over_to("out.gpkg");
  e.edit_gpkg(
      "out.gpkg",
      "UPDATE sites SET name = 'Their ford, with a name that is a good deal longer than any line of the "
      "dialog "
      "can be at three times the size' WHERE code = 'Q05'; UPDATE sites SET name = 'Weir' WHERE code = 'Q06';"
      "DELETE FROM sites WHERE code = 'Q07'");
  core::Site q06 = e.site("Q06");
  q06.name = "Our mill";
  e.apply_edit(core::Replace<core::Site>{q06});
  e.apply_edit(core::Replace<core::Site>{q04});
  for (const double scale : {0.75, 1.0, 2.0, 3.0})
    for (const bool touch : {false, true}) {
      CAPTURE(scale);
      CAPTURE(touch);
      Settings settings = e.stage.state().settings;
      settings.scale = scale;
      settings.touch = touch;
      e.stage.apply(ChangeSettings{settings});
      e.stage.resize(1024, 700);
      const auto look = [&](const char* what) {
        draw_frames(e.stage, 4);
        CAPTURE(what);
        CHECK(test::trouble_with_words() == "");
        for (const Target& target : e.stage.targets()) {
          CAPTURE(target.words);
          if (touch) CHECK(target.box.height >= std::floor(9 * 96 / 25.4));
        }
      };
      e.look_at_changes("out.gpkg");
      REQUIRE(e.desk().changes);
      REQUIRE(e.desk().changes->list.changes.size() >= 3);
      look("changes");
      e.act(OpenDialog{DialogKind::kHandOver});
      e.finish();
      REQUIRE(e.desk().leaving);
      REQUIRE_FALSE(e.desk().leaving->hidden.empty());
      look("hand-over");
      e.act(OpenDialog{DialogKind::kPhoto, {}, q04.key});
      look("photo");
      e.act(CloseDialog{});
    }
}

TEST_CASE("an empty survey, and one of which nothing may leave, are told instead of handed over") {
  Bench bench;
  bench.act(OpenDialog{DialogKind::kNew});
  bench.fill([](Dialog& d) { d.title = "Empty"; });
  bench.act(RunDialog{});
  bench.finish();
  bench.act(OpenDialog{DialogKind::kHandOver});
  bench.finish();
  CHECK(missing_in(bench.stage.state(), bench.model) ==
        "There is nothing to hand over yet: no site, watercourse or outfall.");
  // One site, withheld.
  core::Site site;
  site.code = "A";
  site.key = "00000000-0000-4000-8000-000000000001";
  site.position = {-30, 50};
  site.sharing = core::Sharing::kWithheld;
  bench.act(CloseDialog{});
  bench.stage.apply(StoreEdits{{"test", "a site", {core::AddSite{site}}}});
  draw_frames(bench.stage);
  bench.act(OpenDialog{DialogKind::kHandOver});
  bench.finish();
  CHECK(missing_in(bench.stage.state(), bench.model) ==
        "Nothing of this survey may leave; below it says why.");
  REQUIRE(bench.stage.state().desk.leaving);
  CHECK_FALSE(bench.stage.state().desk.leaving->hidden.empty());
}

TEST_CASE(
    "a system of coordinates that stretches lengths, or does not fit, is told before anything is written") {
  Exchange e;
  e.act(OpenDialog{DialogKind::kHandOver});
  e.finish();
  REQUIRE(e.desk().leaving);
  CHECK(e.desk().leaving->crs_said == "");
  const auto said_of = [&](const char* crs) {
    e.fill([&](Dialog& d) { d.crs = crs; });
    e.finish();
    return e.desk().leaving->crs_said;
  };
  CHECK(has(said_of("EPSG:3857"), "times those on the ground"));
  CHECK(has(said_of("EPSG:2169"), "EPSG:2169"));  // made for Luxembourg
  CHECK(said_of("EPSG:4326") == "");
  CHECK_FALSE(said_of("EPSG:1").empty());
  CHECK(said_of("") == "");
}

TEST_CASE("days and seasons that are chosen below the map are those that leave") {
  Exchange e;
  e.stage.apply(ChooseSeasons{core::SeasonSet::of(core::Season::kSpring)});
  e.hand_over_to("spring.csv", [](Dialog& d) { d.layers = {"samples"}; });
  CHECK(has(e.stage.state().messages.back().text, "spring only"));
  const std::string text = bytes_of(e.file("spring.csv"));
  CHECK(has(text, "-04-"));
  CHECK_FALSE(has(text, "-10-"));
  CHECK_FALSE(has(text, "-09-"));
}

}  // namespace brookmark::viewer

// Dialogs, errands, find and the guided look: every action without a window, and the ways a file can refuse.
#include <doctest/doctest.h>
#include <imgui.h>
#include <sqlite3.h>

#include <filesystem>
#include <fstream>

#include "bench.hpp"
#include "core/base/error.hpp"
#include "demo_area/demo.hpp"
#include "frames.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "viewer/actions/find.hpp"
#include "viewer/errand_runner.hpp"
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/platform/settings_file.hpp"
#include "viewer/session_keeper.hpp"
#include "viewer/state/guide.hpp"
#include "words_in_frame.hpp"

namespace brookmark::viewer {

namespace {

bool has(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

void write(const std::filesystem::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

constexpr const char* kSites =
    "code,name,lat,lon,colour\nA1,Mill,45.01,-30.01,red\nA2,Ford,45.02,-30.02,blue\nA3,Bad,950,-30,green\n";

}  // namespace

TEST_CASE("a new survey is asked for, made and opened") {
  Bench bench;
  bench.act(OpenDialog{DialogKind::kNew});
  CHECK(has(missing_in(bench.stage.state(), bench.model), "title"));
  bench.act(RunDialog{});
  CHECK(bench.desk().errands.empty());
  bench.fill([](Dialog& d) { d.title = "Mill brook"; });
  CHECK(bench.desk().dialog.name == "mill-brook.brook");
  CHECK(missing_in(bench.stage.state(), bench.model).empty());
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bench.desk().dialog.kind == DialogKind::kNone);
  CHECK(bench.model.session().path == bench.file("mill-brook.brook"));
  CHECK(bench.model.snapshot().survey.title == "Mill brook");
  // A second one of that name is not made over it.
  bench.act(OpenDialog{DialogKind::kNew});
  bench.fill([](Dialog& d) { d.title = "Mill brook"; });
  CHECK(has(missing_in(bench.stage.state(), bench.model), "already there"));
}

TEST_CASE("a system that does not exist is a sentence in the dialog, and no file is made") {
  Bench bench;
  bench.act(OpenDialog{DialogKind::kNew});
  bench.fill([](Dialog& d) {
    d.title = "X";
    d.crs = "EPSG:999999";
  });
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bench.desk().dialog.kind == DialogKind::kNew);
  CHECK_FALSE(bench.desk().trouble.empty());
  CHECK_FALSE(std::filesystem::exists(bench.file("x.brook")));
  bench.fill([](Dialog& d) { d.crs = ""; });
  CHECK(bench.desk().trouble.empty());
}

TEST_CASE("the demo is one tap away, and a second tap opens the same file") {
  const test::TemporaryFolder data;
  setenv("XDG_DATA_HOME", data.path().c_str(), 1);
  {
    Bench bench;
    bench.act(OpenDialog{DialogKind::kStart});
    bench.act(OpenDemo{});
    bench.finish();
    CHECK(bench.desk().dialog.kind == DialogKind::kNone);
    CHECK(bench.model.snapshot().sites.size() == 26);  // as the demo's own tests count them
    CHECK(bench.stage.state().date.has_value());
    CHECK(std::filesystem::exists(demo_place()));
  }
  Bench bench;
  bench.act(OpenDemo{});
  bench.finish();
  CHECK(bench.model.snapshot().sites.size() == 26);
  unsetenv("XDG_DATA_HOME");
}

TEST_CASE("an import shows its columns and bad rows before anything is written") {
  Bench bench;
  bench.open_new("a.brook");
  write(bench.file("sites.csv"), kSites);
  bench.act(OpenDialog{DialogKind::kImport});
  CHECK(has(missing_in(bench.stage.state(), bench.model), "Choose the file"));
  bench.fill([](Dialog& d) { d.name = "sites.csv"; });
  bench.finish();
  REQUIRE(bench.desk().preview);
  const core::ImportReport& report = bench.desk().preview->report;
  CHECK(report.rows == 3);
  CHECK(report.good_rows == 2);
  CHECK(report.bad_rows == 1);
  CHECK(report.columns_ignored == std::vector<std::string>{"colour"});
  CHECK(bench.model.snapshot().sites.size() == 0);
  CHECK(has(missing_in(bench.stage.state(), bench.model), "bad rows"));
  bench.act(RunDialog{});
  CHECK(bench.desk().errands.empty());
  bench.fill([](Dialog& d) { d.skip_bad = true; });
  REQUIRE(bench.desk().preview);  // leaving rows out is no other question
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bench.desk().dialog.kind == DialogKind::kNone);
  CHECK(bench.model.snapshot().sites.size() == 2);
  REQUIRE_FALSE(bench.stage.state().messages.empty());
  CHECK(has(bench.stage.state().messages.back().text, "Bad rows left out: 1"));
  // One edit, which can be taken back.
  bench.stage.apply(UndoEdit{});
  CHECK(bench.model.snapshot().sites.size() == 0);
}

TEST_CASE("a column that is not recognised can be given its meaning by hand") {
  Bench bench;
  bench.open_new("a.brook");
  write(bench.file("s.csv"), "Stelle,lat,lon\nA1,45,-30\n");
  bench.act(OpenDialog{DialogKind::kImport});
  bench.fill([](Dialog& d) { d.name = "s.csv"; });
  bench.finish();
  CHECK_FALSE(bench.desk().preview);
  CHECK_FALSE(bench.desk().trouble.empty());  // a needed column is missing
  bench.fill([](Dialog& d) { d.columns["Stelle"] = "locationID"; });
  bench.finish();
  REQUIRE(bench.desk().preview);
  CHECK(bench.desk().preview->report.good_rows == 1);
  // Another file begins anew.
  write(bench.file("t.csv"), kSites);
  bench.fill([](Dialog& d) { d.name = "t.csv"; });
  CHECK(bench.desk().dialog.columns.empty());
  bench.finish();
}

TEST_CASE("files that are none, are missing or are damaged are sentences in the dialog") {
  Bench bench;
  bench.open_new("a.brook");
  write(bench.file("noise.csv"), std::string("\xff\xfe\x00\x01", 4));
  write(bench.file("noise.brook"), "this is no survey");
  for (const char* name : {"noise.csv", "missing.csv", "missing.gpkg"}) {
    bench.act(OpenDialog{DialogKind::kImport});
    bench.fill([&](Dialog& d) { d.name = name; });
    bench.finish();
    CAPTURE(name);
    CHECK_FALSE(bench.desk().preview);
    const bool there =
        std::filesystem::exists(bench.file(name));  // a name may still be being typed: no alarm
    CHECK(bench.desk().trouble.empty() == !there);
    CHECK(there != has(missing_in(bench.stage.state(), bench.model), "No file of this name"));
  }
  for (const char* name : {"noise.brook", "missing.brook"}) {
    bench.act(OpenDialog{DialogKind::kOpen});
    bench.fill([&](Dialog& d) { d.name = name; });
    bench.act(RunDialog{});
    bench.finish();
    CAPTURE(name);
    CHECK(bench.desk().dialog.kind == DialogKind::kOpen);
    CHECK_FALSE(bench.desk().trouble.empty());
    CHECK(bench.model.snapshot().survey.title == "Mill brook");  // the one before is still there
  }
}

TEST_CASE("a survey locked by another program is told, and can be opened once it is free") {
  Bench bench;
  const std::filesystem::path path = bench.file("held.brook");
  create_survey(path, "Held");
  sqlite3* other = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &other) == SQLITE_OK);
  REQUIRE(sqlite3_exec(other, "BEGIN EXCLUSIVE", nullptr, nullptr, nullptr) == SQLITE_OK);
  bench.act(OpenDialog{DialogKind::kOpen});
  bench.fill([](Dialog& d) { d.name = "held.brook"; });
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bench.desk().dialog.kind == DialogKind::kOpen);
  CHECK_FALSE(bench.desk().trouble.empty());
  draw_frames(bench.stage, 3);
  CHECK(bench.stage.target("Try again"));
  for (const char* step : {"Import places \u2026", "Add a site on the map", "Open the demo"})
    CHECK_FALSE(bench.stage.target(step));  // no survey is open that they could go into
  sqlite3_exec(other, "ROLLBACK", nullptr, nullptr, nullptr);
  sqlite3_close(other);
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bench.model.snapshot().survey.title == "Held");
}

TEST_CASE("a survey is handed over as the map shows it, and nothing is replaced unasked") {
  Bench bench;
  demo::make_demo_survey(bench.file("demo.brook"));
  bench.act(DropFile{bench.file("demo.brook").string()});
  bench.finish();
  REQUIRE(bench.model.snapshot().sites.size() == 26);
  for (const char* name : {"out.csv", "out.geojson", "out.gpx", "out.gpkg"}) {
    bench.act(OpenDialog{DialogKind::kHandOver});
    bench.fill([&](Dialog& d) { d.name = name; });
    CHECK(missing_in(bench.stage.state(), bench.model).empty());
    bench.act(RunDialog{});
    bench.finish();
    CAPTURE(name);
    CHECK(std::filesystem::exists(bench.file(name)));
    CHECK(has(bench.stage.state().messages.back().text, "Wrote"));
  }
  bench.act(OpenDialog{DialogKind::kHandOver});
  bench.fill([](Dialog& d) { d.name = "out.csv"; });
  CHECK(has(missing_in(bench.stage.state(), bench.model), "already there"));
  bench.fill([](Dialog& d) { d.replace = true; });
  CHECK(missing_in(bench.stage.state(), bench.model).empty());
  bench.fill([](Dialog& d) { d.name = "out.docx"; });
  CHECK(has(missing_in(bench.stage.state(), bench.model), ".gpkg"));
}

TEST_CASE(
    "the first reasons for bad rows stand beside the greyed Import button, however far the card is "
    "scrolled") {
  for (const auto& [width, height] : {std::pair{1280.0, 800.0}, {1024.0, 700.0}}) {
    Bench bench;
    bench.stage.resize(width, height);
    std::string many = "code,name,lat,lon\n";
    for (int i = 0; i < 12; ++i) many += "B" + std::to_string(i) + ",Bad,950,-30\n";
    write(bench.file("one.csv"), kSites);
    write(bench.file("many.csv"), many);
    bench.open_new("a.brook");
    for (const char* name : {"one.csv", "many.csv"}) {
      bench.act(OpenDialog{DialogKind::kImport});
      bench.fill([&](Dialog& d) { d.name = name; });
      for (int i = 0; i < 4; ++i) bench.finish();
      REQUIRE(bench.desk().preview);
      const core::Issues& issues = bench.desk().preview->report.issues;
      REQUIRE_FALSE(issues.empty());
      CAPTURE(name);
      CAPTURE(height);
      // On the card itself, and not on what scrolls in it.
      const std::string beside = test::letters_in("card", "content");
      CHECK(has(beside, test::without_blanks(issues.front().text).c_str()));
      CHECK(has(beside, "line") == (issues.front().line > 0));
      CHECK(has(beside, "moreabove") == (std::string(name) == "many.csv"));
      CHECK(test::trouble_with_words() == "");
      for (const Target& target : bench.stage.targets())
        if (target.words == "Import") CHECK(target.box.bottom() <= height);
      // Left out, they are no reason any more.
      if (std::string(name) == "one.csv") {
        bench.fill([](Dialog& d) { d.skip_bad = true; });
        draw_frames(bench.stage, 3);
        CHECK_FALSE(
            has(test::letters_in("card", "content"), test::without_blanks(issues.front().text).c_str()));
      }
      bench.act(CloseDialog{});
      draw_frames(bench.stage);
    }
  }
}

TEST_CASE("an errand that is stopped before it writes leaves no file") {
  const test::TemporaryFolder folder;
  const std::filesystem::path target = folder.path() / "out.csv";
  const Session session = make_session(test::sample_snapshot());
  const auto method = std::make_shared<const core::Method>(core::shipped_methods().front());
  int told = 0;
  CHECK_THROWS_AS(
      hand_over(session, {target, method, 0, {.until = core::parse_date("2022-01-01")}, false, {}, {}, {}},
                [&](const char*, double) { return ++told < 2; }),
      Stopped);
  CHECK(told == 2);
  CHECK_FALSE(std::filesystem::exists(target));
}

TEST_CASE("one errand runs at a time, tells how far it is, and brings its answer once") {
  const test::TemporaryFolder folder;
  ErrandRunner runner;
  REQUIRE(runner.start(CreateErrand{folder.path() / "a.brook", "A", ""}));
  CHECK_FALSE(runner.start(CreateErrand{folder.path() / "b.brook", "B", ""}));
  runner.wait();
  CHECK_FALSE(runner.progress());
  const auto home = runner.collect();
  REQUIRE(home);
  CHECK_FALSE(home->trouble);
  CHECK(home->session);
  CHECK_FALSE(runner.collect());
  CHECK(runner.start(OpenErrand{folder.path() / "none.brook"}));
  runner.wait();
  CHECK(runner.collect()->trouble);
}

TEST_CASE(
    "a file dropped on the window is opened or looked into; without a survey the window says what comes "
    "first") {
  Bench bench;
  write(bench.file("sites.csv"), kSites);
  bench.act(DropFile{bench.file("sites.csv").string()});
  REQUIRE(bench.stage.state().messages.size() == 1);
  CHECK(has(bench.stage.state().messages.back().text, "survey first"));
  bench.open_new("a.brook");
  bench.act(DropFile{bench.file("sites.csv").string()});
  bench.finish();
  CHECK(bench.desk().dialog.kind == DialogKind::kImport);
  REQUIRE(bench.desk().preview);
  CHECK(bench.desk().preview->report.rows == 3);
}

TEST_CASE("messages stay until they are put away") {
  Bench bench;
  for (int i = 0; i < 5; ++i) bench.stage.apply(Say{{Message::Kind::kDone, "Done " + std::to_string(i)}});
  draw_frames(bench.stage, 20);
  CHECK(bench.stage.state().messages.size() == 5);
  bench.stage.apply(PutAwayMessage{1});
  CHECK(bench.stage.state().messages.size() == 4);
  CHECK(bench.stage.state().messages[1].text == "Done 2");
}

TEST_CASE("the find box finds sites by code and name, outfalls, animals and commands") {
  const Model model(make_session(test::sample_snapshot()));
  const FindIndex index(model, window_commands(opening_state(model)));
  const auto first = [&](const char* text) {
    const auto hits = index.search(text, 10);
    return hits.empty() ? FindHit{} : hits.front();
  };
  CHECK(has(first("t07").title, "T07"));
  CHECK(first("t07").kind == FindHit::Kind::kSite);
  CHECK(first("import").kind == FindHit::Kind::kCommand);
  CHECK(first("look dark").title == "Look: dark");
  CHECK(index.search("zzzzqqq", 10).empty());
  // A water by its name: what stands on it, and where the map goes.
  const FindHit water = first("tarnet brook");
  CHECK(water.kind == FindHit::Kind::kWater);
  CHECK(water.title == "Tarnet Brook");
  CHECK(has(water.below, "sites"));
  State state = opening_state(model);
  place_map(state, model, {0, 0, 800, 600});
  for (const Action& action : water.actions) apply(action, state, model);
  for (std::size_t i = 0; i < model.snapshot().sites.size(); ++i)
    if (model.snapshot().sites.water[i] == "Tarnet Brook") {
      CAPTURE(i);
      CHECK(state.view.box.contains(state.view.to_pixel(model.site_places()[i])));
    }
  // A misspelt animal, and one by its common name, are proposed and lead to its places.
  for (const auto& [written, name] : {std::pair{"gamarridae", "Gammaridae"}, {"water louse", "Asellidae"}}) {
    CAPTURE(std::string(written));
    const auto hits = index.search(written, 10);
    const auto found = std::find_if(hits.begin(), hits.end(), [wanted = std::string(name)](const FindHit& h) {
      return h.title == wanted;
    });
    REQUIRE(found != hits.end());
    CHECK(found->kind == FindHit::Kind::kTaxon);
    CHECK(has(found->below, written));
  }
  CHECK(index.search("", 100).size() == window_commands(opening_state(model)).size());
  CHECK(index.search("t", 3).size() == 3);
}

TEST_CASE(
    "an animal found leads to the places where it was found, newest first, by a walk over all records") {
  const Model model(make_session(test::sample_snapshot()));
  const core::Snapshot& s = model.snapshot();
  const FindIndex index(model, {});
  for (std::size_t t = 0; t < s.taxa.size(); ++t) {
    // Whether record r is of t or of something below it: up the tree from each.
    std::set<std::uint32_t> sites;
    for (std::size_t r = 0; r < s.records.size(); ++r) {
      bool below = false;
      for (core::TaxonIndex up = s.records.taxon[r]; up.has_value(); up = s.taxa.parent[up.value()])
        below = below || up.value() == t;
      const std::size_t sample = s.records.sample[r].value();
      if (below && s.records.count_max[r] > 0 && s.samples.kind[sample] != core::SampleKind::kBlank)
        sites.insert(static_cast<std::uint32_t>(s.samples.site[sample].value()));
    }
    const auto hits = index.places_of(model, core::TaxonIndex(t), 1000);
    CHECK(hits.size() == sites.size());
    for (const FindHit& hit : hits) CHECK(hit.kind == FindHit::Kind::kSite);
  }
}

TEST_CASE("typing into the find box and Enter opens a site") {
  Bench bench;
  demo::make_demo_survey(bench.file("demo.brook"));
  bench.act(DropFile{bench.file("demo.brook").string()});
  bench.finish();
  ImGui::GetIO().AddInputCharacter('/');
  draw_frames(bench.stage, 4);
  REQUIRE(bench.desk().find.open);
  for (const char c : {'q', '0', '4'}) {
    ImGui::GetIO().AddInputCharacter(static_cast<unsigned>(c));
    draw_frames(bench.stage);
  }
  draw_frames(bench.stage);
  CHECK(bench.desk().find.text == "q04");
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = true;
  draw_frames(bench.stage);
  ImGui::GetIO().KeysDown[ImGuiKey_Enter] = false;
  draw_frames(bench.stage);
  CHECK_FALSE(bench.desk().find.open);
  REQUIRE(bench.stage.state().site);
  CHECK(bench.model.snapshot().sites.code[bench.stage.state().site->value()] == "Q04");
}

TEST_CASE(
    "the guided look goes forward and back, can be skipped, takes about two minutes, and is not forced "
    "twice") {
  Bench bench;
  bench.act(StartGuide{});
  CHECK(bench.desk().guide == 0U);
  bench.act(StepGuide{-1});
  CHECK(bench.desk().guide == 0U);
  bench.act(StepGuide{1});
  CHECK(bench.desk().guide == 1U);
  bench.act(EndGuide{});
  CHECK_FALSE(bench.desk().guide);
  CHECK(bench.stage.state().settings.guide_seen);
  std::size_t words = 0;
  for (const GuideStep& step : guide_steps())
    words += 1 + static_cast<std::size_t>(
                     std::count(step.words, step.words + std::char_traits<char>::length(step.words), ' '));
  // 200 words a minute is slow, quiet reading (common practice, no source).
  CHECK(words <= 400);
  bench.act(StartGuide{});
  for (std::size_t i = 0; i < guide_steps().size(); ++i) bench.act(StepGuide{1});
  CHECK_FALSE(bench.desk().guide);
}

TEST_CASE("settings are kept and read back; what is not understood leaves the default") {
  const test::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "deep" / "window";
  Settings settings;
  settings.look = Look::kSunlight;
  settings.scale = 1.375;
  settings.touch = true;
  settings.positions = PositionForm::kMinutes;
  settings.class_colours = ClassColours::kOrdered;
  settings.guide_seen = true;
  REQUIRE(write_settings(settings, file));
  CHECK(read_settings(file) == settings);
  CHECK(read_settings(folder.path() / "none") == Settings{});
  CHECK(read_settings(folder.path()) == Settings{});  // a folder
  CHECK(read_settings({}) == Settings{});
  CHECK_FALSE(write_settings(settings, {}));
  CHECK(parse_settings("look night\nscale 17\ntouch maybe\n\x01\x02 \nscale nan\nlook\n") == Settings{});
  CHECK(parse_settings("scale 2\nlook dark\n# look day\n").look == Look::kDark);
  write(file, std::string(200000, 'x'));
  CHECK(read_settings(file) == Settings{});
  // A folder that cannot be made: below a file.
  CHECK_FALSE(write_settings(settings, file / "below"));
}

TEST_CASE("every dialog draws in a window of 200 x 100 pixels and in none at all") {
  Bench bench;
  for (const auto& [width, height] : {std::pair{200.0, 100.0}, {1.0, 1.0}, {0.0, 0.0}, {400.0, 300.0}}) {
    bench.stage.resize(width, height);
    for (const DialogKind kind :
         {DialogKind::kStart, DialogKind::kOpen, DialogKind::kNew, DialogKind::kImport, DialogKind::kHandOver,
          DialogKind::kReport, DialogKind::kChanges, DialogKind::kPhoto}) {
      bench.act(OpenDialog{kind});
      draw_frames(bench.stage, 3);
      bench.act(CloseDialog{});
    }
    bench.act(OpenFind{"a"});
    draw_frames(bench.stage, 3);
    bench.act(StartGuide{});
    draw_frames(bench.stage, 3);
    bench.act(EndGuide{});
  }
  CHECK(bench.desk().dialog.kind == DialogKind::kStart);  // nothing is open: the way to a survey stays
}

}  // namespace brookmark::viewer

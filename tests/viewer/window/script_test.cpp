// Scripts: what is understood, and what a slip is answered with.
#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <utility>

#include "core/base/error.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/platform/script.hpp"
#include "viewer/platform/script_internal.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

std::string message_of(const std::string& text) {
  try {
    parse_script(text, "tour.txt");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kBadInput);
    return error.what();
  }
  return "";
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Shows a stage without graphics.
class BareShowing : public Showing {
 public:
  explicit BareShowing(const Model& model) : stage_(model, {}) { stage_.resize(1280, 800); }
  Stage& stage() override { return stage_; }
  void resize(int width, int height) override { stage_.resize(width, height); }
  void frame(const Pointer*) override {
    stage_.draw();
    ++frames;
  }
  Picture picture() override { return {1, 1, {10, 20, 30}}; }
  int frames = 0;

 private:
  Stage stage_;
};

}  // namespace

TEST_CASE("a script keeps its words, leaves out comments and blank lines, and knows its lines") {
  const Script s = parse_script(
      "# a tour\n\nsize 800 600\r\n  zoom 2 10 20  # nearer\nsite \"Mill ford 1\"\n", "tour.txt");
  REQUIRE(s.steps.size() == 3);
  CHECK(s.steps[0].line == 3);
  CHECK(s.steps[0].words == std::vector<std::string>{"size", "800", "600"});
  CHECK(s.steps[1].words == std::vector<std::string>{"zoom", "2", "10", "20"});
  CHECK(s.steps[2].words == std::vector<std::string>{"site", "Mill ford 1"});
}

TEST_CASE("a slip in a script is named with file and line") {
  CHECK(has(message_of("fit\nfly 3\n"), "tour.txt, line 2"));
  CHECK(has(message_of("fly 3"), "\"fly\" is not a command"));
  CHECK(has(message_of("size 800"), "size 1280 800"));
  CHECK(has(message_of("size 0 100"), "1 to 16384"));
  CHECK(has(message_of("size 99999 100"), "1 to 16384"));
  CHECK(has(message_of("pan 1,5 2"), "\"1,5\" is not a number"));
  CHECK(has(message_of("zoom 0"), "greater than 0"));
  CHECK(has(message_of("zoom 2 5"), "zoom 2 400 300"));
  CHECK(has(message_of("date 2021-02-30"), "is not a date"));
  CHECK(has(message_of("frames 2.5"), "whole number"));
  CHECK(has(message_of("frames -1"), "whole number"));
  CHECK(has(message_of("query lake 3"), "\"site\" or \"point\""));
  CHECK(has(message_of("query site T01 sideways"), "up, down or any"));
  CHECK(has(message_of("query point 45 120"), "longitude"));
  CHECK(has(message_of("query point 45"), "query site S07 up"));
  CHECK(has(message_of("site \"T01"), "double quote"));
  CHECK(has(message_of("clear everything"), "not a whole command"));
}

TEST_CASE("a script that is not there is a sentence") {
  CHECK_THROWS_WITH_AS(read_script("/no/such/tour.txt"), doctest::Contains("cannot be read"), Error);
}

TEST_CASE("a script drives the state") {
  const Model model(make_session(test::sample_snapshot()));
  BareShowing showing(model);
  showing.frame(nullptr);
  run_script(parse_script(
                 "method family-biotic-index\ndate 2022-05-12\nsite T04\nquery site T05 up\nframes 4\n", "t"),
             showing);
  const State& state = showing.stage().state();
  CHECK(core::shipped_methods()[state.choice.method].id == "family-biotic-index");
  CHECK(state.date == *core::parse_date("2022-05-12"));
  CHECK(model.snapshot().sites.code[state.site->value()] == "T04");
  CHECK(state.query.distances.size() == 1);
  CHECK(showing.frames == 5);
  run_script(parse_script("query point -29.99 45.002 any\nclear\n", "t"), showing);
  CHECK(state.query.from == Query::From::kNone);
  CHECK_FALSE(state.site);
}

TEST_CASE(
    "a script chooses seasons and the window of days, lets time play, and opens views, dialogs and the find "
    "box") {
  const Model model(make_session(test::sample_snapshot()));
  BareShowing showing(model);
  const State& state = showing.stage().state();
  const auto first = model.sampling_dates().front(), last = model.sampling_dates().back();
  run_script(parse_script("season spring autumn\nwindow 365\n", "t"), showing);
  CHECK(state.time.seasons.has(core::Season::kSpring));
  CHECK(state.time.seasons.has(core::Season::kAutumn));
  CHECK_FALSE(state.time.seasons.has(core::Season::kSummer));
  CHECK(state.time.window_days == 365);
  run_script(parse_script("season all\nwindow all\n", "t"), showing);
  CHECK(state.time.seasons.all());
  CHECK_FALSE(state.time.window_days);
  // From the newest day on it begins anew; half of the 24 seconds are half of the days.
  run_script(parse_script("play 12\n", "t"), showing);
  CHECK_FALSE(state.time.playing);
  const double share = static_cast<double>(state.date->days - first.days) / (last.days - first.days);
  CHECK(std::abs(share - 0.5) < 0.01);
  run_script(parse_script("play on\n", "t"), showing);
  CHECK(state.time.playing);
  run_script(parse_script("play off\nsite T04\nview around\nlayer areas on\n", "t"), showing);
  CHECK_FALSE(state.time.playing);
  CHECK(state.site_view == SiteView::kAround);
  CHECK(state.layers[Layer::kCatchmentClasses]);
  run_script(parse_script("dialog photo\nframes 2\n", "t"), showing);
  CHECK(state.desk.dialog.kind == DialogKind::kPhoto);
  run_script(parse_script("dialog none\nfind \"black fly\"\nframes 2\n", "t"), showing);
  CHECK(state.desk.dialog.kind == DialogKind::kNone);
  CHECK(state.desk.find.text == "black fly");
  run_script(parse_script("frames 3\nfind T05\nframes 3\n", "t"), showing);  // while the box is open
  CHECK(state.desk.find.open);
  CHECK(state.desk.find.text == "T05");
  for (const char* bad : {"season monsoon", "season", "window 0", "window 1.5", "window 99999999",
                          "play fast", "play 0", "play -3", "view sideways", "dialog x", "find"}) {
    CAPTURE(bad);
    CHECK_THROWS_AS(parse_script(bad, "t"), Error);
  }
  CHECK_THROWS_WITH_AS(run_script(parse_script("clear\nclear\ndialog photo\n", "t"), showing),
                       doctest::Contains("Choose a site first"), Error);
}

TEST_CASE("a step that can do nothing stops the script with a sentence") {
  Model model(make_session(test::sample_snapshot()));
  const auto refusal = [&](const char* text) {
    BareShowing showing(model);
    try {
      run_script(parse_script(text, "tour.txt"), showing);
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK(has(refusal("dialog import\nfind mill\n"), "tour.txt, line 2"));
  CHECK(has(refusal("dialog import\nfind mill\n"), "dialog none"));
  CHECK(refusal("dialog import\ndialog none\nfind mill\n") == "");
  CHECK(refusal("find mill\nfind osk\n") == "");  // anew
  // Nothing is chosen in the dialog yet, so nothing can be imported.
  const std::string greyed = refusal("dialog import\npress Import\n");
  CHECK(has(greyed, "tour.txt, line 2"));
  CHECK(has(greyed, "greyed"));
  CHECK(has(refusal("press \"No such button\"\n"), "There is no button"));
  CHECK(has(refusal("redo\n"), "tour.txt, line 1"));  // here nothing can be edited
}

TEST_CASE("the page about scripts names every step and every page") {
  std::ifstream in(test::reference("../../viewer/platform/SCRIPT.md"));
  REQUIRE(in);
  std::stringstream read;
  read << in.rdbuf();
  // Words as they stand between anything but letters and dashes.
  std::set<std::string> words;
  std::string word;
  for (const char c : read.str() + " ")
    if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-')
      word += c;
    else if (!word.empty())
      words.insert(std::exchange(word, {}));
  for (const ScriptForm& form : script_forms()) {
    CAPTURE(std::string(form.name));
    CHECK(words.contains(form.name));
  }
  for (const PageEntry& entry : pages()) {
    CAPTURE(std::string(entry.word));
    CHECK(words.contains(entry.word));
  }
}

TEST_CASE("a script that asks for a site or method that is not there says which and where") {
  const Model model(make_session(test::sample_snapshot()));
  BareShowing showing(model);
  CHECK_THROWS_WITH_AS(run_script(parse_script("fit\nsite X99\n", "tour.txt"), showing),
                       doctest::Contains("tour.txt, line 2: This survey has no site \"X99\""), Error);
  CHECK_THROWS_WITH_AS(run_script(parse_script("method guess\n", "tour.txt"), showing),
                       doctest::Contains("no method"), Error);
}

TEST_CASE("a day outside the survey is said with file and line, and the day stays as it was") {
  const Model model(make_session(test::sample_snapshot()));
  BareShowing showing(model);
  const auto before = showing.stage().state().date;
  for (const char* line : {"date 2030-01-01\n", "date 1999-12-31\n"})
    CHECK_THROWS_WITH_AS(
        run_script(parse_script(std::string("fit\n") + line, "tour.txt"), showing),
        doctest::Contains("tour.txt, line 2: The samples of this survey run from 2021-05-11 to "
                          "2023-09-24"),
        Error);
  CHECK(showing.stage().state().date == before);
  run_script(parse_script("date 2022-01-01\n", "tour.txt"),
             showing);  // between two sampling days is a day too
  CHECK(showing.stage().state().date == core::parse_date("2022-01-01"));
}

TEST_CASE("a survey without samples has no day to show") {
  const Model model(make_session(test::empty_snapshot()));
  BareShowing showing(model);
  CHECK_THROWS_WITH_AS(run_script(parse_script("date 2022-01-01\n", "tour.txt"), showing),
                       doctest::Contains("has no samples"), Error);
}

TEST_CASE("a script or a picture without a name is bad use") {
  CHECK_THROWS_WITH_AS(read_script(""), doctest::Contains("has no name"), Error);
  ViewOptions options;
  options.screenshot = "";
  CHECK_THROWS_WITH_AS(view_survey(options), doctest::Contains("has no name"), Error);
}

TEST_CASE("it is known whether a script writes pictures") {
  CHECK(writes_pictures(parse_script("fit\npicture a.png\n", "t")));
  CHECK_FALSE(writes_pictures(parse_script("fit\n", "t")));
}

TEST_CASE("a picture that cannot be written is a sentence and leaves nothing") {
  const test::TemporaryFolder folder;
  const Picture picture{2, 1, {1, 2, 3, 4, 5, 6}};
  CHECK_THROWS_WITH_AS(write_png(picture, folder / "none" / "a.png"), doctest::Contains("cannot be written"),
                       Error);
  CHECK(std::filesystem::is_empty(folder.path()));
  write_png(picture, folder / "a.png");
  CHECK(test::read_text(folder / "a.png").substr(1, 3) == "PNG");
  CHECK_FALSE(std::filesystem::exists(folder / "a.png.part"));
}

}  // namespace brookmark::viewer

// Scripts that write down a visit and put the map right, and a hand on mouse and keys.
#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "desk.hpp"
#include "frames.hpp"
#include "viewer/platform/script.hpp"
#include "viewer/platform/state_words.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

class DeskShowing : public Showing {
 public:
  explicit DeskShowing(Desk& desk) : desk_(desk) {}
  Stage& stage() override { return desk_.stage; }
  void resize(int width, int height) override { desk_.stage.resize(width, height); }
  void frame(const Pointer* pointer) override {
    ImGuiIO& io = ImGui::GetIO();
    io.MousePos = pointer ? ImVec2(static_cast<float>(pointer->x), static_cast<float>(pointer->y))
                          : ImVec2(-1e9F, -1e9F);
    io.MouseDown[0] = pointer && pointer->down;
    draw_frames(desk_.stage);
  }
  Picture picture() override { return {1, 1, {0, 0, 0}}; }

 private:
  Desk& desk_;
};

void run(Desk& desk, const std::string& text) {
  DeskShowing showing(desk);
  run_script(parse_script(text, "day.txt"), showing);
}

std::string trouble_of(Desk& desk, const std::string& text) {
  try {
    run(desk, text);
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a script writes down a whole visit") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  run(desk, R"(
visit B 2024-05-03 09:30 +01:00
write people "A. Surveyor"
write effort 180
write unit s
write share 1/4
part tally
tap Gammaridae 3
undo
animal gammaridae 12
own "red wriggler" 3
stage larva
unsure on
animal Elmidae
way class log-a-e
unsure off
stage any
animal Chironomidae B
part water
reading temperature 11.5
reading ph 7.4
close
)");
  const core::Snapshot s = open_session(path).snapshot;
  REQUIRE(s.samples.size() == 1);
  CHECK(s.visits.people[0] == "A. Surveyor");
  CHECK(*s.samples.subsample_share[0] == 0.25);
  REQUIRE(s.records.size() >= 3);
  CHECK(s.measurements.size() == 2);
  CHECK(desk.state().sample.has_value());
  std::int64_t shrimps = 0;
  for (std::size_t r = 0; r < s.records.size(); ++r)
    if (s.taxa.name[s.records.taxon[r].value()] == "Gammaridae") shrimps += s.records.count_min[r];
  CHECK(shrimps == 14);  // three taps, one taken back, and twelve by name
}

TEST_CASE("a script puts the map right, and takes it back") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  run(desk, R"(
tool site
place -30.001 45.002
set code K7
set name "Kingfisher bend"
set kind stream
store
tool outfall
place -30.0005 45.0001
set kind "road drain"
store
tool reach
place -30.002 45.003
place -30.0 45.0
set name "Lind Beck"
store
site D
status retired
page edit
panel off
panel on
layer outfalls off
outfall O01
)");
  core::Snapshot s = open_session(path).snapshot;
  CHECK(s.sites.size() == 3);
  CHECK(s.outfalls.size() == 1);
  CHECK(s.reaches.size() == 2);
  CHECK(s.sites.status[s.find_site("D")->value()] == core::SiteStatus::kRetired);
  run(desk, "undo\nundo\nundo\nundo\n");
  s = open_session(path).snapshot;
  CHECK(s.sites.size() == 2);
  CHECK(s.outfalls.empty());
  CHECK(s.reaches.size() == 1);
}

TEST_CASE(
    "a script that asks for what cannot be stops at its line, with a sentence, and stores nothing of it") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  CHECK(has(trouble_of(desk, "tap Gammaridae"), "day.txt, line 1"));
  CHECK(has(trouble_of(desk, "tap Gammaridae"), "No sheet"));
  CHECK(has(trouble_of(desk, "visit X 2024-05-03"), "no site"));
  CHECK(has(trouble_of(desk, "visit B 2024-05-03\nwrite mesh thick\npart tally"), "no mesh"));
  CHECK(has(trouble_of(desk, "visit B 2024-05-03\npart tally\ntap Unicorn"), "no button"));
  CHECK(has(trouble_of(desk, "animal Gamarus 3"), "Gammarus"));  // named, and not taken
  CHECK(has(trouble_of(desk, "animal Gammaridae many"), "number of animals"));
  CHECK(has(trouble_of(desk, "part water\nreading ph 20"), "0 to 14"));
  CHECK(has(trouble_of(desk, "close\nplace 1 2"), "No tool"));
  CHECK(has(trouble_of(desk, "tool site\nset code B\nplace -30 45\nstore"), "taken"));
  CHECK(has(trouble_of(desk, "tool none\nclear\ntool move"), "Choose the site first"));
  CHECK(has(trouble_of(desk, "page Nowhere"), "no page"));
  CHECK(has(trouble_of(desk, "press \"Fly\""), "no button"));
  const core::Snapshot s = open_session(path).snapshot;
  CHECK(s.sites.size() == 2);
  CHECK(s.records.size() == 0);
  for (const char* text :
       {"visit B 3.5.2024", "way much", "stage old", "tool hammer", "set colour red", "status gone",
        "key hyper", "place 200 5", "tap Gammaridae 0", "unsure maybe", "layer moon on", "part three"})
    CHECK_THROWS_WITH_AS(parse_script(text, "day.txt"), doctest::Contains("day.txt, line 1"), Error);
}

TEST_CASE("buttons are pressed by their words, letters and keys are typed") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  run(desk, R"(
site B
press "New visit"
press "Store the visit and count animals"
type gammarid
key enter
type 7
key enter
press Undo
type baetid
key enter
key enter
key undo
type elmid
key enter
key enter
press Done
)");
  const core::Snapshot s = open_session(path).snapshot;
  REQUIRE(s.samples.size() == 1);
  REQUIRE(s.records.size() == 1);
  CHECK(s.taxa.name[s.records.taxon[0].value()] == "Elmidae");
  CHECK_FALSE(desk.state().entry);
}

TEST_CASE("the help of scripts names every command with an example that can be read") {
  const std::string help = script_help();
  CHECK(has(help, "animal Gammaridae 12"));
  // Each example is a good line.
  std::size_t read = 0;
  for (std::size_t at = help.find("\n  "); at != std::string::npos; at = help.find("\n  ", at + 1)) {
    std::string line = help.substr(at + 3, help.find('\n', at + 1) - at - 3);
    line = line.substr(0, line.find("  "));
    CHECK_NOTHROW(parse_script(line, "help"));
    ++read;
  }
  CHECK(read > 35);
}

TEST_CASE("the state in words says where to tap") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.draw(2);
  std::string words = state_in_words(desk.stage);
  CHECK(has(words, "\nsites 2\n"));
  CHECK(has(words, "\nat site B "));
  CHECK(has(words, "\nat button Edit "));
  const Pixel b = desk.state().view.to_pixel(desk.model.site_places()[0]);
  CHECK(has(words, "\nat site B " + std::to_string(std::lround(b.x)) + " " +
                       std::to_string(std::lround(b.y)) + "\n"));
  const auto edit = desk.stage.target("Edit");
  REQUIRE(edit);
  desk.click({edit->left + edit->width / 2, edit->top + edit->height / 2});
  CHECK(desk.state().page == Page::kEdit);
  StateTeller teller(folder / "now.txt");
  CHECK(teller.tell(desk.stage));        // does it stand?
  CHECK_FALSE(teller.tell(desk.stage));  // it does
  CHECK(test::read_text(folder / "now.txt") == state_in_words(desk.stage));
  StateTeller nowhere(folder / "no such folder" / "now.txt");
  nowhere.tell(desk.stage);
  CHECK_THROWS_AS(nowhere.tell(desk.stage), Error);
}

}  // namespace brookmark::viewer

// Where to sample next, in the window: asked, dragged, taken and refused, with what the survey file then holds.
#include <doctest/doctest.h>
#include <imgui.h>

#include <cmath>
#include <variant>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/session_keeper.hpp"

namespace brookmark::viewer {

namespace {

// A brook of 2,000 m, drawn southwards, with an outfall half way, in a file.
std::filesystem::path make_brook(const test::TemporaryFolder& folder) {
  const std::filesystem::path path = folder / "suggest.brook";
  core::SurveyFile file = core::SurveyFile::create(path, {{}, "Where next (invented)", {}});
  core::Reach reach;
  reach.name = "Tarnet Brook";
  reach.line = test::ocean_line({{0, 0}, {0, -2000}});
  core::Outfall outfall;
  outfall.code = "OUT-1";
  outfall.position = test::ocean(0, -1000);
  file.apply({"add", "a brook", {core::AddReach{reach}, core::AddOutfall{outfall}}});
  return path;
}

struct Desk {
  Model model;
  SessionKeeper keeper;
  Stage stage;
  explicit Desk(const std::filesystem::path& path)
      : model(open_session(path)), keeper(model, {}), stage(model, {}) {
    stage.set_keeper(&keeper);
    stage.resize(1280, 800);
    draw_frames(stage);
  }
  template <class What>
  void does(What what) {
    stage.apply(what);
  }
  const Design& design() const { return stage.state().design; }
  void asks(core::Purpose purpose, int count, double mixing_m = 0) {
    DesignQuestion question;
    question.purpose = purpose;
    question.count = count;
    question.mixing_m = mixing_m;
    does(SetQuestion{question});
    does(AskSuggestions{});
  }
};

}  // namespace

TEST_CASE("the window answers every purpose or says in a sentence why it cannot") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.stage.apply(ShowPage{Page::kSuggest});
  desk.asks(core::Purpose::kSpread, 4);
  CHECK(desk.design().answer.list.size() == 4);
  CHECK(desk.design().trouble.empty());
  draw_frames(desk.stage);
  desk.asks(core::Purpose::kBracket, 1);
  CHECK(desk.design().answer.list.empty());
  CHECK(desk.design().trouble.find("no single published distance exists") != std::string::npos);
  draw_frames(desk.stage);
  desk.asks(core::Purpose::kBracket, 1, 200);
  CHECK(desk.design().answer.list.size() == 2);
  desk.asks(core::Purpose::kNarrow, 1);
  CHECK(desk.design().trouble.find("nothing to narrow down") != std::string::npos);
  desk.asks(core::Purpose::kGap, 2);
  CHECK(desk.design().answer.list.size() == 2);
  desk.asks(core::Purpose::kVariety, 3);
  CHECK(desk.design().answer.list.size() == 3);
  draw_frames(desk.stage);
}

TEST_CASE(
    "in a small window with targets for fingers a spot is asked for, accepted and refused with the page's "
    "own "
    "buttons") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  Settings settings = desk.stage.state().settings;
  settings.touch = true;
  desk.stage.apply(ChangeSettings{settings});
  desk.stage.resize(1024, 700);
  desk.stage.apply(ShowPage{Page::kSuggest});
  draw_frames(desk.stage);
  draw_frames(desk.stage);
  const auto press = [&](const std::string& words) {
    const auto box = desk.stage.target(words);
    REQUIRE_MESSAGE(box.has_value(), words);
    CHECK_MESSAGE(box->height >= 30, words << " is " << box->height << " pixels high");
    CHECK_MESSAGE((box->top >= 0 && box->bottom() <= 700), words << " is out of sight");
    ImGuiIO& io = ImGui::GetIO();
    io.MousePos = {static_cast<float>(box->left + box->width / 2),
                   static_cast<float>(box->top + box->height / 2)};
    for (const bool down : {false, true, false}) {
      io.MouseDown[0] = down;
      draw_frames(desk.stage);
    }
    draw_frames(desk.stage, 3);
  };
  press("Suggest spots");
  REQUIRE(desk.design().answer.list.size() == 5);
  press("Accept");  // the first, which the answer brought into sight
  CHECK(desk.design().answer.list.size() == 4);
  REQUIRE(desk.model.snapshot().sites.size() == 1);
  CHECK(desk.model.snapshot().sites.status[0] == core::SiteStatus::kProposed);
  press("Refuse \u2026");
  press("no way in");
  press("Refuse");  // down to its buttons the refusal came into sight
  CHECK(desk.design().answer.list.size() == 3);
  REQUIRE(desk.model.snapshot().grounds.size() == 1);
  CHECK(desk.model.snapshot().grounds[0].note == "no way in");
}

TEST_CASE("spots of one purpose go from the page and the map when another is chosen") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.stage.apply(ShowPage{Page::kSuggest});
  desk.asks(core::Purpose::kSpread, 4);
  DesignQuestion more = desk.design().question;
  more.count = 7;
  desk.does(SetQuestion{more});
  CHECK(desk.design().answer.list.size() == 4);  // the same purpose: they stay until they are asked for anew
  DesignQuestion other = more;
  other.purpose = core::Purpose::kGap;
  desk.does(SetQuestion{other});
  CHECK(desk.design().answer.list.empty());
  CHECK(desk.design().answer.notes.empty());
  CHECK_FALSE(desk.design().asked.has_value());
  CHECK(desk.design().question == other);
  draw_frames(desk.stage);
}

TEST_CASE("a narrowing begins with one visit, the others with five spots") {
  CHECK(usual_count(core::Purpose::kNarrow) == 1);
  CHECK(usual_count(core::Purpose::kSpread) == 5);
  CHECK(DesignQuestion{}.count == 5);
}

TEST_CASE("the mixing distance that is set holds for gaps as for brackets") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.asks(core::Purpose::kGap, 9, 400);
  CHECK_FALSE(desk.design().answer.list.empty());
  for (const core::Suggestion& s : desk.design().answer.list) {
    const double below_m = core::geodesic_m(s.spot.position, test::ocean(0, -1000));
    const bool below = s.spot.position.lat < test::ocean(0, -1000).lat;
    CHECK(below_m >= (below ? 400 : 100));
  }
}

TEST_CASE("asked again unchanged a spread is drawn anew; a changed question begins where it began") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.asks(core::Purpose::kSpread, 4);
  const double first = desk.design().answer.list[0].spot.along_m;
  CHECK(desk.design().question.seed == 1);
  desk.does(AskSuggestions{});
  CHECK(desk.design().question.seed == 2);
  bool moved = desk.design().answer.list[0].spot.along_m != first;
  desk.does(AskSuggestions{});
  moved = moved || desk.design().answer.list[0].spot.along_m != first;
  CHECK(moved);
}

TEST_CASE("a suggestion that is accepted is a proposed site in the file, and undo takes it back") {
  const test::TemporaryFolder folder;
  const auto path = make_brook(folder);
  Desk desk(path);
  desk.asks(core::Purpose::kSpread, 3);
  const core::Suggestion taken = desk.design().answer.list[1];
  desk.does(AcceptSuggestions{1});
  CHECK(desk.design().answer.list.size() == 2);
  // The others keep their codes, and so their numbers on the page and on the map.
  CHECK(desk.design().answer.list[0].code == "NEW-01");
  CHECK(desk.design().answer.list[1].code == "NEW-03");
  REQUIRE(desk.model.snapshot().sites.size() == 1);
  CHECK(desk.model.snapshot().sites.status[0] == core::SiteStatus::kProposed);
  CHECK(desk.model.snapshot().sites.code[0] == taken.code);
  CHECK(core::geodesic_m(desk.model.snapshot().sites.position[0], taken.spot.position) < 0.001);
  draw_frames(desk.stage);
  desk.does(AcceptSuggestions{});
  CHECK(desk.model.snapshot().sites.size() == 3);
  CHECK(desk.design().answer.list.empty());
  desk.stage.apply(UndoEdit{});  // both in one edit
  CHECK(desk.model.snapshot().sites.size() == 1);
  CHECK(open_session(path).snapshot.sites.size() == 1);
}

TEST_CASE(
    "an accepted or refused spot that is taken back is open again where it stood, and done again it is "
    "gone") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.stage.apply(ShowPage{Page::kSuggest});
  desk.asks(core::Purpose::kSpread, 4);
  const auto codes = [&] {
    std::vector<std::string> all;
    for (const core::Suggestion& s : desk.design().answer.list) all.push_back(s.code);
    return all;
  };
  const std::vector<std::string> whole = codes();
  REQUIRE(whole.size() == 4);
  const core::LonLat second = desk.design().answer.list[1].spot.position;
  desk.does(AcceptSuggestions{1});
  CHECK(codes() == std::vector<std::string>{whole[0], whole[2], whole[3]});
  desk.does(UndoEdit{});
  CHECK(desk.model.snapshot().sites.size() == 0);
  CHECK(codes() == whole);
  CHECK(desk.design().answer.list[1].spot.position == second);
  desk.does(RedoEdit{});
  CHECK(desk.model.snapshot().sites.size() == 1);
  CHECK(codes() == std::vector<std::string>{whole[0], whole[2], whole[3]});
  desk.does(UndoEdit{});
  // Accepted once more it is another site, which is taken back like the first.
  desk.does(AcceptSuggestions{1});
  CHECK(codes().size() == 3);
  desk.does(UndoEdit{});
  CHECK(codes() == whole);
  // Two steps, the newest first.
  desk.does(WriteRefusal{0, "bull in the field"});
  desk.does(RefuseSuggestion{});
  desk.does(AcceptSuggestions{0});
  CHECK(codes() == std::vector<std::string>{whole[2], whole[3]});
  desk.does(UndoEdit{});
  CHECK(codes() == std::vector<std::string>{whole[1], whole[2], whole[3]});
  desk.does(UndoEdit{});
  CHECK(codes() == whole);
  CHECK(desk.model.snapshot().grounds.empty());
  // All of them, in one edit.
  desk.does(AcceptSuggestions{});
  CHECK(codes().empty());
  CHECK(desk.model.snapshot().sites.size() == 4);
  draw_frames(desk.stage);
  desk.does(UndoEdit{});
  CHECK(codes() == whole);
  draw_frames(desk.stage);
  // What the row in hand is stays the same row.
  desk.does(AcceptSuggestions{0});
  desk.does(FocusSuggestion{1});
  desk.does(UndoEdit{});
  REQUIRE(desk.design().focus);
  CHECK(desk.design().answer.list[*desk.design().focus].code == whole[2]);
  // Another question has other spots.
  desk.does(AcceptSuggestions{0});
  desk.asks(core::Purpose::kSpread, 2);
  desk.does(UndoEdit{});
  CHECK(codes().size() == 2);
}

TEST_CASE("a spot that the file refuses to take stays open") {
  Model model(open_session([] {
    static const test::TemporaryFolder folder;
    return make_brook(folder);
  }()));
  Stage stage(model, {});  // no keeper: the survey can only be looked at
  stage.resize(1280, 800);
  stage.draw();
  DesignQuestion question;
  question.count = 3;
  stage.apply(SetQuestion{question});
  stage.apply(AskSuggestions{});
  REQUIRE(stage.state().design.answer.list.size() == 3);
  stage.apply(AcceptSuggestions{1});
  stage.draw();
  CHECK(stage.state().design.answer.list.size() == 3);
  CHECK_FALSE(stage.state().messages.empty());
}

TEST_CASE("a spot is refused with a reason only, which stays in the file and keeps later spots away") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.asks(core::Purpose::kSpread, 3);
  const core::LonLat refused = desk.design().answer.list[0].spot.position;
  desk.does(WriteRefusal{0, ""});
  draw_frames(desk.stage);
  desk.does(RefuseSuggestion{});
  CHECK(desk.model.snapshot().grounds.empty());
  CHECK(desk.design().answer.list.size() == 3);
  desk.does(WriteRefusal{0, "bull in the field"});
  desk.does(RefuseSuggestion{});
  REQUIRE(desk.model.snapshot().grounds.size() == 1);
  CHECK(desk.model.snapshot().grounds[0].kind == core::GroundKind::kRefused);
  CHECK(desk.model.snapshot().grounds[0].note == "bull in the field");
  CHECK(desk.design().answer.list.size() == 2);
  for (int again = 0; again < 20; ++again) {
    desk.asks(core::Purpose::kSpread, 3);
    for (const core::Suggestion& s : desk.design().answer.list)
      CHECK(core::geodesic_m(s.spot.position, refused) >= 50);
    desk.does(AskSuggestions{});
  }
  CHECK(desk.design().answer.left_out.total() > 0);
}

TEST_CASE("a hand drags a suggestion over the map; it goes to the channel and the map stays where it is") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.stage.apply(ShowPage{Page::kSuggest});
  desk.asks(core::Purpose::kSpread, 1);
  draw_frames(desk.stage);
  const core::Suggestion before = desk.design().answer.list[0];
  // Into the open: a card of first steps lies over the foot of the map.
  const core::PlanePoint spot = desk.model.frame().to_plane(before.spot.position);
  desk.stage.apply(Pan{0, 250 - desk.stage.state().view.to_pixel(spot).y});
  draw_frames(desk.stage);
  const Viewport view = desk.stage.state().view;
  // Its number stands at its spot, or beside it where it would hide a mark.
  REQUIRE(desk.stage.suggestion_tags().size() == 1);
  const PixelBox tag = desk.stage.suggestion_tags()[0].box;
  const Pixel from{tag.left + tag.width / 2, tag.top + tag.height / 2};
  const auto at = view.to_pixel(desk.model.frame().to_plane(before.spot.position));
  ImGuiIO& io = ImGui::GetIO();
  const auto pointer = [&](double x, double y, bool down) {
    io.MousePos = {static_cast<float>(x), static_cast<float>(y)};
    io.MouseDown[0] = down;
    draw_frames(desk.stage);
  };
  pointer(from.x, from.y, false);
  pointer(from.x, from.y, true);
  pointer(from.x, from.y, true);
  const double way = at.y > 300 ? -60 : 60;  // up or down the channel, and a little aside
  pointer(at.x + 5, at.y + way / 2, true);
  pointer(at.x + 10, at.y + way, true);
  CHECK(desk.design().dragged_to.has_value());
  pointer(at.x + 10, at.y + way, false);
  pointer(at.x + 10, at.y + way, false);
  const core::Suggestion& after = desk.design().answer.list[0];
  CHECK_FALSE(desk.design().held.has_value());
  CHECK(after.code == before.code);
  CHECK(after.note.find("moved by hand over ") != std::string::npos);
  // Back on the channel, so many pixels along it.
  CHECK(std::abs(after.spot.position.lon - before.spot.position.lon) < 1e-7);
  CHECK(test::near(core::geodesic_m(after.spot.position, before.spot.position), 60 * view.metres_per_pixel,
                   2 * view.metres_per_pixel));  // the pixel where the pointer stands
  CHECK(desk.stage.state().view.centre == view.centre);
}

TEST_CASE("every distance, the seed and the sites of the question are those that the answer is asked with") {
  const test::TemporaryFolder folder;
  const auto path = make_brook(folder);
  {
    core::SurveyFile file = core::SurveyFile::open(path, core::Access::kEdit);
    core::Ground road, gate;
    road.key = "road", road.kind = core::GroundKind::kRoad,
    road.shape = core::Line(test::ocean_line({{-50, -200}, {50, -200}}));
    gate.key = "gate", gate.kind = core::GroundKind::kAccess, gate.shape = test::ocean(0, 0);
    file.apply({"add", "ground", {core::AddGround{road}, core::AddGround{gate}}});
  }
  Desk desk(path);
  const auto ask = [&](const auto& change) {
    DesignQuestion question;
    question.count = 20;
    change(question);
    desk.does(SetQuestion{question});
    desk.does(AskSuggestions{});
    return desk.design().answer.list;
  };
  const core::LonLat road = test::ocean(0, -200), gate = test::ocean(0, 0), outfall = test::ocean(0, -1000);
  const auto nearest = [](const std::vector<core::Suggestion>& list, core::LonLat place) {
    double least = HUGE_VAL;
    for (const core::Suggestion& s : list) least = std::min(least, core::geodesic_m(s.spot.position, place));
    return least;
  };
  // The usual 100 m from a road, none, and many.
  CHECK(nearest(ask([](DesignQuestion&) {}), road) >= 100);
  CHECK(nearest(ask([](DesignQuestion& q) { q.road_m = 0, q.count = 80; }), road) < 50);
  CHECK(nearest(ask([](DesignQuestion& q) { q.road_m = 400; }), road) >= 400);
  for (const core::Suggestion& s : ask([](DesignQuestion& q) { q.walk_m = 600; }))
    CHECK(core::geodesic_m(s.spot.position, gate) <= 600);
  CHECK(desk.design().answer.left_out.words().find("access") != std::string::npos);
  CHECK(nearest(ask([](DesignQuestion& q) { q.purpose = core::Purpose::kGap, q.clear_m = 300; }), outfall) >=
        300);
  CHECK(ask([](DesignQuestion& q) {
          q.purpose = core::Purpose::kBracket, q.mixing_m = 100, q.below = 3;
        }).size() == 4);
  const auto first = ask([](DesignQuestion& q) { q.seed = 5; });
  const auto again = ask([](DesignQuestion& q) { q.seed = 6; });
  const auto same = ask([](DesignQuestion& q) { q.seed = 5; });
  REQUIRE(first.size() == same.size());
  bool moved = first.size() != again.size();
  for (std::size_t i = 0; i < first.size(); ++i) {
    CHECK(first[i].spot.position == same[i].spot.position);
    moved = moved || first[i].spot.position != again[i].spot.position;
  }
  CHECK(moved);
  ask([](DesignQuestion& q) { q.purpose = core::Purpose::kNarrow, q.upper = "A"; });
  CHECK(desk.design().trouble.find("say both sites") != std::string::npos);
  ask([](DesignQuestion& q) { q.purpose = core::Purpose::kNarrow, q.upper = "A", q.lower = "B"; });
  CHECK(desk.design().trouble == "there is no site \"A\" in this survey");
  ask([](DesignQuestion& q) { q.purpose = core::Purpose::kVariety, q.by = {"habitat"}; });
  CHECK(desk.design().trouble.find("none has all that was asked for") != std::string::npos);
  CHECK_FALSE(ask([](DesignQuestion& q) { q.purpose = core::Purpose::kVariety, q.by = {"north"}; }).empty());
  // A hand that drags a spot is told by the distances of the question.
  ask([](DesignQuestion& q) { q.count = 1, q.road_m = 300; });
  desk.does(GrabSuggestion{0});
  desk.does(DragSuggestion{test::ocean(0, -450)});
  desk.does(LetGoSuggestion{});
  CHECK(desk.design().answer.list[0].note.find("too near a road") != std::string::npos);
}

TEST_CASE(
    "the rest of the question lies behind one button, for each purpose, also in a small window for fingers") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  Settings settings = desk.stage.state().settings;
  settings.touch = true;
  desk.stage.apply(ChangeSettings{settings});
  desk.stage.resize(1024, 2400);  // all of the page at once
  desk.stage.apply(ShowPage{Page::kSuggest});
  for (const core::Purpose purpose : {core::Purpose::kSpread, core::Purpose::kGap, core::Purpose::kBracket,
                                      core::Purpose::kNarrow, core::Purpose::kVariety}) {
    CAPTURE(core::purpose_name(purpose));
    DesignQuestion question;
    question.purpose = purpose;
    desk.does(SetQuestion{question});
    desk.does(ShowWholeQuestion{false});
    draw_frames(desk.stage, 3);
    CHECK_FALSE(desk.stage.target("From roads more").has_value());
    desk.does(ShowWholeQuestion{true});
    draw_frames(desk.stage, 3);
    for (const char* words :
         {"From roads more", "From roads less", "Walk more", "A spot every more", "Less"}) {
      const auto box = desk.stage.target(words);
      REQUIRE_MESSAGE(box.has_value(), words);
      CHECK(box->height >= 30);
      CHECK(box->left >= 0);
      CHECK(box->right() <= 1024);
    }
    CHECK(desk.stage.target("Clear more").has_value() == core::keeps_clear(purpose));
    CHECK(desk.stage.target("Draw more").has_value() == (purpose == core::Purpose::kSpread));
    CHECK(desk.stage.target("Below each more").has_value() == (purpose == core::Purpose::kBracket));
    CHECK(desk.stage.target("Not parted below more").has_value() == (purpose == core::Purpose::kNarrow));
    CHECK(desk.stage.target("habitat").has_value() == (purpose == core::Purpose::kVariety));
  }
  const auto box = desk.stage.target("From roads more");
  ImGuiIO& io = ImGui::GetIO();
  io.MousePos = {static_cast<float>(box->left + box->width / 2),
                 static_cast<float>(box->top + box->height / 2)};
  for (const bool down : {false, true, false}) {
    io.MouseDown[0] = down;
    draw_frames(desk.stage);
  }
  draw_frames(desk.stage);
  CHECK(desk.design().question.road_m == 125);
}

TEST_CASE("suggested spots are saved as a file from the page") {
  const test::TemporaryFolder folder;
  Desk desk(make_brook(folder));
  desk.stage.apply(ShowPage{Page::kSuggest});
  desk.does(OpenDialog{DialogKind::kSpots});
  CHECK(missing_in(desk.stage.state(), desk.model) == "Ask for spots first.");
  desk.does(CloseDialog{});
  desk.asks(core::Purpose::kSpread, 3);
  desk.does(OpenDialog{DialogKind::kSpots});
  draw_frames(desk.stage);
  CHECK(desk.stage.state().desk.dialog.name == "suggest-spots.gpx");
  CHECK(missing_in(desk.stage.state(), desk.model).empty());
  Dialog dialog = desk.stage.state().desk.dialog;
  dialog.name = "spots.doc";
  desk.does(ChangeDialog{dialog});
  CHECK(missing_in(desk.stage.state(), desk.model) == "Let the name end in .gpx, .geojson, .gpkg or .csv.");
  for (const char* name : {"spots.gpx", "spots.geojson"}) {
    desk.does(OpenDialog{DialogKind::kSpots});
    dialog = desk.stage.state().desk.dialog;
    dialog.name = name;
    desk.does(ChangeDialog{dialog});
    desk.does(RunDialog{});
    desk.stage.finish_errands();
    CHECK(test::read_text(folder / name).find("NEW-03") != std::string::npos);
    CHECK(desk.stage.state().messages.back().text.find("Wrote 3 spots to ") == 0);
    CHECK(desk.stage.state().desk.dialog.kind == DialogKind::kNone);
  }
  CHECK(desk.design().answer.list.size() == 3);  // they stay on the page
  desk.does(OpenDialog{DialogKind::kSpots});
  dialog = desk.stage.state().desk.dialog;
  dialog.name = "spots.gpx";
  desk.does(ChangeDialog{dialog});
  CHECK(missing_in(desk.stage.state(), desk.model).find("already there") != std::string::npos);
}

}  // namespace brookmark::viewer

// The window edits a survey file: orders, their outcome in the file and in the model, and what is in the way.
#include <doctest/doctest.h>
#include <unistd.h>

#include "core/store/sqlite.hpp"
#include "desk.hpp"
#include "frames.hpp"
#include "viewer/state/anchors.hpp"

namespace brookmark::viewer {

namespace {

const core::EditBatch kAddA{"add site", "Site A added", {core::AddSite{site_at("A", test::ocean(0, 300))}}};

}  // namespace

TEST_CASE("an edit made in the window is in the file, and the window shows what the file holds") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Desk desk(path);
  const auto before = desk.model.revision();
  desk.stage.apply(SelectSite{*desk.model.snapshot().find_site("D")});
  const Viewport view = desk.stage.state().view;
  desk.stage.apply(StoreEdits{kAddA});
  CHECK(desk.sites() == 3);
  CHECK(desk.model.revision() > before);
  CHECK(desk.stage.scene().sites.size() == 3);
  // D is now the third row; it stays chosen, and the map stays where it was.
  CHECK(desk.stage.state().site == desk.model.snapshot().find_site("D"));
  CHECK(std::abs(desk.stage.state().view.centre.x - view.centre.x) < 1e-3);
  CHECK(std::abs(desk.stage.state().view.centre.y - view.centre.y) < 1e-3);
  CHECK(open_session(path).snapshot.sites.size() == 3);
  draw_frames(desk.stage);
  CHECK(desk.stage.map_frame().site_marks.size() == 3);
}

TEST_CASE("an edit of the last run can be taken back in this one") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Desk desk(path);
    desk.stage.apply(StoreEdits{kAddA});
    REQUIRE(desk.sites() == 3);
  }
  Desk desk(path);
  REQUIRE(desk.sites() == 3);
  REQUIRE(desk.model.session().edits.size() == 2);
  desk.stage.apply(UndoEdit{});
  CHECK(desk.sites() == 2);
  CHECK(desk.model.session().edits.back().undone);
  CHECK(desk.stage.state().messages.back().text == "Taken back: Site A added");
  desk.stage.apply(UndoEdit{});  // the first import too
  CHECK(desk.sites() == 0);
  CHECK(desk.stage.state().messages.back().kind == Message::Kind::kDone);
  desk.stage.apply(UndoEdit{});
  CHECK(desk.stage.state().messages.back().text == "There is nothing to take back.");
  draw_frames(desk.stage);
}

TEST_CASE("an edit taken back in the last run can be done again in this one, until another edit is made") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Desk desk(path);
    desk.stage.apply(RedoEdit{});
    CHECK(desk.stage.state().messages.back().text == "There is nothing to do again.");
    desk.stage.apply(StoreEdits{kAddA});
    desk.stage.apply(UndoEdit{});
    REQUIRE(desk.sites() == 2);
  }
  Desk desk(path);
  desk.stage.apply(ShowPage{Page::kEdit});
  desk.draw(2);
  const auto redo = desk.stage.target("Redo it");
  REQUIRE(redo);
  desk.click({redo->left + redo->width / 2, redo->top + redo->height / 2});
  CHECK(desk.sites() == 3);
  CHECK(desk.stage.state().messages.back().text == "Done again: Site A added");
  CHECK_FALSE(desk.model.session().edits.back().undone);
  CHECK(open_session(path).snapshot.sites.size() == 3);
  CHECK_FALSE(desk.stage.target("Redo it"));
  desk.stage.apply(UndoEdit{});
  desk.stage.apply(
      StoreEdits{{"add site", "Site E added", {core::AddSite{site_at("E", test::ocean(0, 400))}}}});
  desk.draw(2);
  CHECK_FALSE(desk.stage.target("Redo it"));
  desk.stage.apply(RedoEdit{});
  CHECK(desk.stage.state().messages.back().text == "There is nothing to do again.");
  CHECK(desk.sites() == 3);
}

TEST_CASE("the file is not touched before the first edit") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  const std::string before = test::read_text(path);
  {
    Desk desk(path);
    desk.stage.apply(SelectSite{core::SiteIndex(0)});
    draw_frames(desk.stage, 3);
  }
  CHECK(test::read_text(path) == before);
}

TEST_CASE("an edit that the file refuses leaves everything as it was and says why") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(StoreEdits{{"add site", "B again", {core::AddSite{site_at("B", test::ocean(9, 9))}}}});
  CHECK(desk.sites() == 2);
  REQUIRE(desk.stage.state().messages.size() == 1);
  CHECK(desk.stage.state().messages[0].kind == Message::Kind::kTrouble);
  CHECK(desk.stage.state().messages[0].text.find("B") != std::string::npos);
  desk.stage.apply(PutAwayMessage{0});
  desk.stage.apply(PutAwayMessage{0});
  CHECK(desk.stage.state().messages.empty());
}

TEST_CASE("a survey that another program holds stays in view, and the edit succeeds once it is free") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  core::StoreOptions impatient;
  impatient.busy_timeout_ms = 10;
  Desk desk(path, impatient);
  {
    const core::Database other(path, core::OpenMode::kReadWrite, 0);
    const core::Transaction writing(other, core::Transaction::kWrite);
    desk.stage.apply(StoreEdits{kAddA});
    CHECK(desk.sites() == 2);
    REQUIRE(desk.stage.state().messages.size() == 1);
    CHECK(desk.stage.state().messages[0].kind == Message::Kind::kTrouble);
    draw_frames(desk.stage);
  }
  desk.stage.apply(StoreEdits{kAddA});
  CHECK(desk.sites() == 3);
}

TEST_CASE("a survey of a newer version, and one that lies in memory only, can be looked at and not changed") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  core::Database(path, core::OpenMode::kReadWrite, 0).execute("PRAGMA user_version = 999");
  {
    Desk desk(path);
    desk.stage.apply(StoreEdits{kAddA});
    CHECK(desk.sites() == 2);
    CHECK(desk.stage.state().messages.back().text.find("newer version") != std::string::npos);
  }
  Model model(make_session(test::sample_snapshot()));
  SessionKeeper keeper(model);
  const OrderOutcome outcome = keeper.carry_out({.batch = kAddA});
  CHECK_FALSE(outcome.done);
  CHECK(outcome.sentence.find("not in a file") != std::string::npos);
}

TEST_CASE("a file that cannot be written is looked at and not changed") {
  if (geteuid() == 0) return;  // root may write everything
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  std::filesystem::permissions(path, std::filesystem::perms::owner_read);
  Desk desk(path);
  desk.stage.apply(StoreEdits{kAddA});
  CHECK(desk.sites() == 2);
  CHECK(desk.stage.state().messages.back().text.find("cannot be written") != std::string::npos);
}

TEST_CASE("an order may leave the model as it is, and the next one brings it up") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  CHECK(desk.keeper.carry_out({.batch = kAddA, .reread = false}).done);
  CHECK(desk.sites() == 2);
  CHECK(desk.keeper.carry_out({.what = Order::What::kReread}).reread);
  CHECK(desk.sites() == 3);
}

TEST_CASE("what was chosen and is gone is let go") {
  const test::TemporaryFolder folder;
  Desk desk(make_survey(folder));
  desk.stage.apply(StoreEdits{kAddA});
  desk.stage.apply(SelectSite{*desk.model.snapshot().find_site("A")});
  desk.stage.apply(QueryFromSite{*desk.model.snapshot().find_site("A")});
  desk.stage.apply(UndoEdit{});
  CHECK_FALSE(desk.stage.state().site);
  CHECK(desk.stage.state().query.from == Query::From::kNone);
  draw_frames(desk.stage);
}

TEST_CASE("the first site of an empty survey is brought into view") {
  const test::TemporaryFolder folder;
  core::SurveyFile::create(folder / "new.brook", {{}, "New (invented)", {}});
  Desk desk(folder / "new.brook");
  desk.stage.apply(StoreEdits{kAddA});
  draw_frames(desk.stage);
  REQUIRE(desk.sites() == 1);
  const Pixel at = desk.stage.state().view.to_pixel(desk.model.site_places()[0]);
  CHECK(desk.stage.state().view.box.contains(at));
}

}  // namespace brookmark::viewer

// Undo and redo on the sheet of a visit, by button, keys and in another run; and what a killed program leaves.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>

#include "tray.hpp"

namespace brookmark::viewer {

TEST_CASE("undo takes back tap after tap, and then the visit") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.tap("Gammaridae");
  tray.tap("Gammaridae");
  tray.tap("Baetidae");
  tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "Gammaridae 2");
  CHECK(tray.sheet().records.size() == 1);
  tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "Gammaridae 1");
  CHECK(*tray.sheet().records[0].count_min == 1);
  tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "");
  tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "no sample");
  CHECK(tray.sheet().part == EntryPart::kVisit);
  CHECK(tray.sheet().form[EntryField::kDate] == "2024-05-03");  // what was typed is not lost
  tray.stage.apply(UndoOnSheet{});                              // never what was before this visit
  CHECK(open_session(path).snapshot.sites.size() == 2);
}

TEST_CASE("what was taken back on the sheet is done again, step by step, and stored") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.tap("Gammaridae");
  tray.tap("Gammaridae");
  tray.tap("Baetidae");
  tray.stage.apply(RedoOnSheet{});  // nothing was taken back
  CHECK(stored(path) == "Gammaridae 2; Baetidae 1");
  for (int i = 0; i < 4; ++i) tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "no sample");
  for (const char* stands : {"", "Gammaridae 1", "Gammaridae 2", "Gammaridae 2; Baetidae 1"}) {
    CAPTURE(stands);
    tray.stage.apply(RedoOnSheet{});
    CHECK(stored(path) == stands);
    REQUIRE(tray.state().entry);
    CHECK_FALSE(tray.sheet().sample_key.empty());
  }
  REQUIRE(tray.sheet().records.size() == 2);
  CHECK(*tray.sheet().records[0].count_min == 2);
  tray.stage.apply(RedoOnSheet{});  // and no more
  CHECK(stored(path) == "Gammaridae 2; Baetidae 1");
  // Undo goes on from there.
  tray.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "Gammaridae 2");
  // Another edit ends it.
  tray.tap("Simuliidae");
  tray.stage.apply(RedoOnSheet{});
  CHECK(stored(path) == "Gammaridae 2; Simuliidae 1");
  CHECK(tray.sheet().records.size() == 2);
}

TEST_CASE("redo on the sheet has a button that is greyed while there is nothing, and keys") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.draw(3);
  const auto redo = [&] {
    for (const Target& target : tray.stage.targets())
      if (target.words == "Redo") return target;
    FAIL("no button");
    return Target{};
  };
  CHECK_FALSE(redo().possible);
  tray.tap("Gammaridae");
  tray.tap("Gammaridae");
  tray.stage.apply(UndoOnSheet{});
  tray.draw(3);
  REQUIRE(redo().possible);
  const PixelBox box = redo().box;
  tray.click({box.left + box.width / 2, box.top + box.height / 2});
  CHECK(stored(path) == "Gammaridae 2");
  tray.draw(2);
  CHECK_FALSE(redo().possible);
  tray.stage.apply(UndoOnSheet{});
  tray.draw(2);
  ImGuiIO& io = ImGui::GetIO();
  const auto keys = [&](int key, bool shift) {
    io.KeyCtrl = true;
    io.KeyShift = shift;
    io.KeysDown[key] = true;
    tray.draw();
    io.KeysDown[key] = false;
    io.KeyCtrl = io.KeyShift = false;
    tray.draw();
  };
  keys(io.KeyMap[ImGuiKey_Y], false);
  CHECK(stored(path) == "Gammaridae 2");
  keys(io.KeyMap[ImGuiKey_Z], false);
  CHECK(stored(path) == "Gammaridae 1");
  keys(io.KeyMap[ImGuiKey_Z], true);
  CHECK(stored(path) == "Gammaridae 2");
}

TEST_CASE("what was taken back in another run is done again on the sheet, until a tap is made") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Tray tray(path);
    tray.tap("Gammaridae");
    tray.tap("Gammaridae");
    tray.tap("Gammaridae");
    tray.stage.apply(UndoOnSheet{});
    tray.stage.apply(UndoOnSheet{});
  }
  Desk desk(path);
  desk.stage.apply(ResumeEntry{core::SampleIndex(0)});
  desk.stage.apply(RedoOnSheet{});
  CHECK(stored(path) == "Gammaridae 2");
  REQUIRE(desk.state().entry);
  CHECK(*desk.state().entry->records[0].count_min == 2);
  desk.stage.apply(ChangeCount{0, 1});
  CHECK(stored(path) == "Gammaridae 3");
  desk.stage.apply(RedoOnSheet{});
  CHECK(stored(path) == "Gammaridae 3");
}

TEST_CASE("what was typed and not stored is not lost by redo") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  Tray tray(path);
  tray.stage.apply(ShowEntryPart{EntryPart::kVisit});
  tray.stage.apply(TypeField{EntryField::kWeather, "rain"});
  tray.stage.apply(ShowEntryPart{EntryPart::kTally});  // stored
  tray.stage.apply(UndoOnSheet{});
  CHECK(tray.sheet().form[EntryField::kWeather].empty());
  tray.stage.apply(TypeField{EntryField::kConditions, "high"});
  tray.stage.apply(RedoOnSheet{});
  CHECK(open_session(path).snapshot.visits.weather[0] == "rain");
  CHECK(tray.sheet().kept[EntryField::kWeather] == "rain");
  CHECK(tray.sheet().form[EntryField::kConditions] == "high");
}

TEST_CASE("a sample begun in another run is gone on with, and its taps can be taken back") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  {
    Tray tray(path);
    tray.tap("Gammaridae");
    tray.tap("Gammaridae");
  }  // the window is gone without a word
  Desk desk(path);
  desk.stage.apply(ResumeEntry{core::SampleIndex(0)});
  REQUIRE(desk.state().entry);
  CHECK(desk.state().entry->records.size() == 1);
  desk.stage.apply(UndoOnSheet{});
  CHECK(stored(path) == "Gammaridae 1");
  REQUIRE(desk.state().entry);
  CHECK(*desk.state().entry->records[0].count_min == 1);
  desk.stage.apply(ChangeCount{0, 1});
  CHECK(stored(path) == "Gammaridae 2");
}

TEST_CASE("a program that is killed in mid-entry has lost no tap") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  int told[2];
  REQUIRE(pipe(told) == 0);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    // Taps for ever, and tells of each one that is done.
    Tray tray(path);
    for (;;) {
      tray.tap("Gammaridae");
      if (write(told[1], "x", 1) != 1) _exit(1);
    }
  }
  char byte = 0;
  const int taps = 37;
  for (int i = 0; i < taps; ++i) REQUIRE(read(told[0], &byte, 1) == 1);
  kill(child, SIGKILL);
  int status = 0;
  waitpid(child, &status, 0);
  CHECK(WIFSIGNALED(status));
  int more = 0;
  close(told[1]);
  while (read(told[0], &byte, 1) == 1) ++more;
  close(told[0]);
  Desk desk(path);
  REQUIRE(desk.model.snapshot().samples.size() == 1);
  REQUIRE(desk.model.snapshot().records.size() == 1);
  const std::int64_t count = desk.model.snapshot().records.count_min[0];
  CHECK(count >= taps + more);      // every tap that was told of
  CHECK(count <= taps + more + 1);  // and at most the one in the making
  desk.stage.apply(ResumeEntry{core::SampleIndex(0)});
  desk.stage.apply(ChangeCount{0, 1});
  CHECK(stored(path) == "Gammaridae " + std::to_string(count + 1));
}

}  // namespace brookmark::viewer

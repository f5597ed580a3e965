// An edit that was taken back can be done again, to the byte of every row, until another edit is made.
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::ErrorCode;

namespace {

// A clock that goes on by a second at each look, and begins anew with each opening: clocks are also put back.
StoreOptions ticking() {
  StoreOptions options = fixed_options();
  options.now = [second = 0]() mutable {
    ++second;
    const int minutes = second / 60, seconds = second % 60;
    const auto two = [](int n) { return (n < 10 ? "0"s : ""s) + std::to_string(n); };
    return "2024-05-03T08:" + two(minutes) + ":" + two(seconds) + "Z";
  };
  return options;
}

std::string next_redo(const SurveyFile& file) {
  std::string summary;
  for (const EditLogEntry& entry : file.log())
    if (entry.redo_next) {
      CHECK(summary.empty());  // one at most
      CHECK(entry.undone);
      summary = entry.summary;
    }
  return summary;
}

}  // namespace

// Whether time stands still or goes on between two edits.
TEST_CASE("edits taken back are done again, the last one first, also after reopening, to the last byte") {
  for (const bool clock_stands : {true, false}) {
    const TemporaryFolder folder;
    const fs::path path = folder / "a.brook";
    const StoreOptions options = clock_stands ? fixed_options() : ticking();
    std::vector<std::string> states;
    {
      auto file = SurveyFile::create(path, small_info(), options);
      states.push_back(dump(path));
      file.apply(one_of_each());
      states.push_back(dump(path));
      file.apply({"move site", "S1 to the north", {MoveSite{"s", {10, 61}, {}}}});
      states.push_back(dump(path));
      file.apply(
          {"remove", "the outfall", {AddSite{site("s2", "S2")}, SetSiteStatus{"s", SiteStatus::kRetired}}});
      states.push_back(dump(path));
      CHECK(next_redo(file).empty());
      CHECK_FALSE(file.redo().has_value());
      for (int i = 0; i < 3; ++i) CHECK(file.undo().has_value());
      CHECK(dump(path) == states[0]);
    }
    auto file = SurveyFile::open(path, Access::kEdit, options);
    CAPTURE(clock_stands);
    CHECK(next_redo(file) == "one of each");
    CHECK(file.redo()->summary == "one of each");
    CHECK(dump(path) == states[1]);
    CHECK(file.redo()->summary == "S1 to the north");
    CHECK(dump(path) == states[2]);
    check_consistent(path);
    // Back and forth in the middle of them.
    CHECK(file.undo()->summary == "S1 to the north");
    CHECK(next_redo(file) == "S1 to the north");
    CHECK(file.redo()->summary == "S1 to the north");
    const auto again = file.redo();
    REQUIRE(again.has_value());
    CHECK_FALSE(again->undone);
    CHECK(dump(path) == states[3]);
    CHECK_FALSE(file.redo().has_value());
    check_consistent(path);
    for (const EditLogEntry& entry : file.log()) CHECK_FALSE(entry.undone);
    CHECK(file.undo().has_value());
    CHECK(dump(path) == states[2]);
  }
}

TEST_CASE("an edit made after a taking back ends what could be done again") {
  for (const bool clock_stands : {true, false}) {
    const TemporaryFolder folder;
    const fs::path path = folder / "a.brook";
    auto file = SurveyFile::create(path, small_info(), clock_stands ? fixed_options() : ticking());
    file.apply(one_of_each());
    file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
    CHECK(file.undo()->summary == "S2");
    file.apply({"add site", "S3", {AddSite{site("s3", "S3")}}});
    CAPTURE(clock_stands);
    CHECK(next_redo(file).empty());
    CHECK_FALSE(file.redo().has_value());
    // Also once the later edit is taken back: then that one is next, and S2 never comes again.
    CHECK(file.undo()->summary == "S3");
    CHECK(next_redo(file) == "S3");
    CHECK(file.undo()->summary == "one of each");
    CHECK(file.redo()->summary == "one of each");
    CHECK(file.redo()->summary == "S3");
    CHECK_FALSE(file.redo().has_value());
    const Snapshot s = file.read();
    CHECK(s.find_site("S3").has_value());
    CHECK_FALSE(s.find_site("S2").has_value());
    check_consistent(path);
  }
}

// As files of before hold it: what was taken back kept its changeset when another edit was made.
TEST_CASE("what was taken back before a later edit never comes again, whoever wrote the file") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
  CHECK(file.undo()->summary == "S2");
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("CREATE TEMP TABLE kept AS SELECT id, changeset FROM edit_log WHERE summary = 'S2'");
    file.apply({"add site", "S3", {AddSite{site("s3", "S3")}}});
    other.execute("UPDATE edit_log SET changeset = (SELECT changeset FROM kept) WHERE summary = 'S2'");
  }
  CHECK(next_redo(file).empty());
  CHECK(file.undo()->summary == "S3");
  CHECK(next_redo(file) == "S3");
  CHECK(file.redo()->summary == "S3");
  CHECK_FALSE(file.redo().has_value());
  check_consistent(path);
}

TEST_CASE("an edit whose rows were changed by other means is not done again, and nothing changes") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
  CHECK(file.undo().has_value());
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("UPDATE site SET code = 'S2' WHERE code = 'S1'");  // a code stands once
  }
  const std::string before = dump(path, true);
  const auto [code, text] = error_of([&] { file.redo(); });
  CHECK(code == ErrorCode::kBadUse);
  CHECK(holds(text, "cannot be done again"));
  CHECK(holds(text, "add site"));
  CHECK(dump(path, true) == before);
}

TEST_CASE("a file that can only be read does nothing again") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  {
    auto file = small_survey(path);
    file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
    CHECK(file.undo().has_value());
  }
  auto file = SurveyFile::open(path, Access::kRead, fixed_options());
  CHECK(next_redo(file) == "S2");
  CHECK(error_of([&] { file.redo(); }).first == ErrorCode::kReadOnly);
}

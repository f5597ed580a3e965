// An edit that was taken back leaves the survey as it was before, to the byte of every row and every spatial
// index.
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::ErrorCode;

TEST_CASE("an edit of each kind is taken back to the last byte") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  const std::vector<std::pair<std::string, std::vector<Edit>>> edits = {
      {"taxon", {AddTaxon{taxon("t2", "Baetis", "t")}}},
      {"water", {AddWater{{"", "Pool", WaterKind::kPool, square(11, 61, 0.5)}}}},
      {"site", {AddSite{site("s2", "S2", {11, 61})}}},
      {"move", {MoveSite{"s", {12, 62}, {"12", "62", "EPSG:4326", "dragged"}}}},
      {"status", {SetSiteStatus{"s", SiteStatus::kRetired}}},
      {"visit", {AddVisit{visit("v2", "s", "2024-05-01")}}},
      {"sample", {AddSample{sample("m2", "M2", "v")}}},
      {"record", {AddRecord{count_record("m", "t", 3)}}},
      {"measurement", {AddMeasurement{measurement("v", "temperature", 11.5)}}},
      {"outfall", {AddOutfall{outfall("O2", {10.5, 60.5})}}},
      {"reach", {AddReach{{"", "Side", {{10, 60}, {10.02, 60.02}}}}}},
      {"catchment", {AddCatchment{{"", "C2", "Part", square(10, 60, 0.1)}}}},
      {"whole tree",
       {AddTaxon{taxon("t3", "Cloeon", "t")}, AddSite{site("s3", "S3")},
        AddVisit{visit("v3", "s3", "2024-06-01")}, AddSample{sample("m3", "M3", "v3")},
        AddRecord{count_record("m3", "t3", 2)}, MoveSite{"s3", {13, 63}, {}}}},
  };
  for (const auto& [name, steps] : edits) {
    CAPTURE(name);
    const std::string before = dump(path);
    file.apply({name, "one step", steps});
    const std::string after = dump(path);
    CHECK((after != before));
    const auto undone = file.undo();
    REQUIRE(undone.has_value());
    CHECK(undone->kind == name);
    CHECK(undone->undone);
    CHECK((dump(path) == before));
    file.apply({name, "and once more", steps});  // stays, for the next to stand on
    CHECK((dump(path) != before));
  }
  check_consistent(path);
  for (std::size_t i = 0; i < edits.size(); ++i) CHECK(file.undo().has_value());
  check_consistent(path);
}

TEST_CASE("edits are taken back newest first, also after reopening, until none is left") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  std::vector<std::string> states;
  {
    auto file = SurveyFile::create(path, small_info(), fixed_options());
    states.push_back(dump(path));
    file.apply(one_of_each());
    states.push_back(dump(path));
    file.apply({"move site", "S1 to the north", {MoveSite{"s", {10, 61}, {}}}});
    states.push_back(dump(path));
    file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
  }
  auto file = SurveyFile::open(path, Access::kEdit, fixed_options(2));
  CHECK(file.undo()->kind == "add site");
  CHECK(dump(path) == states[2]);
  file.apply({"retire", "S1", {SetSiteStatus{"s", SiteStatus::kRetired}}});
  CHECK(file.undo()->kind == "retire");
  CHECK(file.undo()->kind == "move site");
  CHECK(dump(path) == states[1]);
  CHECK(file.undo()->kind == "import survey");
  CHECK(dump(path) == states[0]);
  CHECK_FALSE(file.undo().has_value());
  check_consistent(path);
  const auto log = file.log();
  REQUIRE(log.size() == 4);
  for (const EditLogEntry& entry : log) CHECK((entry.undone && entry.undoable));
  CHECK(log[0].kind == "import survey");
  CHECK(log[0].summary == "one of each");
  CHECK(log[0].device == "test device");
  CHECK(log[0].at_utc == "2024-05-03T08:30:00Z");
  CHECK(log[3].kind == "retire");
}

TEST_CASE("moving a site and changing its status say when; other fields stay") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  std::string now = "2024-05-03T08:30:00Z";
  StoreOptions options = fixed_options();
  options.now = [&now] { return now; };
  auto file = SurveyFile::create(path, small_info(), options);
  Site first = site("s", "S1");
  first.accuracy_m = 3;
  first.name = "Ford";
  file.apply({"add", "site", {AddSite{first}}});
  now = "2024-06-01T00:00:00Z";
  file.apply({"edit", "status", {SetSiteStatus{"s", SiteStatus::kProposed}}});
  Snapshot s = file.read();
  CHECK(s.sites.status[0] == SiteStatus::kProposed);
  CHECK(s.sites.accuracy_m[0] == 3.0);
  now = "2024-07-01T00:00:00Z";
  file.apply({"edit", "move", {MoveSite{"s", {11, 61}, {"11", "61", "EPSG:4326", "map"}}}});
  s = file.read();
  CHECK(s.sites.position[0] == LonLat{11, 61});
  CHECK(s.sites.raw[0].note == "map");
  CHECK(s.sites.name[0] == "Ford");
  CHECK_FALSE(s.sites.accuracy_m[0].has_value());  // it was the accuracy of the old position
  const Database database(path, OpenMode::kReadOnly, 50);
  CHECK(database.query_text("SELECT created_utc || ' ' || changed_utc FROM site") ==
        "2024-05-03T08:30:00Z 2024-07-01T00:00:00Z");
}

TEST_CASE("an edit whose rows were changed by other means is not taken back") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
  const auto refused = [&] {
    const std::string before = dump(path, true);
    const auto [code, text] = error_of([&] { file.undo(); });
    CHECK(code == ErrorCode::kBadUse);
    CHECK(holds(text, "cannot be taken back"));
    CHECK(holds(text, "add site"));
    CHECK(dump(path, true) == before);
  };
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("UPDATE site SET name = 'renamed elsewhere' WHERE code = 'S2'");
  }
  refused();
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("UPDATE site SET name = '' WHERE code = 'S2'");
    other.execute(R"(INSERT INTO visit (key, site_id, date, created_utc, changed_utc, device)
      SELECT 'elsewhere', id, '2024-01-01', created_utc, changed_utc, device FROM site WHERE code = 'S2')");
  }
  refused();  // a visit hangs on the site now
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("DELETE FROM visit WHERE key = 'elsewhere'");
  }
  CHECK(file.undo()->kind == "add site");
}

TEST_CASE("an edit too large to be kept is stored, said so, and not taken back") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  EditBatch large{"import sites", "seventy sites with a megabyte of notes each", {}};
  for (int i = 0; i < 70; ++i) {  // 70 MiB, above the 64 MiB that are kept
    Site s = site("", "L"s + std::to_string(i));
    s.note.assign(std::size_t{1} << 20, 'x');
    large.edits.push_back(AddSite{s});
  }
  file.apply(large);
  CHECK(file.read().sites.size() == 71);
  CHECK_FALSE(file.log().back().undoable);
  const auto [code, text] = error_of([&] { file.undo(); });
  CHECK(code == ErrorCode::kBadUse);
  CHECK(holds(text, "too large to be taken back"));
  CHECK(file.read().sites.size() == 71);
}

TEST_CASE("a site known by name only has no position, can be given one, and loses it again on the way back") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  auto file = small_survey(path);
  file.apply({"add site", "by name", {AddSite{site("s2", "S2", kUnplaced)}}});
  CHECK(is_placed(file.read().sites.position[0]));
  CHECK_FALSE(is_placed(file.read().sites.position[1]));
  check_consistent(path);
  const std::string before = dump(path);
  file.apply({"move site", "found", {MoveSite{"s2", {10.5, 60.5}, {}}}});
  CHECK(file.read().sites.position[1] == LonLat{10.5, 60.5});
  check_consistent(path);
  CHECK(file.undo()->kind == "move site");
  CHECK((dump(path) == before));
  CHECK_FALSE(is_placed(file.read().sites.position[1]));
  check_consistent(path);
}

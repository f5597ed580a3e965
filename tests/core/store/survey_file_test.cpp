// Making, opening, copying; and every file that is not a survey, or not for this version, or not for writing.
#include "core/store/survey_file_internal.hpp"
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;
using brookmark::ErrorCode;

namespace {

void check_open_fails(const fs::path& path, Access access, ErrorCode wanted, const std::string& sentence) {
  const auto [code, text] = error_of([&] { SurveyFile::open(path, access, fixed_options()).read(); });
  CAPTURE(text);
  CHECK(static_cast<int>(code) == static_cast<int>(wanted));
  CHECK(holds(text, sentence));
}

void check_foreign(const fs::path& path, const std::string& sentence) {
  const std::string before = read_text(path);
  check_open_fails(path, Access::kRead, ErrorCode::kForeignFile, sentence);
  check_open_fails(path, Access::kEdit, ErrorCode::kForeignFile, sentence);
  CHECK((read_text(path) == before));  // and it was left alone
}

std::size_t files_in(const fs::path& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator{}));
}

void set_user_version(const fs::path& path, int version) {
  Database(path, OpenMode::kReadWrite, 50).execute("PRAGMA user_version = " + std::to_string(version));
}

// This version's schema and one more step, as a later version will bring.
std::vector<Migration> later_migrations() {
  auto migrations = built_in_migrations();
  migrations.push_back({SurveyFile::newest_schema() + 1, "later.sql",
                        "ALTER TABLE site ADD COLUMN shade TEXT NOT NULL DEFAULT 'none';\n"
                        "CREATE TABLE weed (id INTEGER PRIMARY KEY) STRICT; -- end"});
  return migrations;
}

}  // namespace

TEST_CASE("a new survey is SpatiaLite, marked as ours, and leaves nothing beside it") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  CHECK(files_in(folder.path()) == 1);
  check_consistent(folder / "a.brook");
  const Database database(folder / "a.brook", OpenMode::kReadOnly, 50);
  CHECK(database.query_integer("PRAGMA application_id") == 1112690507);  // "BROK": 0x42, 0x52, 0x4F, 0x4B
  CHECK(database.query_integer("PRAGMA user_version") == SurveyFile::newest_schema());
  CHECK(database.query_integer("SELECT CheckSpatialMetaData()") == 3);  // 3: current SpatiaLite layout
  CHECK(database.query_integer(
            "SELECT count(*) FROM geometry_columns WHERE srid = 4326 AND spatial_index_enabled = 1") == 6);
  CHECK(database.query_text("PRAGMA journal_mode") == "delete");
  CHECK(fs::file_size(folder / "a.brook") <
        700000);  // 22 tables, 6 spatial indexes, two pages each and SpatiaLite's own
}

TEST_CASE("nothing is ever replaced by a new survey") {
  const TemporaryFolder folder;
  write_text(folder / "a.brook", "my notes");
  const auto [code, text] =
      error_of([&] { SurveyFile::create(folder / "a.brook", small_info(), fixed_options()); });
  CHECK(code == ErrorCode::kBadUse);
  CHECK(holds(text, "something already stands there"));
  CHECK(read_text(folder / "a.brook") == "my notes");
  CHECK(error_of([&] {
          SurveyFile::create(folder / "no" / "a.brook", small_info(), fixed_options());
        }).first == ErrorCode::kBadUse);
  const auto [untitled, why] = error_of([&] {
    SurveyFile::create(folder / "b.brook", {"", " ", "", "EPSG:4326"}, fixed_options());
  });
  CHECK(untitled == ErrorCode::kBadInput);
  CHECK(holds(why, "a survey needs a title"));
  CHECK_FALSE(fs::exists(folder / "b.brook"));
  CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("what is no survey file is refused with a sentence and left alone") {
  const TemporaryFolder folder;
  check_open_fails(folder / "none.brook", Access::kRead, ErrorCode::kNotFound, "there is no such file");
  check_open_fails(folder / "none.brook", Access::kEdit, ErrorCode::kNotFound, "there is no such file");
  CHECK_FALSE(fs::exists(folder / "none.brook"));
  check_open_fails(folder.path(), Access::kRead, ErrorCode::kForeignFile, "this is a folder");
  write_text(folder / "empty.brook", "");
  check_foreign(folder / "empty.brook", "the file is empty");
  write_text(folder / "text.brook", "site,lon,lat\nA,10,60\n" + std::string(500, 'x'));
  check_foreign(folder / "text.brook", "this is no survey file");
  write_text(folder / "short.brook", "SQLite format 3");
  check_foreign(folder / "short.brook", "cut short");
  write_text(folder / "S.brook", "SQ");
  check_foreign(folder / "S.brook", "cut short");
  Database(folder / "other.brook", OpenMode::kCreate, 50).execute("CREATE TABLE notes (text)");
  check_foreign(folder / "other.brook", "a database, but no survey file");
  Database(folder / "hollow.brook", OpenMode::kCreate, 50)
      .execute("CREATE TABLE notes (text); PRAGMA application_id = 1112690507; PRAGMA user_version = 1");
  check_foreign(folder / "hollow.brook", "a table or column is missing");
}

TEST_CASE("a truncated or overwritten survey is refused, wherever it was hit") {
  const TemporaryFolder folder;
  small_survey(folder / "whole.brook");
  const std::string whole = read_text(folder / "whole.brook");
  for (const std::size_t keep : {std::size_t{50}, std::size_t{100}, std::size_t{4096}, whole.size() / 2,
                                 whole.size() - 4096, whole.size() - 1}) {
    CAPTURE(keep);
    write_text(folder / "cut.brook", whole.substr(0, keep));
    const auto [code, text] =
        error_of([&] { SurveyFile::open(folder / "cut.brook", Access::kRead, fixed_options()).read(); });
    CHECK(code == ErrorCode::kForeignFile);
    CHECK_THROWS_AS(SurveyFile::open(folder / "cut.brook", Access::kEdit, fixed_options()), Error);
  }
  // The first page of everything but its header overwritten.
  std::string scribbled = whole;
  scribbled.replace(100, 3000, 3000, '\x55');
  write_text(folder / "cut.brook", scribbled);
  check_open_fails(folder / "cut.brook", Access::kRead, ErrorCode::kForeignFile, "");
}

TEST_CASE("a survey of a newer version is read with a notice and not edited") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  set_user_version(path, SurveyFile::newest_schema() + 1);
  const std::string before = read_text(path);
  {
    auto file = SurveyFile::open(path, Access::kRead, fixed_options());
    CHECK(holds(file.notice(), "newer version"));
    CHECK(file.read().sites.size() == 1);
    CHECK(error_of([&] { file.apply(one_of_each()); }).first == ErrorCode::kReadOnly);
  }
  check_open_fails(path, Access::kEdit, ErrorCode::kNewerFile,
                   "open it for reading, or install the newer version");
  CHECK((read_text(path) == before));
  Database(path, OpenMode::kReadWrite, 50).execute("ALTER TABLE visit RENAME COLUMN people TO team");
  check_open_fails(path, Access::kRead, ErrorCode::kNewerFile, "cannot be read by this one");
}

TEST_CASE(
    "an older survey is brought forward for editing, after a copy, and its edits can still be taken back") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  const std::string before = dump(path);
  const auto migrations = later_migrations();
  const std::string kept = "a.schema-" + std::to_string(SurveyFile::newest_schema()) + ".brook";
  {
    auto file = open_survey_file(path, Access::kEdit, fixed_options(2), migrations);
    CHECK(holds(file.notice(), kept));
    CHECK(file.read().sites.size() == 1);
    CHECK((dump(folder / kept) == before));
    file.apply({"add site", "S2", {AddSite{site("s2", "S2")}}});
    CHECK(file.undo().has_value());
    CHECK(file.undo().has_value());  // the edit made before the migration
    CHECK(file.read().sites.size() == 0);
  }
  const Database database(path, OpenMode::kReadOnly, 50);
  CHECK(database.query_integer("PRAGMA user_version") == SurveyFile::newest_schema() + 1);
  CHECK(database.query_integer("SELECT count(*) FROM weed") == 0);
  CHECK(files_in(folder.path()) == 2);
  check_open_fails(path, Access::kEdit, ErrorCode::kNewerFile,
                   "newer version");  // for the version without that step
}

TEST_CASE("an older survey is read without being touched") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  const std::string before = read_text(path);
  const auto file = open_survey_file(path, Access::kRead, fixed_options(2), later_migrations());
  CHECK(file.read().records.size() == 1);
  CHECK(file.log().size() == 1);
  CHECK((read_text(path) == before));
  CHECK(files_in(folder.path()) == 1);
}

TEST_CASE(
    "a survey of the first schema is brought forward with nothing marked, and its old edits can be taken "
    "back") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  const auto newest = built_in_migrations();
  const std::vector<Migration> first(newest.begin(), newest.begin() + 1);
  {
    // As the first version wrote it: what later versions added is not there.
    const Database database(path, OpenMode::kCreate, 50);
    migrate(database, first);
    database.execute(R"(
      INSERT INTO survey VALUES (1, 'k', 'Becks', '', 'EPSG:4326', '2024-05-03T08:30:00Z', '2024-05-03T08:30:00Z', 'd');
      INSERT INTO site (key, code, kind, status, created_utc, changed_utc, device)
        VALUES ('s', 'S1', 'stream', 'active', '2024-05-03T08:30:00Z', '2024-05-03T08:30:00Z', 'd');
      INSERT INTO outfall (key, code, kind, created_utc, changed_utc, device, geom)
        VALUES ('o', 'O1', 'unknown', '2024-05-03T08:30:00Z', '2024-05-03T08:30:00Z', 'd', MakePoint(10, 60, 4326));
      INSERT INTO reach (key, created_utc, changed_utc, device, geom) VALUES ('r', '2024-05-03T08:30:00Z',
        '2024-05-03T08:30:00Z', 'd', GeomFromText('LINESTRING(10 60, 10.1 60)', 4326)))");
  }
  const auto check = [](const Snapshot& s) {
    REQUIRE(s.sites.size() == 1);
    CHECK(s.sites.type[0] == "");
    CHECK_FALSE(s.sites.reference[0]);
    CHECK_FALSE(s.outfalls.at(0).strength.has_value());
    CHECK_FALSE(s.reaches.at(0).two_way);
    CHECK(s.reaches.at(0).note == "");
  };
  check(SurveyFile::open(path, Access::kRead, fixed_options()).read());
  auto file = SurveyFile::open(path, Access::kEdit, fixed_options(2));
  CHECK(holds(file.notice(), "a.schema-1.brook"));
  check(file.read());
  file.apply({"mark", "reference", {MarkReference{"s", "upland beck", true}, SetOutfallStrength{"o", 2.5}}});
  const Snapshot marked = file.read();
  CHECK(marked.sites.type[0] == "upland beck");
  CHECK(marked.sites.reference[0]);
  CHECK(marked.outfalls.at(0).strength == 2.5);
  CHECK(file.undo().has_value());
  check(file.read());
  check_consistent(path);
}

TEST_CASE("a reference site without a type, a strength below nothing and an unknown place are refused") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  const std::string before = dump(folder / "a.brook", true);
  const Snapshot s = file.read();
  const std::string site(s.sites.key[0]), outfall = s.outfalls.empty() ? "" : s.outfalls[0].key;
  CHECK(holds(error_of([&] {
                file.apply({"mark", "x", {MarkReference{site, " ", true}}});
              }).second,
              "needs the type of water"));
  CHECK(holds(error_of([&] {
                file.apply({"mark", "x", {MarkReference{"none", "t", true}}});
              }).second,
              "no such site"));
  CHECK(holds(error_of([&] {
                file.apply({"weigh", "x", {SetOutfallStrength{"none", 1.0}}});
              }).second,
              "no such outfall"));
  Outfall weak;
  weak.code = "W";
  weak.position = {10, 60};
  weak.strength = -1;
  CHECK(holds(error_of([&] { file.apply({"add", "x", {AddOutfall{weak}}}); }).second, "must be 0 or more"));
  CHECK((dump(folder / "a.brook", true) == before));
}

TEST_CASE("a step that fails leaves the older survey as it was") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  const std::string before = dump(path, true);
  for (const char* sql : {"ALTER TABLE site ADD COLUMN shade TEXT; SELECT 0;",
                          "CREATE TABLE weed (id); BOTCHED;", "DELETE FROM site;"}) {
    CAPTURE(sql);
    auto migrations = built_in_migrations();
    migrations.push_back({SurveyFile::newest_schema() + 1, "bad.sql", sql});
    CHECK_THROWS_AS(open_survey_file(path, Access::kEdit, fixed_options(2), migrations), Error);
    CHECK((dump(path, true) == before));
    CHECK(SurveyFile::open(path, Access::kEdit, fixed_options(2)).read().sites.size() == 1);
  }
}

TEST_CASE("a copy is whole, stands alone and replaces nothing") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  file.copy_to(folder / "b.brook");
  CHECK((dump(folder / "a.brook", true) == dump(folder / "b.brook", true)));
  CHECK(files_in(folder.path()) == 2);
  CHECK(error_of([&] { file.copy_to(folder / "b.brook"); }).first == ErrorCode::kBadUse);
  auto copy = SurveyFile::open(folder / "b.brook", Access::kEdit, fixed_options(3));
  CHECK(copy.undo().has_value());
  CHECK(file.read().sites.size() == 1);
  check_consistent(folder / "b.brook");
}

TEST_CASE("a survey opened for reading refuses edits and is not changed by being read") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  const std::string before = read_text(folder / "a.brook");
  auto file = SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options());
  CHECK(file.read().samples.size() == 1);
  CHECK(file.log().size() == 1);
  CHECK(error_of([&] { file.apply(one_of_each()); }).first == ErrorCode::kReadOnly);
  CHECK(error_of([&] { file.undo(); }).first == ErrorCode::kReadOnly);
  CHECK((read_text(folder / "a.brook") == before));
}

TEST_CASE("a name that looks like an address is only a name") {
  const TemporaryFolder folder;
  const fs::path path = folder / "file:a?mode=ro#1 %20.brook";
  small_survey(path);
  CHECK(fs::exists(path));
  CHECK(SurveyFile::open(path, Access::kRead, fixed_options()).read().sites.size() == 1);
}

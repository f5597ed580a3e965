// Other programs, folders that cannot be written, a full disk, and a process that dies in the middle of a
// change.
#include <signal.h>

#include <chrono>
#include <cstdlib>
#include <thread>

#include "core/base/text.hpp"
#include "core/store/device_id.hpp"
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;
using brookmark::ErrorCode;

namespace {

// Everybody may read, nobody but the owner may write; where the owner is not the superuser, not even they
// may.
void make_read_only(const fs::path& folder) {
  for (const auto& file : fs::directory_iterator(folder)) {
    fs::permissions(file.path(), fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read);
  }
  fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::group_read |
                              fs::perms::group_exec | fs::perms::others_read | fs::perms::others_exec);
}

std::string code_of(const std::function<void()>& action, ErrorCode wanted, const std::string& sentence) {
  try {
    action();
    return "no error where one was wanted: " + sentence + "\n";
  } catch (const Error& error) {
    if (error.code() == wanted && holds(error.what(), sentence)) return "";
    return "another error: "s + error.what() + "\n";
  }
}

EditBatch many_sites(int count) {
  EditBatch batch{"import sites", "many", {}};
  for (int i = 0; i < count; ++i) {
    Site s = site("many"s + std::to_string(i), "L"s + std::to_string(i), {10 + i * 1e-4, 60});
    s.note.assign(400, 'n');
    batch.edits.push_back(AddSite{s});
  }
  return batch;
}

}  // namespace

TEST_CASE("a survey in a folder that cannot be written is read, and refuses edits and company") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  make_read_only(folder.path());
  const std::string before = read_text(folder / "a.brook");
  CHECK(in_child_without_rights([&] {
          std::string wrong;
          auto file = SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options());
          if (file.read().sites.size() != 1) wrong += "not read\n";
          wrong += code_of([&] { SurveyFile::open(folder / "a.brook", Access::kEdit, fixed_options()); },
                           ErrorCode::kReadOnly, "cannot be written");
          wrong += code_of([&] { SurveyFile::create(folder / "b.brook", small_info(), fixed_options()); },
                           ErrorCode::kReadOnly, "nothing can be written into this folder");
          wrong += code_of([&] { file.copy_to(folder / "b.brook"); }, ErrorCode::kReadOnly,
                           "nothing can be written into this folder");
          return wrong;
        }) == "");
  CHECK((read_text(folder / "a.brook") == before));
}

TEST_CASE("a survey that may not be read says so") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  make_read_only(folder.path());
  fs::permissions(folder / "a.brook", fs::perms::none);
  CHECK(in_child_without_rights([&] {
          return code_of([&] { SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options()); },
                         ErrorCode::kReadOnly, "may not be read");
        }) == "");
}

TEST_CASE("a read-only file in a folder that can be written is not edited") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  fs::permissions(folder / "a.brook", fs::perms::owner_read | fs::perms::others_read);
  fs::permissions(folder.path(), fs::perms::all);
  CHECK(in_child_without_rights([&] {
          return code_of([&] { SurveyFile::open(folder / "a.brook", Access::kEdit, fixed_options()); },
                         ErrorCode::kReadOnly, "the survey file cannot be written");
        }) == "");
}

TEST_CASE("a survey left in write-ahead mode is read from a folder that cannot be written") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  CHECK(Database(folder / "a.brook", OpenMode::kReadWrite, 50).query_text("PRAGMA journal_mode = WAL") ==
        "wal");
  REQUIRE_FALSE(fs::exists(folder / "a.brook-wal"));
  make_read_only(folder.path());
  CHECK(in_child_without_rights([&] {
          const auto file = SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options());
          return file.read().sites.size() == 1 ? "" : "not read";
        }) == "");
}

TEST_CASE("a write-ahead log that cannot be brought in is not passed over in silence") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  Database(folder / "a.brook", OpenMode::kReadWrite, 50).query_text("PRAGMA journal_mode = WAL");
  write_text(folder / "a.brook-wal", std::string(5000, 'w'));
  make_read_only(folder.path());
  CHECK(in_child_without_rights([&] {
          return code_of([&] { SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options()); },
                         ErrorCode::kReadOnly, "copy both files together");
        }) == "");
}

TEST_CASE("a survey left in write-ahead mode goes back to one file when it is edited") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  Database(folder / "a.brook", OpenMode::kReadWrite, 50).query_text("PRAGMA journal_mode = WAL");
  {
    const auto file = SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options());
    CHECK(file.read().sites.size() == 1);
  }
  auto file = SurveyFile::open(folder / "a.brook", Access::kEdit, fixed_options(2));
  file.apply({"add", "site", {AddSite{site("s2", "S2")}}});
  CHECK_FALSE(fs::exists(folder / "a.brook-wal"));
  const std::string header = read_text(folder / "a.brook").substr(18, 2);
  CHECK(header == "\x01\x01");
  CHECK(dump(folder / "a.brook").find("S2") != std::string::npos);
}

TEST_CASE("another program that is writing is met with a sentence, and nothing is lost") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  const std::string before = dump(folder / "a.brook", true);
  {
    const Database other(folder / "a.brook", OpenMode::kReadWrite, 50);
    const Transaction writing(other, Transaction::kWrite);
    for (const auto& action : {std::function<void()>([&] {
                                 file.apply({"add", "x", {AddSite{site("x", "X")}}});
                               }),
                               std::function<void()>([&] { file.undo(); }), std::function<void()>([&] {
                                 SurveyFile::open(folder / "a.brook", Access::kEdit, fixed_options());
                               })}) {
      const auto [code, text] = error_of(action);
      CHECK(code == ErrorCode::kLocked);
      CHECK(holds(text, "another program is using the file"));
    }
    CHECK(SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options()).read().sites.size() == 1);
  }
  {
    const Database other(folder / "a.brook", OpenMode::kReadWrite, 50);
    other.execute("BEGIN EXCLUSIVE");
    CHECK(error_of([&] { SurveyFile::open(folder / "a.brook", Access::kRead, fixed_options()); }).first ==
          ErrorCode::kLocked);
    CHECK(error_of([&] { file.read(); }).first == ErrorCode::kLocked);
    other.execute("ROLLBACK");
  }
  CHECK((dump(folder / "a.brook", true) == before));
  file.apply({"add", "x", {AddSite{site("x", "X")}}});
  CHECK(file.read().sites.size() == 2);
}

TEST_CASE("a full disk stops a change as a whole, and the survey goes on") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  const std::string before = dump(path, true);
  StoreOptions tight = fixed_options(2);
  tight.max_pages = static_cast<std::int64_t>(fs::file_size(path) / 4096) + 20;
  {
    auto file = SurveyFile::open(path, Access::kEdit, tight);
    const auto [code, text] = error_of([&] { file.apply(many_sites(2000)); });
    CHECK(code == ErrorCode::kNoSpace);
    CHECK(holds(text, "no space left"));
    CHECK((dump(path, true) == before));
    file.apply({"add", "a small one", {AddSite{site("s2", "S2")}}});  // there is room for this
    CHECK(file.read().sites.size() == 2);
    CHECK(file.undo().has_value());
  }
  CHECK(SurveyFile::open(path, Access::kRead, fixed_options()).read().sites.size() == 1);
  check_consistent(path);
}

TEST_CASE("a disk too full for a new survey leaves no part of it") {
  const TemporaryFolder folder;
  StoreOptions tight = fixed_options();
  tight.max_pages = 40;  // an empty survey needs more
  CHECK(error_of([&] { SurveyFile::create(folder / "a.brook", small_info(), tight); }).first ==
        ErrorCode::kNoSpace);
  CHECK(fs::is_empty(folder.path()));
}

// BROOKMARK_KILLS says how often; the usual number keeps the suite short.
TEST_CASE("a process killed in the middle of a change leaves the old state or the new one, never between") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook", journal = folder / "a.brook-journal";
  small_survey(path);
  std::string before = dump(path, true);
  const EditBatch batch = many_sites(6000);
  int old_state = 0, cut_off = 0;
  // Ten moments; more on a machine so busy that both outcomes were not seen among them.
  const char* asked = std::getenv("BROOKMARK_KILLS");
  const auto kills = asked != nullptr ? parse_integer(asked).value_or(10) : 10;
  for (int round = 0; round < kills || (round < 60 && (old_state == 0 || cut_off == 0)); ++round) {
    CAPTURE(round);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      try {
        auto file = SurveyFile::open(path, Access::kEdit, fixed_options(2));
        file.apply(batch);
      } catch (...) {
        _exit(1);
      }
      _exit(0);
    }
    // From the moment that the journal appears, later in each round.
    int status = 0;
    for (int wait = 0; wait < 20000 && !fs::exists(journal) && waitpid(child, &status, WNOHANG) == 0;
         ++wait) {
      std::this_thread::sleep_for(std::chrono::microseconds(200));
    }
    std::this_thread::sleep_for(std::chrono::milliseconds((round * 75 + round / 10) % 250));
    kill(child, SIGKILL);
    waitpid(child, &status, 0);
    std::error_code none;
    if (fs::exists(journal) && fs::file_size(journal, none) > 0) ++cut_off;
    const std::size_t sites = SurveyFile::open(path, Access::kRead, fixed_options()).read().sites.size();
    if (sites == 1) {
      ++old_state;
      CHECK((dump(path, true) == before));
    } else {
      CHECK(sites == 6001);
      CHECK(SurveyFile::open(path, Access::kEdit, fixed_options()).undo().has_value());
      before = dump(path, true);  // the log now holds the change and that it was taken back
    }
    check_consistent(path);
  }
  CHECK(old_state > 0);
  CHECK(cut_off > 0);  // some journal had to be played back
}

TEST_CASE("a change cut off on a medium that cannot be written is not passed over in silence") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  // The files as they lie at the moment of the cut: pages written, journal still there.
  fs::create_directory(folder / "card");
  {
    const Database writing(path, OpenMode::kReadWrite, 50);
    writing.execute("PRAGMA cache_size = 5");  // pages are written before the commit
    const Transaction transaction(writing, Transaction::kWrite);
    writing.execute(R"(WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 2000)
      INSERT INTO taxon (key, name, rank, listed, created_utc, changed_utc, device)
      SELECT 'k' || i, 'n', 'family', 1, '2024-05-03T08:30:00Z', '2024-05-03T08:30:00Z', 'd' FROM n)");
    fs::copy_file(path, folder / "card" / "a.brook");
    fs::copy_file(path.string() + "-journal", folder / "card" / "a.brook-journal");
  }
  fs::copy(folder / "card", folder / "desk");
  make_read_only(folder / "card");
  fs::permissions(folder.path(), fs::perms::owner_all | fs::perms::others_exec);
  CHECK(in_child_without_rights([&] {
          return code_of(
              [&] { SurveyFile::open(folder / "card" / "a.brook", Access::kRead, fixed_options()); },
              ErrorCode::kReadOnly, "together with the one ending in -journal");
        }) == "");
  // Copied together to a folder that can be written, as the sentence says, it is whole.
  CHECK(SurveyFile::open(folder / "desk" / "a.brook", Access::kRead, fixed_options()).read().taxa.size() ==
        1);
  CHECK((dump(folder / "desk" / "a.brook", true) == dump(path, true)));
  fs::permissions(folder / "card", fs::perms::owner_all);
}

TEST_CASE(
    "the id of a device is made once and kept in the settings, or held for the run where there are none") {
  const TemporaryFolder folder;
  fs::permissions(folder.path(), fs::perms::all);
  const auto id_with_settings_in = [](const fs::path& settings) {
    return in_child_without_rights([&] {
      setenv("XDG_CONFIG_HOME", settings.c_str(), 1);
      const std::string id = device_id();
      return id == device_id() ? id : "changes";
    });
  };
  const std::string first = id_with_settings_in(folder.path());
  CHECK(first.size() == 36);
  CHECK(read_text(folder / "brookmark" / "device") == first + "\n");
  CHECK(id_with_settings_in(folder.path()) == first);
  CHECK(id_with_settings_in("/proc/none").size() == 36);  // nothing can be written there
}

// Whatever goes wrong, the target is whole or as it was, and nothing is left beside it.
#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <functional>

#include "core/base/error.hpp"
#include "geodata/export.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::geodata::export_survey;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

constexpr const char* kEndings[] = {".gpkg", ".geojson", ".csv", ".gpx", ".fgb", ".kml", ".zip"};
// A CSV has its data dictionary beside it.
std::ptrdiff_t files_of(const std::string& ending) {
  return ending == ".csv" ? 2 : 1;
}
constexpr int kDone = 100, kOther = 101;  // beyond every ErrorCode

int outcome(const SmallSurvey& survey, const std::filesystem::path& file, bool overwrite) {
  try {
    export_survey(survey.source(), file, {.overwrite = overwrite});
    return kDone;
  } catch (const Error& error) {
    return static_cast<int>(error.code());
  } catch (...) {
    return kOther;
  }
}

// Limits and lost rights cannot be given back, so they are taken in a child process.
int in_child(const std::function<int()>& work) {
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) _exit(work());
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

int code(ErrorCode error) {
  return static_cast<int>(error);
}

std::ptrdiff_t files_in(const TemporaryFolder& folder) {
  return std::distance(std::filesystem::directory_iterator(folder.path()), {});
}

}  // namespace

TEST_CASE("what is no plain file is never replaced, not even at the end of a link") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  for (const std::string ending : kEndings) {
    CAPTURE(ending);
    const auto pipe = folder / ("pipe" + ending), link = folder / ("link" + ending),
               socket_file = folder / ("socket" + ending);
    REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
    std::filesystem::create_symlink(pipe, link);
    const int listening = ::socket(AF_UNIX, SOCK_STREAM, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    REQUIRE(socket_file.string().size() < sizeof address.sun_path);
    std::snprintf(address.sun_path, sizeof address.sun_path, "%s", socket_file.c_str());
    REQUIRE(::bind(listening, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    for (const auto& target : {pipe, link, socket_file})
      for (const bool overwrite : {false, true})
        CHECK(outcome(survey, target, overwrite) == static_cast<int>(ErrorCode::kBadUse));
    CHECK(std::filesystem::is_fifo(pipe));
    CHECK(std::filesystem::is_symlink(link));
    CHECK(std::filesystem::is_socket(socket_file));
    ::close(listening);
  }
  // A data dictionary neither.
  REQUIRE(::mkfifo((folder / "out.fields.csv").c_str(), 0600) == 0);
  CHECK(outcome(survey, folder / "out.csv", true) == static_cast<int>(ErrorCode::kBadUse));
}

TEST_CASE("a target that exists is refused, and replaced only when that is asked for") {
  const SmallSurvey survey;
  for (const char* ending : kEndings) {
    CAPTURE(ending);
    const TemporaryFolder folder;
    const auto file = folder / (std::string("out") + ending);
    write_text(file, "mine");
    CHECK(outcome(survey, file, false) == code(ErrorCode::kBadUse));
    CHECK(read_text(file) == "mine");
    CHECK(outcome(survey, file, true) == kDone);
    CHECK(read_text(file).size() > 500);
    CHECK(files_in(folder) == files_of(ending));
  }
}

TEST_CASE("an ending that names no format, a folder as target and a missing folder are refused") {
  const SmallSurvey survey;
  const TemporaryFolder folder;
  CHECK(outcome(survey, folder / "out.shp", false) == code(ErrorCode::kBadUse));
  CHECK(outcome(survey, folder / "out", false) == code(ErrorCode::kBadUse));
  std::filesystem::create_directory(folder / "dir.gpkg");
  CHECK(outcome(survey, folder / "dir.gpkg", true) == code(ErrorCode::kBadUse));
  CHECK(outcome(survey, folder / "missing/out.gpkg", false) == code(ErrorCode::kBadUse));
  CHECK(files_in(folder) == 1);
  CHECK(outcome(survey, folder / "OUT.GPKG", false) == kDone);
}

TEST_CASE("an assessment of another method than the scores is refused") {
  SmallSurvey survey;
  const TemporaryFolder folder;
  survey.scores.method = nullptr;
  CHECK(outcome(survey, folder / "out.gpkg", false) == code(ErrorCode::kBadUse));
  CHECK(files_in(folder) == 0);
}

TEST_CASE("a file that another program has open is not replaced") {
  const SmallSurvey survey;
  const TemporaryFolder folder;
  write_text(folder / "out.gpkg", "theirs");
  write_text(folder / "out.gpkg-wal", "live");
  CHECK(outcome(survey, folder / "out.gpkg", true) == code(ErrorCode::kLocked));
  CHECK(read_text(folder / "out.gpkg") == "theirs");
  CHECK(files_in(folder) == 2);
}

TEST_CASE("a link stays a link and the file behind it is replaced") {
  const SmallSurvey survey;
  const TemporaryFolder folder;
  write_text(folder / "real.csv", "mine");
  std::filesystem::create_symlink(folder / "real.csv", folder / "link.csv");
  CHECK(outcome(survey, folder / "link.csv", true) == kDone);
  CHECK(std::filesystem::is_symlink(folder / "link.csv"));
  CHECK(read_text(folder / "real.csv").size() > 500);
}

TEST_CASE("a folder that cannot be written to gives a sentence and stays as it was") {
  const SmallSurvey survey;
  const TemporaryFolder folder;
  write_text(folder / "old.gpkg", "mine");
  std::filesystem::permissions(folder.path(), std::filesystem::perms(0555));
  for (const char* name :
       {"new.gpkg", "new.geojson", "new.csv", "new.gpx", "new.fgb", "new.kml", "new.zip", "old.gpkg"}) {
    CAPTURE(name);
    const int result = in_child([&] {
      if (geteuid() == 0 && setuid(65534) != 0) return kOther;  // root may write anywhere
      return outcome(survey, folder / name, true);
    });
    CHECK(result == code(ErrorCode::kReadOnly));
  }
  CHECK(read_text(folder / "old.gpkg") == "mine");
  CHECK(files_in(folder) == 1);
}

TEST_CASE("a disk that fills at any point leaves the old file and nothing else") {
  SmallSurvey survey;
  survey.repeat_sites(300);
  for (const std::string ending : kEndings) {
    const TemporaryFolder folder;
    const auto file = folder / ("out" + ending);
    REQUIRE(outcome(survey, file, false) == kDone);
    const auto whole = static_cast<rlim_t>(std::filesystem::file_size(file));
    write_text(file, "mine");
    std::filesystem::remove(folder / "out.fields.csv");
    const rlim_t limits[] = {0, 1, 4096, whole / 3, whole / 2, whole * 9 / 10, whole - 4096, whole - 1};
    for (const rlim_t limit : limits) {
      if (limit >= whole) continue;  // a small archive has room for it
      CAPTURE(ending);
      CAPTURE(limit);
      const int result = in_child([&] {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit room{limit, limit};
        if (setrlimit(RLIMIT_FSIZE, &room) != 0) return kOther;
        return outcome(survey, file, true);
      });
      CHECK(result == code(ErrorCode::kNoSpace));
      const bool untouched = read_text(file) == "mine";
      CHECK(untouched);
      CHECK(files_in(folder) == 1);
    }
  }
}

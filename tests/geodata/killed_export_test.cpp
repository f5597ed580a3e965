// Killed at any moment, an export leaves the old file or the new one, whole.
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <set>
#include <thread>

#include "core/base/text.hpp"
#include "core/store/sqlite.hpp"
#include "geodata/export.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"

using brookmark::geodata::export_survey;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

constexpr const char* kClock = "2024-06-01T12:00:00Z";

}  // namespace

// BROOKMARK_KILLS says how often; the usual number keeps the suite short.
TEST_CASE("an export that is killed leaves the old file or the new one") {
  const char* asked = std::getenv("BROOKMARK_KILLS");
  const auto kills = asked != nullptr ? brookmark::core::parse_integer(asked).value_or(20) : 20;
  SmallSurvey survey;
  survey.repeat_sites(400);
  const TemporaryFolder folder;
  const auto file = folder / "out.gpkg";
  brookmark::geodata::start_geodata();
  const auto source = survey.source();
  const auto began = std::chrono::steady_clock::now();
  export_survey(source, file, {.clock_utc = kClock});
  const auto took = std::chrono::steady_clock::now() - began;
  const std::string whole = read_text(file);
  std::set<bool> seen;
  // What goes wrong in the child must not go on as a second test program.
  const auto write_and_leave = [&] {
    try {
      export_survey(source, file, {.overwrite = true, .clock_utc = kClock});
    } catch (...) {
      _exit(1);
    }
    _exit(0);
  };
  std::uint64_t state = 20240601;
  for (std::int64_t i = 0; i < kills; ++i) {
    write_text(file, "old");
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) write_and_leave();
    state = state * 6364136223846793005U + 1442695040888963407U;
    const double share = static_cast<double>(state >> 40) / static_cast<double>(1U << 24);
    std::this_thread::sleep_for(
        std::chrono::duration<double>(std::chrono::duration<double>(took).count() * 2 * share));
    kill(child, SIGKILL);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    const std::string found = read_text(file);
    const bool is_old = found == "old", is_new = found == whole;
    CHECK((is_old || is_new));
    seen.insert(is_new);
  }
  // What a killed program left lies under a name that begins with a point, and hinders nobody.
  // One that is let live writes all of it: the children above were at work.
  write_text(file, "old");
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) write_and_leave();
  int status = 1;
  REQUIRE(waitpid(child, &status, 0) == child);
  CHECK(status == 0);
  const bool same = read_text(file) == whole;
  CHECK(same);
  MESSAGE(kills << " kills; kinds of end seen: " << seen.size());
}

// Whatever goes wrong with a server, there is a sentence without a password in it, and what was published before stays.
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <set>
#include <thread>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/method.hpp"
#include "core/sharing/hand_over.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/publish.hpp"
#include "geodata/vector_input.hpp"
#include "tests/server/region.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "viewer/cli/commands.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::test::demo;
using brookmark::test::environment;
using brookmark::test::Region;
using brookmark::test::run;
using brookmark::test::run_well;
using brookmark::test::says;
using brookmark::test::shell_well;

namespace {

void server(const char* what) {
  shell_well("bash " + environment("BROOKMARK_TEST_SERVER_SCRIPT") + " " + what + " " +
             environment("BROOKMARK_TEST_SERVER_FOLDER"));
}

// A server that is back whatever happens in a test.
struct BackAgain {
  bool away = false;
  void go() {
    server("--stop");
    away = true;
  }
  void come() {
    server("--start");
    away = false;
  }
  ~BackAgain() {
    if (away) server("--start");
  }
};

std::string by_password(const Region& region, const std::string& user, const std::string& password) {
  return "PG:host=127.0.0.1 port=" + environment("BROOKMARK_TEST_SERVER_PORT") + " dbname=" + region.name() +
         " user=" + user + " password=" + password;
}

// In a child: what goes wrong there must not go on as a second test program.
[[noreturn]] void publish_and_leave(const brookmark::geodata::ExportSource& source,
                                    const std::string& words) {
  try {
    brookmark::geodata::publish_survey(source, words, {});
  } catch (...) {
    _exit(1);
  }
  _exit(0);
}

const brookmark::core::HandOver& handed_until(const char* day) {
  static std::map<std::string, std::unique_ptr<const brookmark::core::HandOver>> kept;
  auto& one = kept[day];
  if (!one) {
    brookmark::core::SharingRules rules;
    rules.until = brookmark::core::parse_date(day);
    const auto snapshot = brookmark::core::SurveyFile::open(demo(), brookmark::core::Access::kRead).read();
    one = brookmark::core::prepare_hand_over(snapshot, brookmark::viewer::choose_method(""), 0, rules);
  }
  return *one;
}

}  // namespace

TEST_CASE("a server that goes away in the middle leaves what was there, and says so") {
  const Region region;
  const auto source = brookmark::geodata::source_of(handed_until("2021-12-31"));
  publish_survey(source, region.words(), {.clock_utc = "2024-06-01T12:00:00Z"});
  const std::string before = region.everything();
  // Away before each layer in turn, and before all of it is to be kept.
  const auto later = brookmark::geodata::source_of(handed_until("2024-12-31"));
  std::vector<std::string> moments = brookmark::geodata::export_layer_names();
  moments.insert(moments.end(), {"survey", "all of it"});
  for (const std::string& moment : moments) {
    CAPTURE(moment);
    BackAgain back;
    brookmark::geodata::PublishOptions options;
    options.progress = [&](const std::string& layer, double) {
      if (layer == moment) back.go();
      return true;
    };
    std::string said;
    try {
      publish_survey(later, region.words(), options);
    } catch (const Error& error) {
      CHECK(error.code() == ErrorCode::kStorage);
      said = error.what();
    }
    CHECK(back.away);
    CHECK(says(said, "the server went away"));
    back.come();
    const bool untouched = region.everything() == before;
    CHECK(untouched);
  }
  publish_survey(later, region.words(), {});
  const bool written = region.everything() != before;
  CHECK(written);
}

TEST_CASE("stopped on the way, nothing is stored") {
  const Region region;
  brookmark::geodata::PublishOptions options;
  options.progress = [](const std::string& layer, double done) { return layer != "visits" || done == 0; };
  CHECK_THROWS_AS(
      publish_survey(brookmark::geodata::source_of(handed_until("2021-12-31")), region.words(), options),
      Error);
  CHECK(region.ask("SELECT count(*) FROM pg_namespace WHERE nspname = 'brookmark'") == "0\n");
}

// BROOKMARK_KILLS says how often; the usual number keeps the suite short.
TEST_CASE("a publishing that is killed at any moment leaves the old rows or the new ones") {
  const Region region;
  const auto old = brookmark::geodata::source_of(handed_until("2021-12-31"));
  const auto later = brookmark::geodata::source_of(handed_until("2024-12-31"));
  const auto count = [&] {
    return region.ask(
        "SELECT (SELECT count(*) FROM brookmark.records), (SELECT count(*) FROM brookmark.visits)");
  };
  publish_survey(later, region.words(), {});
  const std::string new_count = count();
  publish_survey(old, region.words(), {.may_shorten = true});
  const std::string old_count = count();
  REQUIRE(old_count != new_count);
  const auto began = std::chrono::steady_clock::now();
  publish_survey(later, region.words(), {});
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
  std::set<std::string> seen;
  std::uint64_t state = 20240601;
  const char* asked = std::getenv("BROOKMARK_KILLS");
  const auto kills = asked != nullptr ? brookmark::core::parse_integer(asked).value_or(12) : 12;
  for (std::int64_t i = 0; i < kills; ++i) {
    publish_survey(old, region.words(), {.may_shorten = true});
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) publish_and_leave(later, region.words());
    state = state * 6364136223846793005U + 1442695040888963407U;
    const double share = static_cast<double>(state >> 40) / static_cast<double>(1U << 24);
    std::this_thread::sleep_for(took * 1.3 * share);
    kill(child, SIGKILL);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    // The server notices a moment later that its client is gone.
    region.ask("SELECT pg_advisory_xact_lock(hashtext('brookmark brookmark'))");
    const std::string found = count();
    CHECK((found == old_count || found == new_count));
    seen.insert(found);
  }
  // One that is let live writes all of it: the children above were at work.
  publish_survey(old, region.words(), {.may_shorten = true});
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) publish_and_leave(later, region.words());
  int status = 1;
  REQUIRE(waitpid(child, &status, 0) == child);
  CHECK(status == 0);
  CHECK(count() == new_count);
  MESSAGE(kills << " kills; kinds of end seen: " << seen.size());
}

TEST_CASE(
    "no server, no such database, a wrong password and no right are a sentence each, without the password") {
  const Region region;
  region.ask("DROP ROLE IF EXISTS ann; CREATE ROLE ann LOGIN PASSWORD 'kingcup-27'");
  const auto wrong = run({"publish", demo(), by_password(region, "ann", "'marsh marigold'")});
  CHECK(wrong.code == 2);
  CHECK(says(wrong.err, "check that it runs"));
  CHECK(says(wrong.err, "password authentication failed"));
  CHECK_FALSE(says(wrong.err, "marigold"));

  const auto no_right = run({"publish", demo(), by_password(region, "ann", "kingcup-27")});
  CHECK(no_right.code == 3);
  CHECK(says(no_right.err, "this user may not write there"));
  CHECK_FALSE(says(no_right.err, "kingcup"));

  const auto no_base = run({"publish", demo(), by_password(region, "ann", "kingcup-27") + " dbname=nowhere"});
  CHECK(no_base.code == 2);
  CHECK(says(no_base.err, "nowhere"));
  CHECK_FALSE(says(no_base.err, "kingcup"));

  const auto no_server =
      run({"publish", demo(), "PG:host=127.0.0.1 port=1 dbname=x user=ann password=kingcup-27"});
  CHECK(no_server.code == 3);
  CHECK(says(no_server.err, "no connection to the server"));
  CHECK_FALSE(says(no_server.err, "kingcup"));

  const auto malformed = run({"publish", demo(), "PG:dbname=x password=king cup-27"});
  CHECK(malformed.code == 2);
  CHECK(says(malformed.err, "PG:host="));
  CHECK_FALSE(says(malformed.err, "cup-27"));

  // With the right to a schema of their own and no other, a person may publish there.
  region.ask("CREATE SCHEMA ann AUTHORIZATION ann");
  run_well({"publish", demo(), by_password(region, "ann", "kingcup-27"), "--schema", "ann"});
  CHECK(region.ask("SELECT count(*) > 20 FROM ann.sites") == "t\n");
}

TEST_CASE("a database without PostGIS and a table of somebody else's are refused and stay as they are") {
  const Region plain(false);
  const auto no_postgis = run({"publish", demo(), plain.words()});
  CHECK(no_postgis.code == 3);
  CHECK(says(no_postgis.err, "CREATE EXTENSION postgis"));

  const Region region;
  region.ask(
      "CREATE SCHEMA brookmark; CREATE TABLE brookmark.records (song text); INSERT INTO brookmark.records "
      "VALUES ('la')");
  const auto theirs = run({"publish", demo(), region.words()});
  CHECK(theirs.code == 2);
  CHECK(says(theirs.err, "brookmark.records"));
  CHECK(says(theirs.err, "--schema"));
  CHECK(region.ask("SELECT * FROM brookmark.records") == "la\n");
  CHECK(region.ask("SELECT count(*) FROM pg_tables WHERE schemaname = 'brookmark'") == "1\n");

  run_well({"publish", demo(), region.words(), "--schema", "ours"});
  const auto other_system =
      run({"publish", demo(), region.words(), "--schema", "ours", "--crs", "EPSG:3857"});
  CHECK(other_system.code == 2);
  CHECK(says(other_system.err, "one coordinate system"));
  run_well({"publish", demo(), region.words(), "--schema", "in_metres", "--crs", "EPSG:3857"});
  CHECK(region.ask("SELECT DISTINCT ST_SRID(geom) FROM in_metres.sites WHERE geom IS NOT NULL") == "3857\n");
  region.ask("ALTER TABLE ours.outfalls ALTER COLUMN strength TYPE text");
  CHECK(says(run({"publish", demo(), region.words(), "--schema", "ours"}).err, "strength"));
  for (const char* name : {"Ours", "pg_mine", "a b", "1st", "x\";--", ""}) {
    CAPTURE(name);
    CHECK(run({"publish", demo(), region.words(), "--schema", name}).code == 2);
  }
}

TEST_CASE("two who publish at once wait for each other") {
  const Region region;
  const auto source = brookmark::geodata::source_of(handed_until("2021-12-31"));
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) publish_and_leave(source, region.words());
  publish_survey(source, region.words(), {});
  int status = 0;
  REQUIRE(waitpid(child, &status, 0) == child);
  CHECK(status == 0);
  CHECK(region.ask("SELECT count(*) - count(DISTINCT row_key) FROM brookmark.records") == "0\n");
}

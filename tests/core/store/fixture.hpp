// Why: the tests of the store need the same small survey again and again, and a look at a file that does not
// go through the code under test.
// Use: SurveyFile file = small_survey(folder / "a.brook");  CHECK(dump(folder / "a.brook") == before);
#pragma once

#include <doctest/doctest.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/uuid.hpp"
#include "core/store/sqlite.hpp"
#include "core/store/survey_file.hpp"
#include "tests/support/files.hpp"

namespace brookmark::test {

namespace fs = std::filesystem;
using namespace std::string_literals;

inline core::StoreOptions fixed_options(std::uint64_t seed = 1) {
  core::StoreOptions options;
  options.new_key = core::seeded_uuids(seed);
  options.now = [] { return "2024-05-03T08:30:00Z"s; };
  options.device = "test device";
  options.busy_timeout_ms = 50;
  return options;
}

inline core::SurveyInfo small_info() {
  return {"", "Small brook", "invented", "EPSG:4326"};
}

inline core::MultiPolygon square(double west, double south, double size) {
  const core::Line ring{
      {west, south}, {west + size, south}, {west + size, south + size}, {west, south + size}, {west, south}};
  return {{{ring}}};
}

inline core::Site site(const std::string& key, const std::string& code, core::LonLat position = {10, 60}) {
  core::Site s;
  s.key = key;
  s.code = code;
  s.position = position;
  return s;
}

inline core::Visit visit(const std::string& key, const std::string& site_key, const std::string& when) {
  core::Visit v;
  v.key = key;
  v.site_key = site_key;
  v.start = core::parse_moment(when).value();
  return v;
}

inline core::Sample sample(const std::string& key, const std::string& code, const std::string& visit_key) {
  core::Sample s;
  s.key = key;
  s.code = code;
  s.visit_key = visit_key;
  return s;
}

inline core::Record count_record(const std::string& sample_key, const std::string& taxon_key,
                                 std::int64_t count) {
  core::Record r;
  r.sample_key = sample_key;
  r.taxon_key = taxon_key;
  r.verbatim_name = "written "s + taxon_key;
  r.verbatim_quantity = std::to_string(count);
  r.quantity = core::QuantityKind::kCount;
  r.count_min = r.count_max = count;
  return r;
}

inline core::Measurement measurement(const std::string& visit_key, const std::string& quantity,
                                     double value) {
  core::Measurement m;
  m.visit_key = visit_key;
  m.quantity = quantity;
  m.value = value;
  return m;
}

inline core::Outfall outfall(const std::string& code, core::LonLat position = {10, 60}) {
  core::Outfall o;
  o.code = code;
  o.position = position;
  return o;
}

inline core::Taxon taxon(const std::string& key, const std::string& name, const std::string& parent = {}) {
  return {key, name, core::Rank::kFamily, parent, true};
}

// One row of every table.
inline core::EditBatch one_of_each() {
  using namespace core;
  return {
      "import survey",
      "one of each",
      {AddTaxon{taxon("t", "Baetidae")},
       AddWater{{"w", "Mill pond", WaterKind::kPond, square(10, 60, 0.01)}},
       AddSite{site("s", "S1")},
       AddVisit{visit("v", "s", "2024-04-01T09:30+01:00")},
       AddSample{sample("m", "M1", "v")},
       AddRecord{count_record("m", "t", 7)},
       AddMeasurement{measurement("v", "pH", 7.2)},
       AddOutfall{outfall("O1")},
       AddReach{{"r", "Main", {{10, 60}, {10.01, 60.01}}}},
       AddCatchment{{"c", "C1", "All", square(9, 59, 2)}},
       AddPhoto{{"p", "s", "v", "photos/ford.jpg", "from the bridge"}},
       AddLayer{{"l", "Ground", "dem.tif", "nobody's land", LayerLook::kHillshade, true}},
       AddPerson{{"n", "A. Invented", "", true}},
       AddSensitiveTaxon{{"x", "Astacidae", "poaching", Sharing::kBlurred, 1000.0}},
       AddKit{{"k", "NET1", "hand net", "", KitKind::kNet, "A", false}},
       AddKitUse{{"u", "k", "s", "v", *parse_moment("2024-04-01T09:30+01:00"), "no time to dry", ""}},
       AddCleaning{{"cl", "k", *parse_moment("2024-04-02T10:00+01:00"), "hot water", {}, 50.0, 15.0, ""}},
       AddHolding{{"h", "k", "s", "two larvae", "", *parse_date("2024-04-01"), {}, HoldingOutcome::kHeld}},
       AddWaterRisk{
           {"wr", "s", "ranavirus", "warden", "", RiskStatus::kSuspected, *parse_date("2024-03-01")}},
       AddGround{{"g", "garden", "", GroundKind::kPrivate, square(10, 60, 0.01)}}}};
}

inline core::SurveyFile small_survey(const fs::path& path, core::StoreOptions options = fixed_options()) {
  auto file = core::SurveyFile::create(path, small_info(), options);
  file.apply(one_of_each());
  return file;
}

// Every row of every data table and spatial index, read with plain SQLite.
inline std::string dump(const fs::path& path, bool with_log = false) {
  sqlite3* handle = nullptr;
  REQUIRE(sqlite3_open_v2(path.c_str(), &handle, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK);
  const std::unique_ptr<sqlite3, int (*)(sqlite3*)> database(handle, sqlite3_close);
  std::string text;
  for (const std::string table : {"survey",
                                  "taxon",
                                  "water",
                                  "site",
                                  "visit",
                                  "sample",
                                  "record",
                                  "measurement",
                                  "outfall",
                                  "reach",
                                  "catchment",
                                  "photo",
                                  "layer",
                                  "person",
                                  "sensitive_taxon",
                                  "kit",
                                  "kit_use",
                                  "cleaning",
                                  "holding",
                                  "water_risk",
                                  "ground",
                                  "idx_ground_geom",
                                  "idx_water_geom",
                                  "idx_site_geom",
                                  "idx_outfall_geom",
                                  "idx_reach_geom",
                                  "idx_catchment_geom",
                                  "edit_log"}) {
    if (table == "edit_log" && !with_log) continue;
    text += table + "\n";
    sqlite3_stmt* raw = nullptr;
    REQUIRE(sqlite3_prepare_v2(handle, ("SELECT * FROM " + table + " ORDER BY 1").c_str(), -1, &raw,
                               nullptr) == SQLITE_OK);
    const std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> row(raw, sqlite3_finalize);
    while (sqlite3_step(raw) == SQLITE_ROW) {
      for (int i = 0; i < sqlite3_column_count(raw); ++i) {
        text += std::to_string(sqlite3_column_type(raw, i)) + ":";
        const auto* bytes = static_cast<const char*>(sqlite3_column_blob(raw, i));
        text.append(bytes == nullptr ? "" : bytes, static_cast<std::size_t>(sqlite3_column_bytes(raw, i)));
        text += "|";
      }
      text += "\n";
    }
  }
  return text;
}

// SpatiaLite's own opinion about its indexes, and SQLite's about the file.
inline void check_consistent(const fs::path& path) {
  const core::Database database(path, core::OpenMode::kReadWrite, 50);
  for (const char* table : {"water", "site", "outfall", "reach", "catchment", "ground"}) {
    CAPTURE(table);
    CHECK(database.query_integer("SELECT CheckSpatialIndex('"s + table + "', 'geom')") == 1);
  }
  CHECK(database.query_text("PRAGMA integrity_check") == "ok");
}

inline std::pair<ErrorCode, std::string> error_of(const std::function<void()>& action) {
  try {
    action();
  } catch (const Error& error) {
    return {error.code(), error.what()};
  }
  FAIL("no error");
  return {ErrorCode::kStorage, ""};
}

inline bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// A process of its own, without the rights of the superuser (for whom permissions do not hold). `action`
// answers "" for good, or what went wrong; the answer is given back.
inline std::string in_child_without_rights(const std::function<std::string()>& action) {
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    close(ends[0]);
    std::string answer;
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) {
      answer = "could not drop rights";
    } else {
      try {
        answer = action();
      } catch (const std::exception& error) {
        answer = "exception: "s + error.what();
      }
    }
    const auto written = write(ends[1], answer.data(), answer.size());
    _exit(written == static_cast<ssize_t>(answer.size()) ? 0 : 1);
  }
  close(ends[1]);
  std::string answer;
  char buffer[512];
  for (ssize_t got = 0; (got = read(ends[0], buffer, sizeof buffer)) > 0;)
    answer.append(buffer, static_cast<std::size_t>(got));
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) answer += "child died";
  return answer;
}

}  // namespace brookmark::test

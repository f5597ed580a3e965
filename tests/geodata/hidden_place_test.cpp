// A hidden place is looked for in everything that an export writes: first by whether the file changes at all when the place
// moves inside its cell, then by what somebody would look for.
#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <memory>

#include "core/base/text.hpp"
#include "core/store/sqlite.hpp"
#include "geodata/export.hpp"
#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"

using brookmark::core::BlurCell;
using brookmark::core::Database;
using brookmark::core::LonLat;
using brookmark::core::OpenMode;
using brookmark::core::Snapshot;
using brookmark::core::Statement;
using brookmark::geodata::export_survey;
using brookmark::test::read_text;
using brookmark::test::secret_survey;
using brookmark::test::SecretPlaces;
using brookmark::test::TemporaryFolder;
using brookmark::test::with_crayfish;

namespace {

constexpr const char* kClock = "2024-06-01T12:00:00Z";
// The method's own life: shipped methods live as long as the program.
std::shared_ptr<const brookmark::core::Method> default_method() {
  return {&brookmark::core::shipped_methods().front(), [](const auto*) {}};
}

std::string exported(const Snapshot& snapshot, const std::filesystem::path& file,
                     const brookmark::core::SharingRules& rules = {}) {
  const auto handed = brookmark::core::prepare_hand_over(snapshot, default_method(), 0, rules);
  export_survey(brookmark::geodata::source_of(*handed), file, {.overwrite = true, .clock_utc = kClock});
  return read_text(file);
}

std::vector<std::string> texts(const std::filesystem::path& file, const std::string& sql) {
  const Database database(file, OpenMode::kReadOnly, 0);
  Statement row(database, sql);
  std::vector<std::string> found;
  while (row.step()) found.emplace_back(row.is_null(0) ? std::string("NULL") : std::string(row.text(0)));
  return found;
}

// In either order of its bytes.
template <class Number>
bool holds_number(const std::string& bytes, Number value) {
  std::string raw(sizeof value, '\0');
  std::memcpy(raw.data(), &value, sizeof value);
  const std::string turned(raw.rbegin(), raw.rend());
  return bytes.find(raw) != std::string::npos || bytes.find(turned) != std::string::npos;
}

}  // namespace

TEST_CASE("no file changes by a byte when a hidden place moves inside its cell, or a withheld one anywhere") {
  const TemporaryFolder folder;
  const SecretPlaces here;
  SecretPlaces there = here;
  there.brook.lat = 50.0131;
  there.pond = {-30.0344, 50.0281};
  there.spring = {-30.0489, 50.0137};
  for (const auto& [a, b] :
       {std::pair{here.brook, there.brook}, {here.pond, there.pond}, {here.spring, there.spring}})
    REQUIRE(brookmark::core::blur_cell(a, 1000).centre == brookmark::core::blur_cell(b, 1000).centre);
  const Snapshot first = secret_survey(folder / "a.brook", here),
                 second = secret_survey(folder / "b.brook", there);
  for (const char* ending : {".gpkg", ".geojson", ".csv", ".fgb", ".kml", ".gpx", ".zip"}) {
    CAPTURE(ending);
    const bool same = exported(first, folder / (std::string("a") + ending)) ==
                      exported(second, folder / (std::string("b") + ending));
    CHECK(same);
  }
}

TEST_CASE("nothing in a GeoPackage leads back to a hidden place") {
  const TemporaryFolder folder;
  const SecretPlaces at;
  const Snapshot all = secret_survey(folder / "a.brook", at);
  const auto file = folder / "a.gpkg";
  const std::string bytes = exported(all, file);
  // As numbers of either width and order, as an R-tree rounds them, and as text.
  for (const double number : {at.brook.lat, at.pond.lat, at.pond.lon, at.spring.lat, at.spring.lon}) {
    CAPTURE(number);
    CHECK_FALSE(holds_number(bytes, number));
    const auto narrow = static_cast<float>(number);
    for (const float near : {narrow, std::nextafter(narrow, 100.F), std::nextafter(narrow, -100.F)})
      CHECK_FALSE(holds_number(bytes, near));
    CHECK(bytes.find(brookmark::core::format_fixed(number, 4)) == std::string::npos);
  }
  // In words, also in pages that the database does not use any more.
  for (const char* word :
       {"Otter", "Newt Pond", "Nameless", "Hidden Farm", "hidden alder", "Q02", "P01-2023", "W01", "Baker"})
    CHECK_MESSAGE(bytes.find(word) == std::string::npos, std::string(word));
  CHECK(texts(file, "PRAGMA freelist_count") == std::vector<std::string>{"0"});
  CHECK(texts(file, "SELECT name FROM sqlite_master WHERE name LIKE '%log%'").empty());
  // By distances, stretches and falls: none is told of a blurred site.
  CHECK(texts(file,
              "SELECT code FROM sites WHERE place = 'blurred' AND (distance_m IS NOT NULL OR snap_m IS NOT "
              "NULL OR "
              "upstream_outfall IS NOT NULL)")
            .empty());
  CHECK(texts(file, "SELECT site FROM channel_classes WHERE site LIKE 'blurred%'").empty());
  CHECK(texts(file,
              "SELECT 1 FROM drops WHERE upstream_site LIKE 'blurred%' OR downstream_site LIKE 'blurred%'")
            .empty());
  // By the box around it in the index: that of its cell's middle.
  const Database database(file, OpenMode::kReadOnly, 0);
  Statement box(database,
                "SELECT r.minx, r.maxx, r.miny, r.maxy FROM rtree_sites_geom r JOIN sites s ON s.fid = r.id "
                "WHERE s.place = 'blurred' AND s.water_kind = 'stream'");
  REQUIRE(box.step());
  const BlurCell cell = brookmark::core::blur_cell(at.brook, 1000);
  CHECK(box.real(0) <= cell.centre.lon);
  CHECK(box.real(1) >= cell.centre.lon);
  CHECK(box.real(2) <= cell.centre.lat);
  CHECK(box.real(3) >= cell.centre.lat);
  CHECK(box.real(3) - box.real(2) < 1e-4);
  // By what is drawn: no end of a reach, no outline of a water or catchment lies in the cell.
  CHECK(texts(file, "SELECT name FROM waters") == std::vector<std::string>{"Long Lake"});
  CHECK(texts(file, "SELECT count(*) FROM reaches") == std::vector<std::string>{"1"});
  CHECK(texts(file, "SELECT count(*) FROM catchments") == std::vector<std::string>{"0"});
  // And the place is said to be uncertain by as much as it is.
  for (const std::string& told : texts(file, "SELECT accuracy_m FROM sites WHERE place = 'blurred'"))
    CHECK(std::stod(told) >=
          brookmark::core::geodesic_m(cell.centre, {cell.box.min_lon, cell.box.min_lat}) - 1);
}

TEST_CASE("a withheld animal cannot be worked out from what is left of its sample") {
  const TemporaryFolder folder;
  const Snapshot all = with_crayfish(secret_survey(folder / "a.brook"), brookmark::core::Sharing::kWithheld);
  const std::string bytes = exported(all, folder / "a.gpkg");
  CHECK(texts(folder / "a.gpkg", "SELECT count(*) FROM scores WHERE sample = 'Q04-2023'") ==
        std::vector<std::string>{"0"});
  CHECK(texts(folder / "a.gpkg",
              "SELECT count(*) FROM records WHERE sample = 'Q04-2023' OR taxon LIKE 'Austro%'") ==
        std::vector<std::string>{"0"});
  CHECK(texts(folder / "a.gpkg", "SELECT count(*) FROM scores WHERE sample = 'Q04-2024'") !=
        std::vector<std::string>{"0"});
  CHECK(bytes.find("Q04-2023") == std::string::npos);
  CHECK(bytes.find("Austropotamobius") == std::string::npos);
}

TEST_CASE("a visit with a withheld animal leaves no trace: the files are those of a survey without it") {
  const TemporaryFolder folder;
  const auto kWithheld = brookmark::core::Sharing::kWithheld;
  const Snapshot with = with_crayfish(secret_survey(folder / "a.brook"), kWithheld),
                 without =
                     with_crayfish(secret_survey(folder / "b.brook", {.crayfish_visit = false}), kWithheld);
  REQUIRE(with.visits.size() == without.visits.size() + 1);
  for (const char* ending : {".gpkg", ".geojson", ".csv", ".fgb", ".kml", ".gpx", ".zip"}) {
    CAPTURE(ending);
    const bool same = exported(with, folder / (std::string("a") + ending)) ==
                      exported(without, folder / (std::string("b") + ending));
    CHECK(same);
  }
}

TEST_CASE("files of other days, and of other cells, put together do not tell a hidden place") {
  const TemporaryFolder folder;
  const Snapshot all = with_crayfish(secret_survey(folder / "a.brook"), brookmark::core::Sharing::kBlurred);
  const auto q04 = all.find_site("Q04");
  REQUIRE(q04.has_value());
  const LonLat exact = all.sites.position[q04->value()];
  const std::string key(all.sites.key[q04->value()]);
  int number = 0;
  for (const char* from : {"", "2024-01-01", "2030-01-01"})
    for (const double cell_m : {1000.0, 3000.0}) {
      brookmark::core::SharingRules rules{.cell_m = cell_m};
      if (*from != '\0') rules.from = brookmark::core::parse_date(from);
      const auto file = folder / ("q04-" + std::to_string(number++) + ".gpkg");
      const std::string bytes = exported(all, file, rules);
      CHECK(texts(file, "SELECT code FROM sites WHERE uuid = '" + key + "' AND place = 'blurred'").size() ==
            1);
      CHECK_FALSE(holds_number(bytes, exact.lat));
      CHECK(bytes.find("Q04") == std::string::npos);
    }
}

TEST_CASE("cells of different sizes lie within each other, so that two files narrow nothing down") {
  const SecretPlaces at;
  for (const double size : {300.0, 1000.0, 3000.0}) {
    const BlurCell small = brookmark::core::blur_cell(at.brook, 300),
                   cell = brookmark::core::blur_cell(at.brook, size);
    CHECK(cell.box.min_lat <= small.box.min_lat);
    CHECK(cell.box.max_lat >= small.box.max_lat);
    CHECK(cell.box.min_lon <= small.box.min_lon);
    CHECK(cell.box.max_lon >= small.box.max_lon);
  }
}

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

namespace core = brookmark::core;
using brookmark::test::Answer;
using brookmark::test::cell;
using brookmark::test::near;
using brookmark::test::read_text;
using brookmark::test::run;
using brookmark::test::run_well;
using brookmark::test::says;
using brookmark::test::TemporaryFolder;
using brookmark::test::write_text;

namespace {

// A survey, and a layer of a stem, a side stream that stops 0.00003 degrees of longitude short of it, and the
// stem drawn again the other way.
struct Dirty {
  TemporaryFolder folder;
  std::string survey = (folder / "s.brook").string(), layer = (folder / "rivers.geojson").string(),
              report = (folder / "report.csv").string();

  explicit Dirty(const std::string& more = {}) {
    run_well({"new", survey, "--title", "T"});
    const auto line = [](const char* name, const char* points) {
      return std::string(R"({"type":"Feature","properties":{"name":")") + name +
             R"("},"geometry":{"type":"LineString","coordinates":)" + points + "}}";
    };
    write_text(layer, R"({"type":"FeatureCollection","features":[)" +
                          line("Stem", "[[-38,40.01],[-38,40.005],[-38,40]]") + "," +
                          line("Side", "[[-38.01,40.004],[-38.00003,40.004]]") + "," +
                          line("Again", "[[-38,40],[-38,40.005],[-38,40.01]]") + more + "]}");
  }
  std::vector<core::Reach> reaches() const {
    return core::SurveyFile::open(survey, core::Access::kRead).read().reaches;
  }
};

// One degree of longitude at 40.004 degrees north: N cos(lat) pi / 180 with N = a / sqrt(1 - e2 sin2(lat)) =
// 6386979.7 m on WGS 84, so 85389.6 m; 0.00003 degrees are 2.562 m.
constexpr double kGapM = 2.562;

const std::string kDot =
    R"(,{"type":"Feature","properties":{"name":"Dot"},"geometry":{"type":"LineString","coordinates":[[-38,40],[-38,40]]}})";

}  // namespace

TEST_CASE("without --mend lines are stored as drawn, and the report tells what is wrong and not done") {
  const Dirty dirty;
  const Answer answer =
      run_well({"import", dirty.survey, "watercourses", dirty.layer, "--report", dirty.report});
  CHECK(says(answer.err, "end short of a line: 1, would be mended with --mend: 1"));
  CHECK(says(answer.err, "reach drawn twice: 1, would be mended with --mend: 1"));
  const auto reaches = dirty.reaches();
  REQUIRE(reaches.size() == 3);
  for (const core::Reach& reach : reaches) CHECK(reach.note.empty());
  const core::Table table = core::read_csv(read_text(dirty.report), "report");
  CHECK(table.columns == std::vector<std::string>{"severity", "what", "lon", "lat", "distance_m", "reach",
                                                  "feature", "done", "text", "remedy"});
  REQUIRE(table.rows.size() == 2);
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "done") == "no");
    CHECK_FALSE(cell(table, row, "remedy").empty());
  }
}

TEST_CASE("with --mend the mended lines are one edit with notes, and undo takes it back whole") {
  const Dirty dirty(kDot);
  const Answer answer =
      run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--report", dirty.report});
  CHECK(says(answer.err, "imported 2 reaches"));
  CHECK(says(answer.err, "line of no length: 1, mended: 1"));
  const auto reaches = dirty.reaches();
  REQUIRE(reaches.size() == 2);
  std::size_t noted = 0;
  for (const core::Reach& reach : reaches) {
    if (reach.name != "Side") {
      CHECK(reach.name == "Stem");
      continue;
    }
    ++noted;
    REQUIRE(reach.line.size() == 3);
    CHECK(reach.line[1] == core::LonLat{-38.00003, 40.004});  // what was drawn stays
    CHECK(near(reach.line[2].lon, -38, 1e-8));                // a millimetre
    CHECK(says(reach.note, "Mended: it is led on to"));
  }
  CHECK(noted == 1);
  const core::Table table = core::read_csv(read_text(dirty.report), "report");
  bool found = false;
  for (const core::TableRow& row : table.rows) {
    CHECK(cell(table, row, "done") == "yes");
    if (cell(table, row, "what") != "end short of a line") continue;
    found = true;
    CHECK(near(*core::parse_number(cell(table, row, "distance_m")), kGapM, 0.001));
    CHECK(near(*core::parse_number(cell(table, row, "lon")), -38.00003, 1e-7));
    CHECK(cell(table, row, "reach") == "2");
    CHECK(cell(table, row, "feature") == "2");
  }
  CHECK(found);
  // Mended, it has nothing that check would warn of, and imported again it has nothing new.
  CHECK(says(run({"import", dirty.survey, "watercourses", dirty.layer, "--mend"}).err,
             "nothing was imported: every line was left out"));
  run_well({"undo", dirty.survey});
  CHECK(dirty.reaches().empty());
}

TEST_CASE("check tells of stored reaches what the import told of lines") {
  const Dirty dirty;
  run_well({"import", dirty.survey, "watercourses", dirty.layer});
  const Answer answer = run({"check", dirty.survey});
  CHECK(answer.code == 1);
  CHECK(says(answer.out, "reach drawn twice"));
  CHECK(says(answer.out, "end short of a line"));
  const Dirty clean;
  run_well({"import", clean.survey, "watercourses", clean.layer, "--mend"});
  CHECK(run({"check", clean.survey}).code == 0);
}

TEST_CASE("a dry run mends nothing and still writes the report") {
  const Dirty dirty;
  const Answer answer = run_well(
      {"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--dry-run", "--report", dirty.report});
  CHECK(dirty.reaches().empty());
  CHECK_FALSE(read_text(dirty.report).empty());
}

TEST_CASE(
    "a smaller tolerance leaves the gap, and the options of mending are refused where they have no sense") {
  const Dirty dirty;
  run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--tolerance", "2.5"});
  for (const core::Reach& reach : dirty.reaches()) CHECK(reach.line.size() == (reach.name == "Side" ? 2 : 3));
  CHECK(run({"import", dirty.survey, "sites", dirty.layer, "--mend"}).code == 2);
  CHECK(run({"import", dirty.survey, "watercourses", dirty.layer, "--tolerance", "-1"}).code == 2);
  CHECK(run({"import", dirty.survey, "watercourses", dirty.layer, "--direction", "uphill"}).code == 2);
  const Answer place = run({"import", dirty.survey, "watercourses", dirty.layer, "--join-at", "north"});
  CHECK(place.code == 2);
  CHECK(says(place.err, "--join-at LON,LAT"));
  const Answer report = run({"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--report",
                             (dirty.folder / "none" / "r.csv").string()});
  CHECK(report.code == 3);
  CHECK(says(report.err, "could not be written"));
}

TEST_CASE("with a terrain model the line that climbs is turned, and undone with the import") {
  const Dirty dirty;
  // Heights fall by 10 m a cell of 0.005 degrees from south to north: the stem, drawn southwards, climbs.
  write_text(dirty.folder / "dem.asc",
             "ncols 5\nnrows 4\nxllcorner -38.015\nyllcorner 39.995\ncellsize 0.005\n"
             "100 100 100 100 100\n110 110 110 110 110\n120 120 120 120 120\n130 130 130 130 130\n");
  write_text(dirty.folder / "dem.prj",
             R"(GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],)"
             R"(PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]])");
  const std::string dem = (dirty.folder / "dem.asc").string();
  const Answer answer = run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend",
                                  "--direction", "terrain", "--terrain", dem, "--report", dirty.report});
  CHECK(says(answer.err, "drawn against the flow?: 1, mended: 1"));
  for (const core::Reach& reach : dirty.reaches()) {
    if (reach.name != "Stem") continue;
    CHECK(reach.line.front() == core::LonLat{-38, 40});
    CHECK(reach.line.back() == core::LonLat{-38, 40.01});
    CHECK(says(reach.note, "climbs"));
    CHECK(says(reach.note, "turned round"));
  }
  CHECK(run({"import", dirty.survey, "watercourses", dirty.layer, "--direction", "terrain"}).code == 2);
  CHECK(run({"import", dirty.survey, "watercourses", dirty.layer, "--terrain", dem}).code == 2);
  CHECK(run({"import", dirty.survey, "watercourses", dirty.layer, "--direction", "terrain", "--terrain",
             (dirty.folder / "none.tif").string()})
            .code == 2);
}

TEST_CASE("watercourses far from every site come in with a warning, an empty layer is refused") {
  const Dirty dirty;
  write_text(dirty.folder / "sites.csv", "code,longitude,latitude\nS1,-36,40\n");
  run_well({"import", dirty.survey, "sites", (dirty.folder / "sites.csv").string()});
  const Answer far = run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend"});
  // From -38 to -36 degrees at 40 north: 2 x 85.4 km.
  CHECK(says(far.err, "lie 171 km from the nearest site"));
  write_text(dirty.folder / "empty.geojson", R"({"type":"FeatureCollection","features":[]})");
  const Answer empty =
      run({"import", dirty.survey, "watercourses", (dirty.folder / "empty.geojson").string(), "--mend"});
  CHECK(empty.code == 2);
  CHECK(says(empty.err, "is empty"));
}

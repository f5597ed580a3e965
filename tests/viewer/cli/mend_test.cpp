#include <doctest/doctest.h>

#include <filesystem>
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
  CHECK(says(answer.err, "but for the report nothing was written (--dry-run)"));
}

TEST_CASE("a report never replaces what it was made from, and another file only when told") {
  const Dirty dirty;
  const std::filesystem::path link = dirty.folder / "link.csv", hard = dirty.folder / "hard.csv",
                              round_about = dirty.folder / "." / "rivers.geojson";
  std::filesystem::create_symlink(dirty.survey, link);
  std::filesystem::create_hard_link(dirty.layer, hard);
  const std::string survey = read_text(dirty.survey), layer = read_text(dirty.layer);
  for (const std::string& out :
       {dirty.survey, dirty.layer, link.string(), hard.string(), round_about.string()})
    for (const bool force : {false, true})
      for (const bool dry : {false, true}) {
        CAPTURE(out);
        std::vector<std::string> words{"import",   dirty.survey, "watercourses", dirty.layer, "--mend",
                                       "--report", out};
        if (force) words.push_back("--force");
        if (dry) words.push_back("--dry-run");
        const Answer answer = run(words);
        CHECK(answer.code == 2);
        CHECK(says(answer.err, "choose another name"));
        CHECK(read_text(dirty.survey) == survey);
        CHECK(read_text(dirty.layer) == layer);
      }
  write_text(dirty.report, "mine");
  std::vector<std::string> words{"import", dirty.survey, "watercourses", dirty.layer,
                                 "--mend", "--dry-run",  "--report",     dirty.report};
  CHECK(run(words).code == 2);
  CHECK(read_text(dirty.report) == "mine");
  words.push_back("--force");
  run_well(words);
  CHECK(says(read_text(dirty.report), "severity"));
}

TEST_CASE("a place to be joined where nothing crosses is refused, and nothing is stored") {
  const Dirty dirty(
      R"(,{"type":"Feature","properties":{"name":"Leat"},"geometry":{"type":"LineString","coordinates":[[-38.01,40.008],[-37.99,40.008]]}})");
  const Answer far =
      run({"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--join-at", "-38.5,40.008"});
  CHECK(far.code == 2);
  CHECK(says(far.err, "no crossing of these lines within 5 m of -38.500000, 40.008000"));
  CHECK(dirty.reaches().empty());
  run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend", "--join-at", "-38,40.008"});
  CHECK(dirty.reaches().size() == 4);  // the leat in two parts, whose ends lie on the stem
}

TEST_CASE("one line of no length keeps the layer out, says what helps, and is counted") {
  const Dirty dirty(kDot);
  const Answer answer = run({"import", dirty.survey, "watercourses", dirty.layer, "--report", dirty.report});
  CHECK(answer.code == 2);
  CHECK(dirty.reaches().empty());
  CHECK(says(answer.err, "import with --mend, which leaves such lines out"));
  CHECK(says(answer.err, "line of no length: 1, would be mended with --mend: 1"));
  CHECK(says(read_text(dirty.report), "The line of feature 4 of the file has no length."));
}

TEST_CASE("findings call a line by its feature in the file, whatever was left out before it") {
  const Dirty dirty;
  const std::string text = read_text(dirty.layer);
  // A line of no length first: the side stream is then the third feature.
  write_text(dirty.layer, R"({"type":"FeatureCollection","features":[)" + kDot.substr(1) + "," +
                              text.substr(text.find("[{") + 1));
  run({"import", dirty.survey, "watercourses", dirty.layer, "--skip-bad", "--report", dirty.report});
  const core::Table table = core::read_csv(read_text(dirty.report), "report");
  bool found = false;
  for (const core::TableRow& row : table.rows) {
    if (cell(table, row, "what") != "end short of a line") continue;
    found = true;
    CHECK(cell(table, row, "reach") == "3");
    CHECK(cell(table, row, "feature") == "3");
    CHECK(says(cell(table, row, "text"), "feature 3 of the file (Side)"));
  }
  CHECK(found);
}

TEST_CASE("what says how to mend is refused where nothing is mended and nobody looks") {
  const Dirty dirty;
  for (const std::vector<std::string>& more : std::vector<std::vector<std::string>>{
           {"--direction", "majority"}, {"--join-crossings"}, {"--remove-stubs"}, {"--tolerance", "3"}}) {
    std::vector<std::string> words{"import", dirty.survey, "watercourses", dirty.layer};
    words.insert(words.end(), more.begin(), more.end());
    const Answer answer = run(words);
    CHECK(answer.code == 2);
    CHECK(says(answer.err, "add --mend"));
    CHECK(dirty.reaches().empty());
  }
}

TEST_CASE("reaches lists order, length upstream and way to the mouth of every reach") {
  const Dirty dirty;
  CHECK(run({"reaches", dirty.survey}).code == 1);
  run_well({"import", dirty.survey, "watercourses", dirty.layer, "--mend"});
  const core::Table table = run_well({"reaches", dirty.survey}).table();
  CHECK(table.columns == std::vector<std::string>{"reach", "name", "length_m", "two_way", "stream_order",
                                                  "upstream_m", "to_mouth_m", "note"});
  REQUIRE(table.rows.size() == 2);
  for (const core::TableRow& row : table.rows) {
    const bool stem = cell(table, row, "name") == "Stem";
    CHECK(cell(table, row, "stream_order") == (stem ? "2" : "1"));  // the side joins the stem above its end
    // From 40.004 to 40 degrees north on one meridian: 0.004 degrees of 111,035 m.
    CHECK(near(*core::parse_number(cell(table, row, "to_mouth_m")), stem ? 0 : 444.14, 0.1));
  }
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
  CHECK(report.code == 2);
  CHECK(says(report.err, "make it first"));
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

// The verb as a user types it, on the reference's fractal terrain.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <thread>

#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

const std::string kDem = reference("terrain/fractal_500.tif").string();
// Outlets 1 and 2 of tests/reference/terrain/ref_basins.csv.
const std::string kFirst = "504365,4498245", kSecond = "503845,4496215";

double value(const core::Table& table, std::size_t row, const std::string& column) {
  const auto number = core::parse_number(cell(table, table.rows[row], column));
  REQUIRE(number);
  return *number;
}

std::size_t files_in(const TemporaryFolder& folder) {
  std::size_t n = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder.path())) ++n;
  return n;
}

}  // namespace

TEST_CASE("terrain answers with the catchments of its outlets") {
  const Answer answer = run_well({"terrain", kDem, "--outlet", kFirst, "--outlet", kSecond});
  const core::Table table = answer.table();
  REQUIRE(table.rows.size() == 2);
  CHECK(near_relative(value(table, 0, "cells"), 17891, 0.002));
  CHECK(near_relative(value(table, 0, "area_km2"), 1.7891, 0.002));
  CHECK(near_relative(value(table, 1, "cells"), 17353, 0.002));
  CHECK(value(table, 0, "snap_m") <= 0.1);
  CHECK(near(value(table, 0, "snapped_x"), 504365, 0));  // given is the centre of a channel cell
  CHECK(cell(table, table.rows[0], "inside").empty());
}

TEST_CASE("without outlets terrain tells what the model holds") {
  const core::Table table = run_well({"terrain", kDem}).table();
  REQUIRE(table.rows.size() == 1);
  CHECK(value(table, 0, "cells") == 250000);
  CHECK(near(value(table, 0, "area_km2"), 25, 1e-9));
  CHECK(value(table, 0, "depressions") > 0);
}

TEST_CASE("what terrain writes never replaces the terrain model, not even when told to replace files") {
  const TemporaryFolder folder;
  const std::string dem = (folder / "dem.tif").string(), link = (folder / "link.tif").string();
  std::filesystem::copy_file(kDem, dem);
  std::filesystem::create_symlink(dem, link);
  const std::string before = read_text(dem);
  for (const std::string& out : {dem, link}) {
    const Answer answer = run({"terrain", dem, "--hillshade", out, "--force"});
    CHECK(answer.code == 2);
    CHECK(says(answer.err, "choose another name"));
    CHECK(read_text(dem) == before);
  }
}

TEST_CASE("channels and catchments go through a file into a survey") {
  for (const std::string ending : {"gpkg", "geojson", "shp", "fgb"}) {
    CAPTURE(ending);
    const TemporaryFolder folder;
    const std::string streams = (folder / ("streams." + ending)).string();
    const std::string catchments = (folder / ("catchments." + ending)).string();
    // The second point lies upstream of the first on the same channel or beside it: areas nest or are apart.
    const core::Table rows =
        run_well({"terrain", kDem, "--outlet", kFirst, "--outlet", kSecond, "--threshold", "500", "--streams",
                  streams, "--catchments", catchments})
            .table();
    const std::string survey = (folder / "s.brook").string();
    run_well({"new", survey, "--title", "t"});
    run_well({"import", survey, "watercourses", streams});
    run_well({"import", survey, "catchments", catchments});
    const core::Snapshot s = core::SurveyFile::open(survey, core::Access::kRead).read();
    const core::Table lines = geodata::read_layer(streams, {});
    CHECK(s.reaches.size() == lines.rows.size());
    CHECK(s.reaches.size() > 20);
    REQUIRE(s.catchments.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      CHECK(s.catchments[i].code == cell(rows, rows.rows[i], "outlet"));
      // On the ellipsoid: the plane of UTM is 0.9996 long at its meridian, so 1.0008 in area.
      CHECK(near_relative(core::area_m2(s.catchments[i].shape), value(rows, i, "area_km2") * 1e6 * 1.0008,
                          0.0002));
    }
    // Every reach that names another one ends exactly where that one starts.
    std::size_t joined = 0;
    for (const core::TableRow& row : lines.rows) {
      const std::string below = cell(lines, row, "downstream");
      if (below.empty()) continue;
      for (const core::TableRow& other : lines.rows) {
        if (cell(lines, other, "reach") != below) continue;
        const auto& from = std::get<std::vector<core::Line>>(row.shape)[0];
        const auto& to = std::get<std::vector<core::Line>>(other.shape)[0];
        CHECK(from.back() == to.front());
        ++joined;
      }
    }
    CHECK(joined > 10);
  }
}

TEST_CASE("sites of a survey are outlets by their codes; one outside the terrain is said to be so") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  write_text(folder / "sites.csv", "site,lat,lon,kind\nIN,40.635,3.045,stream\nOUT,45,-30,stream\n");
  run_well({"import", survey, "sites", (folder / "sites.csv").string()});
  const Answer answer = run({"terrain", kDem, "--survey", survey, "--snap-limit", "1000"});
  CHECK(answer.code == 1);
  const core::Table table = answer.table();
  REQUIRE(table.rows.size() == 2);
  CHECK(value(table, 0, "cells") >= 1000);
  CHECK(says(cell(table, table.rows[1], "note"), "outside the terrain model"));
  CHECK(cell(table, table.rows[1], "cells").empty());
}

TEST_CASE("sub-catchments between outlets do not overlap and make up the whole") {
  const TemporaryFolder folder;
  const std::string streams = (folder / "streams.gpkg").string();
  run_well({"terrain", kDem, "--streams", streams});
  // A reach's first and last place: one lies upstream of the other.
  const core::Table lines = geodata::read_layer(streams, {});
  std::vector<std::string> words{"terrain", kDem, "--catchments", (folder / "parts.gpkg").string(),
                                 "--between"};
  const std::string whole = kFirst;
  words.insert(words.end(), {"--outlet", whole, "--outlet", "504295,4498335", "--outlet", whole});
  const Answer answer = run_well(words);
  const core::Table table = answer.table();
  double own = 0;
  for (std::size_t i = 0; i < 3; ++i) own += value(table, i, "own_cells");
  CHECK(value(table, 0, "cells") <= own);
  CHECK(cell(table, table.rows[2], "note") == "on the same cell as 1");
  CHECK(value(table, 2, "cells") == value(table, 0, "cells"));
  CHECK(geodata::read_layer(folder / "parts.gpkg", {}).rows.size() == 2);
}

TEST_CASE("a hillshade is written beside, and nothing is overwritten unasked") {
  const TemporaryFolder folder;
  const std::string shade = (folder / "shade.tif").string();
  run_well({"terrain", kDem, "--hillshade", shade});
  CHECK(std::filesystem::file_size(shade) > 1000);
  const Answer again = run({"terrain", kDem, "--hillshade", shade});
  CHECK(again.code == 2);
  CHECK(says(again.err, "exists already"));
  run_well({"terrain", kDem, "--hillshade", shade, "--force"});
  CHECK(files_in(folder) == 1);
}

TEST_CASE("wrong words for terrain get a sentence, and no file is left") {
  const TemporaryFolder folder;
  const auto refused = [&](std::vector<std::string> words, const std::string& sentence) {
    words.insert(words.begin(), "terrain");
    const Answer answer = run(words);
    CHECK(answer.code == 2);
    CHECK_MESSAGE(says(answer.err, sentence), answer.err);
    CHECK(answer.out.empty());
  };
  const std::string out = (folder / "c.gpkg").string();
  refused({kDem, "--outlet", "1,2"}, "lies outside the terrain model, which spans x 500000.00 to 505000.00");
  refused({kDem, "--outlet", "north"}, "is not a point; write --outlet X,Y");
  refused({kDem, "--catchments", out}, "give --outlet X,Y");
  refused({kDem, "--streams", (folder / "a.nothing").string()}, "no vector format with this ending");
  refused({kDem, "--streams", out, "--catchments", out, "--outlet", kFirst}, "need a file each");
  refused({kDem, "--hillshade", (folder / "a.png").string()}, "GeoTIFF");
  refused({(folder / "none.tif").string()}, "there is no such file");
  refused({kDem, "--threshold", "0"}, "threshold");
  refused({reference("terrain/volcano_10m.tif").string()}, "does not say its coordinate system");
  CHECK(files_in(folder) == 0);
}

TEST_CASE("an outlet far from every channel is listed without a catchment") {
  const Answer answer = run({"terrain", kDem, "--outlet", kFirst, "--threshold", "200000"});
  CHECK(answer.code == 1);
  CHECK(says(answer.out, "no channel of 200000 cells within 250 m"));
}

TEST_CASE("an interrupt stops terrain and leaves no file, not even a temporary one") {
  const TemporaryFolder folder;
  const auto before = std::signal(SIGINT, SIG_IGN);
  std::atomic<bool> ended{false};
  std::thread impatient([&] {
    while (!ended) {
      kill(getpid(), SIGINT);
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
  });
  const Answer answer = run({"terrain", kDem, "--hillshade", (folder / "h.tif").string(), "--streams",
                             (folder / "s.gpkg").string()});
  ended = true;
  impatient.join();
  std::signal(SIGINT, before);
  CHECK(answer.code == 3);
  CHECK(says(answer.err, "stopped before the end; nothing was written"));
  CHECK(answer.out.empty());
  CHECK(files_in(folder) == 0);
  run_well({"terrain", kDem});  // and the next one runs
}

TEST_CASE("an exact outlet keeps its own cell, and its flow path leads to the channel and into a survey") {
  const TemporaryFolder folder;
  const std::string paths = (folder / "paths.gpkg").string();
  // A place off the channel: 300 m from outlet 1, on a hillside of the reference's terrain.
  const std::string hillside = "504065,4498245";
  const core::Table moved =
      run_well({"terrain", kDem, "--outlet", hillside, "--threshold", "500", "--snap-limit", "2000"}).table();
  const core::Table exact = run_well({"terrain", kDem, "--outlet", hillside, "--threshold", "500", "--exact",
                                      "--flow-paths", paths})
                                .table();
  CHECK(value(moved, 0, "snap_m") > 10);
  CHECK(value(moved, 0, "cells") >= 500);  // on a channel
  CHECK(value(exact, 0, "snap_m") == 0);
  CHECK(value(exact, 0, "cells") < 500);  // what drains to a place beside the channel
  CHECK(near(value(exact, 0, "snapped_x"), 504065, 0));
  const std::string survey = (folder / "s.brook").string();
  run_well({"new", survey, "--title", "t"});
  run_well({"import", survey, "watercourses", paths});
  CHECK(core::SurveyFile::open(survey, core::Access::kRead).read().reaches.size() == 1);
  CHECK(run({"terrain", kDem, "--flow-paths", paths}).code == 2);  // from where?
}

TEST_CASE("a point on a channel cell stays there whatever the limit, and a survey elsewhere is refused") {
  const core::Table table =
      run_well({"terrain", kDem, "--outlet", "504367,4498243", "--snap-limit", "0"}).table();
  CHECK(near_relative(value(table, 0, "cells"), 17891, 0.002));
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string(), out = (folder / "c.gpkg").string();
  run_well({"demo", survey});
  const Answer answer = run({"terrain", kDem, "--survey", survey, "--catchments", out});
  CHECK(answer.code == 2);
  CHECK(says(answer.err, "no site of the survey lies on the terrain model"));
  CHECK_FALSE(std::filesystem::exists(out));
}

TEST_CASE("distance follows the water of a pond over the ground, within what was asked") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string(), streams = (folder / "s.gpkg").string();
  run_well({"terrain", kDem, "--streams", streams, "--threshold", "500"});
  run_well({"new", survey, "--title", "t"});
  run_well({"import", survey, "watercourses", streams});
  const core::Snapshot drawn = core::SurveyFile::open(survey, core::Access::kRead).read();
  // An outfall at the end of the longest reach, a pond on the hillside.
  std::size_t longest = 0;
  for (std::size_t i = 0; i < drawn.reaches.size(); ++i)
    if (core::length_m(drawn.reaches[i].line) > core::length_m(drawn.reaches[longest].line)) longest = i;
  const core::LonLat mouth = drawn.reaches[longest].line.back();
  const core::LonLat head = drawn.reaches[longest].line.front();
  const auto place = [](core::LonLat at) {
    return core::format_number(at.lon) + "," + core::format_number(at.lat);
  };
  write_text(folder / "o.csv", "outfall,lon,lat\nO1," + place(mouth) + "\n");
  // Some 400 m from the reach's head, where no channel is near.
  write_text(folder / "p.csv",
             "site,kind,lon,lat\nP,pond," + place({head.lon + 0.0008, head.lat + 0.0036}) + "\n");
  run_well({"import", survey, "outfalls", (folder / "o.csv").string()});
  run_well({"import", survey, "sites", (folder / "p.csv").string()});
  const Answer plain = run({"distance", survey, "--site", "P"});
  CHECK(plain.code == 1);
  const Answer answer = run({"distance", survey, "--site", "P", "--terrain", kDem});
  CHECK(says(answer.out, "over the ground"));
  const Answer upstream =
      run({"distance", survey, "--site", "P", "--terrain", kDem, "--direction", "upstream"});
  CHECK(upstream.code == 1);
  CHECK(says(upstream.out, "upstream of a place on no channel cannot be known"));
  const Answer near_only = run({"distance", survey, "--site", "P", "--terrain", kDem, "--within", "1"});
  CHECK(near_only.code == 1);
  CHECK(near_only.table().rows.size() == 1);
}

// The verbs that say where to sample next, and whether it is enough.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/cli/run_cli.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

double number_in(const core::Table& table, const core::TableRow& row, const char* column) {
  const auto value = core::parse_number(cell(table, row, column));
  REQUIRE_MESSAGE(value.has_value(), "no number in " << column);
  return *value;
}

std::string own_demo(const TemporaryFolder& folder) {
  const std::string survey = (folder / "own.brook").string();
  std::filesystem::copy_file(demo(), survey);
  return survey;
}

// The demo as it was before its ground was brought in.
std::string bare_demo(const TemporaryFolder& folder) {
  const std::string survey = own_demo(folder);
  for (int edits = 0; edits < 9; ++edits)
    if (says(run_well({"undo", survey}).err, "import ground")) return survey;
  FAIL("the demo has no ground");
  return survey;
}

}  // namespace

TEST_CASE(
    "suggest spreads as many spots as asked, the same for a seed, each with reason, chance and reminder") {
  const Answer first = run_well({"suggest", demo(), "--purpose", "spread", "--count", "8", "--seed", "4"});
  const core::Table table = first.table();
  REQUIRE(table.rows.size() == 8);
  for (const char* column : {"suggestion", "purpose", "longitude", "latitude", "water", "reason",
                             "outfall_above", "outfall_above_m", "site_above", "nearest_site", "upstream_m",
                             "catchment", "chance", "weight", "note", "reminder"})
    CHECK_MESSAGE(table.find(column).has_value(), column);
  for (const core::TableRow& row : table.rows) {
    CHECK(near(number_in(table, row, "chance") * number_in(table, row, "weight"), 1,
               1e-3));  // printed to so many digits
    CHECK(says(cell(table, row, "reason"), "; it stands for "));
    CHECK(says(cell(table, row, "reminder"), "landowner"));
    CHECK(number_in(table, row, "upstream_m") > 0);
    CHECK(cell(table, row, "stands_for_waters").empty());
  }
  CHECK(run_well({"suggest", demo(), "--purpose", "spread", "--count", "8", "--seed", "4"}).out == first.out);
  CHECK(run_well({"suggest", demo(), "--purpose", "spread", "--count", "8", "--seed", "5"}).out != first.out);
  CHECK(says(first.err, "landowner"));
  CHECK(says(first.err, "the land upstream (upstream_km2) is not given: it takes a terrain model"));
}

TEST_CASE("8 spots and the sites that are there share all channel by number") {
  const TemporaryFolder folder;
  const std::string bare = bare_demo(folder);
  const Answer spread = run_well({"suggest", bare, "--purpose", "spread", "--count", "8"});
  const core::Table spots = spread.table(), reaches = run_well({"reaches", bare}).table();
  double stands_for = 0, channel = 0;
  for (const core::TableRow& row : spots.rows) stands_for += number_in(spots, row, "stands_for_m");
  for (const core::TableRow& row : reaches.rows) channel += number_in(reaches, row, "length_m");
  const double sites = 8 * (channel / stands_for - 1);
  CHECK(near(sites, std::round(sites), 0.01));
  CHECK(says(spread.err, "of 23.9 km of channel the 8 new spots stand for "));
  CHECK(says(spread.err, " and the " + std::to_string(std::lround(sites)) + " sites that are there for "));
}

TEST_CASE("every other purpose answers on the demo survey, with its own reasons") {
  const core::Table gap = run_well({"suggest", demo(), "--purpose", "gap", "--count", "3"}).table();
  REQUIRE(gap.rows.size() == 3);
  CHECK(says(cell(gap, gap.rows[0], "reason"), "of which nothing is known"));
  const Answer bracket =
      run_well({"suggest", demo(), "--purpose", "bracket", "--mixing", "150", "--outfall", "OUT-3"});
  CHECK(says(bracket.out, "control 103 m above OUT-3, with no other outfall between"));
  CHECK(says(bracket.err, "site P01 stands where a spot below OUT-3 should"));
  const Answer narrow = run_well({"suggest", demo(), "--purpose", "narrow", "--between", "Q03,Q04"});
  CHECK(narrow.table().rows.size() == 1);
  CHECK(says(narrow.out, "OUT-2"));
  CHECK(says(narrow.err, "visits that may still be needed after this, at worst: "));
  const Answer variety = run_well({"suggest", demo(), "--purpose", "variety", "--count", "4"});
  CHECK(variety.table().rows.size() == 4);
  CHECK(says(variety.err, "standard deviations of these spots apart"));
}

TEST_CASE("over channels and waters together each is told in its own unit") {
  const TemporaryFolder folder;
  const Answer both = run_well({"suggest", bare_demo(folder), "--purpose", "spread", "--over", "both",
                                "--count", "9", "--ignore-sites"});
  const core::Table table = both.table();
  double waters = 0, metres = 0;
  for (const core::TableRow& row : table.rows) {
    const bool water = cell(table, row, "stratum") == "waters";
    CHECK(cell(table, row, "stands_for_m").empty() == water);
    CHECK(cell(table, row, "stands_for_waters").empty() != water);
    (water ? waters : metres) += number_in(table, row, water ? "stands_for_waters" : "stands_for_m");
  }
  CHECK(near(waters, 3, 0.01));  // three ponds
  CHECK(near(metres, 23'900, 100));
}

TEST_CASE(
    "--clear and --mixing keep the spots of a narrowing away from outfalls, and go with no other purpose") {
  const auto distances = [&](std::vector<std::string> more) {
    more.insert(more.begin(),
                {"suggest", demo(), "--purpose", "narrow", "--between", "Q03,Q04", "--count", "5"});
    return run_well(more);
  };
  const Answer usual = distances({});
  CHECK(says(usual.err, "no mixing distance was said: spots keep 100 m below outfalls, for which no single"));
  const auto nearest = [](const Answer& answer) {
    const core::Table table = answer.table();
    double least_m = 1e9;
    for (const core::TableRow& row : table.rows)
      for (const char* column : {"outfall_above_m", "outfall_below_m"})
        if (!cell(table, row, column).empty()) least_m = std::min(least_m, number_in(table, row, column));
    return least_m;
  };
  CHECK(nearest(usual) >= 100);
  const double closer_m = nearest(distances({"--clear", "60", "--mixing", "60"}));
  CHECK((closer_m >= 60 && closer_m < 100));
  const Answer spread = run({"suggest", demo(), "--purpose", "spread", "--mixing", "50"});
  CHECK(spread.code == 2);
  CHECK(says(spread.err, "--mixing and --clear go with --purpose gap, bracket and narrow"));
}

TEST_CASE("bad input to suggest is a sentence each") {
  const auto refused = [](std::vector<std::string> words, const std::string& part, int code = 2) {
    words.insert(words.begin(), {"suggest", demo(), "--purpose"});
    const Answer answer = run(words);
    CHECK(answer.code == code);
    CHECK_MESSAGE(says(answer.err, part), part << " in " << answer.err);
    CHECK(answer.out.empty());
  };
  refused({"bracket"}, "no single published distance exists");
  refused({"bracket", "--mixing", "100", "--outfall", "OUT-99"}, "there is no outfall \"OUT-99\"");
  refused({"spread", "--within", "NOWHERE"}, "there is no catchment \"NOWHERE\"; there are ");
  refused({"spread", "--within", "0,0,500"}, "no channel lies in the circle 0,0,500");
  refused({"spread", "--over", "waters", "--within", "0,0,500"},
          "no water with a shape lies in the circle 0,0,500; choose another area");
  refused({"gap", "--within", "0,0,500"}, "no channel lies in the circle 0,0,500");
  const TemporaryFolder folder;
  const std::string bare = bare_demo(folder);
  const Answer walk = run({"suggest", bare, "--purpose", "spread", "--walk", "300"});
  CHECK(walk.code == 2);
  CHECK(says(walk.err, "the survey has none; bring them in"));
  CHECK(says(
      run_well({"suggest", bare, "--purpose", "spread"}).err,
      "nothing is recorded about private ground, unsafe stretches, roads and bridges or places of access"));
  refused({"narrow", "--between", "Q03"}, "--between wants the upper and the lower site");
  refused({"narrow", "--between", "Q04,Q03"}, "no water runs from Q04 to Q03: Q03 lies above");
  refused({"variety", "--by", "colour"}, "there is no variable \"colour\"");
  refused({"spread", "--seed", "abc"},
          "\"abc\" is no whole number; give a number from 0 to 9007199254740991");
  refused({"gap", "--strata", "order"}, "--strata goes with --purpose spread");
  refused({"spread", "--out", demo()}, "");
  const Answer more = run_well(
      {"suggest", demo(), "--purpose", "spread", "--over", "waters", "--count", "500", "--ignore-sites"});
  CHECK(says(more.err, "of the 500 spots asked for fit"));
}

TEST_CASE("the demo's own ground keeps suggestions away, and what is left out is told") {
  const Answer all = run_well({"suggest", demo(), "--purpose", "spread", "--count", "60", "--ignore-sites"});
  for (const char* words :
       {" on private ground", " where it is unsafe", " too near a bridge", " too near a road"})
    CHECK_MESSAGE(says(all.err, words), words);
  CHECK_FALSE(says(all.err, "nothing is recorded"));
  const Answer walk = run_well({"suggest", demo(), "--purpose", "spread", "--walk", "600"});
  CHECK(says(walk.err, " too far from every access"));
  const Answer none = run({"suggest", demo(), "--purpose", "spread", "--walk", "1"});
  CHECK(none.code == 2);
  CHECK(says(none.err, "spots in the survey is left out: "));
  CHECK(says(none.err, "ask for permission, shorten the distances or widen the area"));
}

TEST_CASE("private ground and roads keep suggestions away once they are imported") {
  const TemporaryFolder folder;
  const std::string survey = own_demo(folder);
  const core::Table before =
      run_well({"suggest", survey, "--purpose", "spread", "--count", "30", "--ignore-sites"}).table();
  // A square around the first of them.
  const double lon = number_in(before, before.rows[0], "longitude"),
               lat = number_in(before, before.rows[0], "latitude");
  const auto at = [&](double x, double y) {
    return "[" + core::format_number(lon + x) + "," + core::format_number(lat + y) + "]";
  };
  const std::string file = (folder / "ground.geojson").string();
  std::ofstream(file)
      << R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"private"},)"
      << R"("geometry":{"type":"Polygon","coordinates":[[)" << at(-0.002, -0.002) << "," << at(0.002, -0.002)
      << "," << at(0.002, 0.002) << "," << at(-0.002, 0.002) << "," << at(-0.002, -0.002) << "]]}}]}";
  run_well({"import", survey, "ground", file});
  const Answer after =
      run_well({"suggest", survey, "--purpose", "spread", "--count", "30", "--ignore-sites"});
  CHECK(says(after.err, "on private ground"));
  const core::Table spots = after.table();
  for (const core::TableRow& row : spots.rows)
    CHECK((std::abs(number_in(spots, row, "longitude") - lon) > 0.002 ||
           std::abs(number_in(spots, row, "latitude") - lat) > 0.002));
  CHECK(run({"import", survey, "sites", file, "--ground", "road"}).code == 2);
}

TEST_CASE("--propose stores the suggestions as proposed sites in one edit, and undo takes them back") {
  const TemporaryFolder folder;
  const std::string survey = own_demo(folder);
  const auto sites = [&] { return core::SurveyFile::open(survey, core::Access::kRead).read().sites; };
  const std::size_t before = sites().size();
  run_well({"suggest", survey, "--purpose", "spread", "--count", "5", "--propose"});
  REQUIRE(sites().size() == before + 5);
  const core::Snapshot snapshot = core::SurveyFile::open(survey, core::Access::kRead).read();
  const auto site = snapshot.find_site("NEW-01");
  REQUIRE(site);
  CHECK(snapshot.sites.status[site->value()] == core::SiteStatus::kProposed);
  CHECK(says(std::string(snapshot.sites.note[site->value()]), "Suggested for spread: one of 5"));
  run_well({"undo", survey});
  CHECK(sites().size() == before);
}

TEST_CASE("suggestions go to GPX, GeoJSON, GeoPackage and CSV, and no file is replaced unasked") {
  const TemporaryFolder folder;
  for (const char* ending : {"gpx", "geojson", "gpkg", "csv"}) {
    const std::string out = (folder / (std::string("next.") + ending)).string();
    const std::vector<std::string> words{"suggest", demo(), "--purpose", "spread",
                                         "--count", "3",    "--out",     out};
    run_well(words);
    CHECK(std::filesystem::file_size(out) > 0);
    const Answer again = run(words);
    CHECK(again.code == 2);
    CHECK_MESSAGE(says(again.err, "exists already"), again.err);
    CHECK(again.out.empty());
    std::vector<std::string> forced = words;
    forced.push_back("--force");
    run_well(forced);
    const std::string text = read_text(out);
    if (std::string(ending) != "gpkg") {
      CHECK(says(text, "NEW-03"));
      CHECK(says(text, "spread evenly over"));
      CHECK(says(text, "landowner"));
    }
  }
  CHECK(run({"suggest", demo(), "--purpose", "spread", "--out", (folder / "next.pdf").string()}).code == 2);
  // What is written says the same as what is printed, column by column.
  const std::string csv = (folder / "same.csv").string();
  const core::Table printed =
      run_well({"suggest", demo(), "--purpose", "spread", "--over", "both", "--count", "7", "--out", csv})
          .table();
  const core::Table written = core::read_csv(read_text(csv), csv);
  REQUIRE(written.rows.size() == 7);
  for (std::size_t i = 0; i < 7; ++i) {
    for (const char* column : {"suggestion", "water", "reason", "stratum", "outfall_above", "site_below",
                               "stream_order", "catchment", "note", "reminder"})
      CHECK(cell(written, written.rows[i], column) == cell(printed, printed.rows[i], column));
    for (const char* column :
         {"stands_for_m", "stands_for_waters", "upstream_m", "upstream_km2", "catchment_km2"}) {
      const std::string shown = cell(printed, printed.rows[i], column);
      CHECK(cell(written, written.rows[i], column).empty() == shown.empty());
      if (!shown.empty())
        CHECK(near(number_in(written, written.rows[i], column), number_in(printed, printed.rows[i], column),
                   0.06));
    }
  }
  // A receiver shows the comment; what lies around stands in the description.
  const std::string gpx = (folder / "gap.gpx").string();
  const core::Table gap =
      run_well({"suggest", demo(), "--purpose", "gap", "--count", "2", "--out", gpx}).table();
  const std::string text = read_text(gpx);
  CHECK(says(text, "<cmt>gap: it would speak for "));
  CHECK(says(text, " of channel upstream, in "));
  for (const core::TableRow& row : gap.rows)
    if (const std::string above = cell(gap, row, "site_above"); !above.empty())
      CHECK(says(text, above + " "));
}

TEST_CASE("enough tells how many more samples show most taxa, with its curve") {
  const core::Table table = run_well({"enough", demo(), "--share", "0.95"}).table();
  REQUIRE(table.rows.size() == 1);
  const core::TableRow& row = table.rows[0];
  CHECK(number_in(table, row, "estimated_taxa") >= number_in(table, row, "taxa"));
  const double coverage = number_in(table, row, "coverage");
  CHECK((coverage > 0.9 && coverage <= 1));
  const core::Table curve = run_well({"enough", demo(), "--curve", "40"}).table();
  REQUIRE(curve.rows.size() == 40);
  for (std::size_t i = 1; i < 40; ++i)
    CHECK(number_in(curve, curve.rows[i], "taxa") >= number_in(curve, curve.rows[i - 1], "taxa"));
  CHECK(run({"enough", demo(), "--within", "NOWHERE"}).code == 2);
  CHECK(run({"enough", demo(), "--rank", "clan"}).code == 2);
}

TEST_CASE("enough tells how many visits show a fall of one class") {
  const Answer answer = run_well({"enough", demo(), "--of", "fall"});
  const core::Table table = answer.table();
  bool any = false;
  for (const core::TableRow& row : table.rows) {
    if (cell(table, row, "visits_each").empty()) {
      CHECK_FALSE(cell(table, row, "note").empty());
      continue;
    }
    any = true;
    CHECK(near(number_in(table, row, "fall") / number_in(table, row, "deviation"),
               number_in(table, row, "effect"),
               0.02 * number_in(table, row, "effect")));  // printed with few decimals
  }
  CHECK(any);
  CHECK(says(answer.err, "Student's t test, one-sided"));
  // Seen more surely with more visits.
  const auto visits = [&](const char* power) {
    const core::Table t =
        run_well({"enough", demo(), "--of", "fall", "--fall", "20", "--power", power, "--site", "Q03"})
            .table();
    return number_in(t, t.rows.at(0), "visits_each");
  };
  CHECK(visits("0.95") > visits("0.5"));
}

TEST_CASE(
    "any two sites on one flow path of the demo can be narrowed down between, with the steps between them") {
  const Answer answer =
      run({"suggest", demo(), "--purpose", "narrow", "--between", "Q01,Q05", "--mixing", "100"});
  INFO(answer.err);
  CHECK(answer.code == 0);
  CHECK(answer.table().rows.size() == 1);
  CHECK(says(answer.err, "on the way from Q01 to Q05: Q01 to Q02 "));
  CHECK(says(answer.err, "and that stretch can be narrowed down by itself"));
  const Answer turned = run({"suggest", demo(), "--purpose", "narrow", "--between", "Q05,Q01"});
  CHECK(turned.code == 2);
  CHECK(says(turned.err, "no water runs from Q05 to Q01: Q01 lies above; name the upper site first"));
  CHECK(says(run({"suggest", demo(), "--purpose", "narrow", "--between", "Q01"}).err,
             "--between wants the upper and the lower site"));
  // Coarser pieces need fewer visits.
  const auto visits = [](const char* fine) {
    const Answer one = run({"suggest", demo(), "--purpose", "narrow", "--fine", fine});
    CHECK(says(one.err, std::string("channel shorter than ") + fine + " m is not parted further"));
    const std::string words = "at worst: ";
    const std::size_t at = one.err.find(words);
    REQUIRE(at != std::string::npos);
    return std::stoi(one.err.substr(at + words.size()));
  };
  CHECK(visits("400") < visits("50"));
  CHECK(says(run({"suggest", demo(), "--purpose", "gap", "--fine", "50"}).err,
             "--fine goes with --purpose narrow"));
}

TEST_CASE("variety by what was noted and measured at the demo's sites, and by nothing that there is not") {
  const Answer habitat = run({"suggest", demo(), "--purpose", "variety", "--count", "3", "--by", "habitat"});
  CHECK(habitat.code == 0);
  CHECK(says(habitat.out, " as habitat"));
  CHECK(says(habitat.err, "spots at which all that was asked for is known"));
  const Answer warm =
      run({"suggest", demo(), "--purpose", "variety", "--count", "2", "--by", "temperature,habitat,kind"});
  INFO(warm.err);
  CHECK(warm.code == 0);
  CHECK(says(warm.err, "(by temperature, habitat"));
  const Answer unknown = run({"suggest", demo(), "--purpose", "variety", "--by", "colour"});
  CHECK(unknown.code == 2);
  CHECK(says(unknown.err, "there is no variable \"colour\": choose of east, north, order"));
  CHECK(says(unknown.err, "temperature"));
  const Answer level = run({"suggest", demo(), "--purpose", "variety", "--by", "slope"});
  CHECK(level.code == 2);
  CHECK(says(level.err, "altitude and slope take a terrain model"));
}

TEST_CASE(
    "a fall that is none is a no and no bad use, and what is out of range, twice or told often gets its "
    "sentence") {
  const Answer none = run({"suggest", demo(), "--purpose", "narrow", "--between", "Q01,Q02"});
  CHECK(none.code == 1);
  CHECK(none.out.empty());
  CHECK(none.err == "quality does not fall between Q01 and Q02 by the newest pair of samples\n");
  CHECK(run({"suggest", demo(), "--purpose", "narrow", "--between", "Q01,Z9"}).code == 2);
  const Answer far = run({"suggest", demo(), "--purpose", "bracket", "--mixing", "1e9"});
  CHECK(far.code == 2);
  CHECK(says(far.err, "--mixing: \"1e9\" is too large; give a number from 0 to 100000"));
  CHECK(says(run({"suggest", demo(), "--purpose", "bracket", "--mixing", "-1"}).err, "\"-1\" is too small"));
  CHECK(says(run({"suggest", demo(), "--purpose", "spread", "--count", "2.5"}).err,
             "\"2.5\" is no whole number"));
  const Answer twice = run_well(
      {"suggest", demo(), "--purpose", "variety", "--by", "kind,kind", "--by", "kind", "--count", "2"});
  CHECK(says(twice.err, "kind was asked for more than once and counts once"));
  CHECK(says(twice.err, "(by kind)"));
  CHECK(twice.out ==
        run_well({"suggest", demo(), "--purpose", "variety", "--by", "kind", "--count", "2"}).out);
  const Answer many = run_well({"suggest", demo(), "--purpose", "spread", "--count", "100000"});
  std::size_t sewage = 0;
  for (std::size_t at = many.err.find("lets in sewage"); at != std::string::npos;
       at = many.err.find("lets in sewage", at + 1))
    ++sewage;
  CHECK(sewage >= 1);
  CHECK(sewage <= 5);  // the demo has five outfalls
  CHECK(says(many.err, " of these spots, "));
}

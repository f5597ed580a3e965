#include <doctest/doctest.h>

#include "core/base/error.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::ImportKind;
using core::Severity;
using test::near;
using test::plan_csv;

namespace {

core::ImportReport sites(const std::string& csv) {
  return plan_csv(ImportKind::kSites, csv);
}

// One site at this latitude and longitude, in the small survey.
core::ImportReport site_at(const std::string& lat, const std::string& lon,
                           const core::Snapshot& survey = test::small_survey()) {
  return plan_csv(ImportKind::kSites, "site,lat,lon\nS9," + lat + "," + lon + "\n", survey);
}

}  // namespace

TEST_CASE("a site keeps every column that it has, and its position as written") {
  const auto report = sites(
      "code,name,lat,lon,accuracy,water,kind,habitat,status,note,colour\n"
      "S3,Mill bridge,60.0100,10.0200,5,Tarn Beck,stream,riffle,proposed,by the gate,red\n");
  CHECK_MESSAGE(report.issues.empty(), test::issues_text(report));
  const auto added = test::edits_of<core::AddSite>(report);
  REQUIRE(added.size() == 1);
  const core::Site& site = added[0].site;
  CHECK(site.code == "S3");
  CHECK(site.name == "Mill bridge");
  CHECK(site.water == "Tarn Beck");
  CHECK(site.habitat == "riffle");
  CHECK(site.note == "by the gate");
  CHECK(site.kind == core::WaterKind::kStream);
  CHECK(site.status == core::SiteStatus::kProposed);
  CHECK(site.accuracy_m == 5);
  CHECK(site.position == core::LonLat{10.02, 60.01});
  CHECK(site.raw.x == "10.0200");
  CHECK(site.raw.y == "60.0100");
  CHECK(site.raw.crs == "EPSG:4326");
  CHECK(site.key.size() == 36);
  CHECK(report.batch.kind == "import sites");
  CHECK(report.batch.summary == "1 site from sheet.csv");
  CHECK(report.good_rows == 1);
  CHECK(report.ok(false));
  CHECK(report.columns_ignored == std::vector<std::string>{"colour"});
  REQUIRE(report.columns_used.size() == 10);
  CHECK(report.columns_used[0] == std::pair<std::string, std::string>{"code", "locationID"});
}

TEST_CASE("a site with nothing but code and position is active, of unknown kind and unknown accuracy") {
  const auto report = site_at("60", "10.02");
  REQUIRE(report.ok(false));
  const core::Site site = test::edits_of<core::AddSite>(report)[0].site;
  CHECK(site.kind == core::WaterKind::kUnknown);
  CHECK(site.status == core::SiteStatus::kActive);
  CHECK_FALSE(site.accuracy_m);
}

TEST_CASE("a habitat that is the very word for a kind of water says the kind, any other does not") {
  const auto report = sites("site,lat,lon,habitat\nS3,60,10.02,pond\nS4,60,10.02,reeds by a pond\n");
  const auto added = test::edits_of<core::AddSite>(report);
  REQUIRE(added.size() == 2);
  CHECK(added[0].site.kind == core::WaterKind::kPond);
  CHECK(added[0].site.habitat == "pond");
  CHECK(added[1].site.kind == core::WaterKind::kUnknown);
}

TEST_CASE("x and y in a projected system come to longitude and latitude, with the accuracy noted") {
  // EPSG:25832: 500000 E lies on the central meridian 9 E by definition; at 54 N the northing is
  // 5983522 m (meridian arc 5,985,917 m x 0.9996, GRS 80; printed so in PROJ's documentation of utm).
  core::Snapshot empty;
  auto options = test::options();
  options.crs = "EPSG:25832";
  const auto report =
      plan_csv(ImportKind::kSites, "site,easting,northing\nS1,500000,5983522\n", empty, options);
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const core::Site site = test::edits_of<core::AddSite>(report)[0].site;
  CHECK(near(site.position.lon, 9.0, 1e-9));   // exact by definition
  CHECK(near(site.position.lat, 54.0, 1e-5));  // the northing is rounded to 1 m, 9e-6 degrees
  CHECK(site.raw.x == "500000");
  CHECK(site.raw.crs == "EPSG:25832");
  CHECK(site.raw.note.find("UTM zone 32N") != std::string::npos);
}

TEST_CASE("metres without a coordinate system are refused with what to do") {
  const auto report = sites("site,x,y\nS9,412345,298765\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "y", "--crs"));
  CHECK_FALSE(report.ok(true));
}

TEST_CASE("an unknown coordinate system is refused as a whole") {
  auto options = test::options();
  options.crs = "EPSG:999999";
  CHECK_THROWS_AS(plan_csv(ImportKind::kSites, "site,x,y\nS9,1,2\n", test::small_survey(), options),
                  brookmark::Error);
}

TEST_CASE("a site known by name only is taken without a position, and said to be so") {
  for (const char* text : {"site,name\nS9,a\n", "site,lat,lon\nS9,,\n"}) {
    const auto report = sites(text);
    REQUIRE(report.good_rows == 1);
    CHECK_FALSE(core::is_placed(test::edits_of<core::AddSite>(report)[0].site.position));
    CHECK(test::has_issue(report, Severity::kWarning, 2, "", "No position is given"));
  }
  CHECK(sites("site,lat,lon\nS9,60,\n").good_rows == 0);  // half a position is a mistake
}

TEST_CASE("a table without a code, or with half a position, is refused with the columns it has") {
  CHECK(test::error_of([] { sites("lat,lon\n60,10\n"); }).find("locationID; the columns are lat, lon") !=
        std::string::npos);
  CHECK(test::error_of([] { sites("site,lat\nS9,60\n"); }).find("decimalLongitude") != std::string::npos);
  CHECK(test::error_of([] { sites("site|lat|lon\nS9|60|10\n"); }).find("separator") != std::string::npos);
}

TEST_CASE("a header without rows imports nothing and says so") {
  const auto report = sites("site,lat,lon\n");
  CHECK_FALSE(report.ok(true));
  REQUIRE(report.issues.size() == 1);
  CHECK(report.issues[0].text.find("no rows") != std::string::npos);
}

TEST_CASE("a missing code, a code twice with other particulars and a code of the survey are bad rows") {
  const auto report = sites("site,lat,lon\n,60,10.02\nS3,60,10.02\nS3,60,10.03\nS1,60,10.02\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "site", "no code"));
  CHECK(test::has_issue(report, Severity::kError, 4, "site", "line 3"));
  CHECK(test::has_issue(report, Severity::kError, 5, "site", "already has site \"S1\""));
  CHECK(report.rows == 4);
  CHECK(report.good_rows == 1);
  CHECK(report.bad_rows == 3);
  CHECK_FALSE(report.ok(false));
  CHECK(report.ok(true));
  CHECK(report.batch.summary == "1 site from sheet.csv");
}

TEST_CASE("identical rows of one site are one site") {
  const auto report =
      sites("site,lat,lon,sample,taxon,count\nS3,60,10.02,a,Baetis,1\nS3,60,10.02,a,Caenis,2\n");
  CHECK_MESSAGE(report.issues.empty(), test::issues_text(report));
  CHECK(test::edits_of<core::AddSite>(report).size() == 1);
  CHECK(report.good_rows == 2);
  CHECK(report.batch.summary == "1 site from sheet.csv");
}

TEST_CASE("positions that cannot be are bad rows") {
  CHECK(test::has_issue(site_at("95", "200"), Severity::kError, 2, "lat", "does not exist"));
  CHECK(test::has_issue(site_at("60", "190"), Severity::kError, 2, "lon", "-180 and 180"));
  CHECK(test::has_issue(site_at("0", "0"), Severity::kError, 2, "lat", "0, 0"));
  CHECK(test::has_issue(site_at("", "10"), Severity::kError, 2, "lat", "no latitude"));
  CHECK(test::has_issue(site_at("60 N", "10"), Severity::kError, 2, "lat", "not a number"));
}

TEST_CASE("latitude and longitude exchanged are found by range and by the survey's other places") {
  // A survey at 100 E 20 N: as latitude, 100 cannot be.
  CHECK(
      test::has_issue(site_at("100.02", "20.01", core::Snapshot{}), Severity::kError, 2, "lat", "exchanged"));
  // The small survey lies at 10 E 60 N: 60 E 10 N is possible, but thousands of kilometres away.
  const auto report = site_at("10.02", "60.01");
  CHECK(test::has_issue(report, Severity::kError, 2, "lat", "exchanged"));
  CHECK(report.bad_rows == 1);
}

TEST_CASE("in a first file the one row that is exchanged is found by the others") {
  const auto report = plan_csv(ImportKind::kSites,
                               "site,lat,lon\nA,60.00,10.00\nB,60.01,10.01\nC,10.02,60.02\nD,60.03,10.03\n",
                               core::Snapshot{});
  CHECK(report.bad_rows == 1);
  CHECK(test::has_issue(report, Severity::kError, 4, "lat", "the other rows of this file"));
}

TEST_CASE("in a first file of two places far apart both are doubted, as nothing says which is right") {
  const auto two =
      plan_csv(ImportKind::kSites, "site,lat,lon\nA1,51.5,-1.2\nA3,-1.2,51.5\n", core::Snapshot{});
  CHECK(two.good_rows == 2);
  CHECK(test::has_issue(two, Severity::kWarning, 2, "lat", "more than 1000 km apart"));
  CHECK(test::has_issue(two, Severity::kWarning, 3, "lat", "more than 1000 km apart"));
  // One degree of latitude is 111 km: 5 degrees are near enough for this check.
  CHECK(plan_csv(ImportKind::kSites, "site,lat,lon\nA,50,10\nB,55,10\n", core::Snapshot{}).issues.empty());
  CHECK(plan_csv(ImportKind::kSites, "site,lat,lon\nA,50,10\n", core::Snapshot{}).issues.empty());
}

TEST_CASE("in a first file the one place that is far from the others is doubted alone, halves are both") {
  const auto one = plan_csv(ImportKind::kSites, "site,lat,lon\nA,60,10\nB,60.01,10\nC,20,10\nD,60.02,10\n",
                            core::Snapshot{});
  REQUIRE(one.issues.size() == 1);
  CHECK(test::has_issue(one, Severity::kWarning, 4, "lat", "more than 1000 km apart"));
  const auto halves = plan_csv(ImportKind::kSites, "site,lat,lon\nA,60,10\nB,60.01,10\nC,10,60\nD,10.01,60\n",
                               core::Snapshot{});
  CHECK(halves.issues.size() == 4);
}

TEST_CASE("eastings and northings that lie far apart are doubted too") {
  auto options = test::options();
  options.crs = "EPSG:25832";
  const auto report = plan_csv(ImportKind::kSites, "site,x,y\nA,500000,5983522\nB,500000,3983522\n",
                               core::Snapshot{}, options);
  CHECK(test::has_issue(report, Severity::kWarning, 2, "y", "more than 1000 km apart"));
}

TEST_CASE("a summary counts what comes in, in the singular and the plural") {
  CHECK(sites("site,lat,lon\nS8,60,10.02\n").batch.summary == "1 site from sheet.csv");
  CHECK(sites("site,lat,lon\nS8,60,10.02\nS9,60,10.03\n").batch.summary == "2 sites from sheet.csv");
  CHECK(sites("site,lat,lon\nS8,60,10.02\nS9,60,north\n").batch.summary == "1 site from sheet.csv");
}

TEST_CASE("a site outside every catchment is kept with a warning, near or far") {
  const auto beside = site_at("60.2", "10.0");
  CHECK(beside.ok(false));
  CHECK(test::has_issue(beside, Severity::kWarning, 2, "lat", "outside every catchment"));
  const auto far = site_at("45", "7");  // exchanged it would be far too
  CHECK(far.ok(false));
  CHECK(test::has_issue(far, Severity::kWarning, 2, "lat", "km from"));
}

TEST_CASE("words that are not known are refused with the list of those that are") {
  const auto report = sites("site,lat,lon,kind,status\nS9,60,10.02,swamp,sleeping\n");
  CHECK(test::has_issue(report, Severity::kError, 2, "kind",
                        "spring, stream, river, ditch, canal, pond, pool"));
  CHECK(test::has_issue(report, Severity::kError, 2, "status", "proposed, active, retired"));
  const auto outfalls = plan_csv(ImportKind::kOutfalls, "outfall,lat,lon,kind\nO1,60,10.02,pipe\n");
  CHECK(test::has_issue(outfalls, Severity::kError, 2, "kind", "treated sewage, storm sewage, road drain"));
}

TEST_CASE("a reference site needs its type, and yes or no is a word") {
  const auto report = sites(
      "site,lat,lon,site type,reference\nS3,60.01,10.02,upland beck,yes\nS4,60.01,10.03,upland beck,no\n"
      "S5,60.01,10.04,,\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto added = test::edits_of<core::AddSite>(report);
  REQUIRE(added.size() == 3);
  CHECK(added[0].site.type == "upland beck");
  CHECK(added[0].site.reference);
  CHECK_FALSE(added[1].site.reference);
  CHECK(added[2].site.type == "");
  CHECK_FALSE(added[2].site.reference);
  CHECK(test::issues_text(sites("site,lat,lon,reference\nS3,60.01,10.02,yes\n"))
            .find("needs the type of water") != std::string::npos);
  CHECK(
      test::issues_text(sites("site,lat,lon,reference\nS3,60.01,10.02,perhaps\n")).find("write yes or no") !=
      std::string::npos);
}

TEST_CASE("an accuracy of zero is kept as not known, a negative one is refused") {
  const auto zero = sites("site,lat,lon,accuracy\nS9,60,10.02,0\n");
  CHECK(zero.ok(false));
  CHECK_FALSE(test::edits_of<core::AddSite>(zero)[0].site.accuracy_m);
  CHECK(test::has_issue(zero, Severity::kWarning, 2, "accuracy", "0 m"));
  CHECK(sites("site,lat,lon,accuracy\nS9,60,10.02,-5\n").bad_rows == 1);
}

TEST_CASE("decimal commas are read where the file writes them, and refused in words where it does not") {
  const auto comma = sites("site;lat;lon\nS9;60,01;10,02\n");
  REQUIRE_MESSAGE(comma.ok(false), test::issues_text(comma));
  CHECK(test::edits_of<core::AddSite>(comma)[0].site.position == core::LonLat{10.02, 60.01});
  CHECK(test::edits_of<core::AddSite>(comma)[0].site.raw.y == "60,01");
  const auto mixed = sites("site;lat;lon\nS9;60,01;10,02\nS8;60.01;10.02\n");
  CHECK(test::has_issue(mixed, Severity::kError, 2, "lat", "decimal comma"));
}

TEST_CASE("a row with too many or too few cells is bad and keeps its line") {
  const auto report = sites("site,lat,lon\nS9,60,10.02,7\nS8,60,10.02\nS7,60\n");
  CHECK(report.good_rows == 1);
  CHECK(test::has_issue(report, Severity::kError, 2, "", "4 cells"));
  CHECK(test::has_issue(report, Severity::kError, 4, "", "2 cells"));
}

TEST_CASE("a point layer gives positions by its shapes; other shapes are bad rows") {
  core::Table table = test::layer({"code", "lat"}, {});
  table.crs_note = "Some grid, accuracy 1 m";
  table.rows.push_back({1, {"S7", "1"}, core::LonLat{10.02, 60.0}, ""});
  table.rows.push_back({2, {"S8", "1"}, std::vector<core::Line>{{{10, 60}, {10.1, 60}}}, ""});
  table.rows.push_back({3, {"S9", "1"}, {}, ""});
  const auto report = core::plan_import(ImportKind::kSites, table, test::small_survey(), test::options());
  CHECK(report.good_rows == 2);
  const core::Site site = test::edits_of<core::AddSite>(report)[0].site;
  CHECK(site.position == core::LonLat{10.02, 60.0});
  CHECK(site.raw.note == "Some grid, accuracy 1 m");
  CHECK(test::has_issue(report, Severity::kError, 2, "", "needs a point"));
  CHECK(test::has_issue(report, Severity::kWarning, 3, "", "No position is given"));
  CHECK(report.columns_ignored == std::vector<std::string>{"lat"});
}

TEST_CASE("an outfall keeps its kind and its days") {
  const auto report = plan_csv(ImportKind::kOutfalls,
                               "outfall,name,type,lat,lon,since,until\n"
                               "O1,Works,treated sewage,60,10.02,2001-04-01,2030-12-31\n"
                               "O2,Yard,trade,60,10.02,2020-01-01,2019-01-01\n"
                               "O3,Road,road drain,60,10.02,2025-01-01,\n");
  const auto added = test::edits_of<core::AddOutfall>(report);
  REQUIRE(added.size() == 1);
  CHECK(added[0].outfall.code == "O1");
  CHECK(added[0].outfall.kind == core::OutfallKind::kTreatedSewage);
  CHECK(core::format_date(*added[0].outfall.since) == "2001-04-01");
  CHECK(core::format_date(*added[0].outfall.until) == "2030-12-31");  // a permit may end in the future
  CHECK(test::has_issue(report, Severity::kError, 3, "until", "ends before it begins"));
  CHECK(test::has_issue(report, Severity::kError, 4, "since", "in the future"));
}

TEST_CASE("the strength of an outfall is a number of 0 or more, or not said") {
  const auto report =
      plan_csv(ImportKind::kOutfalls, "outfall,lat,lon,strength\nO7,60.01,10.02,2.5\nO8,60.01,10.03,\n");
  REQUIRE_MESSAGE(report.ok(false), test::issues_text(report));
  const auto added = test::edits_of<core::AddOutfall>(report);
  CHECK(added.at(0).outfall.strength == 2.5);
  CHECK_FALSE(added.at(1).outfall.strength.has_value());
  for (const char* bad : {"-1", "much", "1e13"})
    CHECK_FALSE(
        plan_csv(ImportKind::kOutfalls, std::string("outfall,lat,lon,strength\nO7,60.01,10.02,") + bad + "\n")
            .ok(false));
}

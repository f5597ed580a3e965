#include "core/survey/rows.hpp"
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using brookmark::ErrorCode;
using namespace brookmark::test;

namespace {

// A survey with one row of everything that schema 3 added, and one of what was there before.
SurveyFile full_survey(const fs::path& path) {
  auto file = SurveyFile::create(path, small_info(), fixed_options());
  Site ford = site("s1", "S1", {10, 60});
  ford.sharing = Sharing::kBlurred;
  Visit arrival = visit("v1", "s1", "2024-05-03T09:30+01:00");
  Sample lot = sample("a1", "S1-A", "v1");
  lot.mesh_um = 500;
  lot.note = "second riffle";
  Record worm = count_record("a1", "own:worm", 3);
  worm.key = "r1";
  worm.certainty = 0.7;
  worm.note = "pale";
  Measurement heat{"m1", "v1", "a1", "temperature", "C", "11,5", "shade", 11.5, false};
  Reach reach{"w1", "brook", {{10, 60}, {10.01, 60}}};
  file.apply(
      {"make",
       "one of each",
       {AddTaxon{{"own:worm", "worm", Rank::kInformal, "", false}}, AddSite{ford}, AddVisit{arrival},
        AddSample{lot}, AddRecord{worm}, AddMeasurement{heat}, AddReach{reach},
        AddPhoto{{"p1", "s1", "v1", "photos/ford.jpg", "from the bridge"}},
        AddLayer{{"l1", "Ground", "dem.tif", "nobody's land", LayerLook::kHillshade, true}},
        AddPerson{{"n1", "A. Invented", "", true}},
        AddSensitiveTaxon{{"t1", "Astacidae", "poaching", Sharing::kBlurred, 1000.0}},
        AddKit{{"k1", "NET1", "hand net", "", KitKind::kNet, "A", false}},
        AddKitUse{{"u1", "k1", "s1", "v1", arrival.start, "no time to dry", ""}},
        AddCleaning{{"c1", "k1", {*parse_date("2024-05-04"), 600, 60}, "hot water", {}, 50.0, 15.0, ""}},
        AddHolding{{"h1", "k1", "s1", "two larvae", "", *parse_date("2024-05-03"), {}, {}}},
        AddWaterRisk{
            {"x1", "s1", "ranavirus", "warden", "", RiskStatus::kSuspected, *parse_date("2024-05-01")}},
        AddGround{{"g1", "garden", "", GroundKind::kPrivate, square(10, 60, 0.01)}},
        AddGround{{"g2", "lane", "", GroundKind::kRoad, Line{{10, 60}, {10.02, 60}}}},
        AddGround{{"g3", "stile", "", GroundKind::kAccess, LonLat{10.005, 60.001}}}}});
  return file;
}

}  // namespace

TEST_CASE("what schema 3 keeps comes back as it was given") {
  const TemporaryFolder folder;
  auto file = full_survey(folder / "a.brook");
  const Snapshot s = file.read();
  CHECK(s.sites.sharing.at(0) == Sharing::kBlurred);
  CHECK(s.samples.mesh_um.at(0) == 500);
  CHECK(s.samples.note[0] == "second riffle");
  CHECK(s.records.note[0] == "pale");
  CHECK(s.measurements.note[0] == "shade");
  REQUIRE(s.photos.size() == 1);
  CHECK(s.photos[0].visit_key == "v1");
  CHECK(s.photos[0].file == "photos/ford.jpg");
  REQUIRE(s.layers.size() == 1);
  CHECK(s.layers[0].look == LayerLook::kHillshade);
  REQUIRE(s.people.size() == 1);
  CHECK(s.people[0].agreed);
  REQUIRE(s.sensitive_taxa.size() == 1);
  CHECK(s.sensitive_taxa[0].cell_m == 1000.0);
  REQUIRE(s.kit.size() == 1);
  CHECK(s.kit[0].set == "A");
  REQUIRE(s.kit_uses.size() == 1);
  CHECK(s.kit_uses[0].override_reason == "no time to dry");
  CHECK(s.kit_uses[0].when == parse_moment("2024-05-03T09:30+01:00"));
  REQUIRE(s.cleanings.size() == 1);
  CHECK(s.cleanings[0].temperature_c == 50.0);
  CHECK_FALSE(s.cleanings[0].concentration_pct.has_value());
  REQUIRE(s.holdings.size() == 1);
  CHECK_FALSE(s.holdings[0].until.has_value());
  REQUIRE(s.risks.size() == 1);
  CHECK(s.risks[0].target == "ranavirus");
  REQUIRE(s.grounds.size() == 3);
  CHECK(std::holds_alternative<MultiPolygon>(s.grounds[0].shape));
  CHECK(std::get<Line>(s.grounds[1].shape).size() == 2);
  CHECK(std::get<LonLat>(s.grounds[2].shape) == LonLat{10.005, 60.001});
}

TEST_CASE("a row taken from the columns and put back changes nothing but the time of the edit") {
  const TemporaryFolder folder;
  auto file = full_survey(folder / "a.brook");
  const Snapshot s = file.read();
  const std::string before = dump(folder / "a.brook");
  file.apply(
      {"put back",
       "every row",
       {Replace<Site>{site_row(s, SiteIndex(0))}, Replace<Visit>{visit_row(s, VisitIndex(0))},
        Replace<Sample>{sample_row(s, SampleIndex(0))}, Replace<Record>{record_row(s, RecordIndex(0))},
        Replace<Measurement>{measurement_row(s, 0)}, Replace<Reach>{s.reaches[0]},
        Replace<Photo>{s.photos[0]}, Replace<BaseLayer>{s.layers[0]}, Replace<Person>{s.people[0]},
        Replace<SensitiveTaxon>{s.sensitive_taxa[0]}, Replace<Kit>{s.kit[0]}, Replace<KitUse>{s.kit_uses[0]},
        Replace<Cleaning>{s.cleanings[0]}, Replace<Holding>{s.holdings[0]}, Replace<WaterRisk>{s.risks[0]},
        Replace<Ground>{s.grounds[1]}}});
  CHECK(dump(folder / "a.brook") == before);  // the clock of these tests stands still
}

TEST_CASE("a replaced and a removed row come back with undo") {
  const TemporaryFolder folder;
  auto file = full_survey(folder / "a.brook");
  const std::string before = dump(folder / "a.brook");
  Snapshot s = file.read();
  Record worm = record_row(s, RecordIndex(0));
  worm.count_min = worm.count_max = 12;
  Reach moved = s.reaches[0];
  moved.line = {{10, 60}, {10.005, 60.001}, {10.01, 60}};
  file.apply({"correct", "count and line", {Replace<Record>{worm}, Replace<Reach>{moved}}});
  s = file.read();
  CHECK(s.records.count_min.at(0) == 12);
  CHECK(s.reaches.at(0).line.size() == 3);
  file.apply({"remove",
              "record and ground",
              {Remove{TableName::kRecord, "r1"}, Remove{TableName::kGround, "g1"},
               Remove{TableName::kKitUse, "u1"}}});
  s = file.read();
  CHECK(s.records.size() == 0);
  CHECK(s.grounds.size() == 2);
  CHECK(s.kit_uses.empty());
  CHECK(file.undo().has_value());
  CHECK(file.undo().has_value());
  CHECK(dump(folder / "a.brook") == before);
}

TEST_CASE("a row that others belong to, or that is not there, is refused with a sentence") {
  const TemporaryFolder folder;
  auto file = full_survey(folder / "a.brook");
  const std::string before = dump(folder / "a.brook");
  const auto refused = [&](const Edit& edit, const std::string& words) {
    const auto [code, text] = error_of([&] { file.apply({"try", "x", {edit}}); });
    CAPTURE(text);
    CHECK(code == ErrorCode::kBadInput);
    CHECK(holds(text, words));
    CHECK(dump(folder / "a.brook") == before);
  };
  refused(Remove{TableName::kSite, "s1"}, "site");
  refused(Remove{TableName::kSite, "none"}, "there is no such site");
  refused(Replace<Kit>{{"none", "NET9", "", "", KitKind::kNet, "", false}}, "there is no such kit");
  refused(AddKitUse{{"", "none", "s1", "", {*parse_date("2024-05-03"), {}, {}}, "", ""}},
          "a kit that is not in");
  refused(AddHolding{{"", "k1", "s1", "", "", *parse_date("2024-05-03"), *parse_date("2024-05-01"),
                      HoldingOutcome::kReturned}},
          "cannot end before it begins");
  refused(AddHolding{{"", "k1", "s1", "", "", *parse_date("2024-05-03"), {}, HoldingOutcome::kReturned}},
          "needs the day on which it ended");
  refused(AddSensitiveTaxon{{"", "Unionidae", "", Sharing::kOpen, {}}}, "blurred or withheld");
  refused(AddCleaning{{"", "k1", {*parse_date("2024-05-03"), {}, {}}, " ", {}, {}, {}, ""}},
          "must say what it was done with");
}

// What goes in by an edit comes back in the Snapshot, every field of it.
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;

TEST_CASE("a new survey has its title and nothing else") {
  const TemporaryFolder folder;
  const auto file =
      SurveyFile::create(folder / "a.brook", {"", "Mill brook", "two ponds", "EPSG:27700"}, fixed_options());
  const Snapshot s = file.read();
  CHECK(s.survey.title == "Mill brook");
  CHECK(s.survey.description == "two ponds");
  CHECK(s.survey.crs == "EPSG:27700");
  CHECK(s.survey.key.size() == 36);
  CHECK(s.sites.size() + s.taxa.size() + s.visits.size() + s.samples.size() + s.records.size() == 0);
  CHECK(s.samples.record_begin == std::vector<std::size_t>{0});
  CHECK(file.notice().empty());
  CHECK(file.log().empty());
}

TEST_CASE("every field of a place comes back") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  Site full = site("site key", "B2", {-3.25, 51.5});
  full.name = "Ford \"below\" mill";
  full.water = "Brook; mill";
  full.habitat = "riffle";
  full.note = "Grønåen 'ok'";
  full.kind = WaterKind::kStream;
  full.status = SiteStatus::kRetired;
  full.accuracy_m = 4.5;
  full.type = "chalk stream";
  full.reference = true;
  full.raw = {"310,5", "180.25", "EPSG:27700", "accuracy 2 m"};
  const MultiPolygon with_hole{{{square(0, 50, 3)[0].rings[0], square(1, 51, 1)[0].rings[0]}},
                               {square(5, 50, 1)[0].rings}};
  Outfall out = outfall("O9", {1.5, 2.5});
  out.key = "outfall key";
  out.name = "Old works";
  out.note = "smells";
  out.kind = OutfallKind::kTreatedSewage;
  out.since = parse_date("2019-12-31");
  out.until = parse_date("2024-02-29");
  out.strength = 1200.5;
  out.raw = {"1", "2", "EPSG:4326", "as given"};
  file.apply(
      {"add",
       "places",
       {AddSite{full}, AddSite{site("", "A1")},
        AddWater{{"water key", "Pond", WaterKind::kLakeMargin, with_hole}},
        AddWater{{"", "No shape", WaterKind::kUnknown, {}}}, AddOutfall{out}, AddOutfall{outfall("O1")},
        AddReach{{"reach key", "Upper", {{1, 2}, {3, 4}, {3.5, 4.25}}, true, "turned"}},
        AddCatchment{{"", "C2", "", square(0, 0, 1)}},
        AddCatchment{{"catchment key", "C1", "All", with_hole}}}});
  const Snapshot s = file.read();

  REQUIRE(s.sites.size() == 2);  // ordered by code
  CHECK(s.sites.code[0] == "A1");
  CHECK(s.sites.key[0].size() == 36);
  CHECK_FALSE(s.sites.accuracy_m[0].has_value());
  CHECK(s.sites.status[0] == SiteStatus::kActive);
  CHECK(s.sites.key[1] == "site key");
  CHECK(s.sites.code[1] == "B2");
  CHECK(s.sites.name[1] == full.name);
  CHECK(s.sites.water[1] == full.water);
  CHECK(s.sites.habitat[1] == full.habitat);
  CHECK(s.sites.note[1] == full.note);
  CHECK(s.sites.kind[1] == WaterKind::kStream);
  CHECK(s.sites.status[1] == SiteStatus::kRetired);
  CHECK(s.sites.position[1] == full.position);
  CHECK(s.sites.accuracy_m[1] == 4.5);
  CHECK(s.sites.type[1] == "chalk stream");
  CHECK(s.sites.reference[1]);
  CHECK(s.sites.type[0] == "");
  CHECK_FALSE(s.sites.reference[0]);
  CHECK(s.sites.raw[1].x == "310,5");
  CHECK(s.sites.raw[1].y == "180.25");
  CHECK(s.sites.raw[1].crs == "EPSG:27700");
  CHECK(s.sites.raw[1].note == "accuracy 2 m");

  REQUIRE(s.waters.size() == 2);
  CHECK(s.waters[0].key == "water key");
  CHECK(s.waters[0].name == "Pond");
  CHECK(s.waters[0].kind == WaterKind::kLakeMargin);
  REQUIRE(s.waters[0].shape.size() == 2);
  CHECK(s.waters[0].shape[0].rings == with_hole[0].rings);
  CHECK(s.waters[0].shape[1].rings == with_hole[1].rings);
  CHECK(s.waters[1].shape.empty());

  REQUIRE(s.outfalls.size() == 2);  // ordered by code
  CHECK(s.outfalls[0].code == "O1");
  CHECK_FALSE(s.outfalls[0].since.has_value());
  const Outfall& o = s.outfalls[1];
  CHECK(o.key == "outfall key");
  CHECK(o.name == "Old works");
  CHECK(o.note == "smells");
  CHECK(o.kind == OutfallKind::kTreatedSewage);
  CHECK(o.position == out.position);
  CHECK(o.since == out.since);
  CHECK(o.until == out.until);
  CHECK(o.strength == 1200.5);
  CHECK_FALSE(s.outfalls[0].strength.has_value());
  CHECK(o.raw.x == "1");
  CHECK(o.raw.note == "as given");

  REQUIRE(s.reaches.size() == 1);
  CHECK(s.reaches[0].key == "reach key");
  CHECK(s.reaches[0].name == "Upper");
  CHECK(s.reaches[0].two_way);
  CHECK(s.reaches[0].note == "turned");
  CHECK(s.reaches[0].line == Line{{1, 2}, {3, 4}, {3.5, 4.25}});
  REQUIRE(s.catchments.size() == 2);  // ordered by code
  CHECK(s.catchments[0].key == "catchment key");
  CHECK(s.catchments[0].name == "All");
  CHECK(s.catchments[0].shape.size() == 2);
  CHECK(s.catchments[1].code == "C2");
}

TEST_CASE("samples stand by site, date and code, and records by sample as entered") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  // Entered in an order that agrees with nothing: site B before A, late before early.
  Sample first = sample("m1", "Z", "v1");
  first.protocol = "kick, 3 min";
  first.kind = SampleKind::kReplicate;
  first.effort = 180;
  first.effort_unit = "s";
  first.mesh_um = 500;
  first.subsample_share = 0.25;
  Visit noted = visit("v3", "a", "2023-06-01T23:15-03:30");
  noted.people = "two";
  noted.weather = "rain";
  noted.conditions = "spate";
  noted.note = "short";
  file.apply({"import",
              "unsorted",
              {AddTaxon{taxon("t1", "Baetidae")}, AddTaxon{taxon("t2", "Gammaridae")},
               AddSite{site("b", "B")}, AddSite{site("a", "A")}, AddVisit{visit("v1", "b", "2023-05-01")},
               AddVisit{visit("v2", "a", "2024-01-01")}, AddVisit{noted}, AddSample{first},
               AddSample{sample("m2", "Y", "v2")}, AddSample{sample("m3", "X", "v3")},
               AddSample{sample("m4", "W", "v3")}, AddRecord{count_record("m1", "t2", 1)},
               AddRecord{count_record("m3", "t2", 2)}, AddRecord{count_record("m1", "t1", 3)},
               AddRecord{count_record("m3", "t1", 4)}, AddRecord{count_record("m2", "t1", 5)}}});
  const Snapshot s = file.read();
  REQUIRE(s.samples.size() == 4);
  // Site A: 2023-06-01 W and X, then 2024-01-01 Y. Site B: Z.
  CHECK(s.samples.code[0] == "W");
  CHECK(s.samples.code[1] == "X");
  CHECK(s.samples.code[2] == "Y");
  CHECK(s.samples.code[3] == "Z");
  CHECK(s.samples.site == std::vector{SiteIndex(0), SiteIndex(0), SiteIndex(0), SiteIndex(1)});
  CHECK(s.samples.date[1] == parse_date("2023-06-01"));
  CHECK(s.samples.record_begin == std::vector<std::size_t>{0, 0, 2, 3, 5});
  CHECK(s.records.count_min == std::vector<std::int64_t>{2, 4, 5, 1, 3});
  CHECK(s.records.verbatim_name[1] == "written t1");
  CHECK(s.records.verbatim_quantity[4] == "3");
  CHECK(s.records.sample[4] == SampleIndex(3));
  CHECK(s.taxa.name[s.records.taxon[0].value()] == "Gammaridae");
  CHECK(s.samples.kind[3] == SampleKind::kReplicate);
  CHECK(s.samples.protocol[3] == "kick, 3 min");
  CHECK(s.samples.subsample_share[3] == 0.25);
  CHECK(s.samples.effort[3] == 180);
  CHECK(s.samples.effort_unit[3] == "s");
  CHECK_FALSE(s.samples.effort[0].has_value());
  CHECK_FALSE(s.samples.subsample_share[0].has_value());
  const std::size_t v = s.samples.visit[1].value();
  CHECK(s.visits.key[v] == "v3");
  CHECK(s.visits.start[v] == parse_moment("2023-06-01T23:15-03:30"));
  CHECK(s.visits.people[v] == "two");
  CHECK(s.visits.weather[v] == "rain");
  CHECK(s.visits.conditions[v] == "spate");
  CHECK(s.visits.note[v] == "short");
  CHECK(s.visits.start[s.samples.visit[2].value()] ==
        parse_moment("2024-01-01"));  // no time noted: none made up
  // What the Snapshot leaves out is in the file all the same.
  const Database database(folder / "a.brook", OpenMode::kReadOnly, 50);
  CHECK(database.query_text("SELECT effort || effort_unit || mesh_um FROM sample WHERE code = 'Z'") ==
        "180.0s500.0");
}

TEST_CASE("presence, count, class and absence are four different things") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  Record present = count_record("m", "t", 1), open_class = present, closed_class = present, absent = present,
         count = present;
  present.quantity = QuantityKind::kPresent;
  present.count_min = present.count_max = std::nullopt;
  open_class.quantity = closed_class.quantity = QuantityKind::kAbundanceClass;
  open_class.count_min = 100;
  open_class.count_max = std::nullopt;
  open_class.class_code = "C";
  open_class.class_scheme = "scheme";
  closed_class.count_min = 10;
  closed_class.count_max = 99;
  closed_class.class_code = "B";
  absent.quantity = QuantityKind::kAbsent;
  absent.count_min = absent.count_max = 0;
  count.count_min = count.count_max = 12;
  count.stage = LifeStage::kPupa;
  count.certainty = 0.5;
  count.match = NameMatch::kGenusOfBinomial;
  count.qualifier = "cf.";
  count.note = "one without tail";
  file.apply({"import",
              "quantities",
              {AddTaxon{taxon("t", "Baetidae")}, AddSite{site("s", "S")},
               AddVisit{visit("v", "s", "2024-04-01")}, AddSample{sample("m", "M", "v")}, AddRecord{present},
               AddRecord{open_class}, AddRecord{closed_class}, AddRecord{absent}, AddRecord{count}}});
  const Snapshot s = file.read();
  REQUIRE(s.records.size() == 5);
  CHECK(s.records.quantity == std::vector{QuantityKind::kPresent, QuantityKind::kAbundanceClass,
                                          QuantityKind::kAbundanceClass, QuantityKind::kAbsent,
                                          QuantityKind::kCount});
  CHECK(s.records.count_min == std::vector<std::int64_t>{1, 100, 10, 0, 12});
  CHECK(s.records.count_max ==
        std::vector<std::int64_t>{RecordColumns::kOpen, RecordColumns::kOpen, 99, 0, 12});
  CHECK(s.records.class_code[1] == "C");
  CHECK(s.records.class_code[4] == "");
  CHECK(s.records.stage[4] == LifeStage::kPupa);
  CHECK(s.records.certainty == std::vector<double>{1, 1, 1, 1, 0.5});
  CHECK(s.records.match[4] == NameMatch::kGenusOfBinomial);
  const Database database(folder / "a.brook", OpenMode::kReadOnly, 50);
  CHECK(database.query_text("SELECT qualifier || note FROM record WHERE certainty = 0.5") ==
        "cf.one without tail");
  CHECK(database.query_text("SELECT class_scheme FROM record WHERE class_code = 'C'") == "scheme");
}

TEST_CASE("a measurement keeps its value, its limit and what was written") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  Measurement limit = measurement("v", "ammonium", 0.02), below = limit,
              of_sample = measurement("v", "conductivity", 410);
  limit.below_detection = true;
  limit.unit = "mg/l";
  limit.verbatim_value = "<0,02";
  below.below_detection = true;
  below.value = std::nullopt;
  of_sample.sample_key = "m";
  file.apply(
      {"import",
       "chemistry",
       {AddSite{site("s", "S")}, AddVisit{visit("v", "s", "2024-04-01")}, AddSample{sample("m", "M", "v")},
        AddMeasurement{limit}, AddMeasurement{below}, AddMeasurement{of_sample}}});
  const Snapshot s = file.read();
  REQUIRE(s.measurements.size() == 3);
  CHECK(s.measurements.value == std::vector<std::optional<double>>{0.02, std::nullopt, 410});
  CHECK(s.measurements.below_detection == std::vector{true, true, false});
  CHECK(s.measurements.unit[0] == "mg/l");
  CHECK(s.measurements.verbatim_value[0] == "<0,02");
  CHECK(s.measurements.quantity[2] == "conductivity");
  CHECK(s.measurements.visit[2] == VisitIndex(0));
  CHECK_FALSE(s.measurements.sample[0].has_value());
  CHECK(s.measurements.sample[2] == SampleIndex(0));
}

TEST_CASE("taxa come parent before child, in whatever order they were given, and once") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  Taxon own{"own:wiggly thing", "wiggly thing", Rank::kInformal, "", false};
  file.apply(
      {"import",
       "child first",
       {AddTaxon{taxon("species", "Baetis rhodani", "genus")}, AddTaxon{taxon("genus", "Baetis", "family")},
        AddTaxon{own}, AddTaxon{taxon("family", "Baetidae")}}});
  file.apply({"import", "known again", {AddTaxon{taxon("genus", "Baetis", "family")}, AddTaxon{own}}});
  CHECK(file.log().size() == 1);  // the second changed nothing
  const Snapshot s = file.read();
  REQUIRE(s.taxa.size() == 4);
  std::size_t unlisted = 0;
  for (std::size_t i = 0; i < s.taxa.size(); ++i) {
    if (s.taxa.key[i] == "species") CHECK(s.taxa.name[s.taxa.parent[i].value()] == "Baetis");
    if (s.taxa.parent[i].has_value()) CHECK(s.taxa.parent[i].value() < i);
    if (!s.taxa.listed[i]) ++unlisted;
  }
  CHECK(unlisted == 1);
}

TEST_CASE("every word of every list can be stored and read") {
  const TemporaryFolder folder;
  auto file = SurveyFile::create(folder / "a.brook", small_info(), fixed_options());
  EditBatch batch{"import", "all words", {}};
  for (int i = 0; i <= 11; ++i) {
    batch.edits.push_back(AddTaxon{{"t"s + std::to_string(i), "name", static_cast<Rank>(i), "", true}});
  }
  for (int i = 0; i <= 8; ++i) {
    Site s = site("s"s + std::to_string(i), "S"s + std::to_string(i));
    s.kind = static_cast<WaterKind>(i);
    s.status = static_cast<SiteStatus>(i % 3);
    batch.edits.push_back(AddSite{s});
    batch.edits.push_back(AddWater{{"", "w", static_cast<WaterKind>(i), {}}});
  }
  batch.edits.push_back(AddVisit{visit("v", "s0", "2024-04-01")});
  for (int i = 0; i <= 2; ++i) {
    Sample s = sample("m"s + std::to_string(i), "M"s + std::to_string(i), "v");
    s.kind = static_cast<SampleKind>(i);
    batch.edits.push_back(AddSample{s});
  }
  for (int i = 0; i <= 5; ++i) {
    Outfall o = outfall("O"s + std::to_string(i));
    o.kind = static_cast<OutfallKind>(i);
    batch.edits.push_back(AddOutfall{o});
  }
  for (int i = 0; i <= 6; ++i) {
    Record r = count_record("m0", "t0", 1);
    r.stage = static_cast<LifeStage>(i % 5);
    r.match = static_cast<NameMatch>(i);
    batch.edits.push_back(AddRecord{r});
  }
  file.apply(batch);
  const Snapshot s = file.read();
  for (std::size_t i = 0; i <= 11; ++i) CHECK(static_cast<std::size_t>(s.taxa.rank[i]) == i);
  for (std::size_t i = 0; i <= 8; ++i) {
    CHECK(static_cast<std::size_t>(s.sites.kind[i]) == i);
    CHECK(static_cast<std::size_t>(s.sites.status[i]) == i % 3);
    CHECK(static_cast<std::size_t>(s.waters[i].kind) == i);
  }
  for (std::size_t i = 0; i <= 2; ++i) CHECK(static_cast<std::size_t>(s.samples.kind[i]) == i);
  for (std::size_t i = 0; i <= 5; ++i) CHECK(static_cast<std::size_t>(s.outfalls[i].kind) == i);
  for (std::size_t i = 0; i <= 6; ++i) {
    CHECK(static_cast<std::size_t>(s.records.match[i]) == i);
    CHECK(static_cast<std::size_t>(s.records.stage[i]) == i % 5);
  }
}

TEST_CASE("two files made by the same edits hold the same data") {
  const TemporaryFolder folder;
  for (const char* name : {"a.brook", "b.brook"}) {
    auto file = small_survey(folder / name, fixed_options(7));
    file.apply({"edit",
                "more",
                {AddSite{site(file.new_key(), "S2", {11, 61})}, MoveSite{"s", {10.5, 60.5}, {}},
                 AddOutfall{outfall("O2")}}});
    file.undo();
  }
  CHECK(dump(folder / "a.brook", true) == dump(folder / "b.brook", true));
  CHECK(dump(folder / "a.brook", true).size() > 1000);
}

TEST_CASE("a child taxon stored before its parent still comes after it, and row numbers may have gaps") {
  const TemporaryFolder folder;
  const fs::path path = folder / "a.brook";
  small_survey(path);
  const std::string rest = ", 1, '2024-05-03T08:30:00Z', '2024-05-03T08:30:00Z', 'elsewhere')";
  {
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("PRAGMA foreign_keys = OFF");
    const std::string into =
        "INSERT INTO taxon (id, key, name, rank, parent_id, listed, created_utc, changed_utc, device) ";
    other.execute(into + "VALUES (2, 'child', 'Child', 'family', 9000000000000" + rest);
    other.execute(into + "VALUES (9000000000000, 'parent', 'Parent', 'order', NULL" + rest);
  }
  const auto file = SurveyFile::open(path, Access::kRead, fixed_options());
  const Snapshot s = file.read();
  REQUIRE(s.taxa.size() == 3);
  CHECK(s.taxa.key[1] == "parent");
  CHECK(s.taxa.key[2] == "child");
  CHECK(s.taxa.parent[2] == TaxonIndex(1));
}

TEST_CASE("rows that refer to nothing, or to each other in a ring, are damage and not a crash") {
  const TemporaryFolder folder;
  for (const char* damage :
       {"UPDATE record SET taxon_id = 77", "UPDATE visit SET site_id = -5",
        "UPDATE record SET sample_id = 9000000000000", "UPDATE taxon SET parent_id = 2 WHERE id = 1"}) {
    CAPTURE(damage);
    const fs::path path = folder / "a.brook";
    fs::remove(path);
    small_survey(path).apply({"add", "child", {AddTaxon{taxon("t2", "Baetis", "t")}}});
    {
      const Database other(path, OpenMode::kReadWrite, 50);
      other.execute("PRAGMA foreign_keys = OFF");
      other.execute(damage);
    }
    const auto [code, text] =
        error_of([&] { SurveyFile::open(path, Access::kRead, fixed_options()).read(); });
    CHECK(code == brookmark::ErrorCode::kForeignFile);
    CHECK(holds(text, "damaged"));
  }
}

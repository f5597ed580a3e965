// A partner edits the file with GDAL, as plain GIS tools do, while the survey goes on.
#include <doctest/doctest.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <functional>
#include <memory>
#include <set>

#include "core/base/error.hpp"
#include "core/intake/row_cells.hpp"
#include "core/survey/rows.hpp"
#include "geodata/export.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/returned_gpkg.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/returned.hpp"
#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::Error;
using brookmark::ErrorCode;
using namespace brookmark::test;  // NOLINT

namespace {

ErrorCode refusal(const std::filesystem::path& file, const Snapshot& snapshot) {
  try {
    const Returned back = read_returned(file, snapshot);
    compare_returned(snapshot, share(snapshot, back.file.rules), back.file, back.place_text);
  } catch (const Error& error) {
    return error.code();
  }
  FAIL("nothing was refused");
  return ErrorCode::kStorage;
}

const std::string kQ01 = secret_key(10), kQ02 = secret_key(11), kQ03 = secret_key(12);

}  // namespace

TEST_CASE("a file that nobody touched holds no change, in degrees and in a national grid") {
  const TemporaryFolder folder;
  secret_survey(folder / "a.brook");
  hand_over(folder / "a.brook", folder / "a.gpkg");
  CHECK(compared(folder / "a.brook", folder / "a.gpkg").list.changes.empty());
  hand_over(folder / "a.brook", folder / "b.gpkg", {.crs = "EPSG:32625"});  // UTM 25N, 36 to 30 degrees west
  CHECK(compared(folder / "a.brook", folder / "b.gpkg").list.changes.empty());
}

TEST_CASE(
    "a name corrected, a point moved and a site added come back as three changes, and go in one undoable "
    "step") {
  const TemporaryFolder folder;
  const auto survey = folder / "a.brook", file = folder / "a.gpkg";
  const Snapshot before = secret_survey(survey);
  hand_over(survey, file);
  edit(file, [](GDALDataset& data) {
    change_feature(data, "sites", "Q01", [](OGRFeature& f) { f.SetField("name", "Foot bridge"); });
    change_feature(data, "sites", "Q03", [](OGRFeature& f) {
      const OGRPoint moved(-30.0001, 50.0041);
      f.SetGeometry(&moved);
    });
    OGRLayer* sites = data.GetLayerByName("sites");
    OGRFeature added(sites->GetLayerDefn());
    added.SetField("code", "N01");
    added.SetField("water_kind", "pond");
    const OGRPoint place(-30.01, 50.01);
    added.SetGeometry(&place);
    REQUIRE(sites->CreateFeature(&added) == OGRERR_NONE);
  });
  const Compared c = compared(survey, file);
  REQUIRE(c.list.changes.size() == 3);
  const Change* name = find_change(c.list, "sites/" + kQ01 + "/name");
  REQUIRE(name != nullptr);
  CHECK(name->base == "Footbridge");
  CHECK(name->theirs == "Foot bridge");
  CHECK(name->ours == "Footbridge");
  CHECK(name->state == ChangeState::kTheirs);
  const Change* place = find_change(c.list, "sites/" + kQ03 + "/geom");
  REQUIRE(place != nullptr);
  CHECK(place->base == "-30 50.004");
  CHECK(place->theirs == "-30.0001 50.0041");
  CHECK(c.list.changes.back().kind == ChangeKind::kAdded);
  accept(survey, file, {"all"});
  SurveyFile open = SurveyFile::open(survey, Access::kEdit);
  const Snapshot after = open.read();
  CHECK(after.sites.name[after.find_site("Q01")->value()] == "Foot bridge");
  CHECK(after.sites.position[after.find_site("Q03")->value()] == LonLat{-30.0001, 50.0041});
  const auto added = after.find_site("N01");
  REQUIRE(added.has_value());
  CHECK(after.sites.kind[added->value()] == WaterKind::kPond);
  CHECK(after.sites.key[added->value()].size() == 36);
  // What was not in the file stays: Q02 keeps its name and its true place.
  CHECK(after.sites.name[after.find_site("Q02")->value()] == "Otter Holt");
  CHECK(after.sites.position[after.find_site("Q02")->value()] ==
        before.sites.position[before.find_site("Q02")->value()]);
  CHECK(open.undo()->kind == "take changes");
  const Snapshot back = open.read();
  CHECK(back.sites.size() == before.sites.size());
  CHECK(back.sites.name[back.find_site("Q01")->value()] == "Footbridge");
}

TEST_CASE("what both changed is a conflict, taken only by its name; what both changed alike is none") {
  const TemporaryFolder folder;
  const auto survey = folder / "a.brook", file = folder / "a.gpkg";
  secret_survey(survey);
  hand_over(survey, file);
  edit(file, [](GDALDataset& data) {
    change_feature(data, "sites", "Q01", [](OGRFeature& f) {
      f.SetField("name", "Theirs");
      f.SetField("habitat", "pool");
    });
  });
  {
    SurveyFile open = SurveyFile::open(survey, Access::kEdit);
    const Snapshot s = open.read();
    Site site = site_row(s, *s.find_site("Q01"));
    site.name = "Ours";
    site.habitat = "pool";
    open.apply({"rename", "for the test", {Replace<Site>{site}}});
  }
  const Compared c = compared(survey, file);
  REQUIRE(c.list.changes.size() == 1);
  CHECK(c.list.changes[0].state == ChangeState::kConflict);
  CHECK(c.list.changes[0].base == "Footbridge");
  CHECK(c.list.changes[0].ours == "Ours");
  CHECK(accept_changes(c.list, {"all"}, c.snapshot, c.back.file).edits.empty());
  CHECK_THROWS_AS(accept_changes(c.list, {"sites/nothing"}, c.snapshot, c.back.file), Error);
  CHECK_THROWS_AS(accept_changes(c.list, {"site"}, c.snapshot, c.back.file), Error);
  accept(survey, file, {"sites/" + kQ01});
  const Snapshot s = SurveyFile::open(survey, Access::kRead).read();
  CHECK(s.sites.name[s.find_site("Q01")->value()] == "Theirs");
}

TEST_CASE("rows that are gone, words that do not fit and hidden places are told and never taken unasked") {
  const TemporaryFolder folder;
  const auto survey = folder / "a.brook", file = folder / "a.gpkg";
  secret_survey(survey);
  hand_over(survey, file);
  edit(file, [](GDALDataset& data) {
    run_sql(data, "DELETE FROM outfalls");
    change_feature(data, "sites", "Q01", [](OGRFeature& f) { f.SetField("water_kind", "puddle"); });
    run_sql(data, "UPDATE sites SET name = 'Guessed' WHERE code LIKE 'blurred-%' AND water_kind = 'stream'");
  });
  const Compared c = compared(survey, file);
  const Change* gone = find_change(c.list, "outfalls/" + secret_key(50));
  REQUIRE(gone != nullptr);
  CHECK(gone->kind == ChangeKind::kRemoved);
  CHECK(gone->state == ChangeState::kAskFirst);
  const Change* puddle = find_change(c.list, "sites/" + kQ01 + "/water_kind");
  REQUIRE(puddle != nullptr);
  CHECK(puddle->state == ChangeState::kImpossible);
  CHECK(puddle->note.find("puddle") != std::string::npos);
  const Change* guessed = find_change(c.list, "sites/" + kQ02 + "/name");
  REQUIRE(guessed != nullptr);
  CHECK(guessed->state == ChangeState::kAskFirst);
  CHECK(accept_changes(c.list, {"all"}, c.snapshot, c.back.file).edits.empty());
  CHECK_THROWS_AS(accept_changes(c.list, {puddle->id}, c.snapshot, c.back.file), Error);
  accept(survey, file, {"outfalls"});
  CHECK(SurveyFile::open(survey, Access::kRead).read().outfalls.empty());
}

TEST_CASE("a file that dropped our UUIDs says so") {
  const TemporaryFolder folder;
  const Snapshot s = secret_survey(folder / "a.brook");
  hand_over(folder / "a.brook", folder / "a.gpkg");
  std::filesystem::copy_file(folder / "a.gpkg", folder / "b.gpkg");
  edit(folder / "a.gpkg", [](GDALDataset& data) {
    OGRLayer* sites = data.GetLayerByName("sites");
    REQUIRE(sites->DeleteField(sites->GetLayerDefn()->GetFieldIndex("uuid")) == OGRERR_NONE);
  });
  CHECK(refusal(folder / "a.gpkg", s) == ErrorCode::kBadInput);
  edit(folder / "b.gpkg", [](GDALDataset& data) { run_sql(data, "UPDATE sites SET uuid = NULL"); });
  CHECK(refusal(folder / "b.gpkg", s) == ErrorCode::kBadInput);
}

TEST_CASE("nothing that a stranger's file holds is run") {
  const TemporaryFolder folder;
  const Snapshot s = secret_survey(folder / "a.brook");
  hand_over(folder / "a.brook", folder / "a.gpkg");
  const auto with = [&](const char* name, const std::vector<std::string>& statements) {
    const auto file = folder / name;
    std::filesystem::copy_file(folder / "a.gpkg", file);
    edit(file, [&](GDALDataset& data) {
      for (const std::string& sql : statements) run_sql(data, sql);
    });
    return file;
  };
  // A trigger on every table: the file is only read, so none fires, and not a byte of it changes.
  const auto triggers =
      with("triggers.gpkg", {"CREATE TRIGGER t1 AFTER INSERT ON sites BEGIN DELETE FROM sites; END",
                             "CREATE TRIGGER t2 AFTER UPDATE ON sites BEGIN DELETE FROM sites; END"});
  const std::string before = read_text(triggers);
  CHECK(compared(folder / "a.brook", triggers).list.changes.empty());
  CHECK(read_text(triggers) == before);
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 3);
  // A view in place of a table could compute anything when it is read.
  const auto view = with(
      "view.gpkg", {"ALTER TABLE sites RENAME TO sites_kept",
                    "CREATE VIEW sites AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
                    "SELECT i AS fid, 'x' AS uuid FROM n"});
  CHECK(refusal(view, s) == ErrorCode::kBadInput);
  const auto computed =
      with("computed.gpkg", {"ALTER TABLE sites ADD COLUMN extra TEXT AS (zeroblob(1000000000))"});
  CHECK(refusal(computed, s) == ErrorCode::kBadInput);
  const auto virtual_table =
      with("virtual.gpkg", {"ALTER TABLE drops RENAME TO drops_kept", "DROP TABLE taxa",
                            "CREATE VIRTUAL TABLE taxa USING fts5(key)"});
  CHECK(refusal(virtual_table, s) == ErrorCode::kBadInput);
  // Systems are looked up beside the layer: an endless list of them hangs whoever asks.
  const auto systems = with(
      "systems.gpkg",
      {"ALTER TABLE gpkg_spatial_ref_sys RENAME TO systems_kept",
       "CREATE VIEW gpkg_spatial_ref_sys AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
       "SELECT i AS srs_id, 'x' AS organization, 0 AS organization_coordsys_id FROM n"});
  CHECK(refusal(systems, s) == ErrorCode::kBadInput);
  // A shape that promises more points than there are bytes is told with its row; the others can be taken.
  const auto shape = with(
      "shape.gpkg", {"DROP TRIGGER rtree_reaches_geom_update1", "DROP TRIGGER rtree_reaches_geom_update2",
                     "UPDATE reaches SET geom = x'47500001E6100000010200000020202020'"});
  for (const Change& change : compared(folder / "a.brook", shape).list.changes) {
    CHECK(change.state == ChangeState::kImpossible);
    CHECK(change.note.find("cannot be read") != std::string::npos);
  }
  CHECK_FALSE(compared(folder / "a.brook", shape).list.changes.empty());
  // Bytes that are no database.
  brookmark::test::write_text(folder / "noise.gpkg", std::string(5000, 'x'));
  CHECK(refusal(folder / "noise.gpkg", s) == ErrorCode::kForeignFile);
  CHECK(refusal(folder / "missing.gpkg", s) == ErrorCode::kNotFound);
  std::string cut = read_text(folder / "a.gpkg");
  cut.resize(cut.size() / 2);
  brookmark::test::write_text(folder / "cut.gpkg", cut);
  const ErrorCode code = refusal(folder / "cut.gpkg", s);
  CHECK((code == ErrorCode::kForeignFile || code == ErrorCode::kBadInput));
}

TEST_CASE("an open survey handed over and taken into an empty one is the same survey") {
  const TemporaryFolder folder;
  const auto survey = folder / "a.brook", file = folder / "a.gpkg", other = folder / "b.brook";
  secret_survey(survey);
  {
    SurveyFile open = SurveyFile::open(survey, Access::kEdit);
    const Snapshot s = open.read();
    EditBatch batch{"open all", "for the test", {}};
    for (std::size_t i = 0; i < s.sites.size(); ++i) {
      Site site = site_row(s, SiteIndex(i));
      site.sharing = Sharing::kOpen;
      batch.edits.emplace_back(Replace<Site>{site});
    }
    for (const Person& person : s.people) {
      Person agreed = person;
      agreed.agreed = true;
      batch.edits.emplace_back(Replace<Person>{agreed});
    }
    batch.edits.emplace_back(AddPerson{{"", "Bob Baker", "", true}});
    open.apply(batch);
  }
  hand_over(survey, file);
  SurveyFile::create(other, {"", "Empty", "", "EPSG:4326"});
  accept(other, file, {"all"});
  const Snapshot a = SurveyFile::open(survey, Access::kRead).read(),
                 b = SurveyFile::open(other, Access::kRead).read();
  const auto same_rows = [](std::size_t size_a, std::size_t size_b, const auto& row_a, const auto& row_b,
                            const char* layer) {
    CAPTURE(std::string(layer));
    REQUIRE(size_a == size_b);
    std::set<std::string> all_a, all_b;
    const auto text_of = [&](const auto& row) {
      std::string text = row.key;
      for (const std::string& column : cell_columns(layer)) text += "|" + get_cell(row, column);
      return text;
    };
    for (std::size_t i = 0; i < size_a; ++i) all_a.insert(text_of(row_a(i)));
    for (std::size_t i = 0; i < size_b; ++i) all_b.insert(text_of(row_b(i)));
    for (const std::string& text : all_a) CHECK_MESSAGE(all_b.contains(text), text);
    for (const std::string& text : all_b) CHECK_MESSAGE(all_a.contains(text), text);
  };
  same_rows(
      a.sites.size(), b.sites.size(), [&](std::size_t i) { return site_row(a, SiteIndex(i)); },
      [&](std::size_t i) { return site_row(b, SiteIndex(i)); }, "sites");
  same_rows(
      a.visits.size(), b.visits.size(), [&](std::size_t i) { return visit_row(a, VisitIndex(i)); },
      [&](std::size_t i) { return visit_row(b, VisitIndex(i)); }, "visits");
  same_rows(
      a.samples.size(), b.samples.size(), [&](std::size_t i) { return sample_row(a, SampleIndex(i)); },
      [&](std::size_t i) { return sample_row(b, SampleIndex(i)); }, "samples");
  same_rows(
      a.records.size(), b.records.size(), [&](std::size_t i) { return record_row(a, RecordIndex(i)); },
      [&](std::size_t i) { return record_row(b, RecordIndex(i)); }, "records");
  same_rows(
      a.measurements.size(), b.measurements.size(), [&](std::size_t i) { return measurement_row(a, i); },
      [&](std::size_t i) { return measurement_row(b, i); }, "measurements");
  same_rows(
      a.outfalls.size(), b.outfalls.size(), [&](std::size_t i) { return a.outfalls[i]; },
      [&](std::size_t i) { return b.outfalls[i]; }, "outfalls");
  for (std::size_t i = 0; i < a.sites.size(); ++i) {
    const auto there = b.find_site(a.sites.key[i]);
    REQUIRE(there.has_value());
    CHECK(a.sites.position[i] == b.sites.position[there->value()]);
  }
  REQUIRE(a.reaches.size() == b.reaches.size());
  for (const Reach& reach : a.reaches)
    CHECK(std::any_of(b.reaches.begin(), b.reaches.end(), [&](const Reach& r) {
      return r.key == reach.key && r.name == reach.name && r.line == reach.line && r.two_way == reach.two_way;
    }));
  REQUIRE(a.waters.size() == b.waters.size());
  REQUIRE(a.catchments.size() == b.catchments.size());
  for (const Catchment& catchment : a.catchments)
    CHECK(std::any_of(b.catchments.begin(), b.catchments.end(), [&](const Catchment& k) {
      return k.key == catchment.key && k.code == catchment.code && k.name == catchment.name &&
             k.shape[0].rings == catchment.shape[0].rings;
    }));
}

TEST_CASE("every column that may come back is tied to its field, and says what the export says") {
  const TemporaryFolder folder;
  const auto handed = prepare_hand_over(secret_survey(folder / "a.brook"),
                                        {&shipped_methods().front(), [](const auto*) {}}, 0);
  const auto source = brookmark::geodata::source_of(*handed);
  using namespace brookmark::geodata;  // NOLINT
  for (const ExportTable& table :
       {sites_table(source), catchments_table(source), reaches_table(source), outfalls_table(source),
        waters_table(source), visits_table(source), samples_table(source), records_table(source),
        measurements_table(source)}) {
    CAPTURE(table.name);
    REQUIRE(table.comes_back);
    std::vector<std::string> own;
    for (const Column& column : table.columns)
      if (column.use == ColumnUse::kOwn) own.emplace_back(column.name);
    std::vector<std::string> tied = cell_columns(table.name);
    std::sort(own.begin(), own.end());
    std::sort(tied.begin(), tied.end());
    CHECK(own == tied);
  }
}

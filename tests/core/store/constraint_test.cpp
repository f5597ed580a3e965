// Whatever the survey file refuses, it refuses with a sentence, and nothing of the batch stays.
#include <limits>
#include <map>
#include <regex>
#include <set>

#include "core/store/change_log.hpp"
#include "core/store/reader.hpp"
#include "core/store/writer.hpp"
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::ErrorCode;

namespace {

const char* const kWords = "must be one that the survey file knows";

// What breaks each named constraint: table, SET clause, part of the sentence. The rows are those of
// one_of_each().
struct Breach {
  std::string table, change, sentence;
};

std::vector<Breach> breaches() {
  const std::string far_point = "geom = MakePoint(200, 10, 4326)";
  const std::string far_line = "geom = GeomFromText('LINESTRING(0 0, 0 91)', 4326)";
  const std::string far_shape = "geom = GeomFromText('MULTIPOLYGON(((0 0, 190 0, 0 1, 0 0)))', 4326)";
  std::vector<Breach> all = {
      {"survey", "id = 2", "a file holds one survey only"},
      {"survey", "title = ' '", "a survey needs a title"},
      {"survey", "crs = ''", "a survey needs a coordinate system"},
      {"taxon", "name = ''", "a taxon needs a name"},
      {"taxon", "rank = 'tribe?'", kWords},
      {"taxon", "parent_id = id", "cannot be its own parent"},
      {"taxon", "listed = 2", "listed is 1 for a taxon of the checklist"},
      {"water", "kind = 'sea'", kWords},
      {"water", far_shape, "the shape of a water must lie within"},
      {"site", "code = ' '", "a site needs a code"},
      {"site", "kind = 'sea'", kWords},
      {"site", "status = 'gone'", "proposed, active or retired"},
      {"site", "accuracy_m = -1", "the accuracy of a position is in metres"},
      {"site", "reference = 1, type = ' '", "needs the type of water"},
      {"site", far_point, "the position of a site must lie within"},
      {"visit", "date = '2023-02-29'", "a day of the calendar"},
      {"visit", "minute_of_day = 1440", "between 00:00 and 23:59"},
      {"visit", "utc_offset_min = 841", "between -14 and +14 hours"},
      {"sample", "code = ''", "a sample needs a code"},
      {"sample", "kind = 'odd'", "a sample is routine, a replicate or a blank"},
      {"sample", "effort = 0, effort_unit = 's'", "the effort of a sample must be above 0"},
      {"sample", "effort = 3", "an effort needs its unit"},
      {"sample", "mesh_um = 0", "the mesh of a net must be above 0"},
      {"sample", "subsample_share = 1.5", "the subsample share must lie above 0 and not above 1"},
      {"record", "name_match = 'guess'", "in a word that the survey file knows"},
      {"record", "quantity = 'many'", "present, count, class or absent"},
      {"record", "life_stage = 'nymphet'", "unknown, egg, larva, pupa or adult"},
      {"record", "certainty = 1.01", "must lie between 0 and 1"},
      {"record", "verbatim_name = ' '", "keeps the name as it was written"},
      {"record", "count_min = 2000000000000, count_max = 2000000000000", "at most 1000000000000"},
      {"record", "count_min = 0, count_max = 0", "looked for and not found is recorded as absent"},
      {"record", "quantity = 'class', class_code = ''", "an abundance class needs its code"},
      {"record", "quantity = 'present'", "a record of presence cannot hold a number"},
      {"record", "quantity = 'absent'", "a record of absence cannot hold a number other than 0"},
      {"measurement", "quantity = ''", "must say what was measured"},
      {"measurement", "below_detection = 2", "below_detection is 1 or 0"},
      {"measurement", "value = NULL", "a measurement needs a value unless it lies below detection"},
      {"outfall", "code = ''", "an outfall needs a code"},
      {"outfall", "kind = 'sea'", kWords},
      {"outfall", "since = '2024-13-01'", "the first day of an outfall"},
      {"outfall", "until = '1599-12-31'", "the last day of an outfall"},
      {"outfall", "since = '2024-01-02', until = '2024-01-01'", "cannot end before it begins"},
      {"outfall", "strength = -0.5", "the strength of an outfall must be 0 or more"},
      {"outfall", far_point, "the position of an outfall must lie within"},
      {"reach", "two_way = 2", "two_way is 1 for a reach that flows either way"},
      {"reach", far_line, "a reach must lie within"},
      {"catchment", "code = ''", "a catchment needs a code"},
      {"catchment", far_shape, "a catchment must lie within"},
      {"site", "sharing = 'secret'", "the sharing of a site is open, blurred or withheld"},
      {"photo", "file = ' '", "a photo needs the name of its file"},
      {"layer", "file = ''", "a layer needs the name of its file"},
      {"layer", "look = 'relief'", "drawn as picture or as hillshade"},
      {"layer", "shown = 2", "shown is 1 or 0"},
      {"person", "name = ' '", "a person needs a name"},
      {"person", "agreed = 2", "agreed is 1 where the person agreed"},
      {"sensitive_taxon", "name = ''", "a sensitive taxon needs a name"},
      {"sensitive_taxon", "sharing = 'open'", "blurred or withheld"},
      {"sensitive_taxon", "cell_m = 1", "has 10 to 1000000 metres"},
      {"kit", "code = ' '", "an item of kit needs a code"},
      {"kit", "kind = 'spoon'", kWords},
      {"kit", "retired = 2", "retired is 1 or 0"},
      {"kit_use", "date = '2023-02-29'", "the date of a use must be a day"},
      {"kit_use", "minute_of_day = 1440", "the time of a use must lie between"},
      {"kit_use", "utc_offset_min = 841", "between -14 and +14 hours"},
      {"cleaning", "date = 'soon'", "the date of a cleaning must be a day"},
      {"cleaning", "minute_of_day = -1", "the time of a cleaning must lie between"},
      {"cleaning", "utc_offset_min = -841", "between -14 and +14 hours"},
      {"cleaning", "agent = ' '", "must say what it was done with"},
      {"cleaning", "concentration_pct = 0", "a concentration lies above 0"},
      {"cleaning", "temperature_c = 201", "the temperature of a cleaning lies between"},
      {"cleaning", "contact_min = 0", "a contact time is above 0 minutes"},
      {"holding", "since = '2024-13-01'", "the first day of a live sample held"},
      {"holding", "until = '1599-12-31', outcome = 'returned'", "the last day of a live sample held"},
      {"holding", "until = '2024-03-01', outcome = 'returned'", "cannot end before it begins"},
      {"holding", "outcome = 'lost'", "held, returned or disposed of"},
      {"holding", "outcome = 'returned'", "needs the day on which it ended"},
      {"water_risk", "target = ''", "must say which organism"},
      {"water_risk", "status = 'maybe'", "suspected, confirmed or cleared"},
      {"water_risk", "since = '2024-02-30'", "the first day of a risk must be a day"},
      {"ground", "kind = 'wet'", "private, unsafe, road, bridge, access or refused"},
      {"ground", far_shape, "a piece of ground must lie within"},
      {"edit_log", "at_utc = 'now'", "edit times are UTC"},
      {"edit_log", "kind = ''", "an edit needs a kind"},
  };
  for (const std::string table :
       {"survey",          "taxon",   "water",   "site",      "visit",   "sample",     "record",
        "measurement",     "outfall", "reach",   "catchment", "photo",   "layer",      "person",
        "sensitive_taxon", "kit",     "kit_use", "cleaning",  "holding", "water_risk", "ground"}) {
    all.push_back({table, "key = ''", " needs a key"});
    all.push_back({table, "created_utc = '2024-05-03 08:30:00'", "edit times are UTC"});
    all.push_back({table, "changed_utc = '2024-05-03T08:30:00+01:00'", "edit times are UTC"});
  }
  return all;
}

void check_refused(SurveyFile& file, const Edit& bad, const std::string& sentence) {
  CAPTURE(sentence);
  const std::string before = dump(file.path(), true);
  // A good row first: it must not stay either.
  const auto [code, text] = error_of([&] {
    file.apply({"import", "one bad row", {AddSite{site("x", "X9")}, bad}});
  });
  CAPTURE(text);
  CHECK(code == ErrorCode::kBadInput);
  CHECK(holds(text, sentence));
  CHECK((dump(file.path(), true) == before));
}

}  // namespace

TEST_CASE("every named constraint of the schema is broken by some value and answers with its sentence") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  const Database database(folder / "a.brook", OpenMode::kReadWrite, 50);
  std::map<std::string, std::set<std::string>> untried;  // table -> sentences
  const std::regex name("CONSTRAINT \"([^\"]+)\"");
  for (Statement row(database,
                     "SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND sql IS NOT NULL");
       row.step();) {
    const std::string sql(row.text(1));
    for (std::sregex_iterator match(sql.begin(), sql.end(), name), end; match != end; ++match) {
      untried[std::string(row.text(0))].insert((*match)[1]);
    }
  }
  CHECK(untried.size() == 22);
  for (const Breach& breach : breaches()) {
    CAPTURE(breach.table);
    CAPTURE(breach.change);
    const auto [code, text] =
        error_of([&] { database.execute("UPDATE "s + breach.table + " SET " + breach.change); });
    CHECK(code == ErrorCode::kBadInput);
    CHECK_MESSAGE(holds(text, breach.sentence), text);
    auto& left = untried[breach.table];
    std::erase_if(left, [&, &said = text](const std::string& sentence) { return holds(said, sentence); });
  }
  for (const auto& [table, left] : untried) {
    CAPTURE(table);
    CHECK_MESSAGE(left.empty(), (left.empty() ? "" : *left.begin()));
  }
}

TEST_CASE("a row that belongs to nothing, and an owner that is still needed, are refused") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  const Database database(folder / "a.brook", OpenMode::kReadWrite, 50);
  for (const char* change : {"UPDATE visit SET site_id = 99", "UPDATE sample SET visit_id = 99",
                             "UPDATE record SET sample_id = 99", "UPDATE record SET taxon_id = 99",
                             "UPDATE measurement SET visit_id = 99", "UPDATE measurement SET sample_id = 99",
                             "UPDATE taxon SET parent_id = 99", "DELETE FROM site", "DELETE FROM visit",
                             "DELETE FROM sample", "DELETE FROM taxon"}) {
    CAPTURE(change);
    const auto [code, text] = error_of([&] { database.execute(change); });
    CHECK(code == ErrorCode::kBadInput);
    CHECK(holds(text, "belongs to another one that is not in this survey"));
  }
  // Null where an owner is needed.
  CHECK(holds(error_of([&] { database.execute("UPDATE visit SET site_id = NULL"); }).second,
              "a visit needs a site"));
  CHECK(holds(error_of([&] { database.execute("UPDATE outfall SET geom = NULL"); }).second,
              "an outfall needs a position"));
  // SpatiaLite guards the kind and the system of a shape.
  for (const char* change : {"UPDATE site SET geom = GeomFromText('LINESTRING(0 0, 1 1)', 4326)",
                             "UPDATE site SET geom = MakePoint(1, 2, 0)", "UPDATE reach SET geom = x'00'"}) {
    CAPTURE(change);
    CHECK(holds(error_of([&] { database.execute(change); }).second, "not of the kind that belongs there"));
  }
}

TEST_CASE("one bad edit leaves nothing of its batch, and says which row and why") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  check_refused(file, AddSite{site("s2", "S1")}, "site \"S1\": another site already has this code");
  check_refused(file, AddSite{site("s", "S2")}, "another site already has this key");
  check_refused(file, AddSite{site("s2", "")}, "a site needs a code");
  check_refused(file, AddSite{site("s2", "S2", {60, 100})},
                "look whether longitude and latitude are exchanged");
  check_refused(file, AddSite{site("s2", "S2", {std::numeric_limits<double>::quiet_NaN(), 1})},
                "not a finite number");
  check_refused(file, AddSite{site("s2", "S2", {std::numeric_limits<double>::infinity(), 1})},
                "not a finite number");
  Site inaccurate = site("s2", "S2");
  inaccurate.accuracy_m = std::numeric_limits<double>::infinity();
  check_refused(file, AddSite{inaccurate}, "site \"S2\": a number is not finite");
  check_refused(file, MoveSite{"nowhere", {1, 2}, {}}, "there is no such site");
  check_refused(file, MoveSite{"s", {1, 92}, {}}, "latitudes -90 to 90");
  check_refused(file, MoveSite{"s", kUnplaced, {}}, "not a finite number");
  check_refused(file, SetSiteStatus{"nowhere", SiteStatus::kActive}, "there is no such site");
  check_refused(file, AddVisit{visit("v2", "nowhere", "2024-01-01")},
                "visit of 2024-01-01: it belongs to a site that is not in this survey (key nowhere)");
  check_refused(file, AddVisit{visit("v", "s", "2024-01-01")}, "another visit already has this key");
  check_refused(file, AddSample{sample("m2", "M2", "nowhere")},
                "belongs to a visit that is not in this survey");
  check_refused(file, AddSample{sample("m2", "M2", "")}, "no key was given");
  check_refused(file, AddSample{sample("m2", "M1", "v")},
                "sample \"M1\": another sample already has this code");
  Sample whole = sample("m2", "M2", "v");
  whole.subsample_share = 0.0;
  check_refused(file, AddSample{whole}, "sample \"M2\": the subsample share must lie above 0");
  check_refused(file, AddRecord{count_record("nowhere", "t", 1)},
                "belongs to a sample that is not in this survey");
  check_refused(file, AddRecord{count_record("m", "nothing", 1)},
                "belongs to a taxon that is not in this survey");
  check_refused(file, AddRecord{count_record("m", "t", 0)},
                "record \"written t\": a count is one whole number, 1 or more");
  check_refused(file, AddRecord{count_record("m", "t", -3)}, "a count is one whole number, 1 or more");
  Record sure = count_record("m", "t", 1);
  sure.certainty = 2;
  check_refused(file, AddRecord{sure}, "must lie between 0 and 1");
  check_refused(file, AddMeasurement{measurement("nowhere", "pH", 7)},
                "belongs to a visit that is not in this survey");
  Measurement empty = measurement("v", "pH", 7);
  empty.value = std::nullopt;
  check_refused(file, AddMeasurement{empty}, "measurement \"pH\": a measurement needs a value unless");
  empty.sample_key = "nowhere";
  check_refused(file, AddMeasurement{empty}, "belongs to a sample that is not in this survey");
  check_refused(file, AddOutfall{outfall("O1")}, "another outfall already has this code");
  Outfall backwards = outfall("O2");
  backwards.since = parse_date("2024-01-02");
  backwards.until = parse_date("2024-01-01");
  check_refused(file, AddOutfall{backwards}, "cannot end before it begins");
  check_refused(file, AddReach{{"", "Stub", {{1, 2}}}}, "reach \"Stub\": a reach needs at least two points");
  check_refused(file, AddCatchment{{"", "C1", "", square(0, 0, 1)}},
                "another catchment already has this code");
  check_refused(file, AddCatchment{{"", "C2", "", {}}}, "catchment \"C2\": a catchment needs a shape");
  check_refused(file, AddWater{{"", "Pond", WaterKind::kPond, {{{{{0, 0}, {1, 1}}}}}}},
                "water \"Pond\": the boundary");
  check_refused(file, AddTaxon{taxon("t9", "")}, "a taxon needs a name");
  check_refused(file, AddTaxon{taxon("", "Baetis")}, "a taxon needs a key");
  check_refused(file, AddTaxon{taxon("t9", "Baetis", "nothing")},
                "belongs to a parent taxon that is not in this survey");
  check_refused(file, AddTaxon{taxon("t9", "Baetis", "t9")}, "among its own parents");
}

TEST_CASE("a measurement cannot name a sample of another visit") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  file.apply({"add", "visit", {AddVisit{visit("v2", "s", "2024-05-01")}}});
  Measurement wrong = measurement("v2", "pH", 7);
  wrong.sample_key = "m"s;
  check_refused(file, AddMeasurement{wrong}, "its sample is of another visit");
  // The schema refuses it as well.
  const Database database(folder / "a.brook", OpenMode::kReadWrite, 50);
  CHECK(error_of([&] { database.execute("UPDATE measurement SET sample_id = 1, visit_id = 2"); }).first ==
        ErrorCode::kBadInput);
}

TEST_CASE("taxa that are each other's parents are refused") {
  const TemporaryFolder folder;
  auto file = small_survey(folder / "a.brook");
  const auto [code, text] = error_of([&] {
    file.apply({"import", "ring", {AddTaxon{taxon("a", "A", "b")}, AddTaxon{taxon("b", "B", "a")}}});
  });
  CHECK(code == ErrorCode::kBadInput);
  CHECK(holds(text, "among its own parents"));
}

TEST_CASE("every statement of the store can be prepared on the newest schema") {
  const TemporaryFolder folder;
  small_survey(folder / "a.brook");
  const Database database(folder / "a.brook", OpenMode::kReadOnly, 50);
  std::size_t prepared = 0;
  const auto log = change_log_statements();
  for (const auto& statements :
       {writer_statements(), reader_statements(), std::vector<std::string_view>(log.begin(), log.end())}) {
    for (const std::string_view sql : statements) {
      CAPTURE(sql);
      CHECK_NOTHROW(Statement(database, sql));
      ++prepared;
    }
  }
  CHECK(prepared > 25);
}

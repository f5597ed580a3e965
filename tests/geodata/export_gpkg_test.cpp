#include <cpl_conv.h>
#include <doctest/doctest.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <cstdlib>
#include <memory>
#include <numbers>

#include "core/base/text.hpp"
#include "geodata/export.hpp"
#include "geodata/vector_input.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using brookmark::core::Line;
using brookmark::core::LonLat;
using brookmark::core::MultiPolygon;
using brookmark::core::Table;
using brookmark::geodata::export_survey;
using brookmark::geodata::read_layer;
using brookmark::test::near;
using brookmark::test::read_text;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::uuid;

namespace {

// Plain SQL on the tables as SQLite holds them; the first column of every row, NULL as "NULL".
std::vector<std::string> query(const std::filesystem::path& file, const std::string& sql) {
  struct Close {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
  };
  const std::unique_ptr<GDALDataset, Close> dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR));
  REQUIRE(dataset != nullptr);
  OGRLayer* rows = dataset->ExecuteSQL(sql.c_str(), nullptr, nullptr);
  std::vector<std::string> result;
  while (rows != nullptr) {
    const std::unique_ptr<OGRFeature> row(rows->GetNextFeature());
    if (row == nullptr) break;
    result.emplace_back(row->IsFieldSetAndNotNull(0) ? row->GetFieldAsString(0) : "NULL");
  }
  if (rows != nullptr) dataset->ReleaseResultSet(rows);
  return result;
}

std::string one(const std::filesystem::path& file, const std::string& sql) {
  const auto rows = query(file, sql);
  REQUIRE(rows.size() == 1);
  return rows.front();
}

Table layer(const std::filesystem::path& file, const char* name) {
  return read_layer(file, {.layer = name, .crs = {}});
}

std::string cell(const Table& table, std::size_t row, const char* column) {
  const auto at = table.find(column);
  REQUIRE(at.has_value());
  return table.rows.at(row).cells.at(*at);
}

double number(const Table& table, std::size_t row, const char* column) {
  const auto value = brookmark::core::parse_number(cell(table, row, column));
  REQUIRE(value.has_value());
  return *value;
}

int run_command(const std::string& command) {
  return std::system((command + " >/dev/null 2>&1").c_str());
}

const char* const kSpatial[] = {"sites", "catchments", "reaches", "channel_classes", "outfalls", "waters"};
const char* const kTables[] = {"visits", "samples", "scores", "taxa", "records", "measurements", "survey"};

}  // namespace

TEST_CASE("a GeoPackage passes GDAL's validator and opens in ogrinfo") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  CHECK(run_command("/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg --warning-as-error '" +
                    (folder / "out.gpkg").string() + "'") == 0);
  CHECK(run_command("ogrinfo -ro -al -so '" + (folder / "out.gpkg").string() + "'") == 0);
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("a GeoPackage of an empty survey is valid too") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  brookmark::core::Snapshot empty;
  empty.survey = survey.snapshot.survey;
  empty.samples.record_begin = {0};
  const auto shared = brookmark::core::share(empty);
  const auto scores = brookmark::core::score_samples(shared.snapshot(), survey.method);
  const brookmark::core::CatchmentNesting nesting;
  const auto assessment =
      brookmark::core::assess(shared.snapshot(), scores, 0, nesting, survey.assessment.until());
  const auto channels = brookmark::core::build_channels({});
  for (const char* name : {"out.gpkg", "out.geojson", "out.csv", "out.gpx", "out.fgb", "out.kml", "out.zip"})
    export_survey({shared, scores, assessment, nesting, channels}, folder / name, {});
  CHECK(run_command("/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg --warning-as-error '" +
                    (folder / "out.gpkg").string() + "'") == 0);
  CHECK(one(folder / "out.gpkg", "SELECT count(*) FROM sites") == "0");
  CHECK(one(folder / "out.gpkg", "SELECT count(*) FROM survey") == "1");
}

TEST_CASE("every layer has an extent that holds it, a spatial index, WGS 84 and a key") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto file = folder / "out.gpkg";
  export_survey(survey.source(), file, {});
  CHECK(one(file, "PRAGMA user_version") == "10300");
  for (const std::string name : kSpatial) {
    CAPTURE(name);
    CHECK(one(file, "SELECT count(*) FROM sqlite_master WHERE name = 'rtree_" + name + "_geom'") == "1");
    CHECK(one(file,
              "SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index' AND table_name "
              "= '" +
                  name + "'") == "1");
    CHECK(one(file, "SELECT count(*) FROM rtree_" + name + "_geom") ==
          one(file, "SELECT count(geom) FROM " + name));
    CHECK(one(file,
              "SELECT min_x IS NOT NULL AND min_y IS NOT NULL AND max_x IS NOT NULL AND max_y IS NOT NULL "
              "FROM gpkg_contents WHERE table_name = '" +
                  name + "'") == "1");
    CHECK(one(file, "SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = '" + name + "'") == "4326");
  }
  CHECK(one(file,
            "SELECT min_x || ' ' || min_y || ' ' || max_x || ' ' || max_y FROM gpkg_contents WHERE "
            "table_name = 'sites'") == "-30.2 50.01 -30.0 50.018");
  for (const std::string name : kTables)
    CHECK(one(file, "SELECT data_type FROM gpkg_contents WHERE table_name = '" + name + "'") == "attributes");
  CHECK(query(file, "SELECT table_name FROM gpkg_contents WHERE description = '' OR description IS NULL")
            .empty());
  for (const std::string name : {"sites", "catchments", "reaches", "outfalls", "waters", "samples", "records",
                                 "measurements", "survey"})
    CHECK(one(file, "SELECT count(*) = count(DISTINCT uuid) AND min(length(uuid)) = 36 FROM " + name) == "1");
  CHECK(one(file, "SELECT count(*) = 8 FROM (SELECT DISTINCT sample_uuid, method, metric FROM scores)") ==
        "1");
  CHECK(query(file, "PRAGMA integrity_check") == std::vector<std::string>{"ok"});
}

TEST_CASE("every time in a GeoPackage is UTC and ends in Z") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto file = folder / "out.gpkg";
  export_survey(survey.source(), file, {});
  const std::pair<const char*, const char*> columns[] = {{"samples", "started_utc"},
                                                         {"measurements", "started_utc"},
                                                         {"survey", "exported_utc"},
                                                         {"gpkg_contents", "last_change"}};
  for (const auto& [table, column] : columns) {
    const std::string name = column;
    const auto times =
        query(file, "SELECT " + name + " || '|' FROM " + table + " WHERE " + name + " IS NOT NULL");
    CHECK_FALSE(times.empty());
    for (const std::string& time : times) CHECK(time.substr(time.size() - 2) == "Z|");
  }
  // 09:30 at one hour east of UTC is 08:30 UTC; a time without its offset, or a day without a time, is not
  // guessed.
  CHECK(query(file, "SELECT started_utc || '|' FROM samples ORDER BY fid") ==
        std::vector<std::string>{"2023-05-03T08:30:00.000Z|", "NULL", "NULL", "NULL"});
  const Table samples = layer(file, "samples");
  CHECK(cell(samples, 0, "date") == "2023-05-03");
  CHECK(cell(samples, 0, "local_time") == "09:30");
  CHECK(cell(samples, 0, "local_offset_min") == "60");
  CHECK(cell(samples, 1, "local_time").empty());
  CHECK(cell(samples, 2, "local_time") == "10:00");
  CHECK(cell(samples, 2, "local_offset_min").empty());
}

TEST_CASE("every UUID that points to another table finds its row") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto file = folder / "out.gpkg";
  export_survey(survey.source(), file, {});
  const struct {
    const char *table, *column, *to;
    const char* filled;
  } links[] = {
      {"sites", "sample_uuid", "samples", "2"},        {"sites", "upstream_outfall_uuid", "outfalls", "1"},
      {"samples", "site_uuid", "sites", "4"},          {"scores", "sample_uuid", "samples", "8"},
      {"records", "sample_uuid", "samples", "6"},      {"measurements", "site_uuid", "sites", "3"},
      {"measurements", "sample_uuid", "samples", "1"}, {"catchments", "parent_uuid", "catchments", "1"}};
  for (const auto& link : links) {
    CAPTURE(link.table);
    CAPTURE(link.column);
    const std::string table = link.table, column = link.column, to = link.to;
    CHECK(one(file, "SELECT count(" + column + ") FROM " + table) == link.filled);
    CHECK(one(file, "SELECT count(*) FROM " + table + " WHERE " + column + " IS NOT NULL AND " + column +
                        " NOT IN (SELECT uuid FROM " + to + ")") == "0");
  }
}

TEST_CASE("sites carry the newest class that holds, beside the method that gave it") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table sites = layer(folder / "out.gpkg", "sites");
  REQUIRE(sites.rows.size() == 3);
  CHECK(std::get<LonLat>(sites.rows[1].shape) == LonLat{-30.0005, 50.010});
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(cell(sites, i, "method_title") == "Test index <A & B>");
    CHECK(cell(sites, i, "method_confirmed") == "memory");
    CHECK(cell(sites, i, "metric") == "sum");
  }
  // 2023: Baetidae 10 + Chironomidae 2 = 12, good. The presence-only sample of 2024 is newer and out of
  // scope.
  CHECK(cell(sites, 0, "uuid") == uuid(100));
  CHECK(cell(sites, 0, "sample") == "S1-2023");
  CHECK(cell(sites, 0, "value") == "12");
  CHECK(cell(sites, 0, "class") == "good");
  CHECK(cell(sites, 0, "class_rank") == "1");
  CHECK(cell(sites, 0, "in_scope") == "true");
  CHECK(cell(sites, 0, "newest_sample_date") == "2024-05-04");
  CHECK(cell(sites, 0, "assessment_note").starts_with("a newer sample of 2024-05-04 has no class: "));
  CHECK(cell(sites, 0, "raw_x") == "-30");
  CHECK(cell(sites, 0, "accuracy_m") == "4.5");
  // Eight animals are too few: a value, marked, without a class.
  CHECK(cell(sites, 1, "value") == "2");
  CHECK(cell(sites, 1, "class").empty());
  CHECK(cell(sites, 1, "class_rank").empty());
  CHECK(cell(sites, 1, "in_scope") == "false");
  CHECK(cell(sites, 1, "assessment_note").find("outside the method's scope") != std::string::npos);
  // Never sampled is not zero.
  CHECK(cell(sites, 2, "value").empty());
  CHECK(cell(sites, 2, "in_scope").empty());
  CHECK(cell(sites, 2, "assessment_note") == "no sample up to 2024-12-31");
}

TEST_CASE("sites carry the nearest outfall upstream along the channel, or say why there is none") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table sites = layer(folder / "out.gpkg", "sites");
  CHECK(cell(sites, 0, "upstream_outfall").empty());
  CHECK(cell(sites, 0, "outfall_note").find("no outfall in use drains to this site") != std::string::npos);
  CHECK(cell(sites, 1, "upstream_outfall") == "O1");
  // S2 lies at 50.010, O1 at 50.015: 0.005 degrees of meridian, M = a (1 - e2) / (1 - e2 sin2 lat)^1.5
  // at 50.0125. The site is 0.0005 degrees of longitude beside the channel: N cos(lat). Its foot on the
  // channel is 1 mm off its latitude.
  const double radian = std::numbers::pi / 180, e2 = 0.00669437999014;
  const double w2 = 1 - e2 * std::pow(std::sin(50.0125 * radian), 2);
  const double along_m = 6378137 * (1 - e2) / std::pow(w2, 1.5) * 0.005 * radian;
  const double beside_m = 6378137 / std::sqrt(w2) * std::cos(50.010 * radian) * 0.0005 * radian;
  CHECK(near(number(sites, 1, "distance_m"), along_m, 0.02));
  CHECK(near(number(sites, 1, "snap_m"), beside_m, 0.02));
  CHECK(cell(sites, 2, "distance_m").empty());
  CHECK(cell(sites, 2, "outfall_note").find("straight line") != std::string::npos);
}

TEST_CASE("samples, scores, records and measurements come back as they were") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table samples = layer(folder / "out.gpkg", "samples");
  CHECK(samples.rows.size() == 4);
  CHECK_FALSE(samples.has_shapes);
  CHECK(cell(samples, 3, "kind") == "blank");
  CHECK(cell(samples, 3, "site") == "S2");
  const Table scores = layer(folder / "out.gpkg", "scores");
  CHECK(scores.rows.size() == 8);  // 4 samples, 2 metrics
  CHECK(cell(scores, 0, "class") == "good");
  CHECK(cell(scores, 0, "method") == "test-index");
  CHECK(cell(scores, 0, "confirmed") == "memory");
  CHECK(cell(scores, 1, "metric") == "families");
  CHECK(cell(scores, 1, "value") == "2");
  CHECK(cell(scores, 1, "class").empty());
  CHECK(cell(scores, 4, "in_scope") == "false");
  CHECK(cell(scores, 4, "class").empty());
  CHECK(cell(scores, 6, "value").empty());  // the blank
  CHECK_FALSE(cell(scores, 6, "note").empty());
  const Table records = layer(folder / "out.gpkg", "records");
  CHECK(records.rows.size() == 6);
  CHECK(cell(records, 0, "verbatim_name") == "Baetis nymphs");
  CHECK(cell(records, 0, "taxon") == "Baetidae");
  CHECK(cell(records, 0, "rank") == "family");
  CHECK(cell(records, 0, "count_max") == "120");
  CHECK(cell(records, 2, "quantity_kind") == "present");
  CHECK(cell(records, 2, "count_min") == "1");
  CHECK(cell(records, 2, "count_max").empty());
  CHECK(cell(records, 4, "listed") == "false");
  CHECK(cell(records, 5, "quantity_kind") == "absent");
  CHECK(cell(records, 5, "count_max") == "0");
  CHECK(cell(records, 5, "certainty") == "0.9");
  const Table measurements = layer(folder / "out.gpkg", "measurements");
  CHECK(cell(measurements, 0, "value") == "9.8");
  CHECK(cell(measurements, 0, "sample_uuid") == uuid(300));
  CHECK(cell(measurements, 1, "below_detection") == "true");
  CHECK(cell(measurements, 1, "value") == "0.05");
  CHECK(cell(measurements, 2, "value").empty());
  CHECK(cell(measurements, 2, "verbatim_value") == "brown");
}

TEST_CASE("reaches, outfalls, catchments and waters come back as they were") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table reaches = layer(folder / "out.gpkg", "reaches");
  CHECK(std::get<std::vector<Line>>(reaches.rows.at(0).shape) ==
        std::vector<Line>{{{-30, 50.02}, {-30, 50.0}}});
  CHECK(cell(reaches, 0, "stream_order") == "1");
  CHECK(cell(reaches, 0, "upstream_m") == cell(reaches, 0, "length_m"));  // the only reach there is
  CHECK(cell(reaches, 0, "to_mouth_m") == "0");
  CHECK(cell(reaches, 0, "figures_note").empty());
  const Table outfalls = layer(folder / "out.gpkg", "outfalls");
  CHECK(std::get<LonLat>(outfalls.rows.at(0).shape) == LonLat{-30, 50.015});
  CHECK(cell(outfalls, 0, "kind") == "treated sewage");
  CHECK(cell(outfalls, 0, "since") == "2001-01-01");
  CHECK(cell(outfalls, 0, "until").empty());
  const Table catchments = layer(folder / "out.gpkg", "catchments");
  REQUIRE(catchments.rows.size() == 2);
  CHECK(std::get<MultiPolygon>(catchments.rows[1].shape).at(0).rings.at(0) ==
        survey.snapshot.catchments[1].shape[0].rings[0]);
  CHECK(cell(catchments, 0, "parent_uuid").empty());
  CHECK(cell(catchments, 1, "parent_uuid") == uuid(700));
  CHECK(cell(catchments, 0, "area_km2") == "637.5");
  CHECK(cell(catchments, 0, "sites") == "3");
  CHECK(cell(catchments, 0, "assessed_sites") == "1");
  CHECK(cell(catchments, 0, "worst_class") == "good");
  CHECK(cell(catchments, 0, "method_title") == "Test index <A & B>");
  CHECK(cell(catchments, 0, "last_date") == "2023-05-03");
  CHECK(cell(catchments, 1, "assessed_sites") == "0");
  CHECK(cell(catchments, 1, "worst_class").empty());
  CHECK(cell(catchments, 1, "worst_rank").empty());
  const Table waters = layer(folder / "out.gpkg", "waters");
  CHECK(std::get<MultiPolygon>(waters.rows.at(0).shape).size() == 1);
  CHECK(std::holds_alternative<std::monostate>(waters.rows.at(1).shape));
}

TEST_CASE("the channels come in stretches that say what is known of them, and add up to the reaches") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table stretches = layer(folder / "out.gpkg", "channel_classes");
  REQUIRE_FALSE(stretches.rows.empty());
  double sum_m = 0;
  for (std::size_t i = 0; i < stretches.rows.size(); ++i) {
    const std::string knowledge = cell(stretches, i, "knowledge");
    CHECK((knowledge == "measured" || knowledge == "inferred" || knowledge == "unknown"));
    CHECK(cell(stretches, i, "class").empty() == (knowledge == "unknown"));
    CHECK(cell(stretches, i, "site").empty() == (knowledge != "measured"));
    CHECK_FALSE(cell(stretches, i, "method").empty());
    CHECK(cell(stretches, i, "reach_uuid") == uuid(600));
    sum_m += std::stod(cell(stretches, i, "length_m"));
  }
  CHECK(near(sum_m, brookmark::core::length_m(survey.snapshot.reaches[0].line), 0.01));
  // One site alone on the stream can be compared: no neighbours, and the layer is there all the same.
  CHECK(one(folder / "out.gpkg", "SELECT count(*) FROM drops") == "0");
  CHECK(one(folder / "out.gpkg", "SELECT data_type FROM gpkg_contents WHERE table_name = 'drops'") ==
        "features");
}

TEST_CASE("a fall comes with both values, its interval, its probability and what that covers") {
  using brookmark::core::QuantityKind;
  const TemporaryFolder folder;
  SmallSurvey survey;
  // 60 mayflies at S1 on 4 May 2024 (10 points, good) against 50 midges and three wriggly things at S2 the day before
  // (2 points, poor). Nothing can be lost from either by drawing again: the fall is 8 in every draw.
  auto& records = survey.snapshot.records;
  records.quantity[2] = QuantityKind::kCount;
  records.count_min[2] = records.count_max[2] = 60;
  records.count_min[3] = records.count_max[3] = 50;
  survey.scores = brookmark::core::score_samples(survey.snapshot, survey.method);
  survey.assessment = brookmark::core::assess(survey.snapshot, survey.scores, 0, survey.nesting,
                                              *brookmark::core::parse_date("2024-12-31"));
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table drops = layer(folder / "out.gpkg", "drops");
  REQUIRE(drops.rows.size() == 1);
  CHECK(cell(drops, 0, "upstream_site") == "S1");
  const auto number = [&](const char* column) { return std::stod(cell(drops, 0, column)); };
  CHECK(number("value_up") == 10);
  CHECK(number("value_down") == 2);
  CHECK(number("fall") == 8);
  // All animals of each sample are of one kind: drawing them again says nothing, and nothing is made of that.
  for (const char* column : {"low", "high", "probability", "confidence_note"})
    CHECK(cell(drops, 0, column).empty());
  CHECK(cell(drops, 0, "note").find("every draw gives the same value") != std::string::npos);
  CHECK(cell(drops, 0, "since") == "2024-05-03");
  CHECK(cell(drops, 0, "note").find("there is no other comparison") != std::string::npos);
}

TEST_CASE("the survey table says what the file is and what it does not say") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  export_survey(survey.source(), folder / "out.gpkg", {});
  const Table about = layer(folder / "out.gpkg", "survey");
  REQUIRE(about.rows.size() == 1);
  CHECK(cell(about, 0, "title") == "Invented brook");
  CHECK(cell(about, 0, "method_citation") == "a surveyor's own notes, p. 3");
  CHECK(cell(about, 0, "method_confirmed") == "memory");
  CHECK(cell(about, 0, "cautions").find("does not say that water is safe to drink") != std::string::npos);
}

TEST_CASE("two exports of one survey at one fixed time are the same bytes") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  CPLSetConfigOption("OGR_CURRENT_DATE", "2024-06-01T12:00:00Z");
  for (const std::string ending : {".gpkg", ".geojson", ".csv", ".gpx", ".fgb", ".kml", ".zip"}) {
    CAPTURE(ending);
    export_survey(survey.source(), folder / ("a" + ending), {});
    export_survey(survey.source(), folder / ("b" + ending), {});
    const bool same = read_text(folder / ("a" + ending)) == read_text(folder / ("b" + ending));
    CHECK(same);
  }
  CPLSetConfigOption("OGR_CURRENT_DATE", nullptr);
  CHECK(cell(layer(folder / "a.gpkg", "survey"), 0, "exported_utc") == "2024-06-01T12:00:00Z");
}

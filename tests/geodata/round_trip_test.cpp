// A survey handed over in any form and taken into an empty one is the same survey, as far as the form can carry it. What each
// form does not carry stands beside it here, and in its own words in the export.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <random>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/import.hpp"
#include "core/intake/own_table.hpp"
#include "core/intake/row_cells.hpp"
#include "core/reference/reference.hpp"
#include "core/sharing/hand_over.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/rows.hpp"
#include "geodata/export.hpp"
#include "geodata/returned_gpkg.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/files.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::geodata::export_survey;
using brookmark::geodata::read_layer;
using brookmark::test::TemporaryFolder;

namespace {

void take_in(SurveyFile& file, ImportKind kind, const Table& table) {
  ImportOptions options;
  options.new_key = [&] { return file.new_key(); };
  const ImportReport report = plan_import(kind, table, file.read(), options);
  std::string first;
  for (const Issue& issue : report.issues)
    if (issue.severity == Severity::kError && first.empty()) first = issue.text;
  INFO(import_kind_name(kind));
  INFO(first);
  REQUIRE(report.bad_rows == 0);
  if (report.ok(false)) file.apply(report.batch);
}

// Every kind of row, with words that try every way of writing them down.
class RandomSurvey {
 public:
  RandomSurvey(const std::filesystem::path& path, std::uint64_t seed) : random_(seed) {
    SurveyFile file = SurveyFile::create(path, {"", "Random <survey> & \"more\"", "", "EPSG:4326"});
    EditBatch places{"places", "random", {}};
    for (int i = 0; i < 6; ++i) {
      Site site;
      site.code = "S" + std::to_string(i) + (i == 3 ? " ü\"x\"" : "");
      site.name = words();
      site.water = words();
      site.kind = static_cast<WaterKind>(pick(static_cast<int>(WaterKind::kLakeMargin) + 1));
      site.status = static_cast<SiteStatus>(pick(3));
      site.habitat = words();
      site.type = words();
      site.reference = !site.type.empty() && pick(2) == 0;
      site.note = words();
      if (i != 5) site.position = place();
      if (i != 5 && pick(2) == 0) site.accuracy_m = 1 + pick(200) / 8.0;
      places.edits.emplace_back(AddSite{site});
    }
    for (int i = 0; i < 3; ++i) {
      Outfall outfall;
      outfall.code = "O" + std::to_string(i);
      outfall.name = words();
      outfall.kind = static_cast<OutfallKind>(pick(static_cast<int>(OutfallKind::kTrade) + 1));
      outfall.position = place();
      outfall.note = words();
      if (pick(2) == 0) outfall.since = *parse_date("2001-02-03");
      if (pick(2) == 0) outfall.until = *parse_date("2031-02-03");
      if (pick(2) == 0) outfall.strength = pick(1000) / 7.0;
      places.edits.emplace_back(AddOutfall{outfall});
      Reach reach;
      reach.name = words();
      reach.two_way = pick(2) == 0;
      reach.note = words();
      for (int p = 0; p < 2 + pick(5); ++p) reach.line.push_back(place());
      places.edits.emplace_back(AddReach{reach});
      Catchment catchment;
      catchment.code = "C" + std::to_string(i);
      catchment.name = words();
      catchment.shape = {area(i)};
      if (i == 1) catchment.shape.push_back(area(i + 10));
      places.edits.emplace_back(AddCatchment{catchment});
      Water water;
      water.name = words();
      water.kind = static_cast<WaterKind>(pick(static_cast<int>(WaterKind::kLakeMargin) + 1));
      water.shape = {area(i + 20)};
      places.edits.emplace_back(AddWater{water});
    }
    places.edits.emplace_back(AddPerson{{"", "Ann Archer", "", true}});
    file.apply(places);
    // What hangs on sites comes in as a surveyor's tables do, so that names and quantities are understood as ever.
    take_in(file, ImportKind::kSamples, samples());
    take_in(file, ImportKind::kRecords, records());
    take_in(file, ImportKind::kMeasurements, measurements());
  }

 private:
  int pick(int below) { return static_cast<int>(random_() % static_cast<unsigned>(below)); }
  std::string words() {
    static const char* const kWords[] = {
        "",     "Mühle & Bach", "<b>low</b>", "a, \"b\"; c", "=1+1",     "-",     "007",
        "1e5",  "true",         "2024-05-03", "O'Brien",     "两 ponds", "12:30", "{\"a\": [1, 2]}",
        "null", "percent %20"};
    return kWords[pick(static_cast<int>(std::size(kWords)))];
  }
  LonLat place() { return {-30 + pick(1'000'000) * 1e-7, 50 + pick(1'000'000) * 1e-7}; }
  Polygon area(int number) {
    const double west = -30 + number * 0.01, south = 50 + pick(1000) * 1e-4, size = 0.002 + pick(50) * 1e-5;
    return {{{{west, south},
              {west + size, south},
              {west + size, south + size},
              {west, south + size},
              {west, south}}}};
  }
  Table samples() {
    std::string text = "site,sample,date,kind,protocol,effort,effort unit,mesh,subsample,people,note\n";
    for (int i = 0; i < 8; ++i) {
      const char* const starts[] = {"2024-05-0%T09:30+01:00", "2023-04-1%", "2022-11-2%T23:45",
                                    "2021-06-0%T00:15Z", "2020-07-0%T12:45-02:00"};
      std::string start = starts[pick(5)];
      start[start.find('%')] = static_cast<char>('1' + i);
      samples_.push_back("T" + std::to_string(i));
      text += "S" + std::to_string(pick(3)) + "," + samples_.back() + "," + start + "," +
              std::vector<std::string>{"routine", "replicate", "blank"}[static_cast<std::size_t>(pick(3))] +
              "," + csv_cell(words()) + "," + (pick(2) == 0 ? "180,s" : ",") + "," +
              (pick(2) == 0 ? "0.5 mm" : "") + "," + (pick(2) == 0 ? "1/4" : "") + "," +
              (pick(2) == 0 ? "Ann Archer" : "") + "," + csv_cell(words()) + "\n";
    }
    return read_csv(text, "samples.csv");
  }
  Table records() {
    std::string text =
        "sample,scientificName,organismQuantity,organismQuantityType,lifeStage,qualifier,certainty,note\n";
    const AbundanceClass& letter = abundance_classes().front();
    const char* const names[] = {"Baetidae",      "Baetis rhodani", "Gammarus",          "gammarus PULEX",
                                 "wriggly thing", "Chironomidae",   "Asellus aquaticus", "=brown worm"};
    for (const std::string& sample : samples_)
      for (std::size_t n = 0; n < std::size(names); ++n) {
        if (pick(3) == 0) continue;
        const int form = pick(4);
        text += sample + "," + csv_cell(names[n]) + "," +
                (form == 0   ? std::to_string(1 + pick(300)) + ","
                 : form == 1 ? std::string("0,")
                 : form == 2 ? csv_cell(letter.code) + "," + csv_cell(letter.scheme)
                             : std::string(",")) +
                "," + (pick(2) == 0 ? "larva" : "") + "," + (pick(3) == 0 ? "cf." : "") + "," +
                (pick(3) == 0 ? "0.75" : "") + "," + csv_cell(words()) + "\n";
      }
    return read_csv(text, "records.csv");
  }
  Table measurements() {
    std::string text = "sample,site,date,parameter,value,unit,note\n";
    for (int i = 0; i < 6; ++i)
      text += samples_[static_cast<std::size_t>(i)] + ",,,pH," + std::to_string(4 + i) + ".50,," +
              csv_cell(words()) + "\n";
    text +=
        ",S4,2024-06-01T10:20+01:00,ammonium,<0.05,mg/l,\n,S4,2024-06-01T15:20+01:00,ammonium,0.7,mg/l,\n";
    text += ",S5,2024-06-02,temperature,-0.5,C,\n";
    return read_csv(text, "measurements.csv");
  }

  std::mt19937_64 random_;
  std::vector<std::string> samples_;
};

using Told = std::multiset<std::string>;  // a row a text

// What a form leaves out of a column that it has otherwise.
struct Form {
  const char* ending;
  bool seven_decimals = false, shapes_only = false, no_shapes = false, placed_only = false;
};

std::string number_of(double value, const Form& form) {
  return form.seven_decimals ? format_fixed(value, 7) : format_number(value);
}
std::string line_text(const Line& line, const Form& form) {
  std::string text;
  for (const LonLat p : line) text += number_of(p.lon, form) + " " + number_of(p.lat, form) + ",";
  return text;
}
std::string area_text(const MultiPolygon& shape, const Form& form) {
  std::string text;
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings) {
      // A ring is the same from whatever corner and in whatever sense it is told.
      std::vector<std::string> corners;
      for (std::size_t i = 0; i + 1 < ring.size(); ++i) corners.push_back(line_text({ring[i]}, form));
      std::sort(corners.begin(), corners.end());
      for (const std::string& corner : corners) text += corner;
      text += ";";
    }
  return text;
}
std::string place_text(LonLat p, const Form& form) {
  return is_placed(p) ? line_text({p}, form) : std::string("no place");
}

// Own columns of a row but those that no form but the GeoPackage carries: keys (an import makes new ones) and the position as it
// was written (an import keeps it as the form has it).
template <class Row>
std::string row_text(const Row& row, const char* layer, const std::string& more) {
  static const std::set<std::string> kNotCarried = {"visit_uuid", "site_uuid", "sample_uuid",   "raw_x",
                                                    "raw_y",      "raw_crs",   "position_note", "taxon_key"};
  std::string text;
  for (const std::string& column : cell_columns(layer))
    if (!kNotCarried.contains(column)) text += column + "=" + get_cell(row, column) + "|";
  return text + more;
}

std::string visit_text(const Snapshot& s, VisitIndex visit) {
  const std::size_t v = visit.value();
  return std::string(s.sites.code[s.visits.site[v].value()]) + "|" + format_moment(s.visits.start[v]);
}

Told told(const Snapshot& s, const std::string& layer, const Form& form) {
  Told rows;
  if (layer == "sites")
    for (std::size_t i = 0; i < s.sites.size(); ++i)
      if (!form.placed_only || is_placed(s.sites.position[i]))
        rows.insert(row_text(site_row(s, SiteIndex(i)), "sites", place_text(s.sites.position[i], form)));
  if (layer == "outfalls")
    for (const Outfall& o : s.outfalls) rows.insert(row_text(o, "outfalls", place_text(o.position, form)));
  if (layer == "reaches")
    for (const Reach& r : s.reaches) rows.insert(row_text(r, "reaches", line_text(r.line, form)));
  if (layer == "catchments")
    for (const Catchment& c : s.catchments) rows.insert(row_text(c, "catchments", area_text(c.shape, form)));
  if (layer == "waters")
    for (const Water& w : s.waters) rows.insert(row_text(w, "waters", area_text(w.shape, form)));
  if (layer == "samples")
    for (std::size_t i = 0; i < s.samples.size(); ++i)
      rows.insert(row_text(sample_row(s, SampleIndex(i)), "samples",
                           visit_text(s, s.samples.visit[i]) + "|" +
                               std::string(s.visits.people[s.samples.visit[i].value()])));
  if (layer == "records")
    for (std::size_t i = 0; i < s.records.size(); ++i)
      rows.insert(row_text(record_row(s, RecordIndex(i)), "records",
                           std::string(s.samples.code[s.records.sample[i].value()]) + "|" +
                               std::string(s.taxa.name[s.records.taxon[i].value()])));
  if (layer == "measurements")
    for (std::size_t i = 0; i < s.measurements.size(); ++i)
      rows.insert(row_text(measurement_row(s, i), "measurements",
                           visit_text(s, s.measurements.visit[i]) + "|" +
                               (s.measurements.sample[i].has_value()
                                    ? std::string(s.samples.code[s.measurements.sample[i].value()])
                                    : std::string("in the water"))));
  return rows;
}

void check_same(const Told& before, const Told& after, const std::string& layer) {
  CAPTURE(layer);
  CHECK(before.size() > 2);
  CHECK(after.size() == before.size());
  auto b = before.begin();
  for (auto a = after.begin(); a != after.end() && b != before.end(); ++a, ++b)
    if (*a != *b) {
      CHECK(*a == *b);
      return;
    }
}

constexpr std::pair<const char*, ImportKind> kLayers[] = {
    {"catchments", ImportKind::kCatchments}, {"reaches", ImportKind::kWatercourses},
    {"waters", ImportKind::kWaters},         {"outfalls", ImportKind::kOutfalls},
    {"sites", ImportKind::kSites},           {"samples", ImportKind::kSamples},
    {"records", ImportKind::kRecords},       {"measurements", ImportKind::kMeasurements}};

void round_trip(const Form& form, std::uint64_t seed) {
  CAPTURE(form.ending);
  CAPTURE(seed);
  const TemporaryFolder folder;
  const RandomSurvey survey(folder / "a.brook", seed);
  const Snapshot before = SurveyFile::open(folder / "a.brook", Access::kRead).read();
  const auto handed = prepare_hand_over(before, {&shipped_methods().front(), [](const auto*) {}}, 0);
  SurveyFile other = SurveyFile::create(folder / "b.brook", {"", "Empty", "", "EPSG:4326"});
  for (const auto& [layer, kind] : kLayers) {
    const bool has_shape =
        kind != ImportKind::kSamples && kind != ImportKind::kRecords && kind != ImportKind::kMeasurements;
    const bool drawn = has_shape && kind != ImportKind::kSites && kind != ImportKind::kOutfalls;
    if ((form.shapes_only && !has_shape) || (form.no_shapes && drawn)) continue;
    const auto file = folder / (std::string(layer) + form.ending);
    export_survey(brookmark::geodata::source_of(*handed), file, {.only = {layer}});
    Table table = form.no_shapes ? read_csv_file(file) : read_layer(file, {});
    if (form.no_shapes) {
      CHECK(is_own_table(table));
      take_protection_off(table);
    }
    take_in(other, kind, table);
    check_same(told(before, layer, form), told(other.read(), layer, form), layer);
  }
}

constexpr std::uint64_t kSeeds[] = {1, 20, 300, 4000};

}  // namespace

TEST_CASE("a survey goes through CSV and comes back but for keys, lines and areas") {
  for (const std::uint64_t seed : kSeeds)
    round_trip({.ending = ".csv", .seven_decimals = true, .no_shapes = true}, seed);
}

TEST_CASE("a survey goes through GeoJSON and comes back but for keys and digits below a centimetre") {
  for (const std::uint64_t seed : kSeeds) round_trip({.ending = ".geojson", .seven_decimals = true}, seed);
}

TEST_CASE(
    "the drawn layers of a survey go through FlatGeobuf and come back but for keys and what has no place") {
  for (const std::uint64_t seed : kSeeds)
    round_trip({.ending = ".fgb", .shapes_only = true, .placed_only = true}, seed);
}

TEST_CASE("the drawn layers of a survey go through KML and come back but for keys") {
  for (const std::uint64_t seed : kSeeds) round_trip({.ending = ".kml", .shapes_only = true}, seed);
}

TEST_CASE("a survey goes through a GeoPackage and comes back whole") {
  for (const std::uint64_t seed : kSeeds) {
    CAPTURE(seed);
    const TemporaryFolder folder;
    const RandomSurvey survey(folder / "a.brook", seed);
    const Snapshot before = SurveyFile::open(folder / "a.brook", Access::kRead).read();
    const auto handed = prepare_hand_over(before, {&shipped_methods().front(), [](const auto*) {}}, 0);
    export_survey(brookmark::geodata::source_of(*handed), folder / "a.gpkg", {});
    SurveyFile other = SurveyFile::create(folder / "b.brook", {"", "Empty", "", "EPSG:4326"});
    const Snapshot empty = other.read();
    const auto back = brookmark::geodata::read_returned(folder / "a.gpkg", empty);
    const ChangeList list =
        compare_returned(empty, share(empty, back.file.rules), back.file, back.place_text);
    other.apply(accept_changes(list, {"all"}, empty, back.file));
    const Snapshot after = other.read();
    const Form form{".gpkg"};
    const auto keys_of = [](const auto& column) {
      std::set<std::string> keys;
      for (std::size_t i = 0; i < column.size(); ++i) keys.emplace(column[i]);
      return keys;
    };
    for (const auto& [layer, kind] : kLayers)
      check_same(told(before, layer, form), told(after, layer, form), layer);
    CHECK(keys_of(before.sites.key) == keys_of(after.sites.key));
    CHECK(keys_of(before.visits.key) == keys_of(after.visits.key));
    CHECK(keys_of(before.samples.key) == keys_of(after.samples.key));
    CHECK(keys_of(before.records.key) == keys_of(after.records.key));
    CHECK(keys_of(before.measurements.key) == keys_of(after.measurements.key));
  }
}

// What an archive has terms for. The rest (kind of water, status, type and reference of a site, weather and conditions apart from
// remarks, mesh, subsample and kind of a sample, blanks, drawn layers, sites never visited) stays behind.
TEST_CASE("events and occurrences of a Darwin Core Archive come back under the keys they had") {
  for (const std::uint64_t seed : kSeeds) {
    CAPTURE(seed);
    const TemporaryFolder folder;
    const RandomSurvey survey(folder / "a.brook", seed);
    const Snapshot before = SurveyFile::open(folder / "a.brook", Access::kRead).read();
    const auto handed = prepare_hand_over(before, {&shipped_methods().front(), [](const auto*) {}}, 0);
    const auto archive = folder / "a.zip";
    export_survey(brookmark::geodata::source_of(*handed), archive, {});
    REQUIRE(std::system(("cd " + folder.path().string() + " && python3 -m zipfile -e a.zip out").c_str()) ==
            0);
    const auto file_of = [&](const char* name) {
      Table table = read_csv_file(folder / "out" / name, {.separator = ','});
      CHECK(is_own_table(table));
      take_protection_off(table);
      return table;
    };
    // An event core holds visits beside samples.
    const Table events = file_of("event.csv");
    CHECK(events.rows.size() > before.samples.size());
    SurveyFile other = SurveyFile::create(folder / "b.brook", {"", "Empty", "", "EPSG:4326"});
    take_in(other, ImportKind::kSites, events);
    take_in(other, ImportKind::kSamples, events);
    take_in(other, ImportKind::kRecords, file_of("occurrence.csv"));
    const Snapshot after = other.read();
    REQUIRE(after.samples.size() == before.samples.size());
    const Form form{.ending = ".zip", .seven_decimals = true};
    Told ours, theirs;
    for (std::size_t i = 0; i < before.samples.size(); ++i) {
      const std::size_t v = before.samples.visit[i].value(), s = before.samples.site[i].value();
      ours.insert(
          std::string(before.samples.key[i]) + "|" + format_moment(before.visits.start[v]) + "|" +
          std::string(before.sites.code[s]) + "|" + std::string(before.sites.name[s]) + "|" +
          place_text(before.sites.position[s], form) + "|" + std::string(before.samples.note[i]) + "|" +
          (before.samples.effort[i] ? format_number(*before.samples.effort[i]) : "") + "|" +
          (before.samples.protocol[i].empty() ? "not noted" : std::string(before.samples.protocol[i])));
    }
    for (std::size_t i = 0; i < after.samples.size(); ++i) {
      const std::size_t v = after.samples.visit[i].value(), s = after.samples.site[i].value();
      theirs.insert(std::string(after.samples.code[i]) + "|" + format_moment(after.visits.start[v]) + "|" +
                    std::string(after.sites.code[s]) + "|" + std::string(after.sites.name[s]) + "|" +
                    place_text(after.sites.position[s], form) + "|" + std::string(after.visits.note[v]) +
                    "|" + (after.samples.effort[i] ? format_number(*after.samples.effort[i]) : "") + "|" +
                    std::string(after.samples.protocol[i]));
    }
    check_same(ours, theirs, "samples");
    ours.clear(), theirs.clear();
    const auto record_text = [](const Snapshot& s, std::size_t r, std::string_view sample) {
      const QuantityKind kind = s.records.quantity[r];
      return std::string(sample) + "|" + std::string(s.taxa.name[s.records.taxon[r].value()]) + "|" +
             quantity_kind_name(kind) + "|" + std::to_string(s.records.count_min[r]) + "|" +
             life_stage_name(s.records.stage[r]) + "|" + std::string(s.records.note[r]);
    };
    for (std::size_t r = 0; r < before.records.size(); ++r)
      if (const std::size_t s = before.records.sample[r].value();
          before.samples.kind[s] != SampleKind::kBlank)
        ours.insert(record_text(before, r, before.samples.key[s]));
    for (std::size_t r = 0; r < after.records.size(); ++r)
      theirs.insert(record_text(after, r, after.samples.code[after.records.sample[r].value()]));
    check_same(ours, theirs, "records");
  }
}

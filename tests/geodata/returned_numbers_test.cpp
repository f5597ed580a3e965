// Numbers that a partner corrects, with what is written beside them; what says nothing by half; and places that are gone.
#include <doctest/doctest.h>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/intake/import.hpp"
#include "core/intake/own_table.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/score.hpp"
#include "tests/geodata/partner.hpp"

using namespace brookmark::test;  // NOLINT: many words of the trade in one place

namespace {

const std::string kOxygen = secret_key(303);

// Baetidae of Q01-2023 as a sheet brought them in.
void written_as(const Partner& p, const std::string& written, std::int64_t count) {
  Record record = p.record(kBaetidae);
  record.verbatim_quantity = written;
  record.count_min = record.count_max = count;
  p.ours(Replace<Record>{record});
  p.hand_over_anew();
}

// Through CSV into an empty survey.
Snapshot taken_in_again(const Partner& p) {
  const auto handed = prepare_hand_over(p.now(), {&shipped_methods().front(), [](const auto*) {}}, 0);
  SurveyFile other = SurveyFile::create(p.folder / "other.brook", {"", "Empty", "", "EPSG:4326"});
  for (const auto& [layer, kind] : {std::pair{"sites", ImportKind::kSites},
                                    {"samples", ImportKind::kSamples},
                                    {"records", ImportKind::kRecords},
                                    {"measurements", ImportKind::kMeasurements}}) {
    const auto file = p.folder / (std::string(layer) + ".csv");
    export_survey(brookmark::geodata::source_of(*handed), file, {.only = {layer}});
    Table table = read_csv_file(file);
    REQUIRE(is_own_table(table));
    take_protection_off(table);
    ImportOptions options;
    options.new_key = [&] { return other.new_key(); };
    const ImportReport report = plan_import(kind, table, other.read(), options);
    REQUIRE(report.bad_rows == 0);
    other.apply(report.batch);
  }
  return other.read();
}

Record baetidae_of(const Snapshot& s) {
  for (std::size_t i = 0; i < s.records.size(); ++i)
    if (s.records.verbatim_name[i] == "Baetidae" && s.samples.code[s.records.sample[i].value()] == "Q01-2023")
      return record_row(s, RecordIndex(i));
  FAIL("no Baetidae in Q01-2023");
  return {};
}

// What the explanation of a score gives the record as weight.
double weight_of(const Snapshot& s, const Method& method, const Metric& metric) {
  for (const RecordPart& part : explain_sample(s, method, metric, *s.find_sample("Q01-2023")))
    if (s.records.verbatim_name[part.record.value()] == "Baetidae") return part.weight.value_or(-1);
  return -1;
}

// A metric that weighs by counts.
std::pair<const Method*, const Metric*> weighing_metric(const Snapshot& s) {
  for (const Method& method : shipped_methods())
    for (const Metric& metric : method.metrics)
      if (weight_of(s, method, metric) == 500) return {&method, &metric};
  FAIL("no metric weighs by counts");
  return {};
}

const std::string kCorrected =
    "UPDATE records SET count_min = 500, count_max = 500 WHERE uuid = '" + kBaetidae + "'";

}  // namespace

TEST_CASE("a corrected count is the number that is explained, scored, exported and taken in again") {
  const Partner p;
  written_as(p, "106", 106);
  p.sql({kCorrected});
  const Change change = p.change("records/" + kBaetidae + "/count_min");
  CHECK(change.state == ChangeState::kTheirs);
  CHECK(says(change.note, "\"500\" stands as written, and \"106\" is kept in the note"));
  accept(p.survey, p.file, {"all"});
  const Record record = p.record(kBaetidae);
  CHECK(record.count_min == 500);
  CHECK(record.verbatim_quantity == "500");
  CHECK(record.note == "written as \"106\" before");
  const auto [method, metric] = weighing_metric(p.now());
  CHECK(weight_of(p.now(), *method, *metric) == 500);
  const Snapshot again = taken_in_again(p);
  CHECK(baetidae_of(again).count_min == 500);
  CHECK(baetidae_of(again).count_max == 500);
  CHECK(weight_of(again, *method, *metric) == 500);
  CHECK(p.list().changes.empty());
  // One undo takes all of it back.
  SurveyFile::open(p.survey, Access::kEdit).undo();
  CHECK(p.record(kBaetidae).verbatim_quantity == "106");
  CHECK(p.record(kBaetidae).note.empty());
}

TEST_CASE("a count that becomes another kind of quantity is written as such, and comes back as such") {
  const std::string where = " WHERE uuid = '" + kBaetidae + "'";
  const AbundanceClass& letter = abundance_classes().front();
  const std::string most = letter.max_count < 0 ? "NULL" : std::to_string(letter.max_count);
  const std::tuple<std::string, std::string, QuantityKind> kinds[] = {
      {"quantity_kind = 'present', count_min = 1, count_max = NULL", "present", QuantityKind::kPresent},
      {"quantity_kind = 'absent', count_min = 0, count_max = 0", "0", QuantityKind::kAbsent},
      {"quantity_kind = '" + std::string(quantity_kind_name(QuantityKind::kAbundanceClass)) +
           "', count_min = " + std::to_string(letter.min_count) + ", count_max = " + most +
           ", class_scheme = '" + letter.scheme + "', class_code = '" + letter.code + "'",
       letter.code, QuantityKind::kAbundanceClass}};
  for (const auto& [cells, written, kind] : kinds) {
    CAPTURE(written);
    const Partner p;
    written_as(p, "106", 106);
    p.sql({"UPDATE records SET " + cells + where});
    for (const Change& change : p.list().changes)
      CHECK_MESSAGE(change.state == ChangeState::kTheirs, change.note);
    accept(p.survey, p.file, {"all"});
    CHECK(p.record(kBaetidae).verbatim_quantity == written);
    CHECK(p.record(kBaetidae).quantity == kind);
    const Record again = baetidae_of(taken_in_again(p));
    CHECK(again.quantity == kind);
    CHECK(again.count_max == p.record(kBaetidae).count_max);
  }
}

TEST_CASE("an abundance class means what its scheme says, so its limits alone are not corrected") {
  const Partner p;
  const AbundanceClass& letter = abundance_classes().front();
  Record record = p.record(kBaetidae);
  record.quantity = QuantityKind::kAbundanceClass;
  record.class_scheme = letter.scheme;
  record.class_code = record.verbatim_quantity = letter.code;
  record.count_min = letter.min_count;
  record.count_max.reset();
  if (letter.max_count >= 0) record.count_max = letter.max_count;
  p.ours(Replace<Record>{record});
  p.hand_over_anew();
  const std::string where = " WHERE uuid = '" + kBaetidae + "'";
  p.sql(
      {"UPDATE records SET count_min = " + std::to_string(letter.min_count + 1) + ", note = 'seen'" + where});
  const Change change = p.change("records/" + kBaetidae + "/count_min");
  CHECK(change.state == ChangeState::kImpossible);
  CHECK(says(change.note, "the class " + letter.code + " of " + letter.scheme + " stands for "));
  CHECK(p.change("records/" + kBaetidae + "/note").state == ChangeState::kTheirs);
  p.sql({"UPDATE records SET count_min = " + std::to_string(letter.min_count) + ", class_code = 'no such'" +
         where});
  CHECK(says(p.change("records/" + kBaetidae + "/class_code").note,
             "\"no such\" is no class of " + letter.scheme));
}

TEST_CASE("what was written down is not corrected itself, and agrees silently with a corrected number") {
  const Partner p;
  written_as(p, "106", 106);
  p.sql({"UPDATE records SET verbatim_quantity = '160' WHERE uuid = '" + kBaetidae + "'",
         "UPDATE measurements SET verbatim_value = '8' WHERE uuid = '" + kOxygen + "'"});
  const Change quantity = p.change("records/" + kBaetidae + "/verbatim_quantity"),
               value = p.change("measurements/" + kOxygen + "/verbatim_value");
  CHECK(quantity.state == ChangeState::kImpossible);
  CHECK(quantity.note == "what was written down stays; correct count_min and count_max instead");
  CHECK(value.state == ChangeState::kImpossible);
  CHECK(value.note == "what was written down stays; correct value instead");
  CHECK(says(p.refusal({quantity.id}), "what was written down stays"));
  // With a number that it does not say it is refused, with the number that it says it is no change of its own.
  p.sql({kCorrected});
  CHECK(p.change(quantity.id).state == ChangeState::kImpossible);
  CHECK(p.change("records/" + kBaetidae + "/count_min").state == ChangeState::kTheirs);
  p.sql({"UPDATE records SET verbatim_quantity = '500' WHERE uuid = '" + kBaetidae + "'",
         "UPDATE measurements SET verbatim_value = '9.1' WHERE uuid = '" + kOxygen + "'"});
  CHECK(p.list().changes.size() == 2);
  accept(p.survey, p.file, {"all"});
  CHECK(p.record(kBaetidae).verbatim_quantity == "500");
  CHECK(p.list().changes.empty());
}

TEST_CASE("a corrected value of a measurement is what is written, and comes back by CSV") {
  const Partner p;
  const std::string where = " WHERE uuid = '" + kOxygen + "'";
  p.sql({"UPDATE measurements SET value = 7.25, note = 'meter off'" + where});
  accept(p.survey, p.file, {"all"});
  CHECK(p.measurement(kOxygen).value == 7.25);
  CHECK(p.measurement(kOxygen).verbatim_value == "7.25");
  CHECK(p.measurement(kOxygen).note == "meter off; written as \"9.1\" before");
  CHECK(p.list().changes.empty());
  p.hand_over_anew();
  p.sql({"UPDATE measurements SET value = 0.05, below_detection = 1" + where});
  accept(p.survey, p.file, {"all"});
  CHECK(p.measurement(kOxygen).verbatim_value == "<0.05");
  const Snapshot again = taken_in_again(p);
  std::size_t below = 0;
  for (std::size_t m = 0; m < again.measurements.size(); ++m)
    if (measurement_row(again, m).below_detection) {
      ++below;
      CHECK(measurement_row(again, m).value == 0.05);
    }
  CHECK(below == 1);
}

TEST_CASE("a record that a partner adds is written as it counts, whatever a copied cell says") {
  const Partner p;
  const std::string columns =
      "INSERT INTO records (sample_uuid, verbatim_name, quantity_kind, count_min, count_max, "
      "verbatim_quantity, "
      "life_stage) VALUES ('" +
      kSample + "', ";
  p.sql({columns + "'Simulium', 'count', 3, 3, NULL, 'unknown')",
         columns + "'Leuctra', 'count', 500, 500, '106', 'unknown')",
         columns + "'Ephemera', 'count', 7, 7, '7', 'unknown')"});
  accept(p.survey, p.file, {"all"});
  const Snapshot s = p.now();
  std::size_t found = 0;
  for (std::size_t i = 0; i < s.records.size(); ++i) {
    const Record r = record_row(s, RecordIndex(i));
    if (r.verbatim_name == "Simulium") ++found, CHECK(r.verbatim_quantity == "3"), CHECK(r.note.empty());
    if (r.verbatim_name == "Leuctra")
      ++found, CHECK(r.verbatim_quantity == "500"), CHECK(r.note == "written as \"106\" before");
    if (r.verbatim_name == "Ephemera") ++found, CHECK(r.verbatim_quantity == "7"), CHECK(r.note.empty());
  }
  CHECK(found == 3);
  CHECK(p.list().changes.empty());
}

TEST_CASE("cells that are bad together are refused together, each naming the other") {
  const std::string outfall = "outfalls/" + secret_key(50);
  const Partner p;
  Outfall works = p.before.outfalls.at(0);
  works.since = *parse_date("1990-01-01");
  works.until = *parse_date("2020-01-01");
  p.ours(Replace<Outfall>{works});
  p.hand_over_anew();
  p.sql({"UPDATE outfalls SET since = '2025-01-01', until = '2001-01-01', name = 'Works'"});
  for (const auto& [cell, other] : {std::pair{"since", "until"}, {"until", "since"}}) {
    const Change change = p.change(outfall + "/" + cell);
    CHECK(change.state == ChangeState::kImpossible);
    CHECK(says(change.note, "an outfall cannot end before it begins"));
    CHECK(says(change.note, std::string("refused together with ") + other));
  }
  accept(p.survey, p.file, {"all"});
  CHECK(p.now().outfalls.at(0).name == "Works");
  CHECK(p.now().outfalls.at(0).since == works.since);
  CHECK(p.now().outfalls.at(0).until == works.until);
}

TEST_CASE("of a pair of which one half is no value the other is refused too") {
  const Partner p;
  p.sql({"UPDATE samples SET effort = -3, effort_unit = 'min', protocol = 'sweep' WHERE uuid = '" + kSample +
             "'",
         "UPDATE records SET count_min = 9, count_max = 8 WHERE uuid = '" + kBaetidae + "'",
         "UPDATE measurements SET value = 'high', unit = 'ug/l' WHERE uuid = '" + kOxygen + "'"});
  for (const std::string& id : {"samples/" + kSample + "/effort", "samples/" + kSample + "/effort_unit",
                                "records/" + kBaetidae + "/count_min", "records/" + kBaetidae + "/count_max",
                                "measurements/" + kOxygen + "/value", "measurements/" + kOxygen + "/unit"}) {
    CAPTURE(id);
    CHECK(p.change(id).state == ChangeState::kImpossible);
    CHECK(says(p.change(id).note, "refused together with "));
  }
  CHECK(p.change("samples/" + kSample + "/protocol").state == ChangeState::kTheirs);
}

TEST_CASE("of a pair of which we changed one half too the other is not taken unasked") {
  const Partner p;
  p.sql({"UPDATE samples SET effort = 3, effort_unit = 'min' WHERE uuid = '" + kSample + "'"});
  const Snapshot s = p.now();
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    if (s.samples.key[i] == kSample) {
      Sample sample = sample_row(s, SampleIndex(i));
      sample.effort = 200;
      p.ours(Replace<Sample>{sample});
    }
  CHECK(p.change("samples/" + kSample + "/effort").state == ChangeState::kConflict);
  const Change unit = p.change("samples/" + kSample + "/effort_unit");
  CHECK(unit.state == ChangeState::kAskFirst);
  CHECK(says(unit.note, "it says nothing without effort"));
}

TEST_CASE("a place that is gone from the file is asked for by name, like a row that is gone") {
  const Partner p;
  p.sql({"UPDATE sites SET geom = NULL, name = 'Bridge' WHERE code = 'Q01'",
         "UPDATE waters SET geom = NULL WHERE name = 'Long Lake'"});
  const std::string id = "sites/" + kSite + "/geom";
  for (const std::string& lost : {id, "waters/" + secret_key(71) + "/geom"}) {
    CHECK(p.change(lost).state == ChangeState::kAskFirst);
    CHECK(p.change(lost).note == "the place is missing in the file; name it to remove it here");
  }
  accept(p.survey, p.file, {"all"});
  const auto site = [&](const Snapshot& s) { return s.find_site("Q01")->value(); };
  CHECK(p.now().sites.name[site(p.now())] == "Bridge");
  CHECK(p.now().sites.position[site(p.now())] == p.before.sites.position[site(p.before)]);
  for (const Water& water : p.now().waters) CHECK_FALSE(water.shape.empty());
  accept(p.survey, p.file, {id});
  CHECK_FALSE(is_placed(p.now().sites.position[site(p.now())]));
}

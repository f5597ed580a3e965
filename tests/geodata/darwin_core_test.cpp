#include <cpl_vsi.h>
#include <doctest/doctest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/intake/own_table.hpp"
#include "geodata/deflate_internal.hpp"
#include "geodata/export.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"

using brookmark::core::read_csv;
using brookmark::core::read_csv_file;
using brookmark::core::Table;
using brookmark::geodata::export_survey;
using brookmark::test::reference;
using brookmark::test::SmallSurvey;
using brookmark::test::TemporaryFolder;
using brookmark::test::uuid;

namespace {

// Read by GDAL's own reader of archives, which shares nothing with our writer.
std::string in_archive(const std::filesystem::path& zip, const std::string& name) {
  const std::string path = "/vsizip/" + zip.string() + "/" + name;
  VSILFILE* file = VSIFOpenL(path.c_str(), "rb");
  REQUIRE_MESSAGE(file != nullptr, name);
  std::string text(1 << 20, '\0');
  text.resize(VSIFReadL(text.data(), 1, text.size(), file));
  VSIFCloseL(file);
  return text;
}

// The parts of `text` between `before` and `after`, in order.
std::vector<std::string> between(const std::string& text, const std::string& before,
                                 const std::string& after) {
  std::vector<std::string> parts;
  for (std::size_t at = text.find(before); at != std::string::npos; at = text.find(before, at)) {
    at += before.size();
    const std::size_t end = text.find(after, at);
    REQUIRE(end != std::string::npos);
    parts.push_back(text.substr(at, end - at));
    at = end;
  }
  return parts;
}

struct Described {
  std::string file, row_type;
  std::vector<std::string> terms;  // of columns 1, 2 ...
};

std::vector<Described> described(const std::string& meta) {
  std::vector<Described> files;
  for (const std::string kind : {"core", "extension"})
    for (const std::string& block : between(meta, "<" + kind + " ", "</" + kind + ">")) {
      Described file;
      REQUIRE(between(block, "<location>", "</location>").size() == 1);
      file.file = between(block, "<location>", "</location>").front();
      file.row_type = between(block, "rowType=\"", "\"").front();
      const std::string id = kind == "core" ? "<id index=\"" : "<coreid index=\"";
      CHECK(between(block, id, "\"") == std::vector<std::string>{"0"});
      file.terms = between(block, "term=\"", "\"");
      const auto numbers = between(block, "<field index=\"", "\"");
      REQUIRE(numbers.size() == file.terms.size());
      for (std::size_t i = 0; i < numbers.size(); ++i) CHECK(numbers[i] == std::to_string(i + 1));
      files.push_back(std::move(file));
    }
  return files;
}

std::string local_name(const std::string& iri) {
  return iri.substr(iri.find_last_of('/') + 1);
}

std::string cell(const Table& table, std::size_t row, const char* column) {
  const auto at = table.find(column);
  REQUIRE_MESSAGE(at.has_value(), column);
  return table.rows.at(row).cells.at(*at);
}

std::filesystem::path archive_of(const TemporaryFolder& folder, const SmallSurvey& survey) {
  export_survey(survey.source(), folder / "out.zip",
                {.licence = "CC BY 4.0", .clock_utc = "2024-06-01T12:00:00Z"});
  return folder / "out.zip";
}

}  // namespace

TEST_CASE(
    "an archive holds an event core with two extensions, each of published terms in the order of its "
    "columns") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto zip = archive_of(folder, survey);
  const std::string meta = in_archive(zip, "meta.xml");
  CHECK(meta.find("<archive xmlns=\"http://rs.tdwg.org/dwc/text/\" metadata=\"eml.xml\">") !=
        std::string::npos);
  const std::vector<Described> files = described(meta);
  REQUIRE(files.size() == 3);
  CHECK(files[0].row_type == "http://rs.tdwg.org/dwc/terms/Event");
  CHECK(files[1].row_type == "http://rs.tdwg.org/dwc/terms/Occurrence");
  CHECK(files[2].row_type == "http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact");
  const char* const lists[] = {"event_terms.csv", "occurrence_terms.csv", "measurement_terms.csv"};
  for (std::size_t f = 0; f < files.size(); ++f) {
    CAPTURE(files[f].file);
    std::set<std::string> published, required;
    const Table list = read_csv_file(reference(std::string("darwin_core/") + lists[f]));
    for (const auto& row : list.rows) {
      published.insert(row.cells[0]);
      if (row.cells[1] == "true") required.insert(row.cells[0]);
    }
    for (const std::string& term : files[f].terms) {
      CHECK_MESSAGE(published.contains(term), term);
      required.erase(term);
    }
    CHECK(required.empty());
    CHECK(std::set<std::string>(files[f].terms.begin(), files[f].terms.end()).size() ==
          files[f].terms.size());
    const Table table = read_csv(in_archive(zip, files[f].file), files[f].file);
    REQUIRE(table.columns.size() == files[f].terms.size() + 1);
    for (std::size_t c = 0; c < files[f].terms.size(); ++c)
      CHECK(table.columns[c + 1] == local_name(files[f].terms[c]));
    for (const auto& row : table.rows) CHECK(row.issue.empty());
  }
}

TEST_CASE("every row of an extension finds its event, every sample its visit, and ids differ") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto zip = archive_of(folder, survey);
  const Table events = read_csv(in_archive(zip, "event.csv"), "event.csv"),
              occurrences = read_csv(in_archive(zip, "occurrence.csv"), "occurrence.csv"),
              facts = read_csv(in_archive(zip, "measurement.csv"), "measurement.csv");
  std::set<std::string> ids;
  for (std::size_t i = 0; i < events.rows.size(); ++i) {
    CHECK(cell(events, i, "id") == cell(events, i, "eventID"));
    CHECK(ids.insert(cell(events, i, "eventID")).second);
  }
  CHECK(ids.size() == 3 + 4);  // visits and samples
  for (std::size_t i = 0; i < events.rows.size(); ++i) {
    const std::string parent = cell(events, i, "parentEventID");
    CHECK(parent.empty() == (cell(events, i, "eventType") == "Site Visit"));
    if (!parent.empty()) CHECK(ids.contains(parent));
    CHECK(cell(events, i, "license") == "CC BY 4.0");
  }
  std::set<std::string> occurrence_ids;
  for (std::size_t i = 0; i < occurrences.rows.size(); ++i) {
    CHECK(ids.contains(cell(occurrences, i, "coreid")));
    CHECK(cell(occurrences, i, "basisOfRecord") == "HumanObservation");
    CHECK(occurrence_ids.insert(cell(occurrences, i, "occurrenceID")).second);
    CHECK_FALSE(cell(occurrences, i, "scientificName").empty());
  }
  CHECK(occurrences.rows.size() == 6);
  for (std::size_t i = 0; i < facts.rows.size(); ++i) CHECK(ids.contains(cell(facts, i, "coreid")));
}

TEST_CASE("an archive says how many, whether looked for in vain, where and how sure") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto zip = archive_of(folder, survey);
  const Table occurrences = read_csv(in_archive(zip, "occurrence.csv"), "occurrence.csv");
  CHECK(cell(occurrences, 0, "individualCount") == "120");
  CHECK(cell(occurrences, 0, "organismQuantityType") == "individuals");
  CHECK(cell(occurrences, 0, "order") == "Ephemeroptera");
  CHECK(cell(occurrences, 0, "family") == "Baetidae");
  CHECK(cell(occurrences, 0, "verbatimIdentification") == "Baetis nymphs");
  CHECK(cell(occurrences, 0, "lifeStage") == "larva");
  CHECK(cell(occurrences, 2, "occurrenceStatus") == "present");
  CHECK(cell(occurrences, 2, "individualCount").empty());  // present is no number
  CHECK(cell(occurrences, 5, "occurrenceStatus") == "absent");
  CHECK(cell(occurrences, 5, "individualCount") == "0");
  CHECK(cell(occurrences, 5, "identificationRemarks") == "certainty given by the surveyor, 0 to 1: 0.9");
  const Table events = read_csv(in_archive(zip, "event.csv"), "event.csv");
  CHECK(cell(events, 0, "eventDate") == "2023-05-03");
  CHECK(cell(events, 0, "eventTime") == "09:30+01:00");
  CHECK(cell(events, 0, "decimalLatitude") == "50.018");
  CHECK(cell(events, 0, "geodeticDatum") == "EPSG:4326");
  CHECK(cell(events, 0, "coordinateUncertaintyInMeters") == "4.5");
  const Table facts = read_csv(in_archive(zip, "measurement.csv"), "measurement.csv");
  CHECK(cell(facts, 0, "measurementType") == "dissolved oxygen");
  CHECK(cell(facts, 0, "measurementValue") == "9.8");
  CHECK(cell(facts, 1, "measurementValue") == "<0.05");
  CHECK(cell(facts, 2, "measurementValue") == "brown");
}

TEST_CASE("a blurred place says so in an archive, with its uncertainty") {
  const TemporaryFolder folder;
  const auto handed = brookmark::core::prepare_hand_over(
      brookmark::test::secret_survey(folder / "a.brook"),
      {&brookmark::core::shipped_methods().front(), [](const auto*) {}}, 0);
  export_survey(brookmark::geodata::source_of(*handed), folder / "a.zip", {});
  const Table events = read_csv(in_archive(folder / "a.zip", "event.csv"), "event.csv");
  std::size_t blurred = 0;
  for (std::size_t i = 0; i < events.rows.size(); ++i) {
    if (!cell(events, i, "locationID").starts_with("blurred-")) continue;
    ++blurred;
    CHECK(cell(events, i, "dataGeneralizations").starts_with("Place moved to the middle of a grid cell"));
    CHECK(std::stod(cell(events, i, "coordinateUncertaintyInMeters")) > 700);
  }
  CHECK(blurred == 2 * 2 * 2);  // two sites, two visits with a sample each
}

TEST_CASE("the XML of an archive is well-formed, whatever the survey is called") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  survey.snapshot.survey.title = "<Brook> & \"]]>\x01 co";
  survey.snapshot.survey.description = "<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/passwd'>]>&e;";
  const auto zip = archive_of(folder, survey);
  for (const char* name : {"meta.xml", "eml.xml"}) {
    brookmark::test::write_text(folder / name, in_archive(zip, name));
    const std::string command = "python3 -c \"import sys, xml.dom.minidom as m; m.parse(sys.argv[1])\" '" +
                                (folder / name).string() + "' > /dev/null 2>&1";
    CHECK(std::system(command.c_str()) == 0);
  }
  const std::string eml = in_archive(zip, "eml.xml");
  CHECK(eml.find("<!DOCTYPE") == std::string::npos);
  CHECK(eml.find("does not say that water is safe to drink") != std::string::npos);
}

TEST_CASE("python's zip reader finds nothing wrong in an archive") {
  const TemporaryFolder folder;
  const SmallSurvey survey;
  const auto zip = archive_of(folder, survey);
  const std::string command = "python3 -m zipfile -t '" + zip.string() + "' > /dev/null 2>&1";
  CHECK(std::system(command.c_str()) == 0);
}

TEST_CASE("a formula in an archive has an apostrophe, is said to have one, and comes back as it was") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  const std::string formula = "=cmd|' /C calc'!A0", kept = "'+B2";
  survey.snapshot.sites.name = {};
  for (const std::string& name : {formula, kept, std::string("-2.5")})
    survey.snapshot.sites.name.append(name);
  const auto zip = archive_of(folder, survey);
  Table events = read_csv(in_archive(zip, "event.csv"), "event.csv");
  const std::size_t at = *events.find("locality");
  std::set<std::string> before, after;
  for (const auto& row : events.rows) before.insert(row.cells[at]);
  CHECK(before.contains("'" + formula));
  CHECK_FALSE(before.contains(formula));
  brookmark::core::take_protection_off(events);
  for (const auto& row : events.rows) after.insert(row.cells[at]);
  CHECK(after.contains(formula));
  CHECK(after.contains(kept));
  for (const char* name : {"occurrence.csv", "measurement.csv"})
    CHECK(brookmark::core::is_own_table(read_csv(in_archive(zip, name), name)));
  CHECK(in_archive(zip, "eml.xml").find("apostrophe") != std::string::npos);
}

TEST_CASE(
    "below the limit of detection stands the limit where one was noted, and none is made up where not") {
  const TemporaryFolder folder;
  SmallSurvey survey;
  brookmark::core::MeasurementColumns& measured = survey.snapshot.measurements;
  const std::size_t last = measured.size() - 1, first = last - 1;
  REQUIRE(measured.size() > 1);
  measured.value[first] = 0.02;
  measured.value[last] = {};
  measured.below_detection[first] = measured.below_detection[last] = true;
  brookmark::core::TextColumn verbatim;
  for (std::size_t m = 0; m < measured.size(); ++m)
    verbatim.append(m == last ? "n.d." : std::string(measured.verbatim_value[m]));
  measured.verbatim_value = verbatim;
  export_survey(survey.source(), folder / "a.zip", {});
  brookmark::test::write_text(folder / "m.csv", in_archive(folder / "a.zip", "measurement.csv"));
  const Table table = read_csv_file(folder / "m.csv");
  std::map<std::string, std::string> told;
  for (std::size_t i = 0; i < table.rows.size(); ++i)
    told[cell(table, i, "measurementID")] =
        cell(table, i, "measurementValue") + " " + cell(table, i, "measurementRemarks");
  CHECK(told[std::string(measured.key[first])].starts_with("<0.02 "));
  CHECK(told[std::string(measured.key[first])].find("the value is that limit") != std::string::npos);
  CHECK(told[std::string(measured.key[last])].starts_with("n.d. "));
  CHECK(told[std::string(measured.key[last])].find("limit of detection, which was not noted") !=
        std::string::npos);
}

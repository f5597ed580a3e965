#include "core/intake/columns.hpp"

#include <doctest/doctest.h>

#include "tests/core/intake/small_survey.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using core::Field;
using core::ImportKind;

namespace {

core::Table headers(std::vector<std::string> columns) {
  core::Table table;
  table.file = "sheet.csv";
  table.columns = std::move(columns);
  return table;
}

std::string refusal(ImportKind kind, std::vector<std::string> columns,
                    const std::map<std::string, std::string>& chosen = {}) {
  return test::error_of([&] { core::match_columns(kind, headers(std::move(columns)), chosen); });
}

}  // namespace

TEST_CASE("Darwin Core headers of a site are understood without a map") {
  const auto match =
      core::match_columns(ImportKind::kSites,
                          headers({"locationID", "decimalLatitude", "decimalLongitude",
                                   "coordinateUncertaintyInMeters", "locality", "waterBody", "habitat"}),
                          {});
  CHECK(match.at(Field::kSiteCode) == 0);
  CHECK(match.at(Field::kLatitude) == 1);
  CHECK(match.at(Field::kLongitude) == 2);
  CHECK(match.at(Field::kAccuracy) == 3);
  CHECK(match.at(Field::kSiteName) == 4);
  CHECK(match.at(Field::kWaterName) == 5);
  CHECK(match.at(Field::kHabitat) == 6);
}

TEST_CASE("Darwin Core headers of samples and records are understood without a map") {
  const auto sample = core::match_columns(ImportKind::kSamples,
                                          headers({"locationID", "eventID", "eventDate", "samplingProtocol",
                                                   "sampleSizeValue", "sampleSizeUnit"}),
                                          {});
  CHECK(sample.at(Field::kSiteCode) == 0);
  CHECK(sample.at(Field::kSampleCode) == 1);
  CHECK(sample.at(Field::kDate) == 2);
  CHECK(sample.at(Field::kMethod) == 3);
  CHECK(sample.at(Field::kEffort) == 4);
  CHECK(sample.at(Field::kEffortUnit) == 5);
  const auto record =
      core::match_columns(ImportKind::kRecords,
                          headers({"eventID", "scientificName", "vernacularName", "individualCount",
                                   "organismQuantity", "organismQuantityType", "lifeStage",
                                   "identificationQualifier", "occurrenceStatus", "occurrenceRemarks"}),
                          {});
  CHECK(record.at(Field::kSampleCode) == 0);
  CHECK(record.at(Field::kScientificName) == 1);
  CHECK(record.at(Field::kCommonName) == 2);
  CHECK(record.at(Field::kCount) == 3);
  CHECK(record.at(Field::kQuantity) == 4);
  CHECK(record.at(Field::kQuantityType) == 5);
  CHECK(record.at(Field::kLifeStage) == 6);
  CHECK(record.at(Field::kQualifier) == 7);
  CHECK(record.at(Field::kOccurrenceStatus) == 8);
  CHECK(record.at(Field::kRecordNote) == 9);
}

TEST_CASE("headers match whatever their case, spaces, underscores, hyphens, prefix and bracketed unit") {
  for (const char* header :
       {"sample size value", "SAMPLE_SIZE_VALUE", "dwc:sampleSizeValue", "Effort (s)", "effort"})
    CHECK_MESSAGE(core::match_columns(ImportKind::kSamples, headers({header}), {}).at(Field::kEffort) == 0,
                  header);
}

TEST_CASE("plain English headers are understood") {
  const auto site = core::match_columns(
      ImportKind::kSites,
      headers({"Code", "Name", "Lat", "Long", "Accuracy", "Water", "Kind", "Status", "Note"}), {});
  CHECK(site.at(Field::kSiteCode) == 0);
  CHECK(site.at(Field::kSiteName) == 1);
  CHECK(site.at(Field::kLatitude) == 2);
  CHECK(site.at(Field::kLongitude) == 3);
  CHECK(site.at(Field::kAccuracy) == 4);
  CHECK(site.at(Field::kWaterName) == 5);
  CHECK(site.at(Field::kWaterKind) == 6);
  CHECK(site.at(Field::kSiteStatus) == 7);
  CHECK(site.at(Field::kSiteNote) == 8);
  const auto plane = core::match_columns(ImportKind::kSites, headers({"site", "easting", "northing"}), {});
  CHECK(plane.at(Field::kX) == 1);
  CHECK(plane.at(Field::kY) == 2);
  const auto outfall = core::match_columns(
      ImportKind::kOutfalls, headers({"outfall", "name", "type", "since", "until", "x", "y"}), {});
  CHECK(outfall.at(Field::kOutfallCode) == 0);
  CHECK(outfall.at(Field::kOutfallName) == 1);
  CHECK(outfall.at(Field::kOutfallKind) == 2);
  CHECK(outfall.at(Field::kSince) == 3);
  CHECK(outfall.at(Field::kUntil) == 4);
  CHECK(core::match_columns(ImportKind::kWatercourses, headers({"river"}), {}).at(Field::kReachName) == 0);
  CHECK(core::match_columns(ImportKind::kCatchments, headers({"catchment"}), {}).at(Field::kCatchmentCode) ==
        0);
  const auto measured = core::match_columns(ImportKind::kMeasurements,
                                            headers({"site", "date", "determinand", "value", "unit"}), {});
  CHECK(measured.at(Field::kMeasured) == 2);
  CHECK(measured.at(Field::kValue) == 3);
  CHECK(measured.at(Field::kUnit) == 4);
}

TEST_CASE("two columns for one meaning are refused by name") {
  const std::string why = refusal(ImportKind::kSites, {"site", "lat", "latitude", "lon"});
  CHECK(why.find("\"lat\" and \"latitude\"") != std::string::npos);
  CHECK(why.find("--column THEIRS=decimalLatitude") != std::string::npos);
  CHECK(refusal(ImportKind::kRecords, {"sample", "taxon", "species", "count"}) != "");
  CHECK(refusal(ImportKind::kSites, {"a", "b"}, {{"a", "lat"}, {"b", "decimalLatitude"}}) != "");
}

TEST_CASE("a column the surveyor maps comes before one that is recognised, which is then ignored") {
  const auto match = core::match_columns(ImportKind::kSites, headers({"site", "lat", "latitude", "lon"}),
                                         {{"latitude", "lat"}});
  CHECK(match.at(Field::kLatitude) == 2);
}

TEST_CASE("an empty word leaves a column out") {
  const auto match =
      core::match_columns(ImportKind::kSites, headers({"site", "lat", "latitude"}), {{"lat", ""}});
  CHECK(match.at(Field::kLatitude) == 2);
}

TEST_CASE("a map that names a column or a word that is not there is refused with what there is") {
  const std::string column = refusal(ImportKind::kSites, {"site", "lat"}, {{"breite", "lat"}});
  CHECK(column.find("no column \"breite\"") != std::string::npos);
  CHECK(column.find("site, lat") != std::string::npos);
  const std::string word = refusal(ImportKind::kSites, {"site", "lat"}, {{"lat", "scientificName"}});
  CHECK(word.find("decimalLatitude") != std::string::npos);
}

TEST_CASE("in a sheet with a taxon in each row, short words belong to the record") {
  const std::vector<std::string> flat = {"site",  "sample", "date", "taxon",
                                         "count", "note",   "kind", "status"};
  const auto sample = core::match_columns(ImportKind::kSamples, headers(flat), {});
  CHECK_FALSE(sample.at(Field::kSampleNote));
  CHECK_FALSE(sample.at(Field::kSampleKind));
  CHECK(sample.at(Field::kSampleCode) == 1);
  const auto record = core::match_columns(ImportKind::kRecords, headers(flat), {});
  CHECK(record.at(Field::kRecordNote) == 5);
  CHECK(record.at(Field::kOccurrenceStatus) == 7);
}

TEST_CASE("class is an abundance class only where there is no count beside it") {
  CHECK(core::match_columns(ImportKind::kRecords, headers({"sample", "taxon", "class"}), {})
            .at(Field::kQuantity) == 2);
  CHECK_FALSE(core::match_columns(ImportKind::kRecords, headers({"sample", "taxon", "class", "count"}), {})
                  .at(Field::kQuantity));
}

TEST_CASE("the help of each kind names our words and the other headers") {
  const std::string help = core::import_columns_help(ImportKind::kSites);
  CHECK(help.find("decimalLatitude: latitude in degrees, north positive (also: lat, latitude)") !=
        std::string::npos);
  CHECK(help.find("scientificName") == std::string::npos);
  for (const auto kind :
       {ImportKind::kSamples, ImportKind::kRecords, ImportKind::kMeasurements, ImportKind::kWatercourses,
        ImportKind::kOutfalls, ImportKind::kCatchments, ImportKind::kWaters})
    CHECK(core::import_columns_help(kind) != "");
}

TEST_CASE("kinds of import have the words of the command line") {
  for (const char* word :
       {"sites", "samples", "records", "measurements", "watercourses", "outfalls", "catchments", "waters"})
    CHECK(core::import_kind_name(core::parse_import_kind(word).value()) == std::string(word));
  CHECK_FALSE(core::parse_import_kind("fish"));
}

TEST_CASE(
    "the headings of our own exports are known as a whole, whatever their case, and a caller's map comes "
    "before them") {
  const auto site = core::match_columns(
      ImportKind::kSites, headers({"UUID", "Code", "name", "water_kind", "sample", "note"}), {});
  CHECK(site.at(Field::kSiteCode) == 1);
  CHECK(site.at(Field::kSiteName) == 2);
  CHECK(site.at(Field::kSiteNote) == 5);
  // Without a kind of water it is anybody's table, and "code" beside a sample is not taken for a site's.
  CHECK_FALSE(core::match_columns(ImportKind::kSites, headers({"uuid", "code", "name", "sample", "note"}), {})
                  .at(Field::kSiteCode));
  const auto record = core::match_columns(ImportKind::kRecords,
                                          headers({"uuid", "sample_uuid", "sample", "verbatim_name", "taxon",
                                                   "verbatim_quantity", "quantity_kind"}),
                                          {});
  CHECK(record.at(Field::kScientificName) == 3);
  CHECK(record.at(Field::kQuantity) == 5);
  CHECK(record.at(Field::kOccurrenceStatus) ==
        6);  // or an absence noted without a number would come back as present
  const auto chosen = core::match_columns(
      ImportKind::kRecords,
      headers({"uuid", "sample_uuid", "sample", "verbatim_name", "taxon", "verbatim_quantity"}),
      {{"taxon", "scientificName"}});
  CHECK(chosen.at(Field::kScientificName) == 4);
}

#include <algorithm>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/darwin_core_internal.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kTables = R"sql(
CREATE TABLE gpkg_metadata (id INTEGER CONSTRAINT m_pk PRIMARY KEY ASC NOT NULL, md_scope TEXT NOT NULL DEFAULT 'dataset', md_standard_uri TEXT NOT NULL, mime_type TEXT NOT NULL DEFAULT 'text/xml', metadata TEXT NOT NULL DEFAULT '');
CREATE TABLE gpkg_metadata_reference (reference_scope TEXT NOT NULL, table_name TEXT, column_name TEXT, row_id_value INTEGER, timestamp DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), md_file_id INTEGER NOT NULL, md_parent_id INTEGER, CONSTRAINT crmr_mfi_fk FOREIGN KEY (md_file_id) REFERENCES gpkg_metadata(id), CONSTRAINT crmr_mpi_fk FOREIGN KEY (md_parent_id) REFERENCES gpkg_metadata(id));
INSERT INTO gpkg_extensions VALUES ('gpkg_metadata', NULL, 'gpkg_metadata', 'http://www.geopackage.org/spec121/#extension_metadata', 'read-write');
INSERT INTO gpkg_extensions VALUES ('gpkg_metadata_reference', NULL, 'gpkg_metadata', 'http://www.geopackage.org/spec121/#extension_metadata', 'read-write');
)sql";

std::string element(const std::string& name, const std::string& content) {
  return "<" + name + ">" + content + "</" + name + ">\n";
}
std::string words(const std::string& name, std::string_view text) {
  return element(name, "<gco:CharacterString>" + xml_text(text) + "</gco:CharacterString>");
}
std::string code(const std::string& name, const std::string& list, const std::string& value) {
  return element(name, "<gmd:" + list + " codeList=\"http://www.isotc211.org/2005/resources/codeList.xml#" +
                           list + "\" codeListValue=\"" + value + "\">" + value + "</gmd:" + list + ">");
}

std::string party(const std::string& element_name, const std::string& name, const std::string& role) {
  return element(element_name, element("gmd:CI_ResponsibleParty", words("gmd:individualName", name) +
                                                                      code("gmd:role", "CI_RoleCode", role)));
}

std::string box(const ExportSource& source) {
  const auto told = told_area(source);
  if (!told) return {};
  const core::BoundingBox& area = *told;
  const auto limit = [](const char* name, double value) {
    return element(std::string("gmd:") + name,
                   "<gco:Decimal>" + core::format_number(value) + "</gco:Decimal>");
  };
  return element(
      "gmd:geographicElement",
      element("gmd:EX_GeographicBoundingBox",
              limit("westBoundLongitude", area.min_lon) + limit("eastBoundLongitude", area.max_lon) +
                  limit("southBoundLatitude", area.min_lat) + limit("northBoundLatitude", area.max_lat)));
}

std::string period(const core::Snapshot& snapshot) {
  const auto days = snapshot.date_span();
  if (!days) return {};
  return element(
      "gmd:temporalElement",
      element("gmd:EX_TemporalExtent",
              element("gmd:extent",
                      "<gml:TimePeriod gml:id=\"sampled\"><gml:beginPosition>" +
                          core::format_date(days->first) + "</gml:beginPosition><gml:endPosition>" +
                          core::format_date(days->second) + "</gml:endPosition></gml:TimePeriod>")));
}

std::string iso_metadata(const ExportSource& source, const ExportFrame& frame,
                         const SurveyTableWords& about) {
  const core::SurveyInfo& survey = source.snapshot.survey;
  const core::Method& method = *source.assessment.method;
  const std::string title = survey.title.empty() ? "Freshwater survey" : survey.title;
  const std::string citation = core::source_text(method.source_key, method.source_detail);
  std::string xml =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gmd:MD_Metadata "
      "xmlns:gmd=\"http://www.isotc211.org/2005/gmd\" "
      "xmlns:gco=\"http://www.isotc211.org/2005/gco\" xmlns:gml=\"http://www.opengis.net/gml/3.2\">\n";
  xml += words("gmd:fileIdentifier", survey.key);
  xml += words("gmd:language", "eng");
  xml += code("gmd:characterSet", "MD_CharacterSetCode", "utf8");
  xml += code("gmd:hierarchyLevel", "MD_ScopeCode", "dataset");
  const std::vector<std::string> people = people_named(source.snapshot);
  if (people.empty()) {
    xml += party("gmd:contact", "not named", "pointOfContact");
  } else {
    for (const std::string& name : people) xml += party("gmd:contact", name, "author");
  }
  xml += element("gmd:dateStamp", "<gco:DateTime>" + xml_text(about.exported_utc) + "</gco:DateTime>");
  xml += words("gmd:metadataStandardName", "ISO 19115:2003, in the XML of ISO/TS 19139:2007");
  xml += element("gmd:referenceSystemInfo",
                 element("gmd:MD_ReferenceSystem",
                         element("gmd:referenceSystemIdentifier",
                                 element("gmd:RS_Identifier", words("gmd:code", frame.name())))));
  std::string abstract = survey.description;
  if (!abstract.empty()) abstract += " ";
  abstract += "Sites, visits, samples, animals and measurements of a freshwater survey. Classes are by " +
              method.title + ", " + source.assessment.metric_info().title +
              " (confirmed: " + core::confirmed_name(method.confirmed) + "), " +
              core::period_words(source.assessment.period) + ".";
  const std::string licence =
      about.licence.empty() ? "No licence was stated: ask the survey's owner before you pass the data on."
                            : about.licence;
  std::string limits = core::kResultCaution;
  if (!method.region.empty()) limits += " The method is meant for: " + method.region + ".";
  xml += element(
      "gmd:identificationInfo",
      element(
          "gmd:MD_DataIdentification",
          element("gmd:citation",
                  element("gmd:CI_Citation",
                          words("gmd:title", title) +
                              element("gmd:date",
                                      element("gmd:CI_Date",
                                              element("gmd:date", "<gco:Date>" +
                                                                      about.exported_utc.substr(0, 10) +
                                                                      "</gco:Date>") +
                                                  code("gmd:dateType", "CI_DateTypeCode", "publication"))))) +
              words("gmd:abstract", abstract) +
              element("gmd:graphicOverview",
                      element("gmd:MD_BrowseGraphic", words("gmd:fileName", "table thumbnail, row 1") +
                                                          words("gmd:fileType", "image/png"))) +
              element("gmd:resourceConstraints",
                      element("gmd:MD_Constraints", words("gmd:useLimitation", limits))) +
              element("gmd:resourceConstraints",
                      element("gmd:MD_LegalConstraints",
                              code("gmd:accessConstraints", "MD_RestrictionCode", "otherRestrictions") +
                                  code("gmd:useConstraints", "MD_RestrictionCode", "otherRestrictions") +
                                  words("gmd:otherConstraints", licence))) +
              element("gmd:resourceConstraints",
                      element("gmd:MD_Constraints", words("gmd:useLimitation", what_is_held_back(source)))) +
              words("gmd:language", "eng") +
              element("gmd:topicCategory",
                      "<gmd:MD_TopicCategoryCode>inlandWaters</gmd:MD_TopicCategoryCode>") +
              element("gmd:extent", element("gmd:EX_Extent", box(source) + period(source.snapshot)))));
  std::string made =
      "Classes by " + method.title + " (" + citation +
      "; confirmed: " + core::confirmed_name(method.confirmed) +
      "). Distances run along the channels of the survey; the layer descriptions say how each figure was "
      "made. Times are UTC.";
  if (!frame.note().empty()) made += " Positions were converted from WGS 84: " + frame.note() + ".";
  xml += element(
      "gmd:dataQualityInfo",
      element("gmd:DQ_DataQuality",
              element("gmd:scope", element("gmd:DQ_Scope", code("gmd:level", "MD_ScopeCode", "dataset"))) +
                  element("gmd:lineage", element("gmd:LI_Lineage", words("gmd:statement", made)))));
  return xml + "</gmd:MD_Metadata>\n";
}

}  // namespace

void add_metadata(const core::Database& database, const ExportSource& source,
                  std::span<const ExportTable> tables, const ExportFrame& frame,
                  const SurveyTableWords& about) {
  database.execute(kTables);
  core::Statement add(database, "INSERT INTO gpkg_metadata VALUES (?, ?, ?, ?, ?)");
  core::Statement refer(
      database,
      "INSERT INTO gpkg_metadata_reference (reference_scope, table_name, timestamp, md_file_id, "
      "md_parent_id) VALUES (?, ?, ?, ?, ?)");
  const std::string stamp = utc_with_milliseconds(about.exported_utc);
  add.run(1, "dataset", "http://www.isotc211.org/2005/gmd", "text/xml", iso_metadata(source, frame, about));
  refer.run("geopackage", nullptr, stamp, 1, nullptr);
  std::int64_t number = 1;
  for (const ExportTable& table : tables) {
    ++number;
    add.run(number, "featureType", "http://www.isotc211.org/2005/gmd", "text/plain", table.description);
    refer.run("table", table.name, stamp, number, 1);
  }
}

}  // namespace brookmark::geodata

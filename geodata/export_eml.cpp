#include <algorithm>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/darwin_core_internal.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

std::string element(const std::string& name, std::string_view text) {
  return "<" + name + ">" + xml_text(text) + "</" + name + ">\n";
}

std::string person(const std::string& element_name, const std::string& name) {
  // Somebody must stand here; the name is taken whole, for nothing says which part is the surname.
  return "<" + element_name + "><individualName>" + element("surName", name) + "</individualName></" +
         element_name + ">\n";
}

}  // namespace

std::vector<std::string> people_named(const core::Snapshot& snapshot) {
  std::vector<std::string> names;
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    for (const std::string& name : core::split(snapshot.visits.people[v], ','))
      if (std::string plain(core::trim(name)); !plain.empty()) names.push_back(std::move(plain));
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return names;
}

std::string what_is_held_back(const ExportSource& source) {
  std::size_t blurred = 0;
  for (const core::SharedPlace& place : source.shared.places()) blurred += place.blurred ? 1 : 0;
  std::string text =
      "Some sites, samples and names may have been left out of this file to protect places, animals and "
      "people.";
  if (blurred > 0)
    text += " " + std::to_string(blurred) + (blurred == 1 ? " site stands" : " sites stand") +
            " in the middle of a grid cell; the uncertainty of the position says how far the true place may "
            "lie from "
            "there. Such a site has no distances and counts in no catchment and on no channel.";
  return text;
}

std::optional<core::BoundingBox> told_area(const ExportSource& source) {
  core::BoundingBox area{180, 90, -180, -90};
  const auto add = [&](core::LonLat p) {
    if (!core::is_placed(p)) return;
    area = {std::min(area.min_lon, p.lon), std::min(area.min_lat, p.lat), std::max(area.max_lon, p.lon),
            std::max(area.max_lat, p.lat)};
  };
  for (const core::SharedPlace& place : source.shared.places()) add(place.position);
  for (const core::Outfall& outfall : source.snapshot.outfalls) add(outfall.position);
  for (const core::Reach& reach : source.snapshot.reaches)
    for (const core::LonLat p : reach.line) add(p);
  if (area.min_lon > area.max_lon) return std::nullopt;
  return area;
}

std::string eml_of(const ExportSource& source, const SurveyTableWords& words) {
  const core::Snapshot& snapshot = source.snapshot;
  const std::string title = snapshot.survey.title.empty() ? "Freshwater survey" : snapshot.survey.title;
  std::vector<std::string> people = people_named(snapshot);
  if (people.empty()) people.emplace_back("not named");
  std::string xml =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<eml:eml xmlns:eml=\"eml://ecoinformatics.org/eml-2.1.1\" "
      "packageId=\"" +
      xml_text(snapshot.survey.key) + "\" system=\"uuid\" scope=\"system\" xml:lang=\"en\">\n<dataset>\n";
  xml += element("alternateIdentifier", snapshot.survey.key);
  xml += element("title", title);
  for (const std::string& name : people) xml += person("creator", name);
  xml += person("metadataProvider", people.front());
  xml += element("pubDate", words.exported_utc.substr(0, 10));
  xml += element("language", "en");
  std::string abstract = snapshot.survey.description;
  if (!abstract.empty()) abstract += " ";
  abstract +=
      "Freshwater animals found in samples of a survey, with water chemistry where it was measured. Absences "
      "are of "
      "animals looked for and not found.";
  xml +=
      "<abstract>" + element("para", abstract) + element("para", what_is_held_back(source)) + "</abstract>\n";
  xml += "<intellectualRights>" +
         element("para", words.licence.empty()
                             ? "No licence was stated: ask the survey's owner before you pass the data on."
                             : words.licence) +
         "</intellectualRights>\n";
  xml += "<coverage>\n";
  if (const auto area = told_area(source))
    xml += "<geographicCoverage>" + element("geographicDescription", title) + "<boundingCoordinates>" +
           element("westBoundingCoordinate", core::format_number(area->min_lon)) +
           element("eastBoundingCoordinate", core::format_number(area->max_lon)) +
           element("northBoundingCoordinate", core::format_number(area->max_lat)) +
           element("southBoundingCoordinate", core::format_number(area->min_lat)) +
           "</boundingCoordinates></geographicCoverage>\n";
  if (const auto days = snapshot.date_span())
    xml += "<temporalCoverage><rangeOfDates><beginDate>" +
           element("calendarDate", core::format_date(days->first)) + "</beginDate><endDate>" +
           element("calendarDate", core::format_date(days->second)) +
           "</endDate></rangeOfDates></temporalCoverage>\n";
  xml += "</coverage>\n";
  xml += person("contact", people.front());
  std::vector<std::string> protocols;
  for (std::size_t s = 0; s < snapshot.samples.size(); ++s)
    if (!snapshot.samples.protocol[s].empty()) protocols.emplace_back(snapshot.samples.protocol[s]);
  std::sort(protocols.begin(), protocols.end());
  protocols.erase(std::unique(protocols.begin(), protocols.end()), protocols.end());
  xml +=
      "<methods><methodStep><description>" +
      element("para", protocols.empty()
                          ? "How the samples were taken was not noted."
                          : "How the samples were taken: " + core::joined(protocols, "; ") + ".") +
      element("para",
              "In the tables an apostrophe stands before text that a spreadsheet would run as a formula.") +
      "</description></methodStep><sampling><studyExtent><description>" +
      element("para", std::to_string(snapshot.sites.size()) + " sites, " +
                          std::to_string(snapshot.samples.size()) + " samples.") +
      "</description></studyExtent><samplingDescription>" +
      element("para", "Effort, mesh and the share of the catch that was sorted stand with each sample. " +
                          std::string(core::kResultCaution)) +
      "</samplingDescription></sampling></methods>\n";
  return xml + "</dataset>\n</eml:eml>\n";
}

}  // namespace brookmark::geodata

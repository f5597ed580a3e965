// Darwin Core Archive: meta.xml after the Darwin Core text guide (TDWG), an event core with occurrences and extended
// measurements or facts, and eml.xml. Which terms each file may hold is checked against the published lists in the tests.
#include <map>

#include "core/base/csv.hpp"
#include "core/base/formula_cell.hpp"
#include "core/base/text.hpp"
#include "geodata/darwin_core_internal.hpp"
#include "geodata/deflate_internal.hpp"
#include "geodata/export_writers_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr const char* kDwc = "http://rs.tdwg.org/dwc/terms/";
constexpr const char* kDc = "http://purl.org/dc/terms/";

struct Term {
  std::string base, name;
};

// One file of the archive: its terms and its rows. The first column is the id that ties the files together.
class TermTable {
 public:
  TermTable(std::string file, std::string row_type, const char* id, std::vector<Term> terms)
      : file_(std::move(file)), row_type_(std::move(row_type)), terms_(std::move(terms)) {
    text_ = id;
    for (const Term& term : terms_) text_ += "," + term.name;
    text_ += "\n";
  }
  // As many cells as terms, and the id before them. Line ends inside a cell become spaces: the guide's readers take every
  // line for a row.
  void add(std::string_view id, const std::vector<std::string>& cells) {
    text_ += one_line(id);
    for (const std::string& cell : cells) text_ += "," + one_line(cell);
    text_ += "\n";
  }
  const std::string& file() const { return file_; }
  const std::string& text() const { return text_; }
  std::string meta(const char* kind, const char* id_element) const {
    std::string xml = "  <" + std::string(kind) +
                      " encoding=\"UTF-8\" fieldsTerminatedBy=\",\" linesTerminatedBy=\"\\n\" " +
                      "fieldsEnclosedBy=\"&quot;\" ignoreHeaderLines=\"1\" rowType=\"" + row_type_ + "\">\n" +
                      "    <files><location>" + file_ + "</location></files>\n    <" + id_element +
                      " index=\"0\"/>\n";
    for (std::size_t i = 0; i < terms_.size(); ++i)
      xml += "    <field index=\"" + std::to_string(i + 1) + "\" term=\"" + terms_[i].base + terms_[i].name +
             "\"/>\n";
    return xml + "  </" + kind + ">\n";
  }

 private:
  static std::string one_line(std::string_view cell) {
    std::string plain(cell);
    for (char& c : plain)
      if (c == '\n' || c == '\r' || c == '\t') c = ' ';
    return core::csv_cell(core::not_a_formula(plain));
  }
  std::string file_, row_type_, text_;
  std::vector<Term> terms_;
};

std::string number_text(const std::optional<double>& value) {
  return value ? core::format_number(*value) : std::string();
}

std::string degrees_text(double value) {
  return core::format_number(seven_decimals(value));
}

// What stands in events of a site.
struct SiteWords {
  std::string code, name, water, habitat, lat, lon, datum, uncertainty, generalised, note;
};

SiteWords words_of_site(const ExportSource& source, std::size_t site) {
  const core::SiteColumns& sites = source.snapshot.sites;
  const core::SharedPlace& place = source.shared.places()[site];
  SiteWords words{std::string(sites.code[site]),
                  std::string(sites.name[site]),
                  std::string(sites.water[site]),
                  std::string(sites.habitat[site]),
                  "",
                  "",
                  "",
                  number_text(place.uncertainty_m),
                  "",
                  std::string(sites.note[site])};
  if (core::is_placed(place.position)) {
    words.lat = degrees_text(place.position.lat);
    words.lon = degrees_text(place.position.lon);
    words.datum = "EPSG:4326";
  }
  if (place.blurred)
    words.generalised = "Place moved to the middle of a grid cell of at least " +
                        core::format_number(place.cell_m) + " m; names and notes of the site left out";
  return words;
}

TermTable events_of(const ExportSource& source, const SurveyTableWords& about) {
  const std::string dwc = kDwc, dc = kDc;
  TermTable table("event.csv", dwc + "Event", "id",
                  {{dwc, "eventID"},         {dwc, "parentEventID"},
                   {dwc, "eventType"},       {dwc, "eventDate"},
                   {dwc, "eventTime"},       {dwc, "samplingProtocol"},
                   {dwc, "sampleSizeValue"}, {dwc, "sampleSizeUnit"},
                   {dwc, "habitat"},         {dwc, "eventRemarks"},
                   {dwc, "fieldNumber"},     {dwc, "locationID"},
                   {dwc, "locality"},        {dwc, "waterBody"},
                   {dwc, "decimalLatitude"}, {dwc, "decimalLongitude"},
                   {dwc, "geodeticDatum"},   {dwc, "coordinateUncertaintyInMeters"},
                   {dwc, "locationRemarks"}, {dwc, "dataGeneralizations"},
                   {dwc, "datasetName"},     {dc, "license"}});
  const core::Snapshot& snapshot = source.snapshot;
  const auto time_of = [](const core::Moment& start) {
    // The time alone, as far as it was noted: "09:30+01:00".
    const std::string whole = core::format_moment(start);
    const std::size_t t = whole.find('T');
    return t == std::string::npos ? std::string() : whole.substr(t + 1);
  };
  std::string title = snapshot.survey.title;
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v) {
    const SiteWords site = words_of_site(source, snapshot.visits.site[v].value());
    std::string remarks(snapshot.visits.note[v]);
    core::append_note(remarks, snapshot.visits.conditions[v]);
    core::append_note(remarks, snapshot.visits.weather[v]);
    table.add(snapshot.visits.key[v], {std::string(snapshot.visits.key[v]),
                                       "",
                                       "Site Visit",
                                       core::format_date(snapshot.visits.start[v].date),
                                       time_of(snapshot.visits.start[v]),
                                       "",
                                       "",
                                       "",
                                       site.habitat,
                                       remarks,
                                       "",
                                       site.code,
                                       site.name,
                                       site.water,
                                       site.lat,
                                       site.lon,
                                       site.datum,
                                       site.uncertainty,
                                       site.note,
                                       site.generalised,
                                       title,
                                       about.licence});
  }
  const core::SampleColumns& samples = snapshot.samples;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    const SiteWords site = words_of_site(source, samples.site[s].value());
    const std::size_t visit = samples.visit[s].value();
    table.add(samples.key[s],
              {std::string(samples.key[s]),
               std::string(snapshot.visits.key[visit]),
               "Sample",
               core::format_date(samples.date[s]),
               time_of(snapshot.visits.start[visit]),
               samples.protocol[s].empty() ? std::string("not noted") : std::string(samples.protocol[s]),
               number_text(samples.effort[s]),
               samples.effort[s] ? std::string(samples.effort_unit[s]) : std::string(),
               site.habitat,
               std::string(samples.note[s]),
               std::string(samples.code[s]),
               site.code,
               site.name,
               site.water,
               site.lat,
               site.lon,
               site.datum,
               site.uncertainty,
               site.note,
               site.generalised,
               title,
               about.licence});
  }
  return table;
}

// The names above a taxon that Darwin Core has terms for.
struct HigherNames {
  std::string kingdom, phylum, in_class, order, family, genus;
};

HigherNames higher_names(const core::TaxonColumns& taxa, core::TaxonIndex taxon) {
  HigherNames names;
  for (core::TaxonIndex at = taxon; at.has_value(); at = taxa.parent[at.value()]) {
    std::string name(taxa.name[at.value()]);
    switch (taxa.rank[at.value()]) {
      case core::Rank::kKingdom:
        names.kingdom = std::move(name);
        break;
      case core::Rank::kPhylum:
        names.phylum = std::move(name);
        break;
      case core::Rank::kClass:
        names.in_class = std::move(name);
        break;
      case core::Rank::kOrder:
        names.order = std::move(name);
        break;
      case core::Rank::kFamily:
        names.family = std::move(name);
        break;
      case core::Rank::kGenus:
        names.genus = std::move(name);
        break;
      default:
        break;
    }
  }
  return names;
}

TermTable occurrences_of(const ExportSource& source) {
  const std::string dwc = kDwc;
  TermTable table("occurrence.csv", dwc + "Occurrence", "coreid",
                  {{dwc, "occurrenceID"},
                   {dwc, "basisOfRecord"},
                   {dwc, "eventID"},
                   {dwc, "scientificName"},
                   {dwc, "taxonRank"},
                   {dwc, "kingdom"},
                   {dwc, "phylum"},
                   {dwc, "class"},
                   {dwc, "order"},
                   {dwc, "family"},
                   {dwc, "genus"},
                   {dwc, "verbatimIdentification"},
                   {dwc, "identificationQualifier"},
                   {dwc, "identificationRemarks"},
                   {dwc, "occurrenceStatus"},
                   {dwc, "individualCount"},
                   {dwc, "organismQuantity"},
                   {dwc, "organismQuantityType"},
                   {dwc, "lifeStage"},
                   {dwc, "recordedBy"},
                   {dwc, "occurrenceRemarks"}});
  const core::Snapshot& snapshot = source.snapshot;
  const core::RecordColumns& records = snapshot.records;
  for (std::size_t r = 0; r < records.size(); ++r) {
    const std::size_t sample = records.sample[r].value();
    if (snapshot.samples.kind[sample] == core::SampleKind::kBlank)
      continue;  // of clean water: nothing occurred
    const core::TaxonIndex taxon = records.taxon[r];
    const HigherNames higher = higher_names(snapshot.taxa, taxon);
    std::string count, quantity, type;
    const bool absent = records.quantity[r] == core::QuantityKind::kAbsent;
    if (records.quantity[r] == core::QuantityKind::kCount) {
      count = std::to_string(records.count_min[r]);
      quantity = count;
      type = "individuals";
    } else if (records.quantity[r] == core::QuantityKind::kAbundanceClass) {
      quantity = std::string(records.class_code[r]);
      type = records.class_scheme[r].empty() ? std::string("abundance class")
                                             : "abundance class, " + std::string(records.class_scheme[r]);
    } else if (absent) {
      count = "0";
    }
    const bool given =
        r < records.certainty_given.size() ? records.certainty_given[r] : records.certainty[r] < 1;
    const std::string sureness =
        given ? "certainty given by the surveyor, 0 to 1: " + core::format_number(records.certainty[r])
              : std::string();
    const core::Rank rank = snapshot.taxa.rank[taxon.value()];
    const std::string stage = core::life_stage_name(records.stage[r]);
    table.add(snapshot.samples.key[sample],
              {std::string(records.key[r]),
               "HumanObservation",
               std::string(snapshot.samples.key[sample]),
               std::string(snapshot.taxa.name[taxon.value()]),
               rank == core::Rank::kInformal ? std::string() : std::string(core::rank_name(rank)),
               higher.kingdom,
               higher.phylum,
               higher.in_class,
               higher.order,
               higher.family,
               higher.genus,
               std::string(records.verbatim_name[r]),
               std::string(records.qualifier[r]),
               sureness,
               absent ? "absent" : "present",
               count,
               quantity,
               type,
               records.stage[r] == core::LifeStage::kUnknown ? std::string() : stage,
               std::string(snapshot.visits.people[snapshot.samples.visit[sample].value()]),
               std::string(records.note[r])});
  }
  return table;
}

TermTable measurements_of(const ExportSource& source) {
  const std::string dwc = kDwc;
  TermTable table("measurement.csv", "http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact", "coreid",
                  {{dwc, "measurementID"},
                   {dwc, "eventID"},
                   {dwc, "occurrenceID"},
                   {dwc, "measurementType"},
                   {dwc, "measurementValue"},
                   {dwc, "measurementUnit"},
                   {dwc, "measurementDeterminedDate"},
                   {dwc, "measurementRemarks"}});
  const core::Snapshot& snapshot = source.snapshot;
  const core::MeasurementColumns& measured = snapshot.measurements;
  for (std::size_t m = 0; m < measured.size(); ++m) {
    const std::size_t visit = measured.visit[m].value();
    const std::string event(measured.sample[m].has_value() ? snapshot.samples.key[measured.sample[m].value()]
                                                           : snapshot.visits.key[visit]);
    std::string value = number_text(measured.value[m]);
    const bool has_limit = measured.below_detection[m] && !value.empty();
    if (value.empty()) value = std::string(measured.verbatim_value[m]);
    if (has_limit) value.insert(0, "<");
    std::string remarks(measured.note[m]);
    if (measured.below_detection[m])
      core::append_note(remarks, has_limit ? "below the limit of detection; the value is that limit"
                                           : "below the limit of detection, which was not noted");
    table.add(event,
              {std::string(measured.key[m]), event, "", std::string(measured.quantity[m]), value,
               std::string(measured.unit[m]), core::format_date(snapshot.visits.start[visit].date), remarks});
  }
  const core::SampleColumns& samples = snapshot.samples;
  for (std::size_t s = 0; s < samples.size(); ++s) {
    const std::string event(samples.key[s]);
    const auto fact = [&](const char* name, const std::string& value, const char* unit) {
      if (!value.empty())
        table.add(event,
                  {event + ":" + name, event, "", name, value, unit, core::format_date(samples.date[s]), ""});
    };
    fact("kind of sample", core::sample_kind_name(samples.kind[s]), "");
    fact("mesh size", s < samples.mesh_um.size() ? number_text(samples.mesh_um[s]) : std::string(), "um");
    fact("share of the catch sorted", number_text(samples.subsample_share[s]), "");
    fact("kind of water", core::water_kind_name(snapshot.sites.kind[samples.site[s].value()]), "");
  }
  return table;
}

}  // namespace

void write_darwin_core(const ExportSource& source, const SurveyTableWords& words, const TargetFile& target) {
  const TermTable events = events_of(source, words), occurrences = occurrences_of(source),
                  measurements = measurements_of(source);
  ZipText zip(words.exported_utc);
  zip.add("meta.xml",
          "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<archive xmlns=\"http://rs.tdwg.org/dwc/text/\" "
          "metadata=\"eml.xml\">\n" +
              events.meta("core", "id") + occurrences.meta("extension", "coreid") +
              measurements.meta("extension", "coreid") + "</archive>\n");
  zip.add("eml.xml", eml_of(source, words));
  for (const TermTable* table : {&events, &occurrences, &measurements}) zip.add(table->file(), table->text());
  write_whole(target, zip.finish());
}

}  // namespace brookmark::geodata

// Why: an export is checked on a survey small enough to know every cell by heart. Invented, in the open
// Atlantic: one reach running south, S1 above outfall O1, S2 below it, the pond S3 on no channel and never
// sampled.
// Use: const SmallSurvey survey;  export_survey(survey.source(), file, {});
#pragma once

#include <optional>
#include <string>

#include "core/base/date.hpp"
#include "geodata/export.hpp"

namespace brookmark::test {

inline std::string uuid(int number) {
  const std::string digits = std::to_string(number);
  return "00000000-0000-4000-8000-" + std::string(12 - digits.size(), '0') + digits;
}

// A sum of scores with two classes and a plain richness; running water, at least 20 animals.
inline core::Method small_method() {
  core::Method method;
  method.id = "test-index";
  method.title = "Test index <A & B>";
  method.source_key = core::kOwnSourceKey;
  method.source_detail = "a surveyor's own notes, p. 3";
  method.confirmed = core::Confirmed::kMemory;
  method.flow = core::Flow::kRunning;
  method.level = core::Rank::kFamily;
  method.minimum_count = 20;
  core::Metric sum;
  sum.id = "sum";
  sum.title = "Sum of scores";
  core::ClassBand good, poor;
  good.name = "good";
  good.rank = 1;
  good.lower = 10;
  poor.name = "poor";
  poor.rank = 2;
  poor.upper = 10;
  poor.upper_open = true;
  sum.bands = {good, poor};
  core::Metric richness;
  richness.id = "families";
  richness.title = "Families";
  richness.formula = core::FormulaKind::kRichness;
  richness.level = core::Rank::kFamily;
  method.metrics = {sum, richness};
  core::ScoreUnit mayflies, midges;
  mayflies.name = "Baetidae";
  mayflies.members = {"Baetidae"};
  mayflies.score = 10;
  midges.name = "Chironomidae";
  midges.members = {"Chironomidae"};
  midges.score = 2;
  method.units = {mayflies, midges};
  return method;
}

struct SmallSurvey {
  core::Snapshot snapshot;
  core::Method method = small_method();
  core::ScoreTable scores;
  core::CatchmentNesting nesting;
  core::Assessment assessment;
  core::ChannelNetwork channels;

  SmallSurvey() {
    using namespace core;  // NOLINT: many words of the trade in one place
    snapshot.survey = {uuid(1), "Invented brook", "Made up for tests", "EPSG:4326"};
    add_taxon("Ephemeroptera", Rank::kOrder, TaxonIndex::none(), true);
    add_taxon("Baetidae", Rank::kFamily, TaxonIndex(0), true);
    add_taxon("Chironomidae", Rank::kFamily, TaxonIndex::none(), true);
    add_taxon("wriggly thing", Rank::kInformal, TaxonIndex::none(), false);

    add_site("S1", "=HYPERLINK(\"x\")", WaterKind::kStream, {-30, 50.018});
    add_site("S2", "Bridge <low> & \"old\", Mühle", WaterKind::kStream, {-30.0005, 50.010});
    add_site("S3", "", WaterKind::kPond, {-30.2, 50.010});
    snapshot.sites.accuracy_m[0] = 4.5;
    snapshot.sites.raw[0] = {"-30", "50.018", "EPSG:4326", "as given"};

    const VisitIndex first = add_visit(0, {*parse_date("2023-05-03"), 570, 60});  // 09:30+01:00
    const VisitIndex second = add_visit(0, {*parse_date("2024-05-04"), {}, {}});
    const VisitIndex third = add_visit(1, {*parse_date("2024-05-03"), 600, {}});
    add_sample("S1-2023", first, SampleKind::kRoutine);
    add_record(1, QuantityKind::kCount, 120, 120, "Baetis nymphs", "120");
    add_record(2, QuantityKind::kCount, 10, 10, "Chironomidae", "10");
    add_sample("S1-2024", second, SampleKind::kRoutine);
    add_record(1, QuantityKind::kPresent, 1, RecordColumns::kOpen, "Baetidae", "x");
    add_sample("S2-2024", third, SampleKind::kRoutine);
    add_record(2, QuantityKind::kCount, 5, 5, "Chironomidae", "5");
    add_record(3, QuantityKind::kCount, 3, 3, "wriggly thing", "3");
    add_record(1, QuantityKind::kAbsent, 0, 0, "Baetidae", "0");
    snapshot.records.certainty.back() = 0.9;
    add_sample("S2-2024-blank", third, SampleKind::kBlank);
    snapshot.samples.record_begin.push_back(snapshot.records.size());

    add_measurement(first, SampleIndex(0), "dissolved oxygen", "mg/l", 9.8, false, "9.8");
    add_measurement(third, SampleIndex::none(), "ammonium", "mg/l", 0.05, true, "<0.05");
    add_measurement(third, SampleIndex::none(), "colour", "", {}, false, "brown");

    Outfall works;
    works.key = uuid(500);
    works.code = "O1";
    works.name = "Works";
    works.kind = OutfallKind::kTreatedSewage;
    works.position = {-30, 50.015};
    works.since = parse_date("2001-01-01");
    snapshot.outfalls = {works};
    snapshot.reaches = {{uuid(600), "Invented brook", {{-30, 50.02}, {-30, 50.0}}}};
    const auto square = [](double west, double south, double east, double north) {
      return core::Polygon{{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}};
    };
    snapshot.catchments = {{uuid(700), "C1", "All", {square(-30.3, 49.9, -29.9, 50.1)}},
                           {uuid(701), "C2", "Low", {square(-30.1, 49.9, -29.9, 50.012)}}};
    snapshot.waters = {{uuid(800), "Pond", WaterKind::kPond, {square(-30.201, 50.009, -30.199, 50.011)}},
                       {uuid(801), "Invented brook", WaterKind::kStream, {}}};
    nesting.parent = {CatchmentIndex::none(), CatchmentIndex(0)};
    nesting.area_m2 = {637.5e6, 178.2e6};
    nesting.site_smallest = {CatchmentIndex(0), CatchmentIndex(1), CatchmentIndex(0)};
    channels = build_channels(snapshot.reaches);
    scores = score_samples(snapshot, method);
    assessment = assess(snapshot, scores, 0, nesting, *parse_date("2024-12-31"));
  }
  SmallSurvey(const SmallSurvey&) = delete;  // the scores point to the method beside them
  SmallSurvey& operator=(const SmallSurvey&) = delete;

  // Everything is shared as it is, so rows and numbers stay those of the snapshot.
  geodata::ExportSource source() const {
    shared_ = core::share(snapshot);
    return {*shared_, scores, assessment, nesting, channels};
  }

  // As many sites as an export needs to be longer than one page of a database.
  void repeat_sites(int times) {
    for (int i = 0; i < times; ++i) {
      add_site("X" + std::to_string(i), std::string(100, 'x'), core::WaterKind::kPond,
               {-30.2, 50 + i * 1e-5});
      assessment.sites.emplace_back();
    }
  }

 private:
  mutable std::optional<core::SharedSurvey> shared_;

  void add_taxon(const char* name, core::Rank rank, core::TaxonIndex parent, bool listed) {
    snapshot.taxa.key.append(std::string(listed ? "checklist:" : "own:") + name);
    snapshot.taxa.name.append(name);
    snapshot.taxa.rank.push_back(rank);
    snapshot.taxa.parent.push_back(parent);
    snapshot.taxa.listed.push_back(listed);
  }
  void add_site(const std::string& code, const std::string& name, core::WaterKind kind,
                core::LonLat position) {
    core::SiteColumns& sites = snapshot.sites;
    sites.key.append(uuid(100 + static_cast<int>(sites.size())));
    sites.code.append(code);
    sites.name.append(name);
    sites.water.append("Invented brook");
    sites.habitat.append("");
    sites.note.append("");
    sites.type.append("");
    sites.reference.push_back(false);
    sites.sharing.push_back(core::Sharing::kOpen);
    sites.kind.push_back(kind);
    sites.status.push_back(core::SiteStatus::kActive);
    sites.position.push_back(position);
    sites.accuracy_m.emplace_back();
    sites.raw.emplace_back();
  }
  core::VisitIndex add_visit(std::size_t site, const core::Moment& start) {
    core::VisitColumns& visits = snapshot.visits;
    visits.key.append(uuid(200 + static_cast<int>(visits.size())));
    for (core::TextColumn* column : {&visits.people, &visits.weather, &visits.conditions, &visits.note})
      column->append("");
    visits.site.emplace_back(site);
    visits.start.push_back(start);
    return core::VisitIndex(visits.size() - 1);
  }
  void add_sample(const char* code, core::VisitIndex visit, core::SampleKind kind) {
    core::SampleColumns& samples = snapshot.samples;
    samples.key.append(uuid(300 + static_cast<int>(samples.size())));
    samples.code.append(code);
    samples.protocol.append("kick");
    samples.visit.push_back(visit);
    samples.site.push_back(snapshot.visits.site[visit.value()]);
    samples.date.push_back(snapshot.visits.start[visit.value()].date);
    samples.kind.push_back(kind);
    samples.subsample_share.emplace_back();
    samples.effort.emplace_back();
    samples.effort_unit.append("");
    samples.record_begin.push_back(snapshot.records.size());
  }
  void add_record(std::size_t taxon, core::QuantityKind quantity, std::int64_t least, std::int64_t most,
                  const char* name, const char* amount) {
    core::RecordColumns& records = snapshot.records;
    records.key.append(uuid(400 + static_cast<int>(records.size())));
    records.verbatim_name.append(name);
    records.verbatim_quantity.append(amount);
    records.class_code.append("");
    records.qualifier.append("");
    records.sample.emplace_back(snapshot.samples.size() - 1);
    records.taxon.emplace_back(taxon);
    records.match.push_back(core::NameMatch::kAccepted);
    records.quantity.push_back(quantity);
    records.count_min.push_back(least);
    records.count_max.push_back(most);
    records.stage.push_back(core::LifeStage::kLarva);
    records.certainty.push_back(1);
  }
  void add_measurement(core::VisitIndex visit, core::SampleIndex sample, const char* quantity,
                       const char* unit, std::optional<double> value, bool below, const char* verbatim) {
    core::MeasurementColumns& measurements = snapshot.measurements;
    measurements.key.append(uuid(900 + static_cast<int>(measurements.size())));
    measurements.quantity.append(quantity);
    measurements.unit.append(unit);
    measurements.verbatim_value.append(verbatim);
    measurements.visit.push_back(visit);
    measurements.sample.push_back(sample);
    measurements.value.push_back(value);
    measurements.below_detection.push_back(below);
  }
};

}  // namespace brookmark::test

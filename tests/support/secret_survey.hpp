// Why: what may not leave is looked for on a survey that is full of hints at it: a stream cut at the hidden site, a pond
// drawn around another, a catchment named after a third, notes, names, codes that count downstream. Invented, in the open
// Atlantic.
// Use: const core::Snapshot s = secret_survey(folder / "a.brook", {.brook = {-30, 50.0153}});
#pragma once

#include <filesystem>

#include "core/base/uuid.hpp"
#include "core/store/survey_file.hpp"

namespace brookmark::test {

struct SecretPlaces {
  core::LonLat brook{-30, 50.0153};        // of site Q02, blurred, on the brook that runs south along -30
  core::LonLat pond{-30.0312, 50.0312};    // of site P01, blurred, on a pond
  core::LonLat spring{-30.0507, 50.0111};  // of site W01, withheld
  bool crayfish_visit = true;              // false: nobody ever went to Q04 on the day when it had a crayfish
};

inline std::string secret_key(int number) {
  const std::string digits = std::to_string(number);
  return "5ec2e7" + std::string(2 - (digits.size() > 1 ? 2 : 1), '0') + digits.substr(0, 2) +
         "-0000-4000-8000-" + std::string(12 - digits.size(), '0') + digits;
}

// Sites Q01 and Q03 are open, above and below Q02. Q04 is open and has a crayfish in one sample.
inline core::Snapshot secret_survey(const std::filesystem::path& file_name, const SecretPlaces& at = {}) {
  using namespace core;  // NOLINT: many words of the trade in one place
  StoreOptions options;
  options.new_key = seeded_uuids(7);
  options.now = [] { return std::string("2024-05-03T08:30:00Z"); };
  options.device = "test device";
  SurveyFile file = SurveyFile::create(
      file_name, {"", "Secret brook", "With Ann Archer and Bob Baker", "EPSG:4326"}, options);
  EditBatch batch{"import survey", "all of it", {}};
  const auto add = [&](auto edit) { batch.edits.emplace_back(std::move(edit)); };
  const auto square = [](LonLat p, double half) {
    return MultiPolygon{{{{{p.lon - half, p.lat - half},
                           {p.lon + half, p.lat - half},
                           {p.lon + half, p.lat + half},
                           {p.lon - half, p.lat + half},
                           {p.lon - half, p.lat - half}}}}};
  };
  int number = 10;
  const auto add_site = [&](const char* code, const char* name, WaterKind kind, LonLat place,
                            Sharing sharing) {
    Site site;
    site.key = secret_key(number++);
    site.code = code;
    site.name = name;
    site.kind = kind;
    site.position = place;
    site.sharing = sharing;
    site.water = "Secret brook";
    site.habitat = sharing == Sharing::kOpen ? "riffle" : "under the leaning alder";
    site.note = sharing == Sharing::kOpen ? "easy bank" : "through the gate of Hidden Farm";
    site.raw = {std::to_string(place.lon), std::to_string(place.lat), "EPSG:4326", "as given"};
    add(AddSite{site});
    return site.key;
  };
  const std::string q01 = add_site("Q01", "Footbridge", WaterKind::kStream, {-30, 50.028}, Sharing::kOpen);
  const std::string q02 = add_site("Q02", "Otter Holt", WaterKind::kStream, at.brook, Sharing::kBlurred);
  const std::string q03 = add_site("Q03", "Ford", WaterKind::kStream, {-30, 50.004}, Sharing::kOpen);
  const std::string q04 = add_site("Q04", "Weir", WaterKind::kStream, {-30, 50.0002}, Sharing::kOpen);
  const std::string p01 = add_site("P01", "Newt Pond", WaterKind::kPond, at.pond, Sharing::kBlurred);
  const std::string w01 =
      add_site("W01", "Nameless Spring", WaterKind::kSpring, at.spring, Sharing::kWithheld);

  const auto add_taxon = [&](const char* name, Rank rank, const char* parent) {
    add(AddTaxon{{std::string("checklist:") + name, name, rank,
                  *parent != '\0' ? std::string("checklist:") + parent : std::string(), true}});
  };
  add_taxon("Ephemeroptera", Rank::kOrder, "");
  add_taxon("Baetidae", Rank::kFamily, "Ephemeroptera");
  add_taxon("Gammaridae", Rank::kFamily, "");
  add_taxon("Chironomidae", Rank::kFamily, "");
  add_taxon("Astacidae", Rank::kFamily, "");
  add_taxon("Austropotamobius", Rank::kGenus, "Astacidae");

  int visit_number = 100, sample_number = 200, record_number = 300;
  const auto add_sample = [&](const std::string& site, const char* day, const std::string& code,
                              const char* people, bool crayfish) {
    if (crayfish && !at.crayfish_visit) return;
    Visit visit;
    visit.key = secret_key(visit_number++);
    visit.site_key = site;
    visit.start = *parse_moment(day);
    visit.people = people;
    visit.conditions = "low water";
    visit.note = code.starts_with("Q01") ? "Bob Baker saw smoke; Q02 is 1.4 km below" : "quiet";
    add(AddVisit{visit});
    Sample sample;
    sample.key = secret_key(sample_number++);
    sample.code = code;
    sample.visit_key = visit.key;
    sample.protocol = "kick";
    sample.effort = 180;
    sample.effort_unit = "s";
    sample.note =
        code.starts_with("Q02") || code.starts_with("P01") ? "sorted by the hidden alder" : "sorted at home";
    add(AddSample{sample});
    const auto add_record = [&](const char* taxon, int count) {
      Record record;
      record.key = secret_key(record_number++);
      record.sample_key = sample.key;
      record.taxon_key = std::string("checklist:") + taxon;
      record.verbatim_name = taxon;
      record.match = NameMatch::kAccepted;
      record.quantity = QuantityKind::kCount;
      record.count_min = record.count_max = count;
      add(AddRecord{record});
    };
    add_record("Baetidae", 40);
    add_record("Gammaridae", 25);
    add_record("Chironomidae", 12);
    if (crayfish) add_record("Austropotamobius", 2);
    Measurement oxygen;
    oxygen.key = secret_key(record_number++);
    oxygen.visit_key = visit.key;
    oxygen.sample_key = sample.key;
    oxygen.quantity = "dissolved oxygen";
    oxygen.unit = "mg/l";
    oxygen.value = 9.1;
    oxygen.verbatim_value = "9.1";
    add(AddMeasurement{oxygen});
  };
  for (const auto& [site, code] :
       {std::pair{q01, "Q01"}, {q02, "Q02"}, {q03, "Q03"}, {p01, "P01"}, {w01, "W01"}})
    for (const char* day : {"2023-04-11T09:30+01:00", "2024-04-12T10:00+01:00"})
      add_sample(site, day, std::string(code) + "-" + std::string(day).substr(0, 4), "Ann Archer, Bob Baker",
                 false);
  add_sample(q04, "2024-04-13", "Q04-2024", "Ann Archer", false);
  add_sample(q04, "2023-04-13", "Q04-2023", "Ann Archer", true);  // last: without it no other key changes

  Outfall works;
  works.key = secret_key(50);
  works.code = "O1";
  works.kind = OutfallKind::kTreatedSewage;
  works.position = {-30, 50.021};
  works.note = "a little above Otter Holt";
  add(AddOutfall{works});
  add(AddReach{{secret_key(60), "Secret brook", {{-30, 50.032}, at.brook}, false, ""}});
  add(AddReach{{secret_key(61), "Secret brook", {at.brook, {-30, 49.996}}, false, ""}});
  add(AddWater{{secret_key(70), "Newt Pond", WaterKind::kPond, square(at.pond, 0.0004)}});
  add(AddWater{{secret_key(71), "Long Lake", WaterKind::kPond, square({-30.2, 50.1}, 0.002)}});
  add(AddCatchment{
      {secret_key(80), "Q02", "above the holt", square({at.brook.lon, at.brook.lat + 0.005}, 0.005)}});
  add(AddCatchment{{secret_key(81), "ALL", "all of it", square({-30, 50.02}, 0.3)}});
  add(AddPerson{{secret_key(90), "Ann Archer", "", true}});
  add(AddPerson{{secret_key(91), "Cay Cooper", "", false}});
  file.apply(batch);
  return file.read();
}

// The same with a rule for crayfish.
inline core::Snapshot with_crayfish(core::Snapshot snapshot, core::Sharing sharing,
                                    std::optional<double> cell_m = std::nullopt) {
  core::SensitiveTaxon rule;
  rule.key = secret_key(95);
  rule.name = "Astacidae";
  rule.sharing = sharing;
  rule.cell_m = cell_m;
  snapshot.sensitive_taxa.push_back(rule);
  return snapshot;
}

}  // namespace brookmark::test

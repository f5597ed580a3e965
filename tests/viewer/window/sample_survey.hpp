// Why: a small invented catchment in the open ocean for the window's tests: one stream with two tributaries
// and a pond, four outfalls, a dozen sites, three years of samples. Deterministic; every name is made up.
#pragma once

#include <cmath>
#include <cstdint>
#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "core/survey/snapshot.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::test {

// A place by metres east and north of 30 degrees west, 45 degrees north.
inline core::LonLat ocean(double east_m, double north_m) {
  // One degree there is about 78 847 m by 111 132 m; exactness does not matter for an invented place.
  return {-30 + east_m / 78847.0, 45 + north_m / 111132.0};
}

inline core::Line ocean_line(std::initializer_list<std::pair<double, double>> corners) {
  core::Line line;
  for (const auto& [x, y] : corners) line.push_back(ocean(x, y));
  return line;
}

// Builds columns in the order a Snapshot wants: sites by code, samples by site and date.
class SurveyBuilder {
 public:
  core::Snapshot snapshot;

  // With its parents from the checklist, parents first.
  core::TaxonIndex taxon(const std::string& name, core::Rank rank, bool listed = true) {
    if (!listed) return own_row({"own:" + name, name, rank, "", false});
    const auto lineage = core::checklist().match(name).lineage;
    core::TaxonIndex index;
    for (std::size_t i = lineage.size(); i-- > 0;) index = own_row(lineage[i]);
    return index;
  }

  void site(const std::string& code, const std::string& name, core::LonLat at,
            core::WaterKind kind = core::WaterKind::kStream, const std::string& water = "Tarnet Brook") {
    core::SiteColumns& s = snapshot.sites;
    s.key.append("site-" + code);
    s.code.append(code);
    s.name.append(name);
    s.water.append(water);
    s.habitat.append("riffle, stones and gravel");
    s.note.append("");
    s.type.append("");
    s.reference.push_back(false);
    s.sharing.push_back(core::Sharing::kOpen);
    s.kind.push_back(kind);
    s.status.push_back(core::SiteStatus::kActive);
    s.position.push_back(at);
    s.accuracy_m.push_back(5.0);
    s.raw.push_back({});
  }

  struct Found {
    std::string name;
    std::int64_t count;
    core::Rank rank = core::Rank::kFamily;
    bool listed = true;
    std::string written = {};
  };
  // Of the newest site added.
  void sample(const std::string& date, const std::vector<Found>& found,
              core::SampleKind kind = core::SampleKind::kRoutine) {
    const std::size_t at = snapshot.sites.size() - 1;
    core::VisitColumns& v = snapshot.visits;
    v.key.append("visit-" + std::to_string(v.size()));
    v.people.append("");
    v.weather.append("");
    v.conditions.append("");
    v.note.append("");
    v.site.push_back(core::SiteIndex(at));
    const core::Date day = *core::parse_date(date);
    v.start.push_back({day, {}, {}});
    core::SampleColumns& s = snapshot.samples;
    s.key.append("sample-" + std::to_string(s.size()));
    s.code.append(std::string(snapshot.sites.code[at]) + "-" + date.substr(0, 7));
    s.protocol.append("three-minute kick, 500 \u00B5m net");
    s.visit.push_back(core::VisitIndex(v.size() - 1));
    s.site.push_back(core::SiteIndex(at));
    s.date.push_back(day);
    s.kind.push_back(kind);
    s.subsample_share.push_back({});
    s.effort.push_back({});
    s.effort_unit.append("");
    if (s.record_begin.empty()) s.record_begin.push_back(0);
    for (const Found& f : found) {
      core::RecordColumns& r = snapshot.records;
      const core::TaxonIndex t = taxon(f.name, f.rank, f.listed);
      r.key.append("record-" + std::to_string(r.size()));
      r.verbatim_name.append(f.written.empty() ? f.name : f.written);
      r.verbatim_quantity.append(std::to_string(f.count));
      r.class_code.append("");
      r.qualifier.append("");
      r.sample.push_back(core::SampleIndex(s.size() - 1));
      r.taxon.push_back(t);
      r.match.push_back(f.listed ? core::NameMatch::kAccepted : core::NameMatch::kNone);
      r.quantity.push_back(core::QuantityKind::kCount);
      r.count_min.push_back(f.count);
      r.count_max.push_back(f.count);
      r.stage.push_back(core::LifeStage::kUnknown);
      r.certainty.push_back(1);
    }
    s.record_begin.push_back(snapshot.records.size());
  }

  void outfall(const std::string& code, const std::string& name, core::OutfallKind kind, core::LonLat at) {
    core::Outfall o;
    o.key = "outfall-" + code, o.code = code, o.name = name, o.kind = kind, o.position = at;
    snapshot.outfalls.push_back(o);
  }
  void reach(const std::string& name, core::Line line) {
    snapshot.reaches.push_back({"reach-" + std::to_string(snapshot.reaches.size()), name, std::move(line)});
  }
  void catchment(const std::string& code, const std::string& name, core::Line ring) {
    snapshot.catchments.push_back({"catchment-" + code, code, name, {{{std::move(ring)}}}});
  }

 private:
  std::map<std::string, core::TaxonIndex> rows_;

  core::TaxonIndex own_row(const core::Taxon& taxon) {
    if (const auto at = rows_.find(taxon.key); at != rows_.end()) return at->second;
    const auto parent = rows_.find(taxon.parent_key);
    snapshot.taxa.key.append(taxon.key);
    snapshot.taxa.name.append(taxon.name);
    snapshot.taxa.rank.push_back(taxon.rank);
    snapshot.taxa.parent.push_back(parent == rows_.end() ? core::TaxonIndex::none() : parent->second);
    snapshot.taxa.listed.push_back(taxon.listed);
    return rows_[taxon.key] = core::TaxonIndex(snapshot.taxa.size() - 1);
  }
};

// What lives in waters of five kinds, best first.
inline std::vector<SurveyBuilder::Found> tray(int quality, int season) {
  const std::int64_t n = 8 + season * 5;
  std::vector<SurveyBuilder::Found> found = {{"Chironomidae", 12 + 15 * quality},
                                             {"Asellidae", 2 + 9 * quality}};
  if (quality <= 4) found.push_back({"Gammaridae", n + 10, core::Rank::kFamily, true, "freshwater shrimp"});
  if (quality <= 4) found.push_back({"Baetidae", n + 22});
  if (quality <= 3) found.push_back({"Hydropsychidae", n + 5});
  if (quality <= 3) found.push_back({"Simuliidae", n});
  if (quality <= 3) found.push_back({"Elmidae", 9});
  if (quality <= 2) found.push_back({"Heptageniidae", n});
  if (quality <= 2) found.push_back({"Limnephilidae", 7});
  if (quality <= 2) found.push_back({"Rhyacophilidae", 4});
  if (quality <= 2) found.push_back({"Ephemerellidae", 12});
  if (quality <= 1) found.push_back({"Leuctridae", n + 4});
  if (quality <= 1) found.push_back({"Perlodidae", 3});
  if (quality <= 1) found.push_back({"Sericostomatidae", 5});
  if (quality <= 1) found.push_back({"Goeridae", 4});
  if (quality <= 1) found.push_back({"Leptophlebiidae", 6});
  if (quality >= 3) found.push_back({"Erpobdellidae", 4 + quality});
  if (quality >= 4) found.push_back({"Physidae", 11});
  found.push_back({"small red thing", 3, core::Rank::kInformal, false});
  return found;
}

inline core::Snapshot sample_snapshot() {
  SurveyBuilder b;
  b.snapshot.survey.title = "Tarnet Brook (invented)";
  b.snapshot.survey.description = "An invented catchment in the open Atlantic. Nothing here exists.";
  struct Place {
    const char *code, *name;
    double x, y;
    int first, last;  // quality in the first and last year
    core::WaterKind kind;
  };
  const Place places[] = {
      {"T01", "Spring head", -2600, 2900, 1, 1, core::WaterKind::kStream},
      {"T02", "Upper ford", -1700, 2150, 1, 1, core::WaterKind::kStream},
      {"T03", "Above the works", -750, 1500, 2, 2, core::WaterKind::kStream},
      {"T04", "Below the works", -260, 1130, 2, 5, core::WaterKind::kStream},
      {"T05", "Alder bend", 350, 640, 2, 4, core::WaterKind::kStream},
      {"T06", "Mill reach", 820, -160, 3, 3, core::WaterKind::kStream},
      {"T07", "Lower bridge", 1280, -1240, 3, 3, core::WaterKind::kRiver},
      {"T08", "Mouth", 1750, -2600, 3, 2, core::WaterKind::kRiver},
      {"T09", "Osk head", 2650, 1800, 4, 2, core::WaterKind::kStream},
      {"T10", "Osk ford", 1650, 830, 5, 2, core::WaterKind::kStream},
      {"T11", "Lind Pond, north shore", -1750, -700, 3, 3, core::WaterKind::kPond},
      {"T12", "Yaffle ditch", -700, -1300, 0, 0, core::WaterKind::kDitch},
  };
  for (const Place& p : places) {
    b.site(p.code, p.name, ocean(p.x, p.y), p.kind, p.x > 1500 && p.y > 0 ? "Osk" : "Tarnet Brook");
    for (int year = 2021; year <= 2023 && p.first > 0; ++year)
      for (int season = 0; season < 2; ++season) {
        const int quality = p.first + (p.last - p.first) * (year - 2021) / 2;
        b.sample(std::to_string(year) + (season == 0 ? "-05-1" : "-09-2") +
                     std::to_string(year % 10 + (p.x > 1000 ? 1 : 0)),
                 tray(quality, season));
      }
    if (p.first == 0) b.sample("2022-06-07", {});
  }
  b.site("T13", "Proposed: Osk source", ocean(3050, 2300), core::WaterKind::kSpring, "Osk");
  if (b.snapshot.samples.record_begin.empty()) b.snapshot.samples.record_begin.push_back(0);
  b.outfall("O1", "Tarnet sewage works", core::OutfallKind::kTreatedSewage, ocean(-520, 1330));
  b.outfall("O2", "Storm overflow, Mill Lane", core::OutfallKind::kStormSewage, ocean(690, 150));
  b.outfall("O3", "Dairy yard", core::OutfallKind::kTrade, ocean(2250, 1430));
  b.outfall("O4", "Bypass road drain", core::OutfallKind::kRoadDrain, ocean(1160, -900));
  b.outfall("O5", "Field drain, Lind meadow", core::OutfallKind::kFieldDrain, ocean(-1500, -1050));
  b.reach("Tarnet Brook", ocean_line({{-2900, 3200},
                                      {-2600, 2890},
                                      {-2250, 2500},
                                      {-1700, 2160},
                                      {-1200, 1700},
                                      {-750, 1490},
                                      {-520, 1320},
                                      {-250, 1120},
                                      {60, 900},
                                      {340, 630},
                                      {700, 280}}));
  b.reach(
      "Osk",
      ocean_line(
          {{3100, 2350}, {2650, 1790}, {2250, 1420}, {1900, 1000}, {1650, 820}, {1100, 420}, {700, 280}}));
  b.reach("Tarnet Brook", ocean_line({{700, 280},
                                      {740, 60},
                                      {820, -170},
                                      {980, -560},
                                      {1170, -910},
                                      {1280, -1250},
                                      {1480, -1900},
                                      {1760, -2620},
                                      {1840, -3100}}));
  b.reach("Yaffle ditch",
          ocean_line({{-1400, -1150}, {-700, -1310}, {100, -1180}, {700, -1120}, {1170, -910}}));
  core::Water pond;
  pond.key = "water-1", pond.name = "Lind Pond", pond.kind = core::WaterKind::kPond;
  core::Line shore;
  for (int i = 0; i <= 40; ++i) {
    const double a = 2 * 3.14159265358979 * (i % 40) / 40,
                 r = 380 + 110 * std::sin(3 * a) + 60 * std::cos(5 * a);
    shore.push_back(ocean(-1800 + r * 1.3 * std::cos(a), -1000 + r * 0.8 * std::sin(a)));
  }
  core::Line island;
  for (int i = 0; i <= 12; ++i) {
    const double a = 2 * 3.14159265358979 * (i % 12) / 12;
    island.push_back(ocean(-1800 + 90 * std::cos(a), -1030 + 60 * std::sin(a)));
  }
  pond.shape = {{{shore, island}}};
  b.snapshot.waters.push_back(pond);
  b.catchment("C1", "Tarnet catchment",
              ocean_line({{-3500, 3500},
                          {-900, 3700},
                          {1200, 3000},
                          {3600, 3000},
                          {3500, 500},
                          {2600, -1500},
                          {2300, -3300},
                          {900, -3300},
                          {-900, -2400},
                          {-2900, -1900},
                          {-3300, 600},
                          {-3500, 3500}}));
  b.catchment(
      "C2", "Osk valley",
      ocean_line(
          {{1200, 3000}, {3600, 3000}, {3500, 500}, {2200, 100}, {700, 280}, {900, 1400}, {1200, 3000}}));
  b.catchment("C3", "Upper Tarnet",
              ocean_line({{-3500, 3500},
                          {-900, 3700},
                          {1200, 3000},
                          {900, 1400},
                          {700, 280},
                          {-400, 300},
                          {-1900, 900},
                          {-3300, 600},
                          {-3500, 3500}}));
  return b.snapshot;
}

// A survey with nothing in it.
inline core::Snapshot empty_snapshot() {
  core::Snapshot s;
  s.survey.title = "Nothing yet";
  s.samples.record_begin.push_back(0);
  return s;
}

// `count` sites with one sample each, spread over a square of the given side (0: all in one spot).
inline core::Snapshot many_sites(std::size_t count, double side_m, int records = 3) {
  SurveyBuilder b;
  b.snapshot.survey.title = "Many sites (invented)";
  std::uint64_t state = 42;
  const auto random = [&state] {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(state >> 11) / 9007199254740992.0;
  };
  for (std::size_t i = 0; i < count; ++i) {
    std::string code = std::to_string(i);
    code.insert(0, 6 - std::min<std::size_t>(code.size(), 6), '0');
    const double x = (random() - 0.5) * side_m, y = (random() - 0.5) * side_m;
    b.site("M" + code, "", ocean(x, y));
    auto found = tray(1 + static_cast<int>(random() * 5), 0);
    found.resize(std::min<std::size_t>(found.size(), static_cast<std::size_t>(records)));
    b.sample(i % 2 == 0 ? "2021-05-01" : "2022-05-01", found);
  }
  return b.snapshot;
}

}  // namespace brookmark::test

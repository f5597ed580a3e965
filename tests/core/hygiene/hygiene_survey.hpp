// Why: a history of kit reads best as lines: who was where, when, and how it was cleaned.
// Use: HygieneSurvey s; s.site("A1", "Heron Pond"); s.kit("N1"); s.use("N1", "A1", "2025-05-03T09:00");
//      s.clean("N1", "2025-05-03T12:00", "Virkon S", 1, {}, 10);
#pragma once

#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "core/hygiene/kit_history.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::test {

inline core::Moment moment(const std::string& iso) {
  const auto parsed = core::parse_moment(iso);
  if (!parsed) throw std::runtime_error("bad moment in a test: " + iso);
  return *parsed;
}

// Places on a plane in metres, east and north of 30 W, 45 N.
inline core::LonLat at_m(double east, double north) {
  static const core::LocalFrame frame({-30, 45});
  return frame.to_lonlat({east, north});
}

// What every question asks of a survey.
struct HygieneBook {
  core::ChannelNetwork channels;
  core::SurveyWaters waters;
  core::KitHistory history;
  explicit HygieneBook(const core::Snapshot& snapshot)
      : channels(core::build_channels(snapshot.reaches, {}, snapshot.waters)),
        waters(snapshot, &channels),
        history(snapshot, waters) {}
  HygieneBook(const HygieneBook&) = delete;
  HygieneBook& operator=(const HygieneBook&) = delete;
};

inline bool says(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

struct HygieneSurvey {
  core::Snapshot snapshot;

  core::SiteIndex site(const std::string& code, const std::string& water, core::LonLat position = {-30, 45},
                       core::WaterKind kind = core::WaterKind::kPond) {
    auto& sites = snapshot.sites;
    for (core::TextColumn* column : {&sites.key, &sites.code, &sites.name}) column->append(code);
    for (core::TextColumn* column : {&sites.habitat, &sites.note, &sites.type}) column->append("");
    sites.water.append(water);
    sites.kind.push_back(kind);
    sites.status.push_back(core::SiteStatus::kActive);
    sites.reference.push_back(false);
    sites.sharing.push_back(core::Sharing::kOpen);
    sites.position.push_back(position);
    sites.accuracy_m.emplace_back();
    sites.raw.emplace_back();
    return core::SiteIndex(sites.size() - 1);
  }
  void kit(const std::string& code, core::KitKind kind = core::KitKind::kNet, const std::string& set = "") {
    core::Kit item;
    item.key = item.code = code;
    item.kind = kind;
    item.set = set;
    snapshot.kit.push_back(item);
  }
  void use(const std::string& kit, const std::string& site, const std::string& when) {
    core::KitUse row;
    row.key = "use " + std::to_string(snapshot.kit_uses.size());
    row.kit_key = kit;
    row.site_key = site;
    row.when = moment(when);
    snapshot.kit_uses.push_back(row);
  }
  void clean(const std::string& kit, const std::string& finished, const std::string& agent,
             std::optional<double> pct = {}, std::optional<double> c = {},
             std::optional<double> minutes = {}) {
    core::Cleaning row;
    row.key = "cleaning " + std::to_string(snapshot.cleanings.size());
    row.kit_key = kit;
    row.finished = moment(finished);
    row.agent = agent;
    row.concentration_pct = pct;
    row.temperature_c = c;
    row.contact_min = minutes;
    snapshot.cleanings.push_back(row);
  }
  // Virkon S 1 % for ten minutes: enough against all routine targets.
  void clean_well(const std::string& kit, const std::string& finished) {
    clean(kit, finished, "Virkon S", 1, {}, 10);
  }
  void risk(const std::string& site, const std::string& target, const std::string& since,
            core::RiskStatus status = core::RiskStatus::kSuspected) {
    core::WaterRisk row;
    row.key = "risk " + std::to_string(snapshot.risks.size());
    row.site_key = site;
    row.target = target;
    row.status = status;
    row.since = moment(since).date;
    snapshot.risks.push_back(row);
  }
  void hold(const std::string& kit, const std::string& site, const std::string& since,
            const std::string& what = "larvae") {
    core::Holding row;
    row.key = "holding " + std::to_string(snapshot.holdings.size());
    row.kit_key = kit;
    row.site_key = site;
    row.what = what;
    row.since = moment(since).date;
    snapshot.holdings.push_back(row);
  }

  // The newest live sample ended.
  void ended(const std::string& until, core::HoldingOutcome outcome = core::HoldingOutcome::kReturned) {
    snapshot.holdings.back().until = moment(until).date;
    snapshot.holdings.back().outcome = outcome;
  }
  // A channel, drawn downstream.
  void channel(const core::Line& line, bool two_way = false) {
    core::Reach reach;
    reach.key = "reach " + std::to_string(snapshot.reaches.size());
    reach.line = line;
    reach.two_way = two_way;
    snapshot.reaches.push_back(reach);
  }

  core::SiteIndex at(const std::string& code) const { return *snapshot.find_site(code); }
  core::KitIndex item(const std::string& code) const {
    for (std::size_t k = 0; k < snapshot.kit.size(); ++k)
      if (snapshot.kit[k].code == code) return core::KitIndex(k);
    throw std::runtime_error("no kit " + code);
  }
  // "Heron Pond, Kiln Pond": the waters that the item still belongs to, newest first.
  std::string open(const std::string& kit, const std::string& when) const {
    const HygieneBook book(snapshot);
    std::string names;
    for (const auto& open : book.history.state(item(kit), moment(when)).open)
      names += (names.empty() ? "" : ", ") + book.waters.name(open.body);
    return names;
  }
  core::KitState state(const std::string& kit, const std::string& when) const {
    const HygieneBook book(snapshot);
    return book.history.state(item(kit), moment(when));
  }
  std::string words(const std::string& kit, const std::string& when) const { return state(kit, when).words; }
  std::vector<core::EntryWarning> warnings(const std::string& kit, const std::string& site,
                                           const std::string& when) const {
    const HygieneBook book(snapshot);
    const core::KitIndex index = item(kit);
    return core::warnings_before_entry(snapshot, book.waters, book.history, {&index, 1}, at(site),
                                       moment(when));
  }
};

}  // namespace brookmark::test

#include "core/hygiene/survey_waters.hpp"

#include <algorithm>
#include <functional>
#include <map>
#include <unordered_map>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

SurveyWaters::SurveyWaters(const Snapshot& snapshot, const ChannelNetwork* channels) : snapshot_(snapshot) {
  if (channels != nullptr) flow_ = std::make_shared<const WaterFlow>(snapshot, *channels);
  std::unordered_map<std::string, BodyIndex> by_name;
  std::unordered_map<std::string_view, std::size_t> site_by_key;
  body_of_.reserve(snapshot.sites.size());
  for (std::size_t s = 0; s < snapshot.sites.size(); ++s) {
    site_by_key.emplace(snapshot.sites.key[s], s);
    const std::string folded = fold_name(snapshot.sites.water[s]);
    BodyIndex body(names_.size());
    if (!folded.empty()) body = by_name.emplace(folded, body).first->second;
    if (body.value() == names_.size()) {
      names_.push_back(folded.empty() ? "site " + std::string(snapshot.sites.code[s])
                                      : std::string(trim(snapshot.sites.water[s])));
      sites_.emplace_back();
    }
    body_of_.push_back(body);
    sites_[body.value()].emplace_back(s);
  }
  risk_rows_.resize(names_.size());
  below_.resize(names_.size());
  for (std::size_t r = 0; r < snapshot.risks.size(); ++r)
    if (const auto site = site_by_key.find(snapshot.risks[r].site_key); site != site_by_key.end())
      risk_rows_[body_of_[site->second].value()].push_back(r);
  for (auto& rows : risk_rows_)
    std::stable_sort(rows.begin(), rows.end(), [&](std::size_t a, std::size_t b) {
      return snapshot.risks[a].since < snapshot.risks[b].since;
    });
}

std::optional<BodyIndex> SurveyWaters::find(std::string_view name_or_site) const {
  const std::string folded = fold_name(name_or_site);
  for (std::size_t b = 0; b < names_.size(); ++b)
    if (fold_name(names_[b]) == folded) return BodyIndex(b);
  if (const auto site = snapshot_.find_site(name_or_site)) return of(*site);
  return std::nullopt;
}

std::vector<BodyRisk> SurveyWaters::risks(BodyIndex body, Date day) const {
  // One organism under several names is one.
  std::map<std::string, BodyRisk> newest;
  for (const std::size_t r : risk_rows_[body.value()]) {
    const WaterRisk& risk = snapshot_.risks[r];
    if (risk.since > day) break;
    const auto target = find_target(risk.target);
    newest[target ? target_at(*target).id : fold_name(risk.target)] = {r, target, risk.status};
  }
  std::vector<BodyRisk> risks;
  for (auto& [name, risk] : newest) risks.push_back(risk);
  return risks;
}

std::optional<RiskStatus> SurveyWaters::worst(BodyIndex body, Date day) const {
  std::optional<RiskStatus> worst;
  for (const BodyRisk& risk : risks(body, day)) {
    if (risk.status == RiskStatus::kCleared || worst == RiskStatus::kConfirmed) continue;
    worst = risk.status;
  }
  return worst;
}

BodyTargets SurveyWaters::targets(BodyIndex body, Date day, std::optional<Date> used) const {
  BodyTargets targets;
  targets.known.assign(routine_targets().begin(), routine_targets().end());
  const auto add = [&](const BodyRisk& risk) {
    const std::string& words = snapshot_.risks[risk.row].target;
    if (risk.status == RiskStatus::kCleared) return;
    if (!risk.target) {
      if (std::find(targets.unknown.begin(), targets.unknown.end(), words) == targets.unknown.end())
        targets.unknown.push_back(words);
    } else if (std::find(targets.known.begin(), targets.known.end(), *risk.target) == targets.known.end()) {
      targets.known.push_back(*risk.target);
    }
  };
  for (const BodyRisk& risk : risks(body, day)) add(risk);
  for (const RiskAbove& above : risks_above(body, day)) add(above.risk);
  for (const RiskByContact& contact : contacts(body, day))
    if (!used || contact.since <= *used) add(contact.risk);
  if (!used) return targets;
  for (const BodyRisk& risk : cleared_since(body, day, *used)) add(risk);
  if (flow_)
    for (const Source& source : sources_above(body))
      for (const BodyRisk& risk : cleared_since(source.body, day, *used)) add(risk);
  return targets;
}

const std::vector<WaterBelow>& SurveyWaters::below(BodyIndex body) const {
  auto& kept = below_[body.value()];
  if (kept) return *kept;
  std::map<std::size_t, std::map<std::size_t, double>> nearest;  // by water and site
  if (flow_)
    for (const SiteIndex from : sites(body))
      for (const WaterFlow::SiteBelow& lower : flow_->below(from)) {
        if (of(lower.site) == body) continue;
        auto& metres =
            nearest[of(lower.site).value()].emplace(lower.site.value(), lower.distance_m).first->second;
        metres = std::min(metres, lower.distance_m);
      }
  kept.emplace();
  for (const auto& [index, reached] : nearest) {
    WaterBelow water{BodyIndex(index), {}};
    for (const auto& [site, metres] : reached) water.sites.push_back({SiteIndex(site), metres});
    std::stable_sort(water.sites.begin(), water.sites.end(),
                     [](const auto& a, const auto& b) { return a.distance_m < b.distance_m; });
    kept->push_back(std::move(water));
  }
  std::stable_sort(kept->begin(), kept->end(),
                   [](const WaterBelow& a, const WaterBelow& b) { return a.distance_m() < b.distance_m(); });
  return *kept;
}

const std::vector<SurveyWaters::Source>& SurveyWaters::sources_above(BodyIndex body) const {
  if (!above_) {
    std::vector<std::vector<Source>> above(names_.size());
    for (std::size_t b = 0; b < names_.size(); ++b)
      if (!risk_rows_[b].empty())
        for (const WaterBelow& water : below(BodyIndex(b)))
          above[water.body.value()].push_back({BodyIndex(b), &water});
    for (auto& sources : above)
      std::stable_sort(sources.begin(), sources.end(), [](const Source& a, const Source& b) {
        return a.way->distance_m() < b.way->distance_m();
      });
    above_ = std::move(above);
  }
  return (*above_)[body.value()];
}

std::vector<RiskAbove> SurveyWaters::risks_above(BodyIndex body, Date day) const {
  std::vector<RiskAbove> told;
  if (!flow_) return told;
  for (const Source& source : sources_above(body))
    for (const BodyRisk& risk : risks(source.body, day))
      if (risk.status != RiskStatus::kCleared) told.push_back({source.body, risk, source.way});
  return told;
}

namespace {

// The way to the site itself; nothing where only other sites of its water are reached.
std::optional<double> way_to(const WaterBelow& way, SiteIndex site) {
  for (const WaterFlow::SiteBelow& reached : way.sites)
    if (reached.site == site) return reached.distance_m;
  return std::nullopt;
}

// Where it was found, seen from a site that is not the place itself.
std::string found_words(const SiteInRisk& in, const std::function<std::string(SiteIndex)>& code) {
  if (!in.found_at || in.place == RiskPlace::kAt || in.place == RiskPlace::kNone) return "";
  if (in.place == RiskPlace::kElsewhere) return " at " + code(*in.found_at) + " of the same water";
  return " at " + code(*in.found_at) + ", " + plain_distance(in.distance_m) +
         (in.place == RiskPlace::kAbove ? " further down" : " further up");
}

}  // namespace

std::vector<SiteIndex> SurveyWaters::places_of_risk(BodyIndex body, Date day, const BodyRisk* of) const {
  std::map<std::string, std::vector<SiteIndex>> places;  // by organism, since it was last cleared
  const auto organism = [&](const WaterRisk& risk) {
    const auto target = find_target(risk.target);
    return target ? target_at(*target).id : fold_name(risk.target);
  };
  for (const std::size_t r : risk_rows_[body.value()]) {
    const WaterRisk& risk = snapshot_.risks[r];
    if (risk.since > day) break;
    auto& found = places[organism(risk)];
    if (risk.status == RiskStatus::kCleared)
      found.clear();
    else if (const auto site = site_of_key(snapshot_, risk.site_key))
      found.push_back(*site);
  }
  if (of != nullptr) return places[organism(snapshot_.risks[of->row])];
  std::vector<SiteIndex> all;
  for (const auto& [name, found] : places) all.insert(all.end(), found.begin(), found.end());
  return all;
}

SiteInRisk SurveyWaters::place_among(SiteIndex site, std::span<const SiteIndex> places) const {
  SiteInRisk in;
  const auto take = [&](RiskPlace place, SiteIndex found, double metres) {
    if (in.place != place || metres < in.distance_m) in = {place, found, metres};
  };
  for (const SiteIndex found : places)
    if (found == site) return {RiskPlace::kAt, found, 0};
  for (const SiteIndex found : places)
    if (const auto metres = down_m(found, site)) take(RiskPlace::kBelow, found, *metres);
  if (in.place == RiskPlace::kBelow) return in;
  // Above all of them: what is not known of one of them may come from there.
  bool above_all = !places.empty();
  for (const SiteIndex found : places)
    if (const auto metres = down_m(site, found))
      take(RiskPlace::kAbove, found, *metres);
    else
      above_all = false;
  if (above_all || places.empty()) return in;
  return {RiskPlace::kElsewhere, places.front(), 0};
}

SiteInRisk SurveyWaters::place_in_risk(SiteIndex site, Date day) const {
  return place_among(site, places_of_risk(of(site), day));
}

bool SurveyWaters::is_below_risk(SiteIndex site, Date day) const {
  for (const RiskAbove& above : risks_above(of(site), day))
    if (way_to(*above.way, site)) return true;
  return false;
}

std::vector<std::string> SurveyWaters::risk_sentences(SiteIndex site, Date day) const {
  const BodyIndex body = of(site);
  std::vector<std::string> sentences;
  const auto said = [&](const BodyRisk& risk) {
    const WaterRisk& row = snapshot_.risks[risk.row];
    return row.target + " " + risk_status_name(row.status) + " since " + plain_day(row.since);
  };
  auto own = risks(body, day);
  std::stable_sort(own.begin(), own.end(), [](const BodyRisk& a, const BodyRisk& b) {
    return a.status == RiskStatus::kConfirmed && b.status != RiskStatus::kConfirmed;
  });
  const auto code = [&](SiteIndex s) { return std::string(snapshot_.sites.code[s.value()]); };
  for (const BodyRisk& risk : own)
    if (risk.status != RiskStatus::kCleared)
      sentences.push_back(said(risk) +
                          found_words(place_among(site, places_of_risk(body, day, &risk)), code));
  for (const RiskByContact& contact : contacts(body, day)) {
    const std::string may =
        "may hold " + snapshot_.risks[contact.risk.row].target + " of " + name(contact.source) + " too";
    if (contact.way == nullptr) {
      sentences.push_back(may + ", by kit that was not cleaned of it: " + contact.words);
      continue;
    }
    const auto metres = way_to(*contact.way, site);
    sentences.push_back(may + ": " +
                        (metres ? plain_distance(*metres)
                                : "on one water with " + code(contact.way->sites.front().site) +
                                      ", which lies " + plain_distance(contact.way->distance_m())) +
                        " below " + name(contact.entered) +
                        ", which was entered with kit not cleaned of it: " + contact.words);
  }
  for (const RiskAbove& above : risks_above(body, day)) {
    const auto metres = way_to(*above.way, site);
    const std::string first = code(above.way->sites.front().site);
    sentences.push_back((metres ? plain_distance(*metres) + " below "
                                : "on one water with " + first + ", which lies " +
                                      plain_distance(above.way->distance_m()) + " below ") +
                        name(above.source) + ": " + said(above.risk) + " there");
  }
  return sentences;
}

std::optional<SiteIndex> site_of_key(const Snapshot& snapshot, std::string_view site_key) {
  for (std::size_t s = 0; s < snapshot.sites.size(); ++s)
    if (snapshot.sites.key[s] == site_key) return SiteIndex(s);
  return std::nullopt;
}

}  // namespace brookmark::core

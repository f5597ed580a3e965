#include "core/hygiene/survey_waters.hpp"

#include <algorithm>
#include <map>
#include <unordered_map>

#include "core/base/text.hpp"

namespace brookmark::core {

SurveyWaters::SurveyWaters(const Snapshot& snapshot) : snapshot_(snapshot) {
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

BodyTargets SurveyWaters::targets(BodyIndex body, Date day) const {
  BodyTargets targets;
  targets.known.assign(routine_targets().begin(), routine_targets().end());
  for (const BodyRisk& risk : risks(body, day)) {
    if (risk.status == RiskStatus::kCleared) continue;
    if (!risk.target)
      targets.unknown.push_back(snapshot_.risks[risk.row].target);
    else if (std::find(targets.known.begin(), targets.known.end(), *risk.target) == targets.known.end())
      targets.known.push_back(*risk.target);
  }
  return targets;
}

std::optional<SiteIndex> site_of_key(const Snapshot& snapshot, std::string_view site_key) {
  for (std::size_t s = 0; s < snapshot.sites.size(); ++s)
    if (snapshot.sites.key[s] == site_key) return SiteIndex(s);
  return std::nullopt;
}

}  // namespace brookmark::core

// Why: kit carries things from water to water, not from site to site. Which sites lie on one water, and what is known
// to live there on a day. Sites with the same name of water are one water; a site without one is its own.
// Use: const SurveyWaters waters(snapshot);  waters.of(site);  waters.risks(body, day)
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/index.hpp"
#include "core/hygiene/targets.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

using BodyIndex = Index<struct BodyTag>;  // a water as one body, dense over SurveyWaters

// What is said of one organism in one water, the newest word on or before the day asked for.
struct BodyRisk {
  std::size_t row = 0;                // in snapshot.risks
  std::optional<TargetIndex> target;  // nothing: an organism without a cleaning rule
  RiskStatus status = RiskStatus::kSuspected;
};

// What kit from a water has to be cleaned against.
struct BodyTargets {
  std::vector<TargetIndex> known;  // the routine ones, and those of its risks
  std::vector<std::string>
      unknown;  // of its risks, in the surveyor's words: no cleaning here is shown to meet them
};

class SurveyWaters {
 public:
  explicit SurveyWaters(const Snapshot& snapshot);  // which outlives this

  std::size_t size() const { return names_.size(); }
  BodyIndex of(SiteIndex site) const { return body_of_[site.value()]; }
  const std::string& name(BodyIndex body) const { return names_[body.value()]; }  // "Heron Pond", "site X4"
  std::span<const SiteIndex> sites(BodyIndex body) const { return sites_[body.value()]; }
  // By the name of the water, or a site on it.
  std::optional<BodyIndex> find(std::string_view name_or_site) const;

  // All that is told of the water, cleared ones too, in order of target.
  std::vector<BodyRisk> risks(BodyIndex body, Date day) const;
  // The worst of them: kConfirmed, kSuspected, or nothing where nothing is told or all is cleared.
  std::optional<RiskStatus> worst(BodyIndex body, Date day) const;
  BodyTargets targets(BodyIndex body, Date day) const;

 private:
  const Snapshot& snapshot_;
  std::vector<BodyIndex> body_of_;
  std::vector<std::string> names_;
  std::vector<std::vector<SiteIndex>> sites_;
  std::vector<std::vector<std::size_t>> risk_rows_;  // per body, by day
};

// Rows of kit_use, holding and water_risk name their site by its key.
std::optional<SiteIndex> site_of_key(const Snapshot& snapshot, std::string_view site_key);

}  // namespace brookmark::core

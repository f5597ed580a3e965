// Why: kit carries things from water to water, not from site to site. Which sites lie on one water, and what is known
// to live there on a day. Sites with the same name of water are one water; a site without one is its own.
// Use: const SurveyWaters waters(snapshot);  waters.of(site);  waters.risks(body, day)
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/index.hpp"
#include "core/hygiene/targets.hpp"
#include "core/hygiene/water_flow.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

using BodyIndex = Index<struct BodyTag>;  // a water as one body, dense over SurveyWaters

// What is said of one organism in one water, the newest word on or before the day asked for.
struct BodyRisk {
  std::size_t row = 0;                // in snapshot.risks
  std::optional<TargetIndex> target;  // nothing: an organism without a cleaning rule
  RiskStatus status = RiskStatus::kSuspected;
};

// Another water that this one's water reaches, by the shortest way along the channels.
struct WaterBelow {
  BodyIndex body;
  SiteIndex from, to;
  double distance_m = 0;
};

// What is said of a water further up: its water may bring it here.
struct RiskAbove {
  BodyIndex source;
  BodyRisk risk;
  double distance_m = 0;
};

// What kit from a water has to be cleaned against.
struct BodyTargets {
  std::vector<TargetIndex> known;  // the routine ones, those of its risks, and of the risks above it
  std::vector<std::string>
      unknown;  // of these risks, in the surveyor's words: no cleaning here is shown to meet them
};

class SurveyWaters {
 public:
  // Without channels nothing is known of what lies below what. Both outlive this.
  explicit SurveyWaters(const Snapshot& snapshot, const ChannelNetwork* channels = nullptr);

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

  // As WaterFlow::down_m.
  std::optional<double> down_m(SiteIndex upper, SiteIndex lower) const {
    return flow_ ? flow_->down_m(upper, lower) : std::nullopt;
  }
  // The other waters below, nearest first.
  const std::vector<WaterBelow>& below(BodyIndex body) const;
  // What waters further up are said to have, but not those cleared; nearest first.
  std::vector<RiskAbove> risks_above(BodyIndex body, Date day) const;
  // Sentences on the risks of the water itself and of those above it, the worst first; empty: nothing is told of it.
  std::vector<std::string> risk_sentences(BodyIndex body, Date day) const;

 private:
  const Snapshot& snapshot_;
  std::vector<BodyIndex> body_of_;
  std::vector<std::string> names_;
  std::vector<std::vector<SiteIndex>> sites_;
  std::vector<std::vector<std::size_t>> risk_rows_;  // per body, by day
  std::shared_ptr<const WaterFlow> flow_;
  mutable std::vector<std::optional<std::vector<WaterBelow>>> below_;
  struct Source {
    BodyIndex body;
    double distance_m = 0;
  };
  const std::vector<Source>& sources_above(BodyIndex body) const;
  mutable std::optional<std::vector<std::vector<Source>>> above_;  // of waters of which anything is told
};

// Rows of kit_use, holding and water_risk name their site by its key.
std::optional<SiteIndex> site_of_key(const Snapshot& snapshot, std::string_view site_key);

}  // namespace brookmark::core

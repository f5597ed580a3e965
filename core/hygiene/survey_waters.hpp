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
#include <utility>
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

// Another water that this one's water reaches, along the channels.
struct WaterBelow {
  BodyIndex body;
  std::vector<WaterFlow::SiteBelow>
      sites;  // of it that are reached, with the shortest way to each; nearest first
  double distance_m() const { return sites.front().distance_m; }
  std::vector<SiteIndex> reached() const {
    std::vector<SiteIndex> list;
    for (const WaterFlow::SiteBelow& site : sites) list.push_back(site.site);
    return list;
  }
};

// What is said of a water further up: its water may bring it here.
struct RiskAbove {
  BodyIndex source;
  BodyRisk risk;
  const WaterBelow* way = nullptr;  // from there to here; lives as long as the SurveyWaters
};

// A water that was entered with kit from a water at risk, without a cleaning that is enough against the organism, or that
// lies below one that was: as `trace` has it, it may hold it too. Not where the water's own word is newer, or says that it is
// at risk itself, nor for lying below where it lies below the source as well.
struct RiskByContact {
  BodyIndex source;
  BodyRisk risk;      // of the source
  Date since;         // the day of the entry
  std::string words;  // the steps, as TracedWater::words
  BodyIndex entered;  // the water that was entered
  const WaterBelow* way =
      nullptr;  // down from there; nothing: it is that water. Lives as long as the SurveyWaters
};

// Where a site lies in a water at risk, as seen from the sites at which it was found.
enum class RiskPlace : std::uint8_t {
  kNone,       // nothing is told of its water
  kAbove,      // above all of them: the water brings nothing up there
  kAt,         // one of them
  kBelow,      // below one of them
  kElsewhere,  // not known to lie above or below
};
struct SiteInRisk {
  RiskPlace place = RiskPlace::kNone;
  std::optional<SiteIndex> found_at;  // the nearest of them, along the channel where it is above or below
  double distance_m = 0;              // of kAbove and kBelow, along the channel
};

// What kit from a water has to be cleaned against.
struct BodyTargets {
  // The routine ones, those of its risks, of the risks above it, and of waters at risk whose kit entered it.
  std::vector<TargetIndex> known;
  std::vector<std::string>
      unknown;  // of these risks, in the surveyor's words: no cleaning here is shown to meet them
};

class SurveyWaters {
 public:
  // Without channels nothing is known of what lies below what. Both outlive this.
  explicit SurveyWaters(const Snapshot& snapshot, const ChannelNetwork* channels = nullptr);
  SurveyWaters(const SurveyWaters&) = delete;
  SurveyWaters& operator=(const SurveyWaters&) = delete;

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
  // On `day`, of kit that was in the water on `used` (nothing: on that day itself): what was cleared after that has to be
  // cleaned off all the same, and what a contact brought later has not.
  BodyTargets targets(BodyIndex body, Date day, std::optional<Date> used = {}) const;
  // Equal for two days of use on which targets() are the same.
  std::pair<std::size_t, std::size_t> spell(BodyIndex body, Date day, Date used) const;
  // What kit brought here, or to a water above, from waters that are at risk on that day, by source.
  const std::vector<RiskByContact>& contacts(BodyIndex body, Date day) const;

  // Where the site lies in its own water, by what is told and not cleared on the day.
  SiteInRisk place_in_risk(SiteIndex site, Date day) const;

  // As WaterFlow::down_m.
  std::optional<double> down_m(SiteIndex upper, SiteIndex lower) const {
    return flow_ ? flow_->down_m(upper, lower) : std::nullopt;
  }
  // As WaterFlow::pairs.
  std::vector<std::pair<std::size_t, std::size_t>> flow_pairs(std::span<const SiteIndex> sites) const {
    if (!flow_) return {};
    return flow_->pairs(sites);
  }
  // The other waters that its water may reach, nearest first.
  const std::vector<WaterBelow>& below(BodyIndex body) const;
  // What waters further up are said to have, but not those cleared; nearest first.
  std::vector<RiskAbove> risks_above(BodyIndex body, Date day) const;
  // Whether one of them reaches the site itself; elsewhere on its water it may.
  bool is_below_risk(SiteIndex site, Date day) const;
  // Sentences on the risks of the water of a site, of those above it and of contacts, the worst first; empty: nothing is
  // told of it.
  std::vector<std::string> risk_sentences(SiteIndex site, Date day) const;

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
    const WaterBelow* way = nullptr;
  };
  const std::vector<Source>& sources_above(BodyIndex body) const;
  mutable std::optional<std::vector<std::vector<Source>>> above_;  // of waters of which anything is told
  // The sites at which what is told and not cleared on the day was found; of one organism's words, if it is asked for.
  std::vector<SiteIndex> places_of_risk(BodyIndex body, Date day, const BodyRisk* of = nullptr) const;
  SiteInRisk place_among(SiteIndex site, std::span<const SiteIndex> places) const;
  // Risks of the water that were cleared after `used` and by `day`.
  std::vector<BodyRisk> cleared_since(BodyIndex body, Date day, Date used) const;
  std::vector<std::vector<RiskByContact>> all_contacts(Date day) const;
  mutable std::optional<std::pair<Date, std::vector<std::vector<RiskByContact>>>>
      contacts_;  // of the day last asked for
};

// Rows of kit_use, holding and water_risk name their site by its key.
std::optional<SiteIndex> site_of_key(const Snapshot& snapshot, std::string_view site_key);

}  // namespace brookmark::core

// Why: what the pages tell beside the map's classes: how sure a site's samples are, what lies up and down stream of it,
// its trend, the poor parts. Worked out when a page first asks, on another thread where it may take longer than a
// frame, and kept until another question of the kind.
// Use: if (const core::ConfidenceTable* sure = model.answers().sure(0, site)) ...
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/history.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "core/analysis/survey_trends.hpp"
#include "core/analysis/upstream.hpp"
#include "core/network/flow_neighbours.hpp"
#include "core/scoring/confidence.hpp"
#include "geodata/photo/photo.hpp"
#include "viewer/state/chart.hpp"
#include "viewer/state/deferred.hpp"
#include "viewer/state/sample_table.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

class Model;
struct Session;

struct NeighbourSite {
  core::SiteIndex site;
  double distance_m = 0;
};
struct Neighbours {
  bool worked_out = true;  // false: of many sites, as Answers::places_are_known()
  bool on_channel = false;
  std::vector<NeighbourSite> up, down;  // nearest first; sites at the very same place are at 0 m, in `up`
};

// Sites up and down the channel from an outfall, nearest first; each as far as its own water may be moved to a channel.
struct SitesOfOutfall {
  bool worked_out = true;  // false: the survey has too many sites for it to be done between two frames
  std::vector<NeighbourSite> up, down;
};

// Sub-catchments and falls, each worst first, and why in one line.
struct PoorParts {
  core::Assessment assessment;              // with channel shares
  std::vector<core::CatchmentIndex> order;  // by the worst of their sites
  std::vector<std::string> why;             // beside `order`
};

// What is known of the channels, and where the index falls.
struct Carried {
  core::ReachAssessment reaches;
  std::vector<core::Drop> drops;
};

class Answers {
 public:
  explicit Answers(const Model& model) : model_(model) {}

  // Of every sample of a site, in their order: metrics[metric][place in samples_of(site)]. Null while worked out.
  const core::ConfidenceTable* sure(std::size_t method, core::SiteIndex site) const;
  // Null while worked out. Empty for a site without a value.
  const std::vector<core::TrendRow>* trend(const Choice& choice, core::SiteIndex site,
                                           const core::Period& period) const;

  // The samples of the table, in its order; on another thread where there are many, and then null until it is done.
  const std::vector<core::SampleIndex>* table(const Choice& choice, const SampleQuestion& question) const;
  static constexpr std::size_t kManySamples = 20'000;
  // The rows of the table as CSV: a copy of half a million takes longer than a frame. Null until it is done.
  const std::string* table_csv(const Choice& choice, const SampleQuestion& question) const;

  // As catchment_chart() makes it. Null while worked out: a large catchment has many days.
  const Chart* catchment_course(const Choice& choice, core::CatchmentIndex catchment,
                                core::SeasonSet seasons) const;

  // A photo of the survey by its file; null while it is read. With a sentence in place of a picture that is none.
  struct ShownPhoto {
    geodata::Photo photo;
    std::string trouble;
  };
  const ShownPhoto* photo(const std::string& file) const;
  std::uint64_t photo_version() const { return photo_version_; }  // counts the photos read

  // Moving all sites to their channels, and who is next to whom, is worked out on another thread where there are many:
  // false until then, and neighbours() and upstream() say so. Nothing is begun by asking this.
  bool places_are_known() const;
  const Neighbours& neighbours(core::SiteIndex site) const;
  const SitesOfOutfall& sites_of(core::OutfallIndex outfall) const;
  static constexpr std::size_t kManySites = 20'000;
  // Without a place and with a sentence while it is not worked out.
  const core::Upstream& upstream(core::LonLat from, std::optional<double> max_snap_m) const;
  const core::Upstream& upstream(
      core::SiteIndex site) const;  // moved to the channel as far as its water allows
  // Null while it is worked out, where there are many sites, and as Model::assessment.
  std::shared_ptr<const Carried> carried(const Choice& choice,
                                         const std::optional<core::Period>& period) const;
  const PoorParts* poor_parts(const Choice& choice, const std::optional<core::Period>& period) const;

  bool pending() const {
    return sure_.pending() || trend_.pending() || table_.pending() || table_csv_.pending() ||
           photo_.pending() || course_.pending() || carried_.pending() || parts_.pending() ||
           chain_.pending();
  }
  void settle() const;  // waits for what is being worked out

 private:
  struct SureKey {
    std::size_t method;
    core::SiteIndex site;
    bool operator==(const SureKey&) const = default;
  };
  struct TrendKey {
    Choice choice;
    core::SiteIndex site;
    core::Period period;
    bool operator==(const TrendKey&) const = default;
  };
  struct TableKey {
    std::size_t method = 0;
    SampleQuestion question;
    bool operator==(const TableKey&) const = default;
  };
  struct CourseKey {
    Choice choice;
    core::CatchmentIndex catchment;
    core::SeasonSet seasons;
    bool operator==(const CourseKey&) const = default;
  };
  struct UpstreamKey {
    core::LonLat from;
    std::optional<double> max_snap_m;
    bool operator==(const UpstreamKey&) const = default;
  };
  struct PartsKey {
    Choice choice;
    std::optional<core::Period> period;
    bool operator==(const PartsKey&) const = default;
  };
  // All placed sites on channels.
  struct Chain {
    core::ChannelPlaces places;
    std::vector<core::SiteIndex> sites;
    std::vector<core::ChannelPoint> points;
    std::vector<std::vector<NeighbourSite>> up;  // beside `sites`
    std::optional<core::FlowNeighbours> flow;
  };
  static Chain make_chain(const Session& session);
  const Chain* chain() const;  // null while it is worked out
  template <class Key, class Value, class Make>
  const Value* answered(Deferred<Key, Value>& kept, const Key& key, const Make& make) const;

  const Model& model_;
  mutable Deferred<SureKey, core::ConfidenceTable> sure_;
  mutable Deferred<TrendKey, std::vector<core::TrendRow>> trend_;
  mutable Deferred<TableKey, std::vector<core::SampleIndex>> table_;
  mutable Deferred<TableKey, std::string> table_csv_;
  mutable Deferred<CourseKey, Chart> course_;
  mutable Deferred<std::string, ShownPhoto> photo_;
  mutable std::string photo_file_;
  mutable std::uint64_t photo_version_ = 0;
  enum class Whole : std::uint8_t { kSurvey };  // there is one question
  mutable Deferred<Whole, std::shared_ptr<const Chain>> chain_;
  mutable std::optional<core::SiteIndex> neighbours_of_;
  mutable Neighbours neighbours_;
  mutable std::optional<core::OutfallIndex> sites_of_;
  mutable SitesOfOutfall outfall_sites_;
  mutable std::optional<UpstreamKey> upstream_key_;
  mutable core::Upstream upstream_;
  mutable Deferred<PartsKey, std::shared_ptr<const Carried>> carried_;
  mutable Deferred<PartsKey, PoorParts> parts_;
};

}  // namespace brookmark::viewer

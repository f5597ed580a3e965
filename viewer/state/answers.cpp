#include "viewer/state/answers.hpp"

#include <algorithm>

#include "core/analysis/rank_driver.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

// At once where there are few sites; else null until it is done. `make` gives the work, with copies of what it needs.
template <class Key, class Value, class Make>
const Value* Answers::answered(Deferred<Key, Value>& kept, const Key& key, const Make& make) const {
  const bool at_once = model_.snapshot().sites.size() <= kManySites;
  const Value* value = kept.find(key);
  while (value == nullptr) {
    if (kept.pending() && !at_once) return nullptr;
    kept.settle();  // of another question
    if ((value = kept.find(key)) != nullptr) break;
    kept.get(key, make());
    if (!at_once) return nullptr;
    kept.settle();
    value = kept.find(key);
  }
  return value;
}

const core::ConfidenceTable* Answers::sure(std::size_t method, core::SiteIndex site) const {
  const core::Snapshot& snapshot = model_.snapshot();
  const core::Method& asked = *model_.methods()[method];
  return sure_.get({method, site}, [&snapshot, &asked, site] {
    const auto [first, last] = snapshot.samples_of(site);
    std::vector<core::SampleIndex> samples;
    for (std::size_t s = first.value(); s < last.value(); ++s) samples.emplace_back(s);
    return core::confidence_of(snapshot, asked, samples, {.threads = 1});
  });
}

const std::vector<core::TrendRow>* Answers::trend(const Choice& choice, core::SiteIndex site,
                                                  const core::Period& period) const {
  const core::Snapshot& snapshot = model_.snapshot();
  const core::ScoreTable& scores = model_.scores(choice.method);
  return trend_.get({choice, site, period}, [&snapshot, &scores, choice, site, period] {
    const core::SiteValues values = core::metric_values(snapshot, scores, choice.metric, period, site);
    return core::site_trends(snapshot, values, std::span(&site, 1));
  });
}

const std::vector<core::SampleIndex>* Answers::table(const Choice& choice,
                                                     const SampleQuestion& question) const {
  const core::Snapshot& snapshot = model_.snapshot();
  const core::ScoreTable& scores = model_.scores(choice.method);
  const TableKey key{choice.method, question};
  const auto* rows =
      table_.get(key, [&snapshot, &scores, question] { return order_samples(snapshot, scores, question); });
  if (rows != nullptr || snapshot.samples.size() > kManySamples) return rows;
  table_.settle();  // of another question, or of this one
  rows =
      table_.get(key, [&snapshot, &scores, question] { return order_samples(snapshot, scores, question); });
  table_.settle();
  return rows != nullptr ? rows : table_.get(key, [&snapshot, &scores, question] {
    return order_samples(snapshot, scores, question);
  });
}

const std::string* Answers::table_csv(const Choice& choice, const SampleQuestion& question) const {
  const core::Snapshot& snapshot = model_.snapshot();
  const core::ScoreTable& scores = model_.scores(choice.method);
  return table_csv_.get({choice.method, question}, [&snapshot, &scores, question] {
    return samples_as_csv(snapshot, scores, question.metric, order_samples(snapshot, scores, question));
  });
}

const Chart* Answers::catchment_course(const Choice& choice, core::CatchmentIndex catchment,
                                       core::SeasonSet seasons) const {
  model_.scores(choice.method);  // here, so that the other thread only reads them
  const Model& model = model_;
  return course_.get({choice, catchment, seasons}, [&model, choice, catchment, seasons] {
    return catchment_chart(model, choice, catchment, seasons);
  });
}

const Answers::ShownPhoto* Answers::photo(const std::string& file) const {
  const std::filesystem::path survey = model_.session().path;
  const ShownPhoto* shown = photo_.get(file, [survey, file]() -> ShownPhoto {
    try {
      geodata::start_geodata();
      return {geodata::read_photo(survey, file), ""};
    } catch (const std::exception& error) {
      return {{}, error.what()};
    }
  });
  if (shown != nullptr && photo_file_ != file) {
    photo_file_ = file;
    ++photo_version_;
  }
  return shown;
}

Answers::Chain Answers::make_chain(const Session& session) {
  Chain chain;
  chain.places = core::places_on_channels(session.snapshot, session.channels);
  for (std::size_t i = 0; i < chain.places.sites.size(); ++i) {
    if (!chain.places.sites[i]) continue;
    chain.sites.emplace_back(i);
    chain.points.push_back(*chain.places.sites[i]);
  }
  chain.flow.emplace(session.channels, chain.points);
  chain.up.resize(chain.sites.size());
  for (std::uint32_t p = 0; p < chain.sites.size(); ++p)
    for (const core::NextPlace& next : chain.flow->below(p))
      chain.up[next.place].push_back({chain.sites[p], next.distance_m});
  return chain;
}

const Answers::Chain* Answers::chain() const {
  const Session& session = model_.session();
  const auto* known = answered(chain_, Whole::kSurvey, [&session] {
    return [&session] { return std::make_shared<const Chain>(make_chain(session)); };
  });
  return known != nullptr ? known->get() : nullptr;
}

bool Answers::places_are_known() const {
  return chain_.find(Whole::kSurvey) != nullptr;
}

const Neighbours& Answers::neighbours(core::SiteIndex site) const {
  if (neighbours_of_ == site) return neighbours_;
  neighbours_ = {};
  const Chain* known = chain();
  neighbours_.worked_out = known != nullptr;
  if (known == nullptr) return neighbours_;
  neighbours_of_ = site;
  const Chain& all = *known;
  const auto at = std::lower_bound(all.sites.begin(), all.sites.end(), site);
  if (at == all.sites.end() || *at != site) return neighbours_;
  neighbours_.on_channel = true;
  const auto own = static_cast<std::uint32_t>(at - all.sites.begin());
  const std::uint32_t place = all.flow->same_place(own);
  for (std::uint32_t p = 0; p < all.sites.size(); ++p)
    if (p != own && all.flow->same_place(p) == place) neighbours_.up.push_back({all.sites[p], 0});
  neighbours_.up.insert(neighbours_.up.end(), all.up[place].begin(), all.up[place].end());
  for (const core::NextPlace& next : all.flow->below(own))
    neighbours_.down.push_back({all.sites[next.place], next.distance_m});
  // Sites that share the place above are told once.
  std::erase_if(neighbours_.up, [&](const NeighbourSite& n) { return n.site == site; });
  for (auto* list : {&neighbours_.up, &neighbours_.down})
    std::stable_sort(list->begin(), list->end(), [](const NeighbourSite& a, const NeighbourSite& b) {
      return a.distance_m < b.distance_m;
    });
  return neighbours_;
}

const SitesOfOutfall& Answers::sites_of(core::OutfallIndex outfall) const {
  if (sites_of_ == outfall) return outfall_sites_;
  sites_of_ = outfall;
  outfall_sites_ = {};
  const core::Snapshot& s = model_.snapshot();
  const core::ChannelNetwork& channels = model_.session().channels;
  outfall_sites_.worked_out = s.sites.size() <= kManySites;
  if (!outfall_sites_.worked_out) return outfall_sites_;
  std::vector<core::SiteIndex> sites;
  std::vector<core::LonLat> from;
  std::vector<double> limits_m;
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    if (!core::is_placed(s.sites.position[i])) continue;
    sites.emplace_back(i);
    from.push_back(s.sites.position[i]);
    limits_m.push_back(core::snap_limit_m(s.sites.kind[i], channels.options()));
  }
  const core::LonLat target[] = {s.outfalls[outfall.value()].position};
  const auto found = core::distances_between(channels, from, limits_m, target);
  for (std::size_t k = 0; k < found.size(); ++k)
    for (const core::ChannelDistance& d : found[k]) {
      if (!d.distance_m) continue;
      // Seen from the site: an outfall upstream of it drains to it.
      if (d.relation == core::Relation::kUpstream) outfall_sites_.down.push_back({sites[k], *d.distance_m});
      if (d.relation == core::Relation::kDownstream) outfall_sites_.up.push_back({sites[k], *d.distance_m});
    }
  for (auto* list : {&outfall_sites_.up, &outfall_sites_.down})
    std::stable_sort(list->begin(), list->end(), [](const NeighbourSite& a, const NeighbourSite& b) {
      return a.distance_m < b.distance_m;
    });
  return outfall_sites_;
}

const core::Upstream& Answers::upstream(core::LonLat from, std::optional<double> max_snap_m) const {
  const UpstreamKey key{from, max_snap_m};
  if (upstream_key_ != key) {
    const Session& session = model_.session();
    const Chain* known = chain();
    if (known == nullptr) {
      upstream_ = {};
      upstream_.note = "all sites are being moved to their channels; it takes a moment";
      upstream_key_.reset();
      return upstream_;
    }
    upstream_ = core::upstream_of(session.snapshot, session.channels, known->places, session.nesting,
                                  session.channels_inside, from, max_snap_m);
    upstream_key_ = key;
  }
  return upstream_;
}

const core::Upstream& Answers::upstream(core::SiteIndex site) const {
  const core::SiteColumns& sites = model_.snapshot().sites;
  return upstream(sites.position[site.value()],
                  core::snap_limit_m(sites.kind[site.value()], model_.session().channels.options()));
}

std::shared_ptr<const Carried> Answers::carried(const Choice& choice,
                                                const std::optional<core::Period>& period) const {
  const core::Assessment* known = model_.assessment(choice, period);
  const Session& session = model_.session();
  if (known == nullptr || session.channels.edges().empty()) return nullptr;
  const core::ScoreTable& scores = model_.scores(choice.method);
  const auto make = [&] {
    return [&session, &scores, choice, own = std::make_shared<core::Assessment>(*known)] {
      auto carried = std::make_shared<Carried>();
      carried->reaches = core::assess_reaches(session.snapshot, *own, session.channels);
      carried->drops =
          core::find_drops(session.snapshot, scores, choice.metric, session.channels, own->period);
      return std::shared_ptr<const Carried>(std::move(carried));
    };
  };
  const auto* answer = answered(carried_, PartsKey{choice, period}, make);
  return answer != nullptr ? *answer : nullptr;
}

const PoorParts* Answers::poor_parts(const Choice& choice, const std::optional<core::Period>& period) const {
  const core::Assessment* known = model_.assessment(choice, period);
  if (known == nullptr) return nullptr;
  const Session& session = model_.session();
  std::shared_ptr<const Carried> carried = std::make_shared<Carried>();
  const bool has_channels = !session.channels.edges().empty();
  if (has_channels) carried = this->carried(choice, period);
  if (!carried) return nullptr;
  const auto make = [&] {
    return [&session, carried, has_channels, own = std::make_shared<core::Assessment>(*known)] {
      PoorParts parts{*own, {}, {}};
      if (has_channels) core::add_channel_shares(parts.assessment, carried->reaches, session.channels_inside);
      parts.order = core::worst_first(parts.assessment);
      const core::RankedSurvey ranked{session.snapshot, parts.assessment,        session.nesting,
                                      carried->reaches, session.channels_inside, carried->drops};
      for (const core::CatchmentIndex c : parts.order)
        parts.why.push_back(core::rank_driver(ranked, c, core::CatchmentRule::kWorst));
      return parts;
    };
  };
  return answered(parts_, PartsKey{choice, period}, make);
}

void Answers::settle() const {
  sure_.settle();
  trend_.settle();
  table_.settle();
  table_csv_.settle();
  course_.settle();
  carried_.settle();
  parts_.settle();
  photo_.settle();
  chain_.settle();
}

}  // namespace brookmark::viewer

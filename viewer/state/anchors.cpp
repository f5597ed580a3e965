#include "viewer/state/anchors.hpp"

#include <algorithm>

#include "core/analysis/selection.hpp"
#include "core/network/channels.hpp"

namespace brookmark::viewer {
namespace {

template <class Index>
std::optional<std::string> key_at(const core::TextColumn& keys, const std::optional<Index>& index) {
  if (!index || index->value() >= keys.size()) return std::nullopt;
  return std::string(keys[index->value()]);
}

template <class Index>
std::optional<Index> index_of(const core::TextColumn& keys, const std::optional<std::string>& key) {
  if (!key) return std::nullopt;
  for (std::size_t i = 0; i < keys.size(); ++i)
    if (keys[i] == *key) return Index(i);
  return std::nullopt;
}

}  // namespace

Anchors anchors_of(const State& state, const Model& model) {
  const core::Snapshot& s = model.snapshot();
  Anchors anchors;
  anchors.site = key_at(s.sites.key, state.site);
  anchors.sample = key_at(s.samples.key, state.sample);
  if (state.outfall && state.outfall->value() < s.outfalls.size())
    anchors.outfall = s.outfalls[state.outfall->value()].key;
  if (state.query.from == Query::From::kSite)
    anchors.query_site = key_at(s.sites.key, std::optional(state.query.site));
  if (state.view_chosen && model.bounds()) anchors.middle = model.frame().to_lonlat(state.view.centre);
  const auto days = model.sampling_dates();
  anchors.newest_day = !state.date || (!days.empty() && *state.date == days.back());
  return anchors;
}

void find_again(const Anchors& anchors, State& state, const Model& model) {
  const core::Snapshot& s = model.snapshot();
  state.hover = {};
  state.desk.spot = {};
  state.lit = state.pinned = {};
  state.lasso.sites = core::sites_within(s, state.lasso.ring);
  state.site = index_of<core::SiteIndex>(s.sites.key, anchors.site);
  state.sample = index_of<core::SampleIndex>(s.samples.key, anchors.sample);
  state.outfall.reset();
  if (anchors.outfall)
    for (std::size_t i = 0; i < s.outfalls.size(); ++i)
      if (s.outfalls[i].key == *anchors.outfall) state.outfall = core::OutfallIndex(i);
  if (anchors.middle)
    state.view.centre = model.frame().to_plane(*anchors.middle);
  else
    state.view_chosen = false;  // nothing was there to look at: show what there is now
  const auto days = model.sampling_dates();
  if (days.empty())
    state.date.reset();
  else if (anchors.newest_day || !state.date)
    state.date = days.back();
  else
    state.date = std::clamp(*state.date, days.front(), days.back());
  if (state.query.from == Query::From::kSite) {
    if (const auto site = index_of<core::SiteIndex>(s.sites.key, anchors.query_site)) {
      state.query.site = *site;
      state.query.point = s.sites.position[site->value()];
      if (!core::is_placed(state.query.point)) state.query.from = Query::From::kNone;
    } else {
      state.query.from = Query::From::kNone;
    }
  }
  if (!state.show_sample.empty())
    for (std::size_t i = 0; i < s.samples.size(); ++i)
      if (s.samples.key[i] == state.show_sample) {
        state.sample = core::SampleIndex(i);
        state.site = s.samples.site[i];
        state.outfall.reset();
        state.page = Page::kSite;
        if (state.date && *state.date < s.samples.date[i])
          state.date = std::clamp(s.samples.date[i], days.front(), days.back());
      }
  if (const auto site = state.show_site.empty()
                            ? std::nullopt
                            : index_of<core::SiteIndex>(s.sites.key, std::optional(state.show_site))) {
    state.site = site;
    state.outfall.reset();
    state.page = Page::kSite;
    state.map.found.reset();  // the cross has done its work
  }
  state.show_site.clear();
  state.show_sample.clear();
}

}  // namespace brookmark::viewer

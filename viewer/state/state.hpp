// Why: everything a person has chosen in the window, as plain values: what the map shows, which day, which
// method, which site, which question. No ImGui here, so that it can be tested, scripted and one day kept.
// Changed only through viewer/actions.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/date.hpp"
#include "core/base/index.hpp"
#include "core/network/channels.hpp"
#include "core/survey/period.hpp"
#include "viewer/state/design.hpp"
#include "viewer/state/desk.hpp"
#include "viewer/state/entry_sheet.hpp"
#include "viewer/state/map_edit.hpp"
#include "viewer/state/map_state.hpp"
#include "viewer/state/order.hpp"
#include "viewer/state/settings.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

struct Choice {
  std::size_t method = 0;  // index into Model::methods()
  std::size_t metric = 0;  // index into its metrics
  bool operator==(const Choice&) const = default;
};

enum class Layer : std::uint8_t {
  kSites,
  kOutfalls,
  kChannels,
  kWaters,
  kCatchments,
  kLabels,
  kReaches,
  kDrops,
  kCatchmentClasses  // catchments filled by the class in the middle of their sites
};
inline constexpr std::size_t kLayerCount = 9;

struct Layers {
  bool shown[kLayerCount] = {true, true, true, true, true, true, true, true, false};
  bool operator[](Layer layer) const { return shown[static_cast<std::size_t>(layer)]; }
};

// What lies under the pointer.
struct Hover {
  std::optional<core::SiteIndex> site;
  std::optional<core::OutfallIndex> outfall;
  bool operator==(const Hover&) const = default;
};

// "How far along the channel to which outfall": from a site or from any point, with its answer.
struct Query {
  enum class From : std::uint8_t { kNone, kSite, kPoint };
  From from = From::kNone;
  core::SiteIndex site;
  core::LonLat point;  // where it starts, for both kinds
  std::optional<double>
      max_snap_m;  // how far from a channel the start may be; nothing: the network's own limit
  core::Direction direction = core::Direction::kAny;
  std::vector<core::ChannelDistance> distances;  // targets are the snapshot's outfalls
  bool upstream = false;                         // also what lies upstream of the start
  std::optional<std::size_t> focus;              // row of `distances` that is brought out on the map
  std::uint32_t version = 0;                     // counts every change, so that buffers know when to follow
};

// A page beside the map; each stands once in viewer/panels/pages.cpp.
enum class Page : std::uint8_t {
  kKey,
  kSite,
  kDistance,
  kParts,
  kTable,
  kSuggest,
  kClean,
  kEdit,
  kSurvey,
  kHelp,
  kSettings
};

// What of a site its page shows.
enum class SiteView : std::uint8_t { kScore, kTime, kAround };

// A sub-catchment or a falling stretch that is brought out on the map.
struct Lit {
  std::optional<core::CatchmentIndex> catchment;
  std::optional<std::pair<core::SiteIndex, core::SiteIndex>> drop;  // its upper and lower site
  bool operator==(const Lit&) const = default;
  bool any() const { return catchment || drop; }
};

// Sites chosen by drawing round them.
struct Lasso {
  bool armed = false;                  // the next drag on the map draws
  std::vector<core::LonLat> ring;      // as drawn so far
  std::vector<core::SiteIndex> sites;  // inside, in order; filled when the ring is closed
};

enum class TableColumn : std::uint8_t { kSample, kSite, kWater, kDate, kKind, kValue, kClass, kTaxa, kNote };
inline constexpr std::size_t kTableColumnCount = 9;
struct TableChoice {
  TableColumn sort = TableColumn::kDate;
  bool descending = true;
  std::string filter;          // rows that hold this text; empty: all
  bool in_period = true;       // samples that the map speaks of alone
  bool selection_only = true;  // of the sites drawn round, where there are any
  bool operator==(const TableChoice&) const = default;
};

// Beside the day: which samples up to it count, and whether the days go by themselves.
struct TimeChoice {
  std::optional<int> window_days;  // that end on the day; nothing: everything up to it
  core::SeasonSet seasons;
  bool playing = false;
  double day_share = 0;  // of the next day that has gone by while playing
};

struct State {
  Viewport view;
  // Of the map, by the strip of classes and by what stands along the bottom: what is fitted keeps clear of them.
  double covered_top_px = 0, covered_bottom_px = 0;
  bool view_chosen = false;        // false until the map has been fitted or moved once
  std::optional<core::Date> date;  // the day the map speaks of; nothing in a survey without samples
  TimeChoice time;
  Choice choice;
  std::optional<core::SiteIndex> site;
  std::optional<core::OutfallIndex> outfall;
  std::optional<core::SampleIndex> sample;  // the sample opened into its reasons
  bool later_open = false;                  // the samples after the day shown are listed too
  Query query;
  bool picking_point = false;  // the next click on the map starts a query from there
  Page page = Page::kKey;
  SiteView site_view = SiteView::kScore;
  Lit lit, pinned;  // by the pointer; by a tap, until another
  Lasso lasso;
  TableChoice table;
  bool panel_open = true;  // false: the map alone
  Layers layers;
  Hover hover;
  Design design;                       // where to sample next
  std::optional<EntrySheet> entry;     // a visit being written down; it then lies over everything
  std::string show_sample, show_site;  // keys: to be shown once the model was read anew; empty: none
  MapState map;
  MapEdit edit;                   // a change to the map in the making
  std::vector<Order> orders;      // to the survey file, oldest first; carried out before the next frame
  std::vector<Message> messages;  // oldest first
  Settings settings;
  DeskState desk;

  // The paths and distances of the query belong to the page of distances, where they were asked for.
  bool query_is_shown() const { return query.from != Query::From::kNone && page == Page::kDistance; }
  // Whether only a part of the samples up to the day counts.
  bool is_narrowed() const { return time.window_days.has_value() || !time.seasons.all(); }
  // The samples that the map speaks of; nothing in a survey without samples.
  std::optional<core::Period> period() const {
    if (!date) return std::nullopt;
    return time.window_days ? core::days_up_to(*date, *time.window_days, time.seasons)
                            : core::Period(*date, {}, time.seasons);
  }
};

}  // namespace brookmark::viewer

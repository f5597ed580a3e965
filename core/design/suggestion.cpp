#include "core/design/suggestion.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <set>

#include "core/analysis/outfalls.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/spot_cautions_internal.hpp"
#include "core/network/channel_walk.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {
namespace {

constexpr std::array<const char*, 5> kPurposes{"spread", "gap", "bracket", "narrow", "variety"};

// Places of one kind on the network: outfalls, sites, or the suggestions themselves.
struct PlacesOnChannel {
  std::vector<ChannelPoint> points;
  std::vector<std::uint32_t> index;
  std::vector<std::string> code, status;

  void add(std::size_t i, std::string_view named, const std::optional<ChannelPoint>& point,
           std::string_view is = {}) {
    if (!point) return;
    points.push_back(*point);
    index.push_back(static_cast<std::uint32_t>(i));
    code.emplace_back(named);
    status.emplace_back(is);
  }
};

bool is_sewage(OutfallKind kind) {
  return kind == OutfallKind::kTreatedSewage || kind == OutfallKind::kStormSewage;
}

PlacesOnChannel outfalls_on(const DesignSource& source, bool only_sewage) {
  PlacesOnChannel found;
  for (std::size_t i = 0; i < source.snapshot.outfalls.size(); ++i)
    if (in_use(source.snapshot.outfalls[i], source.day) &&
        (!only_sewage || is_sewage(source.snapshot.outfalls[i].kind)))
      found.add(i, source.snapshot.outfalls[i].code,
                source.network.snap(source.snapshot.outfalls[i].position));
  return found;
}

// Of a site that is not simply there.
std::string status_words(const Snapshot& snapshot, std::size_t site) {
  if (snapshot.sites.status[site] == SiteStatus::kRetired) return "retired";
  return is_only_proposed(snapshot, SiteIndex(site)) ? "proposed" : "";
}

PlacesOnChannel sites_on(const DesignSource& source) {
  PlacesOnChannel found;
  const SiteColumns& sites = source.snapshot.sites;
  for (std::size_t i = 0; i < sites.size(); ++i)
    if (is_placed(sites.position[i]) && sites.status[i] != SiteStatus::kRetired)
      found.add(i, sites.code[i],
                source.network.snap(sites.position[i], snap_limit_m(sites.kind[i], source.network.options())),
                status_words(source.snapshot, i));
  return found;
}

using Found = std::optional<NearPlace> Suggestion::*;

// The nearest of `places` above and, where it is asked for, below each suggestion.
void add_near(std::vector<Suggestion>& list, const PlacesOnChannel& own, const PlacesOnChannel& places,
              const ChannelNetwork& network, Found above, Found below) {
  const auto offer = [&](std::uint32_t suggestion, std::uint32_t place, double distance_m, Found to) {
    std::optional<NearPlace>& held = list[own.index[suggestion]].*to;
    if (!held || distance_m < held->distance_m)
      held = NearPlace{places.code[place], distance_m, places.status[place]};
  };
  for (const ChannelLink& link : channel_links(network, places.points, own.points, Direction::kDownstream))
    offer(link.to, link.from, link.distance_m, above);
  if (below == nullptr) return;
  for (const ChannelLink& link : channel_links(network, own.points, places.points, Direction::kDownstream))
    offer(link.from, link.to, link.distance_m, below);
}

void add_nearest_site(Suggestion& suggestion, const Snapshot& snapshot) {
  const SiteColumns& sites = snapshot.sites;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (!is_placed(sites.position[i])) continue;
    const double m = geodesic_m(suggestion.spot.position, sites.position[i]);
    if (!suggestion.nearest_site || m < suggestion.nearest_site->distance_m)
      suggestion.nearest_site = NearPlace{std::string(sites.code[i]), m, status_words(snapshot, i)};
  }
}

CatchmentIndex smallest_catchment(LonLat place, const DesignSource& source) {
  CatchmentIndex found;
  for (std::size_t c = 0; c < source.snapshot.catchments.size(); ++c) {
    if (found.has_value() && source.nesting.area_m2[c] >= source.nesting.area_m2[found.value()]) continue;
    if (contains(source.snapshot.catchments[c].shape, place)) found = CatchmentIndex(c);
  }
  return found;
}

std::string spot_words(const Spot& spot, const DesignSource& source) {
  if (spot.water.has_value()) {
    const Water& water = source.snapshot.waters[spot.water.value()];
    const std::string kind = water.kind == WaterKind::kUnknown ? "water" : water_kind_name(water.kind);
    return water.name.empty() ? kind + " " + std::to_string(spot.water.value() + 1) : water.name;
  }
  if (spot.edge == Spot::kOffChannel) return {};
  const std::size_t reach = source.network.edges()[spot.edge].reach.value();
  const std::string& name = source.snapshot.reaches[reach].name;
  return name.empty() ? "reach " + std::to_string(reach + 1) : name;
}

void add_codes(Suggestions& suggestions, const SiteColumns& sites) {
  std::set<std::string, std::less<>> taken;
  for (std::size_t i = 0; i < sites.size(); ++i) taken.emplace(sites.code[i]);
  std::size_t next = 1;
  for (Suggestion& suggestion : suggestions.list) {
    do {
      const std::string number = std::to_string(next++);
      suggestion.code = "NEW-" + std::string(number.size() < 2 ? 2 - number.size() : 0, '0') + number;
    } while (taken.contains(suggestion.code));
  }
}

}  // namespace

const char* purpose_name(Purpose purpose) {
  return kPurposes[static_cast<std::size_t>(purpose)];
}

std::optional<Purpose> parse_purpose(std::string_view word) {
  for (std::size_t i = 0; i < kPurposes.size(); ++i)
    if (word == kPurposes[i]) return static_cast<Purpose>(i);
  return std::nullopt;
}

bool is_only_proposed(const Snapshot& snapshot, SiteIndex site) {
  if (snapshot.sites.status[site.value()] != SiteStatus::kProposed) return false;
  const auto [begin, end] = snapshot.samples_of(site);
  return begin == end;
}

bool keeps_clear(Purpose purpose) {
  return purpose == Purpose::kGap || purpose == Purpose::kBracket || purpose == Purpose::kNarrow;
}

WaterKind kind_at(const Spot& spot, const DesignSource& source) {
  if (spot.water.has_value()) return source.snapshot.waters[spot.water.value()].kind;
  if (spot.edge == Spot::kOffChannel) return WaterKind::kUnknown;
  const std::string name =
      fold_name(source.snapshot.reaches[source.network.edges()[spot.edge].reach.value()].name);
  const SiteColumns& sites = source.snapshot.sites;
  WaterKind kind = WaterKind::kUnknown;
  for (std::size_t s = 0; s < sites.size() && !name.empty(); ++s) {
    if (sites.kind[s] == WaterKind::kUnknown || fold_name(sites.water[s]) != name) continue;
    if (kind != WaterKind::kUnknown && kind != sites.kind[s]) return WaterKind::kUnknown;
    kind = sites.kind[s];
  }
  return kind;
}

void add_facts(Suggestions& suggestions, const DesignSource& source) {
  std::vector<Suggestion>& list = suggestions.list;
  PlacesOnChannel own;
  for (std::size_t i = 0; i < list.size(); ++i) {
    const Spot& spot = list[i].spot;
    if (spot.edge != Spot::kOffChannel)
      own.add(i, {}, ChannelPoint{spot.edge, spot.along_m, 0, spot.position});
  }
  if (!own.points.empty()) {
    add_near(list, own, outfalls_on(source, false), source.network, &Suggestion::outfall_above,
             &Suggestion::outfall_below);
    add_near(list, own, outfalls_on(source, true), source.network, &Suggestion::sewage_above, nullptr);
    add_near(list, own, sites_on(source), source.network, &Suggestion::site_above, &Suggestion::site_below);
    const StreamFigures figures = stream_figures(source.network.graph());
    for (const std::uint32_t i : own.index) {
      const Spot& spot = list[i].spot;
      list[i].stream_order = figures.order[spot.edge];
      if (source.network.graph().is_two_way(spot.edge))
        append_note(list[i].note, "in water that runs either way nothing drains to one side of it alone");
      else
        list[i].upstream_m = figures.upstream_m[spot.edge] -
                             (source.network.graph().edges()[spot.edge].length_m - spot.along_m);
    }
  }
  for (Suggestion& suggestion : list) {
    if (suggestion.spot.edge == Spot::kOffChannel)
      append_note(suggestion.note, "on no channel, so it has no distances along one");
    add_nearest_site(suggestion, source.snapshot);
    for (const auto* place : {&suggestion.site_above, &suggestion.site_below, &suggestion.nearest_site})
      if (*place && !(*place)->status.empty() &&
          suggestion.note.find((*place)->code + " is ") == std::string::npos)
        append_note(suggestion.note, (*place)->code + " is " + (*place)->status);
    suggestion.place = spot_words(suggestion.spot, source);
    suggestion.kind = kind_at(suggestion.spot, source);
    const CatchmentIndex catchment = smallest_catchment(suggestion.spot.position, source);
    if (!catchment.has_value()) continue;
    const Catchment& found = source.snapshot.catchments[catchment.value()];
    suggestion.catchment = found.code.empty() ? found.name : found.code;
    suggestion.catchment_km2 = source.nesting.area_m2[catchment.value()] / 1e6;
  }
  add_codes(suggestions, source.snapshot.sites);
  add_cautions(suggestions, source);
  if (std::string words = unrecorded_ground(source.snapshot); !words.empty())
    suggestions.notes.push_back(std::move(words));
}

std::string around_words(const Suggestion& suggestion) {
  const auto distance = [](double m) {
    return m < 1000 ? format_fixed(m, 0) + " m" : format_fixed(m / 1000, 1) + " km";
  };
  std::vector<std::string> words;
  const auto add = [&](const std::optional<NearPlace>& place, const char* where) {
    if (place)
      words.push_back(place->code + (place->status.empty() ? "" : " (" + place->status + ")") + " " +
                      distance(place->distance_m) + where);
  };
  add(suggestion.outfall_above, " above");
  add(suggestion.outfall_below, " below");
  add(suggestion.site_above, " above");
  add(suggestion.site_below, " below");
  if (!suggestion.site_above && !suggestion.site_below)
    add(suggestion.nearest_site, " away in a straight line");
  if (suggestion.upstream_m) words.push_back(distance(*suggestion.upstream_m) + " of channel upstream");
  if (!suggestion.catchment.empty())
    words.push_back(
        "in " + suggestion.catchment +
        (suggestion.catchment_km2 ? " (" + format_fixed(*suggestion.catchment_km2, 1) + " km\u00b2)" : ""));
  return joined(words, ", ");
}

Suggestion moved_to(const Suggestion& suggestion, LonLat place, const DesignSource& source,
                    const KeepOutOptions& keep_out, const ClearOptions& clear) {
  Suggestions one;
  Suggestion& moved = one.list.emplace_back();
  moved.purpose = suggestion.purpose;
  moved.reason = suggestion.reason;
  // What was to be minded at the place before says nothing of this one.
  if (!suggestion.caution.empty() && moved.reason.ends_with("; " + suggestion.caution))
    moved.reason.resize(moved.reason.size() - suggestion.caution.size() - 2);
  moved.spot.position = place;
  if (const auto point = source.network.snap(place)) {
    moved.spot.position = point->position;
    moved.spot.edge = point->edge;
    moved.spot.along_m = point->along_m;
  }
  const LocalFrame frame(source.snapshot.centre().value_or(place));
  moved.spot.plane = frame.to_plane(moved.spot.position);
  add_facts(one, source);
  moved.code = suggestion.code;
  append_note(moved.note, "moved by hand over " +
                              format_fixed(geodesic_m(suggestion.spot.position, moved.spot.position), 0) +
                              " m, the reason was that of the place before");
  if (suggestion.chance) append_note(moved.note, "its chance of being chosen no longer holds");
  Barrier barrier = KeepOut(source.snapshot, keep_out, frame).at(moved.spot.position, moved.spot.plane);
  if (barrier == Barrier::kNone && keeps_clear(moved.purpose) && moved.spot.edge != Spot::kOffChannel)
    barrier =
        Clearance(source.snapshot, source.network, source.day, clear).at(moved.spot.edge, moved.spot.along_m);
  if (barrier != Barrier::kNone) append_note(moved.note, std::string("take care: ") + barrier_words(barrier));
  return moved;
}

Site proposed_site(const Suggestion& suggestion) {
  Site site;
  site.code = suggestion.code;
  site.water = suggestion.place;
  site.kind = suggestion.kind;
  site.status = SiteStatus::kProposed;
  site.position = suggestion.spot.position;
  site.note = std::string("Suggested for ") + purpose_name(suggestion.purpose) + ": " + suggestion.reason +
              ". " + (suggestion.reminder.empty() ? kSpotReminder : suggestion.reminder);
  site.raw = {format_fixed(site.position.lon, 7), format_fixed(site.position.lat, 7), "EPSG:4326",
              "a suggestion, not surveyed on the ground"};
  return site;
}

EditBatch proposal_batch(std::span<const Suggestion> suggestions) {
  if (suggestions.empty()) throw Error(ErrorCode::kBadUse, "there is no suggestion to store");
  EditBatch batch;
  batch.kind = "suggest sites";
  batch.summary = std::to_string(suggestions.size()) + (suggestions.size() == 1 ? " site" : " sites") +
                  " proposed for " + purpose_name(suggestions.front().purpose);
  for (const Suggestion& suggestion : suggestions) batch.edits.push_back(AddSite{proposed_site(suggestion)});
  return batch;
}

Ground refused_ground(const Suggestion& suggestion, std::string_view why) {
  if (trim(why).empty())
    throw Error(ErrorCode::kBadUse, "say why the spot is refused, so that nobody asks again");
  Ground ground;
  ground.kind = GroundKind::kRefused;
  ground.name = std::string("suggestion for ") + purpose_name(suggestion.purpose);
  ground.note = trim(why);
  ground.shape = suggestion.spot.position;
  return ground;
}

}  // namespace brookmark::core

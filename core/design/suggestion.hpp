// Why: a spot alone persuades nobody: a suggestion says why there, what lies around it along the channel, what it stands for,
// and what to ask before going. Map, tables, exports and the survey's own proposed sites all read this one answer.
// Use: Suggestions s = suggest_spread(ground, {.count = 10, .seed = 7});  for (const Suggestion& one : s.list) one.reason
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/design/spots.hpp"
#include "core/store/edit.hpp"

namespace brookmark::core {

enum class Purpose : std::uint8_t { kSpread, kGap, kBracket, kNarrow, kVariety };
const char* purpose_name(Purpose purpose);  // "spread" ...
std::optional<Purpose> parse_purpose(std::string_view word);

// Another place as seen from a suggestion, along the channel.
struct NearPlace {
  std::string code;  // of the outfall or site
  double distance_m = 0;
  std::string status = {};  // of a site that is not simply there: "retired", "proposed"; else empty
};

struct Suggestion {
  Purpose purpose = Purpose::kSpread;
  Spot spot;
  std::string reason;            // a sentence without its full stop
  std::string stratum;           // of a spread with strata
  std::optional<double> chance;  // spread: of being chosen, 0..1
  std::optional<double> weight;  // spread: 1 / chance
  std::optional<double>
      stands_for;     // spread: metres of channel, or waters, of all that spots and sites share
  std::string code;   // proposed for the site: not yet used in the survey
  std::string place;  // what it lies on: "Mill Brook", "reach 12"
  WaterKind kind =
      WaterKind::kUnknown;  // of a water; of a named channel that of the sites on it, where they agree

  // Along the flow; outfalls in use on the day only. Empty: none that way, or on no channel.
  std::optional<NearPlace> outfall_above, outfall_below, site_above, site_below;
  std::optional<NearPlace> sewage_above;  // the nearest outfall of treated or storm sewage
  std::optional<NearPlace> nearest_site;  // in a straight line
  std::optional<double> upstream_m;       // of channel that drains to it
  std::optional<int> stream_order;
  std::string catchment;  // the smallest that holds it; empty outside all
  std::optional<double> catchment_km2;
  std::string note;  // what is missing, and why
  std::string
      caution;  // risks known of its water or above it, and what to do; it is also in the reason. Empty: none is known
  std::string reminder;  // for who goes there: kSpotReminder, the caution, sewage above
};

struct Suggestions {
  std::vector<Suggestion> list;
  std::vector<std::string> notes;  // sentences on the whole: what did not fit, what was left out
  std::size_t spots = 0;           // that could have been chosen
  BarrierCounts left_out;
  // Only of a narrowing: visits that may still be needed, at worst, after those suggested; and suspects in words.
  std::optional<std::size_t> visits_left;
};

// Whether a purpose keeps clear of outfalls and confluences: gap, bracket and narrow do.
bool keeps_clear(Purpose purpose);

// A proposed site at which nobody has sampled yet is a plan and not a site that is there.
bool is_only_proposed(const Snapshot& snapshot, SiteIndex site);

// What every purpose reads. All of it outlives the call.
struct DesignSource {
  const Snapshot& snapshot;
  const ChannelNetwork& network;
  const CatchmentNesting& nesting;
  Date day;  // outfalls in use on it count
};

// What all purposes are asked with.
struct DesignOptions {
  std::size_t count = 10;
  std::uint64_t seed = 1;
  SpotArea area = {};
  SpotOptions spots = {};
  KeepOutOptions keep_out = {};
};

// The kind of the water on which a spot lies; of a named channel what the sites on water of that name say, where all that say
// anything agree.
WaterKind kind_at(const Spot& spot, const DesignSource& source);

// What people are told beside every suggestion.
inline constexpr const char* kSpotReminder =
    "Ask the landowner before you go. Look at bank, depth and flow first and stay out where in doubt; tell "
    "someone where you are.";

// After words on an outfall that lets in sewage.
inline constexpr const char* kSewageWords =
    ": keep out after rain. Weil's disease and other infections: cover cuts and wash hands.";

// Fills the place, the distances, the length upstream, the catchment, the code, the caution and the reminder of each, and notes which kinds of ground nobody
// recorded, so that nothing could be left out for them.
void add_facts(Suggestions& suggestions, const DesignSource& source);

// "OUT-2 117 m above, Q04 220 m below, 8.2 km of channel upstream, in C4 (12.3 km2)": what lies around it, for people.
std::string around_words(const Suggestion& suggestion);

// The same suggestion moved by hand: to the channel where one lies within its snapping distance, else as it is. Its code stays, its
// chance goes, for nobody draws by hand; the note says how far it was moved and what stands in the way there, the nearness of outfalls
// and confluences included for the purposes that keep clear of them.
Suggestion moved_to(const Suggestion& suggestion, LonLat place, const DesignSource& source,
                    const KeepOutOptions& keep_out, const ClearOptions& clear = {});

// As a site of status proposed, with its reason and the reminder as note.
Site proposed_site(const Suggestion& suggestion);
// All of them as proposed sites, to be stored as one edit. Throws Error(kBadUse) for none.
EditBatch proposal_batch(std::span<const Suggestion> suggestions);
// Somebody looked and it cannot be: ground of kind refused at the spot, with the reason as note, which keeps later suggestions away
// (KeepOutOptions::around_m). Throws Error(kBadUse) for an empty reason.
Ground refused_ground(const Suggestion& suggestion, std::string_view why);

}  // namespace brookmark::core

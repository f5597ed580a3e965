// Why: real river layers are dirty. Takes lines as drawn and gives lines that make a network, with a finding
// for everything that was done or only seen: where, what, why, over what distance. Nothing is moved farther
// than the stated tolerance, points that were drawn stay where they are, and a mended network mended again
// stays as it is.
// Use: MendResult m = mend_lines(lines, {}, {.tolerance_m = 5});  m.reaches  m.findings
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/network/channel_findings.hpp"
#include "core/network/channel_review.hpp"

namespace brookmark::core {

// Which way the water runs.
enum class FlowFrom : std::uint8_t {
  kDigitised,  // as drawn
  // Towards the outlet for which the fewest metres of these joined channels would be turned, where it is a
  // clear one (kClearMajority); lines that lead away from it are turned. Where it is not clear nothing between the
  // outlets is turned, and the two likeliest are told with what each would cost. Arms of braids stay as drawn
  // unless water would run in a circle or could not get out, and all outlets that may be lie on one side of them.
  // A two-way canal may be the outlet, and counts for none.
  kMajority,
  // Down the ground, where the heights and the network agree. The outlet of joined channels is their lowest dead
  // end; the network tells which way leads to it. A line is turned where it leads away from the outlet and
  // climbs by more than least_climb_m, from its first point to its last; or where it leads away, is level
  // within least_climb_m, what comes down to it has no other way out, and on the way to the outlet nothing
  // climbs. Where other dead ends are as low as the outlet within least_climb_m nothing between them is turned. A
  // line that only its heights or only the network would have turned is told and stays as drawn.
  kHeights,
};

// The next best outlet must need at least so many times the metres turned. Common practice, no source.
inline constexpr double kClearMajority = 1.5;

// Metres above any one level; nothing where it is not known. Best those of a terrain whose depressions are filled.
using HeightAt = std::function<std::optional<double>(LonLat)>;

struct MendOptions {
  // Ends this near to each other, or to a line, are led on to meet; nothing is moved farther.
  double tolerance_m = 5;
  double stub_m = kStubM;  // a dead end shorter than this is told
  bool remove_stubs = false;
  // Crossings without a node become one: none unless told, all of them, or those within the tolerance of
  // these places, each of which must have one.
  bool join_crossings = false;
  std::vector<LonLat> crossings = {};
  ReachLabel label = {};  // how sentences call one of `lines`; empty: "reach 3 (Mill Brook)", from 1
  FlowFrom flow_from = FlowFrom::kDigitised;
  HeightAt height_at = {};  // needed for kHeights
  // For kHeights: a difference up to this may be noise of the terrain model. Common practice, no source.
  double least_climb_m = 1;
};

struct MendResult {
  // What is to be stored: lines without length, drawn again or removed are missing; of a line that was cut
  // the parts follow each other, the later ones without a key.
  std::vector<Reach> reaches;
  std::vector<std::string> notes;  // per reach: what was done to it, a sentence each; else empty
  // First what mending does (with a remedy and done), then what the result still betrays. `reach` is an index
  // into `lines`.
  ChannelFindings findings;
  std::size_t done_count() const;
};

// `stored` are lines that are there already: `lines` are mended towards them and drawn again if they repeat
// them, but they themselves are never changed. Throws Error(kBadUse) for a tolerance, stub length or climb
// that is negative or not a number, for kHeights without heights, and for a place in `crossings` where nothing
// crosses.
MendResult mend_lines(std::span<const Reach> lines, std::span<const Reach> stored,
                      const MendOptions& options = {});

}  // namespace brookmark::core

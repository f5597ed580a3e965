// Why: a spot is no use where nobody may stand, where it is not safe, where a road disturbs the water, or that cannot be reached.
// Use: KeepOut keep_out(snapshot, {}, frame);  keep_out.at(position, frame.to_plane(position)) == Barrier::kNone
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

// Why a spot is left out; of several the first that holds.
enum class Barrier : std::uint8_t {
  kNone,
  kOutside,
  kRefused,
  kPrivate,
  kUnsafe,
  kBridge,
  kRoad,
  kNoAccess,
  kUnmixed,  // the last three: clearance.hpp
  kOutfall,
  kConfluence
};
inline constexpr std::size_t kBarriers = 11;
const char* barrier_words(Barrier barrier);  // "on private ground", "too near a road"

struct KeepOutOptions {
  // Spots nearer than this to a road or bridge are left out: 100 m in rapid bioassessment (EPA 841-B-99-002 sec. 7.2, as the
  // summary of NEMI method 12655 has it: "distance from road, bridge, major tributary").
  double road_m = 100;
  // Around a private, unsafe or refused place that was noted as a point or a line. Common practice, no source.
  double around_m = 50;
  // Spots farther than this, straight, from every place of access are left out; empty: not asked.
  std::optional<double> walk_m = {};
};

// How many spots each barrier left out.
struct BarrierCounts {
  std::array<std::size_t, kBarriers> count{};
  std::size_t total() const;
  std::string words() const;  // "12 on private ground, 3 too near a road"; empty for none
};

// "nothing is recorded about private ground, unsafe stretches and access, so nothing is left out for it"; empty where each of
// these, and roads or bridges, is recorded at least once.
std::string unrecorded_ground(const Snapshot& snapshot);

class KeepOut {
 public:
  // `snapshot` and `frame` outlive this. Throws Error(kBadUse) for a distance that is negative or not a number, and for a walk
  // where the survey knows no place of access.
  KeepOut(const Snapshot& snapshot, const KeepOutOptions& options, const LocalFrame& frame);
  ~KeepOut();
  KeepOut(const KeepOut&) = delete;
  KeepOut& operator=(const KeepOut&) = delete;

  // `plane` is `position` in the frame. Never kOutside: that is for whoever asks within an area.
  Barrier at(LonLat position, PlanePoint plane) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::core

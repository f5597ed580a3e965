// Why: what each place looks like on the map, four bytes a place, so that another day or method rewrites one
// small buffer. The same marks stand in the key, so that the map explains itself.
// Use: std::vector<Mark> marks = site_marks(*assessment, snapshot, day);
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "core/scoring/assessment.hpp"
#include "viewer/map/inks.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

enum class MarkShape : std::uint8_t {
  kDisc,
  kRing,
  kSquare,
  kTriangleDown,
  kDiamond,
  kTriangleUp,
  kCross,
  kHexagon,
  // Disc and ring of a site on a pond, pool or lake: near enough, they let its water be seen.
  kStillDisc,
  kStillRing,
  kHidden = 255
};
inline constexpr bool is_ring(MarkShape shape) {
  return shape == MarkShape::kRing || shape == MarkShape::kStillRing;
}

// Signs written inside a mark; 0..9 are the digits themselves.
enum class Sign : std::uint8_t { kDash = 10, kTimes = 11, kQuestion = 12, kNone = 255 };
inline constexpr std::size_t kSignCount = 13;
// Each channel of the outline of a mark, of its body's; of a faded one still dark enough to be seen on ground that is
// filled with its own colour.
inline constexpr float kOutline = 0.42F, kFadedOutline = 0.36F;
inline constexpr float kSignHeight = 1.5F;  // of the signs' font in a small mark, in radii of the mark

struct Mark {
  MarkShape shape = MarkShape::kRing;
  std::uint8_t colour = 0;  // index into MarkColours
  std::uint8_t first = static_cast<std::uint8_t>(Sign::kNone);
  std::uint8_t second = static_cast<std::uint8_t>(Sign::kNone);
  bool operator==(const Mark&) const = default;
};
static_assert(sizeof(Mark) == 4);

// Index 0..3 are fixed, the classes follow from 4, best first.
inline constexpr std::size_t kMarkColourCount = 20;
inline constexpr std::uint8_t kColourUnclassed = 0, kColourValue = 1, kColourOutfall = 2, kColourLit = 3,
                              kColourFirstClass = 4;
inline constexpr std::size_t kMostClasses = kMarkColourCount - kColourFirstClass;
// Added to a colour's index: the same, faded.
inline constexpr std::uint8_t kFaded = kMarkColourCount;
struct MarkColours {
  std::array<Colour, std::size_t{2} * kMarkColourCount> fill, ink;
};
MarkColours mark_colours(std::size_t classes, const Inks& ink = inks(Look::kDay),
                         ClassColours choice = ClassColours::kDirective);

// What is known of a site: what its mark says, and what the key counts.
enum class Standing : std::uint8_t {
  kClass,         // a class in the method's scope
  kValue,         // a value in scope, under a metric that has no classes
  kOutsideScope,  // a value, but the method was not made for it: no class is painted
  kNoValue,       // sampled, but the method gives no value or no class
  kNotSampled,    // not sampled by this day
};
Standing standing_of(const core::SiteAssessment& site, const core::Metric& metric);
Mark site_mark(const core::SiteAssessment& site, const core::Metric& metric);
// What the mark says may no longer hold on the day: the site is retired, or its sample is more than two years
// older. A retired site still counts as alive on days up to its last sample.
class Ageing {
 public:
  Ageing(const core::Snapshot& snapshot, std::optional<core::Date> day);
  bool retired(std::size_t site) const;
  bool old_sample(const core::SiteAssessment& site) const;
  bool is_faded(std::size_t site, const core::SiteAssessment& known) const {
    return retired(site) || old_sample(known);
  }

 private:
  const core::Snapshot& snapshot_;
  std::optional<core::Date> day_, oldest_;
  core::Date survey_end_;
};

std::vector<Mark> site_marks(const core::Assessment& assessment, const core::Snapshot& snapshot,
                             std::optional<core::Date> day);

// How many sites stand how: for the key, counted once a day shown and not once a frame.
struct SiteTally {
  std::array<std::size_t, 5> standing{};    // by Standing
  std::array<std::size_t, 256> of_class{};  // by rank
  std::size_t faded = 0;
  std::size_t of(Standing s) const { return standing[static_cast<std::size_t>(s)]; }
};
SiteTally tally_sites(const core::Assessment& assessment, const core::Snapshot& snapshot,
                      std::optional<core::Date> day);

// Outfalls come into use and are closed; without a day nothing is known of it, and all are shown as in use.
enum class OutfallUse : std::uint8_t { kInUse, kNotYet, kClosed };
OutfallUse outfall_use(const core::Outfall& outfall, std::optional<core::Date> day);

MarkShape outfall_shape(core::OutfallKind kind);
Mark outfall_mark(const core::Outfall& outfall, std::optional<core::Date> day, bool lit);
std::vector<Mark> outfall_marks(const core::Snapshot& snapshot, const Query& query,
                                std::optional<core::Date> day);

}  // namespace brookmark::viewer

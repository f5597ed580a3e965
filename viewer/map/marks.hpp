// Why: what each place looks like on the map, four bytes a place, so that another day or method rewrites one
// small buffer. The same marks stand in the key, so that the map explains itself. Use: std::vector<Mark>
// marks = site_marks(*assessment, snapshot);
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/scoring/assessment.hpp"
#include "viewer/map/palette.hpp"
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
  kHidden = 255
};

// Signs written inside a mark; 0..9 are the digits themselves.
enum class Sign : std::uint8_t { kDash = 10, kTimes = 11, kQuestion = 12, kNone = 255 };
inline constexpr std::size_t kSignCount = 13;

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
struct MarkColours {
  std::array<Colour, kMarkColourCount> fill, ink;
};
MarkColours mark_colours(std::size_t classes);

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
std::vector<Mark> site_marks(const core::Assessment& assessment);

MarkShape outfall_shape(core::OutfallKind kind);
std::vector<Mark> outfall_marks(const core::Snapshot& snapshot, const Query& query);

}  // namespace brookmark::viewer

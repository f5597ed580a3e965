#include "viewer/map/marks.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr auto kNoSign = static_cast<std::uint8_t>(Sign::kNone);

// A whole number of 0 to 99 as one or two digits; nothing else fits into a mark.
void write_number(Mark& mark, double value) {
  if (!(value >= 0 && value <= 99) || value != std::floor(value)) return;
  const auto n = static_cast<std::uint8_t>(value);
  mark.first = n < 10 ? n : static_cast<std::uint8_t>(n / 10);
  mark.second = n < 10 ? kNoSign : static_cast<std::uint8_t>(n % 10);
}

}  // namespace

MarkColours mark_colours(std::size_t classes) {
  MarkColours colours;
  colours.fill.fill(ink::kPaper);
  colours.fill[kColourUnclassed] = ink::kUnclassed;
  colours.fill[kColourValue] = ink::kValueOnly;
  colours.fill[kColourOutfall] = ink::kOutfall;
  colours.fill[kColourLit] = ink::kQuery;
  const auto found = class_colours(std::min(classes, kMostClasses));
  std::copy(found.begin(), found.end(), colours.fill.begin() + kColourFirstClass);
  for (std::size_t i = 0; i < kMarkColourCount; ++i) colours.ink[i] = ink_on(colours.fill[i]);
  colours.ink[kColourUnclassed] = ink::kUnclassed;  // hollow: the sign stands on paper
  return colours;
}

Standing standing_of(const core::SiteAssessment& site, const core::Metric& metric) {
  if (!site.sample.has_value())
    return site.newest_sample.has_value() ? Standing::kNoValue : Standing::kNotSampled;
  if (!site.in_scope) return Standing::kOutsideScope;
  if (metric.bands.empty()) return Standing::kValue;
  return site.class_rank > 0 ? Standing::kClass : Standing::kNoValue;
}

Mark site_mark(const core::SiteAssessment& site, const core::Metric& metric) {
  switch (standing_of(site, metric)) {
    case Standing::kClass: {
      const auto step = std::min<std::size_t>(site.class_rank, kMostClasses) - 1;
      Mark mark{MarkShape::kDisc, static_cast<std::uint8_t>(kColourFirstClass + step), kNoSign, kNoSign};
      write_number(mark, site.class_rank);
      return mark;
    }
    case Standing::kValue: {
      Mark mark{MarkShape::kDisc, kColourValue, kNoSign, kNoSign};
      write_number(mark, site.value);
      return mark;
    }
    case Standing::kOutsideScope:
      return {MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(Sign::kDash), kNoSign};
    case Standing::kNoValue:
      return {MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(Sign::kTimes), kNoSign};
    case Standing::kNotSampled:
      break;
  }
  return {MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(Sign::kQuestion), kNoSign};
}

std::vector<Mark> site_marks(const core::Assessment& assessment) {
  std::vector<Mark> marks;
  marks.reserve(assessment.sites.size());
  const core::Metric& metric = assessment.metric_info();
  for (const core::SiteAssessment& site : assessment.sites) marks.push_back(site_mark(site, metric));
  return marks;
}

MarkShape outfall_shape(core::OutfallKind kind) {
  switch (kind) {
    case core::OutfallKind::kTreatedSewage:
      return MarkShape::kSquare;
    case core::OutfallKind::kStormSewage:
      return MarkShape::kTriangleDown;
    case core::OutfallKind::kRoadDrain:
      return MarkShape::kDiamond;
    case core::OutfallKind::kFieldDrain:
      return MarkShape::kTriangleUp;
    case core::OutfallKind::kTrade:
      return MarkShape::kCross;
    case core::OutfallKind::kUnknown:
      break;
  }
  return MarkShape::kHexagon;
}

std::vector<Mark> outfall_marks(const core::Snapshot& snapshot, const Query& query) {
  std::vector<Mark> marks;
  marks.reserve(snapshot.outfalls.size());
  for (const core::Outfall& o : snapshot.outfalls)
    marks.push_back({outfall_shape(o.kind), kColourOutfall, kNoSign, kNoSign});
  for (const core::ChannelDistance& d : query.distances)
    if (d.distance_m) marks[d.target].colour = kColourLit;
  return marks;
}

}  // namespace brookmark::viewer

#include "viewer/map/marks.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr auto kNoSign = static_cast<std::uint8_t>(Sign::kNone);
constexpr int kOldYears = 2;  // a class that rests on an older sample is not shown as current

// A value from 10 on is written as a whole number, rounded; a smaller one only where it is whole.
double in_two_figures(double value) {
  return value >= 10 ? std::round(value) : value;
}

// A whole number of 0 to 99 as one or two digits; nothing else fits into a mark.
void write_number(Mark& mark, double value) {
  if (!(value >= 0 && value <= 99) || value != std::floor(value)) return;
  const auto n = static_cast<std::uint8_t>(value);
  mark.first = n < 10 ? n : static_cast<std::uint8_t>(n / 10);
  mark.second = n < 10 ? kNoSign : static_cast<std::uint8_t>(n % 10);
}

}  // namespace

MarkColours mark_colours(std::size_t classes, const Inks& ink, ClassColours choice) {
  MarkColours colours;
  colours.fill.fill(ink.paper);
  colours.fill[kColourUnclassed] = ink.unclassed;
  colours.fill[kColourValue] = ink.value_only;
  colours.fill[kColourOutfall] = ink.outfall;
  colours.fill[kColourLit] = ink.query;
  const auto found = class_colours(std::min(classes, kMostClasses), choice);
  std::copy(found.begin(), found.end(), colours.fill.begin() + kColourFirstClass);
  for (std::size_t i = 0; i < kMarkColourCount; ++i) {
    colours.ink[i] = ink_on(colours.fill[i]);
    colours.fill[i + kFaded] = faded(colours.fill[i], ink.paper);
    colours.ink[i + kFaded] = ink_on(colours.fill[i + kFaded]);
  }
  // Hollow: the sign stands on the ground of marks, and a faded outline must still be seen on it.
  colours.ink[kColourUnclassed] = ink.unclassed;
  colours.ink[kColourUnclassed + kFaded] = ink.unclassed;
  colours.fill[kColourUnclassed + kFaded] = between(ink.unclassed, ink.mark_ground, 0.45);
  return colours;
}

Standing standing_of(const core::SiteAssessment& site, const core::Metric& metric) {
  if (!site.sample.has_value())
    return site.newest_sample.has_value() ? Standing::kNoValue : Standing::kNotSampled;
  if (!site.has_value) return Standing::kNoValue;
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
      write_number(mark, in_two_figures(site.value));
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

Ageing::Ageing(const core::Snapshot& snapshot, std::optional<core::Date> day)
    : snapshot_(snapshot), day_(day) {
  if (!day) return;
  core::YearMonthDay from = core::year_month_day(*day);
  from.year -= kOldYears;
  if (from.month == 2 && from.day == 29) from = {from.year, 3, 1};  // there is none that year
  if (const auto span = snapshot.date_span()) survey_end_ = span->second;
  if (from.year >= 1600) oldest_ = core::make_date(from);
}

bool Ageing::retired(std::size_t site) const {
  if (snapshot_.sites.status[site] != core::SiteStatus::kRetired) return false;
  const auto [first, last] = snapshot_.samples_of(core::SiteIndex(site));
  if (!day_ || first == last) return true;
  return *day_ > snapshot_.samples.date[last.value() - 1] || *day_ >= survey_end_;
}

bool Ageing::old_sample(const core::SiteAssessment& site) const {
  const core::SampleIndex sample = site.sample.has_value() ? site.sample : site.newest_sample;
  return oldest_ && sample.has_value() && snapshot_.samples.date[sample.value()] < *oldest_;
}

std::vector<Mark> site_marks(const core::Assessment& assessment, const core::Snapshot& snapshot,
                             std::optional<core::Date> day) {
  std::vector<Mark> marks;
  marks.reserve(assessment.sites.size());
  const core::Metric& metric = assessment.metric_info();
  const Ageing ageing(snapshot, day);
  for (std::size_t i = 0; i < assessment.sites.size(); ++i) {
    Mark mark = site_mark(assessment.sites[i], metric);
    if (core::flow_of(snapshot.sites.kind[i]) == core::Flow::kStill)
      mark.shape = is_ring(mark.shape) ? MarkShape::kStillRing : MarkShape::kStillDisc;
    if (ageing.is_faded(i, assessment.sites[i]))
      mark.colour = static_cast<std::uint8_t>(mark.colour + kFaded);
    marks.push_back(mark);
  }
  return marks;
}

SiteTally tally_sites(const core::Assessment& assessment, const core::Snapshot& snapshot,
                      std::optional<core::Date> day) {
  SiteTally tally;
  const core::Metric& metric = assessment.metric_info();
  const Ageing ageing(snapshot, day);
  for (std::size_t i = 0; i < assessment.sites.size(); ++i) {
    const core::SiteAssessment& site = assessment.sites[i];
    const Standing standing = standing_of(site, metric);
    ++tally.standing[static_cast<std::size_t>(standing)];
    if (standing == Standing::kClass) ++tally.of_class[static_cast<std::uint8_t>(site.class_rank)];
    if (ageing.is_faded(i, site)) ++tally.faded;
  }
  return tally;
}

OutfallUse outfall_use(const core::Outfall& outfall, std::optional<core::Date> day) {
  if (day && outfall.until && *day > *outfall.until) return OutfallUse::kClosed;
  if (day && outfall.since && *day < *outfall.since) return OutfallUse::kNotYet;
  return OutfallUse::kInUse;
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

Mark outfall_mark(const core::Outfall& outfall, std::optional<core::Date> day, bool lit) {
  std::uint8_t colour = lit ? kColourLit : kColourOutfall;
  if (outfall_use(outfall, day) != OutfallUse::kInUse) colour = static_cast<std::uint8_t>(colour + kFaded);
  return {outfall_shape(outfall.kind), colour, kNoSign, kNoSign};
}

std::vector<Mark> outfall_marks(const core::Snapshot& snapshot, const Query& query,
                                std::optional<core::Date> day) {
  std::vector<bool> lit(snapshot.outfalls.size(), false);
  for (const core::ChannelDistance& d : query.distances)
    if (d.distance_m) lit[d.target] = true;
  std::vector<Mark> marks;
  marks.reserve(snapshot.outfalls.size());
  for (std::size_t i = 0; i < snapshot.outfalls.size(); ++i)
    marks.push_back(outfall_mark(snapshot.outfalls[i], day, lit[i]));
  return marks;
}

}  // namespace brookmark::viewer

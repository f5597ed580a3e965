// What the signs of a map mean.
#include <set>

#include "viewer/report/map_picture_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr Colour kWhite{255, 255, 255};

const Inks& ink() {
  return inks(Look::kDay);
}

}  // namespace

// What is on the map, each sign once.
std::vector<KeyEntry> map_key(const MapPicture& p, const MapWish& wish) {
  const core::Metric& metric = wish.handed.assessment.metric_info();
  const MarkColours colours = mark_colours(p.classes);
  std::vector<KeyEntry> key;
  std::set<std::uint8_t> ranks, signs;
  bool faded = false, value = false, blurred = false;
  for (const MapPicture::Site& s : p.sites) {
    faded = faded || s.mark.colour >= kFaded;
    blurred = blurred || s.blur_radius > 0;
    const std::uint8_t colour = s.mark.colour % kFaded;
    if (is_ring(s.mark.shape))
      signs.insert(s.mark.first);
    else if (colour >= kColourFirstClass)
      ranks.insert(static_cast<std::uint8_t>(colour - kColourFirstClass + 1));
    else
      value = true;
  }
  for (const core::ClassBand& band : metric.bands) {  // all, so that a missing class is seen to be missing
    Mark mark{MarkShape::kDisc, static_cast<std::uint8_t>(kColourFirstClass + band.rank - 1),
              static_cast<std::uint8_t>(band.rank)};
    if (static_cast<std::size_t>(band.rank) <= kMostClasses && band.rank <= 9)
      key.push_back(mark_key(mark, colours, band.name));
  }
  if (value)
    key.push_back(mark_key({MarkShape::kDisc, kColourValue}, colours,
                           "the value, where it has up to two figures (from 10 on rounded to a whole "
                           "number); this metric has no "
                           "classes"));
  const auto ring = [&](Sign sign, const char* words) {
    if (signs.contains(static_cast<std::uint8_t>(sign)))
      key.push_back(
          mark_key({MarkShape::kRing, kColourUnclassed, static_cast<std::uint8_t>(sign)}, colours, words));
  };
  ring(Sign::kDash, "outside the method's scope");
  ring(Sign::kTimes, "no value or class");
  ring(Sign::kQuestion,
       wish.handed.shared.rules().narrowed() ? "no sample of the days and seasons asked for" : "not sampled");
  if (faded)
    key.push_back(
        mark_key({MarkShape::kDisc,
                  static_cast<std::uint8_t>((p.classes > 0 ? kColourFirstClass : kColourValue) + kFaded)},
                 colours, "pale: given up, or no sample for two years"));
  if (blurred)
    key.push_back({15, 15,
                   [](Canvas& c) {
                     c.ring({7.5, 7.5}, 6, {ink().unclassed, 0.9, {2, 2}});
                   },
                   "somewhere within this circle"});
  const Colour line = colours.fill[p.classes > 1    ? kColourFirstClass + 1
                                   : p.classes == 1 ? kColourFirstClass
                                                    : kColourValue];
  const Pen none{kWhite, 0}, white{kWhite, 2.6};
  std::set<core::ReachKnowledge> known;
  for (const MapPicture::Stretch& s : p.stretches) known.insert(s.knowledge);
  if (known.contains(core::ReachKnowledge::kMeasured))
    key.push_back(line_key(none, {line, 3},
                           p.classes > 0 ? "class measured at a site nearby" : "a site nearby was sampled"));
  if (known.contains(core::ReachKnowledge::kInferred))
    key.push_back(line_key(white, {line, 2.6, {4, 2.4}}, "class inferred between two sites that agree"));
  if (known.contains(core::ReachKnowledge::kUnknown))
    key.push_back(line_key(none, {ink().unknown_reach, 1}, "not known"));
  if (!p.falls.empty())
    key.push_back(line_key({ink().drop, 7.4}, {kWhite, 5.4}, "↓1, ↓2 … where the index falls most"));
  std::set<MarkShape> shapes;
  bool closed = false;
  for (const MapPicture::Outfall& o : p.outfalls) {
    shapes.insert(o.mark.shape);
    closed = closed || o.mark.colour >= kFaded;
  }
  for (const core::OutfallKind kind :
       {core::OutfallKind::kTreatedSewage, core::OutfallKind::kStormSewage, core::OutfallKind::kRoadDrain,
        core::OutfallKind::kFieldDrain, core::OutfallKind::kTrade, core::OutfallKind::kUnknown})
    if (shapes.contains(outfall_shape(kind)))
      key.push_back(
          {11, 11,
           [colours, kind](Canvas& c) {
             draw_mark(c, {5.5, 5.5}, 4, {outfall_shape(kind), kColourOutfall}, colours);
           },
           kind == core::OutfallKind::kUnknown ? "outfall of unknown kind" : core::outfall_kind_name(kind)});
  if (closed)
    key.push_back({11, 11,
                   [colours](Canvas& c) {
                     draw_mark(c, {5.5, 5.5}, 4,
                               {MarkShape::kSquare, static_cast<std::uint8_t>(kColourOutfall + kFaded)},
                               colours);
                   },
                   "pale: outfall not in use"});
  return key;
}

}  // namespace brookmark::viewer

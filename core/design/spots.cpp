#include "core/design/spots.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/catchment_outline_internal.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kLongStepM = 1000;

// Whether a place lies in the area asked for.
class InArea {
 public:
  InArea(const Snapshot& snapshot, const SpotArea& area) : area_(area) {
    if (area.catchment.has_value()) outline_.emplace(snapshot.catchments[area.catchment.value()].shape);
  }
  bool operator()(LonLat position) const {
    if (outline_) return outline_->holds(position);
    return !area_.centre || geodesic_m(*area_.centre, position) <= area_.radius_m;
  }

 private:
  const SpotArea& area_;
  std::optional<CatchmentOutline> outline_;
};

// Half way round the outer ring of the largest part: a shore is where one stands. Nothing for a water without a shape.
std::optional<LonLat> place_on_shore(const Water& water) {
  const Line* longest = nullptr;
  double longest_m = 0;
  for (const Polygon& polygon : water.shape) {
    if (polygon.rings.empty() || polygon.rings.front().size() < 2) continue;
    const double m = length_m(polygon.rings.front());
    if (m <= longest_m) continue;
    longest = &polygon.rings.front();
    longest_m = m;
  }
  if (longest == nullptr) return std::nullopt;
  double gone_m = 0;
  for (std::size_t i = 1; i < longest->size(); ++i) {
    const double step_m = geodesic_m((*longest)[i - 1], (*longest)[i]);
    if (step_m > 0 && gone_m + step_m >= longest_m / 2)
      return between((*longest)[i - 1], (*longest)[i], (longest_m / 2 - gone_m) / step_m);
    gone_m += step_m;
  }
  return longest->front();
}

bool is_same_name(std::string_view words, const Catchment& catchment) {
  return words == catchment.key || words == catchment.code ||
         (!catchment.name.empty() && to_lower_ascii(words) == to_lower_ascii(catchment.name));
}

struct Finder {
  const KeepOut& keep_out;
  const LocalFrame& frame;
  const InArea& in_area;
  SpotFrame& found;
  const Clearance* clear;
  std::size_t outside = 0;

  void offer(Spot spot) {
    ++found.looked_at;
    if (!in_area(spot.position)) {
      ++outside;
      return;
    }
    spot.plane = frame.to_plane(spot.position);
    Barrier barrier = keep_out.at(spot.position, spot.plane);
    if (barrier == Barrier::kNone && clear != nullptr && spot.edge != Spot::kOffChannel)
      barrier = clear->at(spot.edge, spot.along_m);
    if (barrier == Barrier::kNone)
      found.spots.push_back(spot);
    else
      ++found.left_out.count[static_cast<std::size_t>(barrier)];
  }
};

}  // namespace

LonLat place_on_edge(const ChannelNetwork& network, std::uint32_t edge, double along_m) {
  const Line& line = network.edges()[edge].line;
  const std::span<const double> at_m = network.along_m(edge);
  const auto after = std::upper_bound(at_m.begin(), at_m.end(), along_m);
  const auto last = at_m.size() - 1;
  const std::size_t i = std::clamp<std::size_t>(static_cast<std::size_t>(after - at_m.begin()), 1, last) - 1;
  const double step_m = at_m[i + 1] - at_m[i];
  const double share = step_m > 0 ? std::clamp((along_m - at_m[i]) / step_m, 0.0, 1.0) : 0;
  const LonLat a = line[i], b = line[i + 1];
  if (step_m > kLongStepM || std::abs(a.lon - b.lon) > 180) return between(a, b, share);
  return {a.lon + share * (b.lon - a.lon), a.lat + share * (b.lat - a.lat)};
}

SpotArea parse_area(std::string_view words, const Snapshot& snapshot) {
  SpotArea area;
  if (words.empty()) return area;
  area.words = words;
  for (std::size_t c = 0; c < snapshot.catchments.size(); ++c) {
    if (!is_same_name(words, snapshot.catchments[c])) continue;
    area.catchment = CatchmentIndex(c);
    area.words = "catchment " + std::string(words);
    return area;
  }
  const std::vector<std::string> parts = split(words, ',');
  if (parts.size() == 3) {
    const auto lon = parse_number(parts[0]), lat = parse_number(parts[1]), metres = parse_number(parts[2]);
    if (!lon || !lat || !metres || !is_valid({*lon, *lat}) || !(*metres > 0))
      throw Error(ErrorCode::kBadInput, "\"" + std::string(words) +
                                            "\" is not an area; write LON,LAT,METRES, like -30.01,45.02,500");
    area.centre = LonLat{*lon, *lat};
    area.radius_m = *metres;
    area.words = "the circle " + std::string(words);
    return area;
  }
  std::string known;
  for (const Catchment& catchment : snapshot.catchments)
    known += (known.empty() ? "" : ", ") + (catchment.code.empty() ? catchment.name : catchment.code);
  throw Error(ErrorCode::kNotFound, "there is no catchment \"" + std::string(words) + "\"; " +
                                        (known.empty() ? "the survey has none" : "there are " + known) +
                                        "; an area may also be a circle, LON,LAT,METRES");
}

SpotFrame find_spots(const Snapshot& snapshot, const ChannelNetwork& network, const SpotArea& area,
                     const SpotOptions& options, const KeepOut& keep_out, const LocalFrame& frame,
                     const Clearance* clear) {
  if (!std::isfinite(options.spacing_m) || options.spacing_m <= 0)
    throw Error(ErrorCode::kBadUse, "the spacing of spots must be a number of metres above 0");
  SpotFrame found;
  found.spacing_m = options.spacing_m;
  const InArea in_area(snapshot, area);
  Finder finder{keep_out, frame, in_area, found, clear};
  if (options.on != SpotOn::kWaters) {
    const auto edges = network.graph().edges();
    double total_m = 0;
    for (const GraphEdge& edge : edges) total_m += edge.length_m;
    const double room = static_cast<double>(options.most) - static_cast<double>(edges.size());
    if (room < total_m / found.spacing_m)
      found.spacing_m = room > 0 ? total_m / room : std::numeric_limits<double>::infinity();
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      const double length_m = edges[e].length_m;
      if (network.edges()[e].kind != EdgeKind::kChannel || length_m <= 0) continue;
      if (!options.edges.empty() && !std::binary_search(options.edges.begin(), options.edges.end(), e))
        continue;
      const auto spots = static_cast<std::size_t>(std::max(1.0, std::round(length_m / found.spacing_m)));
      const double each_m = length_m / static_cast<double>(spots);
      for (std::size_t i = 0; i < spots; ++i) {
        const double along_m = (static_cast<double>(i) + 0.5) * each_m;
        finder.offer({place_on_edge(network, e, along_m), {}, e, along_m, each_m, WaterIndex::none()});
      }
    }
  }
  if (options.on != SpotOn::kChannels)
    for (std::size_t w = 0; w < snapshot.waters.size(); ++w)
      if (const auto shore = place_on_shore(snapshot.waters[w]))
        finder.offer({*shore, {}, Spot::kOffChannel, 0, 0, WaterIndex(w)});
  if (!found.spots.empty()) return found;

  const char* what = options.on == SpotOn::kChannels ? "channel"
                     : options.on == SpotOn::kWaters ? "water with a shape"
                                                     : "channel and no water with a shape";
  if (found.left_out.total() == 0)
    throw Error(
        ErrorCode::kNotFound,
        "no " + std::string(what) + " lies in " + area.words +
            (found.looked_at == 0 ? "; bring them in with `brookmark import SURVEY watercourses FILE` (or "
                                    "waters)"
                                  : "; choose another area"));
  throw Error(ErrorCode::kNotFound, "every one of the " + std::to_string(found.left_out.total()) +
                                        " spots in " + area.words +
                                        " is left out: " + found.left_out.words() +
                                        "; ask for permission, shorten the distances or widen the area");
}

}  // namespace brookmark::core

#include "core/design/keep_out.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/catchment_outline_internal.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/box_index_internal.hpp"
#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {

Barrier barrier_of(GroundKind kind) {
  switch (kind) {
    case GroundKind::kPrivate:
      return Barrier::kPrivate;
    case GroundKind::kUnsafe:
      return Barrier::kUnsafe;
    case GroundKind::kRoad:
      return Barrier::kRoad;
    case GroundKind::kBridge:
      return Barrier::kBridge;
    case GroundKind::kRefused:
      return Barrier::kRefused;
    case GroundKind::kAccess:
      break;
  }
  return Barrier::kNone;
}

void check_distance(double metres, const char* what) {
  if (!std::isfinite(metres) || metres < 0)
    throw Error(ErrorCode::kBadUse, std::string(what) + " must be a number of metres, zero or more");
}

// A piece of a line, or a point where both ends are the same, and how far around it nobody is sent.
struct Strip {
  PlanePoint a, b;
  double within_m;
  Barrier barrier;  // kNone: a place of access

  double squared_m_to(PlanePoint p) const { return squared_m(p, between(a, b, nearest_share(a, b, p))); }
};

struct Area {
  CatchmentOutline outline;
  Barrier barrier;
};

}  // namespace

const char* barrier_words(Barrier barrier) {
  switch (barrier) {
    case Barrier::kOutside:
      return "outside the area";
    case Barrier::kRefused:
      return "refused before";
    case Barrier::kPrivate:
      return "on private ground";
    case Barrier::kUnsafe:
      return "where it is unsafe";
    case Barrier::kBridge:
      return "too near a bridge";
    case Barrier::kRoad:
      return "too near a road";
    case Barrier::kNoAccess:
      return "too far from every access";
    case Barrier::kUnmixed:
      return "too near below an outfall";
    case Barrier::kOutfall:
      return "too near above an outfall";
    case Barrier::kConfluence:
      return "too near a confluence or fork";
    case Barrier::kNone:
      break;
  }
  return "free";
}

std::size_t BarrierCounts::total() const {
  std::size_t sum = 0;
  for (std::size_t b = 1; b < count.size(); ++b) sum += count[b];
  return sum;
}

std::string BarrierCounts::words() const {
  std::string words;
  for (std::size_t b = 1; b < count.size(); ++b) {
    if (count[b] == 0) continue;
    words +=
        (words.empty() ? "" : ", ") + std::to_string(count[b]) + " " + barrier_words(static_cast<Barrier>(b));
  }
  return words;
}

std::string unrecorded_ground(const Snapshot& snapshot) {
  const auto is_there = [&](std::initializer_list<GroundKind> kinds) {
    return std::any_of(snapshot.grounds.begin(), snapshot.grounds.end(), [&](const Ground& ground) {
      return std::find(kinds.begin(), kinds.end(), ground.kind) != kinds.end();
    });
  };
  std::vector<std::string> missing;
  if (!is_there({GroundKind::kPrivate})) missing.emplace_back("private ground");
  if (!is_there({GroundKind::kUnsafe})) missing.emplace_back("unsafe stretches");
  if (!is_there({GroundKind::kRoad, GroundKind::kBridge})) missing.emplace_back("roads and bridges");
  if (!is_there({GroundKind::kAccess})) missing.emplace_back("places of access");
  if (missing.empty()) return {};
  const std::string last = missing.back();
  missing.pop_back();
  return "nothing is recorded about " + (missing.empty() ? last : joined(missing, ", ") + " or " + last) +
         ", so nothing is left out for it";
}

struct KeepOut::Impl {
  std::vector<Strip> strips, access;
  std::vector<Area> areas, open_areas;  // open: of access
  BoxIndex strip_index, access_index, area_index;
  std::optional<double> walk_m;

  void add(const Ground& ground, const KeepOutOptions& options, const LocalFrame& frame) {
    const Barrier barrier = barrier_of(ground.kind);
    const bool road = barrier == Barrier::kRoad || barrier == Barrier::kBridge;
    const double within_m = road ? options.road_m : options.around_m;
    const auto add_line = [&](const Line& line, double metres) {
      std::vector<PlanePoint> points;
      for (const LonLat p : line)
        if (is_valid(p)) points.push_back(frame.to_plane(p));
      for (std::size_t i = 1; i < points.size(); ++i)
        (barrier == Barrier::kNone ? access : strips).push_back({points[i - 1], points[i], metres, barrier});
      if (points.size() == 1)
        (barrier == Barrier::kNone ? access : strips).push_back({points[0], points[0], metres, barrier});
    };
    if (const auto* point = std::get_if<LonLat>(&ground.shape)) add_line({*point}, within_m);
    if (const auto* line = std::get_if<Line>(&ground.shape)) add_line(*line, within_m);
    if (const auto* shape = std::get_if<MultiPolygon>(&ground.shape)) {
      (barrier == Barrier::kNone ? open_areas : areas).push_back({CatchmentOutline(*shape), barrier});
      // The border of a field is where the field ends; that of a road or bridge is a line like its middle.
      if (road || barrier == Barrier::kNone)
        for (const Polygon& polygon : *shape)
          for (const Line& ring : polygon.rings) add_line(ring, within_m);
    }
  }

  bool can_be_reached(LonLat position, PlanePoint plane) const {
    for (const Area& area : open_areas)
      if (area.outline.holds(position)) return true;
    return access_index
        .nearest(plane, *walk_m * *walk_m, [&](std::uint32_t i) { return access[i].squared_m_to(plane); })
        .has_value();
  }
};

KeepOut::KeepOut(const Snapshot& snapshot, const KeepOutOptions& options, const LocalFrame& frame)
    : impl_(std::make_unique<Impl>()) {
  check_distance(options.road_m, "the distance from roads and bridges");
  check_distance(options.around_m, "the distance around places to keep out of");
  if (options.walk_m) check_distance(*options.walk_m, "the walk");
  impl_->walk_m = options.walk_m;
  for (const Ground& ground : snapshot.grounds) impl_->add(ground, options, frame);
  if (options.walk_m && impl_->access.empty() && impl_->open_areas.empty())
    throw Error(
        ErrorCode::kBadUse,
        "a walk is measured from places of access and the survey has none; bring them in with `brookmark "
        "import SURVEY ground FILE`, as ground of kind access");
  const auto boxes = [](const std::vector<Strip>& strips, double by_m) {
    std::vector<PlaneBox> found;
    for (const Strip& s : strips) {
      PlaneBox box = box_around(s.a, s.b);
      const double m = by_m * s.within_m;
      found.push_back({box.min_x - m, box.min_y - m, box.max_x + m, box.max_y + m});
    }
    return found;
  };
  impl_->strip_index = BoxIndex(boxes(impl_->strips, 1));
  impl_->access_index = BoxIndex(boxes(impl_->access, 0));
  std::vector<PlaneBox> areas;
  for (const Area& area : impl_->areas) {
    const BoundingBox box = area.outline.bounds().value_or(BoundingBox{});
    areas.push_back({box.min_lon, box.min_lat, box.max_lon, box.max_lat});
  }
  impl_->area_index = BoxIndex(areas);
}

KeepOut::~KeepOut() = default;

Barrier KeepOut::at(LonLat position, PlanePoint plane) const {
  Barrier found = Barrier::kNone;
  const auto take = [&](Barrier barrier) {
    if (found == Barrier::kNone || barrier < found) found = barrier;
  };
  impl_->area_index.visit({position.lon, position.lat, position.lon, position.lat}, [&](std::uint32_t i) {
    if (impl_->areas[i].outline.holds(position)) take(impl_->areas[i].barrier);
  });
  impl_->strip_index.visit({plane.x, plane.y, plane.x, plane.y}, [&](std::uint32_t i) {
    const Strip& strip = impl_->strips[i];
    if (strip.squared_m_to(plane) < strip.within_m * strip.within_m) take(strip.barrier);
  });
  if (found == Barrier::kNone && impl_->walk_m && !impl_->can_be_reached(position, plane))
    return Barrier::kNoAccess;
  return found;
}

}  // namespace brookmark::core

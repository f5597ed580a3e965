#include "viewer/map/scene.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "core/network/stream_order.hpp"
#include "viewer/actions/part_actions.hpp"
#include "viewer/map/triangulate.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostPlacedNames = 500;  // catchments; beyond, their shapes are looked at more coarsely

PlaneBox box_of(std::span<const core::PlanePoint> points) {
  PlaneBox box{points.front().x, points.front().y, points.front().x, points.front().y};
  for (const core::PlanePoint p : points)
    box = {std::min(box.min_x, p.x), std::min(box.min_y, p.y), std::max(box.max_x, p.x),
           std::max(box.max_y, p.y)};
  return box;
}

double extent_of(const core::LocalFrame& frame, const core::MultiPolygon& shape) {
  double widest = 0;
  for (const core::Polygon& polygon : shape) {
    if (polygon.rings.empty() || polygon.rings.front().empty()) continue;
    const PlaneBox box = box_of(to_plane(frame, polygon.rings.front()));
    widest = std::max(widest, box.max_x - box.min_x);
  }
  return widest;
}

void add_channels(MapScene& scene, const Model& model) {
  const auto edges = model.session().channels.edges();
  const auto orders = core::stream_figures(model.session().channels.graph()).order;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    if (edges[e].line.empty()) continue;
    const auto line = to_plane(model.frame(), edges[e].line);
    if (edges[e].kind != core::EdgeKind::kChannel) {
      append_line(line, scene.passages);
      continue;
    }
    scene.channels.add(line, std::clamp<std::size_t>(orders[e], 1, kWidestOrder) - 1);
    double length = 0;
    for (std::size_t i = 1; i < line.size(); ++i)
      if (const double d = std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y); std::isfinite(d))
        length += d;
    scene.runs.push_back({{}, box_of(line), length});
  }
  scene.channels.finish();
  for (std::size_t i = 0; i < scene.runs.size(); ++i) scene.runs[i].segments = scene.channels.line(i);
}

std::vector<PlaneRing> rings_of(const core::LocalFrame& frame, const core::MultiPolygon& shape) {
  std::vector<PlaneRing> rings;
  for (const core::Polygon& polygon : shape)
    for (const core::Line& ring : polygon.rings) rings.push_back(to_plane(frame, ring));
  return rings;
}

// Names of catchments, the smallest first: the parts are what a surveyor asks about.
void add_catchment_names(MapScene& scene, const Model& model) {
  const auto& catchments = model.snapshot().catchments;
  const core::CatchmentNesting& nesting = model.session().nesting;
  std::vector<std::vector<PlaneRing>> rings, parts(catchments.size());
  std::vector<std::vector<std::size_t>> children(catchments.size());
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    rings.push_back(rings_of(model.frame(), catchments[c].shape));
    if (!nesting.parent[c].has_value()) continue;
    const std::size_t parent = nesting.parent[c].value();
    children[parent].push_back(c);
    parts[parent].insert(parts[parent].end(), rings[c].begin(), rings[c].end());
  }
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    const std::string& name = catchments[c].name.empty() ? catchments[c].code : catchments[c].name;
    if (!name.empty())
      scene.catchment_names.push_back(
          {name, c, children[c],
           AreaPlaces(rings[c], parts[c], catchments.size() > kMostPlacedNames ? 12 : 48)});
  }
  std::stable_sort(
      scene.catchment_names.begin(), scene.catchment_names.end(),
      [&](const auto& a, const auto& b) { return nesting.area_m2[a.index] < nesting.area_m2[b.index]; });
}

void add_catchments(MapScene& scene, const Model& model) {
  // Neighbours share boundaries vertex for vertex: drawn once, or the dashes of one would fill the gaps of
  // the other.
  std::set<std::array<double, 4>> drawn;
  const auto& catchments = model.snapshot().catchments;
  for (std::size_t c = 0; c < catchments.size(); ++c) {
    for (const core::Polygon& polygon : catchments[c].shape)
      for (const core::Line& ring : polygon.rings) {
        std::vector<core::PlanePoint> piece;
        for (std::size_t i = 1; i < ring.size(); ++i) {
          const auto a = std::min(ring[i - 1], ring[i]), b = std::max(ring[i - 1], ring[i]);
          if (drawn.insert({a.lon, a.lat, b.lon, b.lat}).second) {
            if (piece.empty()) piece.push_back(model.frame().to_plane(ring[i - 1]));
            piece.push_back(model.frame().to_plane(ring[i]));
          } else {
            scene.catchments.add(piece);
            piece.clear();
          }
        }
        scene.catchments.add(piece);
      }
  }
  scene.catchments.finish();
}

void add_waters(MapScene& scene, const Model& model) {
  const auto& waters = model.snapshot().waters;
  for (std::size_t w = 0; w < waters.size(); ++w) {
    for (const core::Polygon& polygon : waters[w].shape) {
      std::vector<std::vector<core::PlanePoint>> rings;
      for (const core::Line& ring : polygon.rings) {
        rings.push_back(to_plane(model.frame(), ring));
        scene.shores.add(rings.back());
      }
      for (const core::PlanePoint p : triangulate(rings)) scene.waters.push_back(as_float(p));
    }
    const auto inner = core::inner_point(waters[w].shape);
    if (inner && !waters[w].name.empty())
      scene.water_names.push_back(
          {model.frame().to_plane(*inner), waters[w].name, w, extent_of(model.frame(), waters[w].shape)});
  }
  scene.shores.finish();
}

// The middle width of the waters that have a site on them.
double typical_extent(const Model& model) {
  const core::Snapshot& s = model.snapshot();
  std::vector<double> extents;
  for (const core::Water& water : s.waters) {
    const auto box = core::bounds_of(water.shape);
    if (!box) continue;
    const core::PlanePoint low = model.frame().to_plane({box->min_lon, box->min_lat}),
                           high = model.frame().to_plane({box->max_lon, box->max_lat});
    const auto sites = model.site_grid().inside({low.x, low.y, high.x, high.y});
    if (std::any_of(sites.begin(), sites.end(),
                    [&](std::uint32_t i) { return core::flow_of(s.sites.kind[i]) == core::Flow::kStill; }))
      extents.push_back(std::min(high.x - low.x, high.y - low.y));
  }
  if (extents.empty()) return 0;
  const auto middle = extents.begin() + static_cast<std::ptrdiff_t>(extents.size() / 2);
  std::nth_element(extents.begin(), middle, extents.end());
  return *middle;
}

}  // namespace

std::vector<core::PlanePoint> to_plane(const core::LocalFrame& frame, std::span<const core::LonLat> line) {
  std::vector<core::PlanePoint> out;
  out.reserve(line.size());
  for (const core::LonLat p : line) out.push_back(frame.to_plane(p));
  return out;
}

MapScene::MapScene(const Model& model) {
  for (const core::PlanePoint p : model.site_places()) sites.push_back(as_float(p));
  for (const core::PlanePoint p : model.outfall_places()) outfalls.push_back(as_float(p));
  add_channels(*this, model);
  add_catchments(*this, model);
  add_catchment_names(*this, model);
  add_waters(*this, model);
  typical_still_extent_m = typical_extent(model);
}

QueryPaths query_paths(const State& state, const Model& model) {
  const Query& query = state.query;
  QueryPaths paths;
  const auto add = [&](std::span<const core::LonLat> line, std::vector<Segment>& out) {
    append_line(to_plane(model.frame(), line), out);
  };
  const bool asked = state.query_is_shown();
  if (asked && query.upstream) {
    const core::ChannelNetwork& network = model.session().channels;
    for (const core::EdgePart& part : model.answers().upstream(query.point, query.max_snap_m).parts) {
      core::Line line;
      core::append_part(network, part, line);
      add(line, paths.all);
    }
  }
  const Lit& lit = lit_now(state);
  if (lit.catchment)
    for (const core::Polygon& polygon : model.snapshot().catchments[lit.catchment->value()].shape)
      for (const core::Line& ring : polygon.rings) add(ring, paths.focus);
  if (lit.drop)
    if (const std::vector<core::Drop>* drops = model.drops(state.choice, state.period()))
      for (const core::Drop& drop : *drops)
        if (std::pair(drop.up, drop.down) == *lit.drop) add(drop.stretch.line, paths.focus);
  for (std::size_t i = 0; asked && i < query.distances.size(); ++i) {
    const auto line = to_plane(model.frame(), query.distances[i].path);
    append_line(line, paths.all);
    if (query.focus == i) append_line(line, paths.focus);
  }
  return paths;
}

}  // namespace brookmark::viewer

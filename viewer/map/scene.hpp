// Why: the survey as vertex buffers, made once: positions as floats in metres from the survey's centre (the
// centre itself is a double, so a float is right to a centimetre across 100 km).
// Use: MapScene scene(model);  painter.load(scene);
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "viewer/map/area_places.hpp"
#include "viewer/map/line_detail.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/map/segments.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

// Watercourses are drawn wider the more headwaters come together in them (core/network/stream_order.hpp). Orders above this one are drawn alike.
inline constexpr std::size_t kWidestOrder = 5;

struct MapScene {
  explicit MapScene(const Model& model);

  std::vector<Point2f> sites, outfalls;
  LineDetail channels{kWidestOrder};  // groups: stream order less 1
  LineDetail catchments;              // each shared boundary once
  LineDetail shores;                  // outlines of waters
  std::vector<Segment> passages;      // the way of the water through lakes
  std::vector<Point2f> waters;        // triangles, three corners each

  // Places for words.
  struct Name {
    core::PlanePoint place;
    std::string text;
    std::size_t index = 0;  // of the water
    double extent_m = 0;    // how large the thing is: a name wider than its thing is left out
  };
  std::vector<Name> water_names;
  struct CatchmentName {
    std::string text;
    std::size_t index = 0;           // of the catchment
    std::vector<std::size_t> parts;  // indices of the catchments directly inside it
    AreaPlaces places;
  };
  std::vector<CatchmentName> catchment_names;  // smallest first
  double typical_still_extent_m = 0;           // of waters with sites on them; 0: there are none
  // Channel edges for flow arrows: segments of the finest grade.
  struct Run {
    SegmentRange segments;
    PlaneBox box;
    double length_m = 0;
  };
  std::vector<Run> runs;
};

std::vector<core::PlanePoint> to_plane(const core::LocalFrame& frame, std::span<const core::LonLat> line);

// The paths of an answered query as segments, and those of the row in focus alone.
struct QueryPaths {
  std::vector<Segment> all, focus;
};
// Also the channels upstream of the query's start where they are asked for, and what is lit.
QueryPaths query_paths(const State& state, const Model& model);

}  // namespace brookmark::viewer

// Why: the survey as vertex buffers, made once: positions as floats in metres from the survey's centre (the
// centre itself is a double, so a float is right to a centimetre across 100 km).
// Use: MapScene scene(model);  painter.load(scene);
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "viewer/map/area_places.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

struct Point2f {
  float x = 0, y = 0;
};

// One straight piece of a line; drawn with round ends, so that pieces join without gaps.
struct Segment {
  Point2f from, to;
  float along_m = 0;  // from the line's start to `from`, for dashes
};

struct SegmentRange {
  std::uint32_t begin = 0, end = 0;
};

// Watercourses are drawn wider the more headwaters come together in them (core/network/stream_order.hpp). Orders above this one are drawn alike.
inline constexpr std::size_t kWidestOrder = 5;

struct MapScene {
  explicit MapScene(const Model& model);

  std::vector<Point2f> sites, outfalls;
  std::vector<Segment> channels;             // by order, narrow first
  SegmentRange channel_order[kWidestOrder];  // [order - 1]
  std::vector<Segment> catchments;           // each shared boundary once
  std::vector<Segment> shores;               // outlines of waters
  std::vector<Point2f> waters;               // triangles, three corners each

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
  // Channel edges for flow arrows and names.
  struct Run {
    SegmentRange segments;
    PlaneBox box;
    std::size_t reach = 0;
  };
  std::vector<Run> runs;
};

std::vector<core::PlanePoint> to_plane(const core::LocalFrame& frame, std::span<const core::LonLat> line);
// A line's pieces, put behind what is there.
void append_line(std::span<const core::PlanePoint> line, std::vector<Segment>& out);

// The paths of an answered query as segments, and those of the row in focus alone.
struct QueryPaths {
  std::vector<Segment> all, focus;
};
// Also the channels upstream of the query's start where they are asked for, and what is lit.
QueryPaths query_paths(const State& state, const Model& model);

}  // namespace brookmark::viewer

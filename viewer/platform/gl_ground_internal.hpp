// Why: areas and lines of the map as a list of jobs, so that they can be drawn at once or a part in each frame.
// Use: for (GroundJob& job : ground.jobs(frame, views, unit)) ground.run(job, canvas, kEverything);
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <vector>

#include "viewer/map/painter.hpp"
#include "viewer/platform/gl_parts_internal.hpp"

namespace brookmark::viewer {

struct GroundViews {
  LineDetail::View channels, catchments, shores;
};

struct GroundJob {
  enum class What : std::uint8_t { kStroke, kFill, kClasses };
  What what = What::kStroke;
  const Buffer* rows = nullptr;      // segments; corners of triangles
  std::uint32_t begin = 0, end = 0;  // of rows; of the group's ranges
  Colour colour;
  float width = 1, dash = 0, period = 0;
  const FillGroup* group = nullptr;  // of kClasses; lives as long as the frame's fills
  bool first_of_classes = false;
};
// In segments; two triangles cost as much.
std::size_t cost_of(const std::vector<GroundJob>& jobs);
inline constexpr std::size_t kEverything = std::numeric_limits<std::size_t>::max();

class GlGround {
 public:
  GlGround();
  void load(const MapScene& scene);    // kept by reference
  void follow(const MapFrame& frame);  // buffers are brought up to date
  // Catchments by class, outlines, waters, channels and what is carried along them, in this order.
  std::vector<GroundJob> jobs(const MapFrame& frame, const GroundViews& views, float unit);
  // As much of a job as costs no more than `budget`, at least something; what it cost. What is left stays in the job.
  std::size_t run(GroundJob& job, const GlCanvas& canvas, std::size_t budget) const;
  // The paths of a query and what is lit, at once.
  void stroke_paths(const MapFrame& frame, const GlCanvas& canvas, float unit) const;
  // What a box of the plane needs on this canvas, whatever the frame has chosen.
  GroundViews views(const PlaneBox& box, const GlCanvas& canvas, std::size_t most_segments) const;

 private:
  // Each grade of detail is sent when it is first seen.
  struct Grades {
    const LineDetail* lines = nullptr;
    std::vector<std::unique_ptr<Buffer>> buffers;
    void load(const LineDetail& from);
    const Buffer& at(std::size_t grade);
  };
  void stroke(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const;
  void fill(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const;
  void fill_classes(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const;

  const MapScene* scene_ = nullptr;
  Program area_, line_;
  Buffer waters_, path_all_, path_focus_, reach_measured_, reach_inferred_, drops_, passages_, areas_;
  Grades channels_, catchments_, shores_;
  std::uint64_t areas_version_ = 0, paths_version_ = 0, reaches_version_ = 0;
  std::vector<ReachPaint::ClassRange> measured_classes_, inferred_classes_;
};

}  // namespace brookmark::viewer

#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cmath>

#include "viewer/platform/gl_ground_internal.hpp"
#include "viewer/platform/gl_shaders.hpp"

namespace brookmark::viewer {
namespace {

const void* offset(std::size_t bytes) {
  return reinterpret_cast<const void*>(bytes);
}

constexpr std::uint32_t kCorners = 3, kTrianglesOfASegment = 2;

// Of the ranges from begin on; stops where it is more than `most`.
std::size_t cost_of_ranges(const GroundJob& job, std::size_t most, std::uint32_t& end) {
  std::size_t cost = 0;
  for (end = job.begin; end < job.end && (cost <= most || end == job.begin); ++end)
    cost += static_cast<std::size_t>(job.group->count[end]) / (kCorners * kTrianglesOfASegment) + 1;
  return cost;
}

std::size_t cost_of_job(const GroundJob& job) {
  switch (job.what) {
    case GroundJob::What::kStroke:
      return job.end - job.begin;
    case GroundJob::What::kFill:
      return (job.end - job.begin) / (kCorners * kTrianglesOfASegment) + 1;
    case GroundJob::What::kClasses:
      break;
  }
  std::uint32_t end = 0;
  return cost_of_ranges(job, kEverything - 1, end);
}

}  // namespace

std::size_t cost_of(const std::vector<GroundJob>& jobs) {
  std::size_t cost = 0;
  for (const GroundJob& job : jobs) cost += cost_of_job(job);
  return cost;
}

GlGround::GlGround()
    : area_(shaders::kAreaVertex, shaders::kAreaFragment),
      line_(shaders::kLineVertex, shaders::kLineFragment) {}

void GlGround::Grades::load(const LineDetail& from) {
  lines = &from;
  buffers.clear();
  buffers.resize(from.grade_count());
}

const Buffer& GlGround::Grades::at(std::size_t grade) {
  if (!buffers[grade]) {
    buffers[grade] = std::make_unique<Buffer>();
    buffers[grade]->load(lines->segments(grade));
  }
  return *buffers[grade];
}

void GlGround::load(const MapScene& scene) {
  scene_ = &scene;
  channels_.load(scene.channels);
  catchments_.load(scene.catchments);
  shores_.load(scene.shores);
  waters_.load(std::span<const Point2f>(scene.waters));
  passages_.load(std::span<const Segment>(scene.passages));
  areas_version_ = 0;
}

void GlGround::follow(const MapFrame& frame) {
  if (frame.paths && frame.paths_version != paths_version_) {
    path_all_.load(std::span<const Segment>(frame.paths->all), true);
    path_focus_.load(std::span<const Segment>(frame.paths->focus), true);
    paths_version_ = frame.paths_version;
  }
  if (frame.reaches && frame.reaches_version != reaches_version_) {
    reach_measured_.load(std::span<const Segment>(frame.reaches->measured), true);
    reach_inferred_.load(std::span<const Segment>(frame.reaches->inferred), true);
    drops_.load(std::span<const Segment>(frame.reaches->drops), true);
    measured_classes_ = frame.reaches->measured_classes;
    inferred_classes_ = frame.reaches->inferred_classes;
    reaches_version_ = frame.reaches_version;
  }
  if (frame.areas != nullptr && frame.areas_version != areas_version_) {
    areas_.load(std::span<const Point2f>(frame.areas->corners));
    areas_version_ = frame.areas_version;
  }
}

GroundViews GlGround::views(const PlaneBox& box, const GlCanvas& canvas, std::size_t most_segments) const {
  const double scale = 1 / canvas.px_per_m;
  return {scene_->channels.choose(box, scale, most_segments),
          scene_->catchments.choose(box, scale, most_segments),
          scene_->shores.choose(box, scale, most_segments)};
}

std::vector<GroundJob> GlGround::jobs(const MapFrame& frame, const GroundViews& views, float unit) {
  std::vector<GroundJob> jobs;
  const Inks& ink = frame.inks;
  const auto range = [&](const Buffer& rows, SegmentRange r, float width, Colour colour, float dash = 0,
                         float period = 0) {
    if (r.begin < r.end)
      jobs.push_back(
          {GroundJob::What::kStroke, &rows, r.begin, r.end, colour, width, dash, period, nullptr, false});
  };
  const auto all = [&](const Buffer& rows, float width, Colour colour, float dash = 0, float period = 0) {
    range(rows, {0, static_cast<std::uint32_t>(rows.count())}, width, colour, dash, period);
  };
  if (frame.areas != nullptr && areas_.count() > 0)
    for (const FillGroup& group : frame.fills) {
      Colour colour = frame.colours.fill[group.colour];
      colour.a = ink.fill_strength;
      jobs.push_back({GroundJob::What::kClasses, &areas_, 0, static_cast<std::uint32_t>(group.first.size()),
                      colour, 0, 0, 0, &group, jobs.empty()});
    }
  if (frame.layers[Layer::kCatchments])
    for (const DetailRange& r : views.catchments.ranges)
      range(catchments_.at(r.grade), r.segments, 1.7F * unit, ink.catchment, 9 * unit, 14 * unit);
  if (frame.layers[Layer::kWaters]) {
    if (waters_.count() > 0)
      jobs.push_back({GroundJob::What::kFill, &waters_, 0, static_cast<std::uint32_t>(waters_.count()),
                      ink.water, 0, 0, 0, nullptr, false});
    for (const DetailRange& r : views.shores.ranges)
      range(shores_.at(r.grade), r.segments, 1.3F * unit, ink.channel);
  }
  if (!frame.layers[Layer::kChannels]) return jobs;
  // A little wider when near, so that a stream does not thin out to a hair.
  const auto nearness =
      static_cast<float>(std::clamp(1 + 0.25 * std::log2(8 / frame.view.metres_per_pixel), 1.0, 2.2));
  const float width = 3.4F * nearness * unit;
  if (frame.layers[Layer::kDrops] && frame.reaches != nullptr) {
    all(drops_, width + 7.6F * unit, ink.drop);
    all(drops_, width + 4 * unit, ink.paper);
    all(drops_, width - 0.4F * unit, ink.unknown_reach);  // seen where no class is carried over it
  }
  // Where classes are carried along the channels, the channel itself is what nobody knows of.
  const bool carried = frame.layers[Layer::kReaches] && frame.reaches != nullptr;
  const Colour colour = carried ? ink.unknown_reach : ink.channel;
  all(passages_, 1.3F * nearness * unit, colour, 2.2F * unit, 7 * unit);
  for (const DetailRange& r : views.channels.ranges)
    range(channels_.at(r.grade), r.segments,
          (1.7F + (carried ? 0.3F : 1.0F) * static_cast<float>(r.group)) * nearness * unit, colour);
  if (!carried) return jobs;
  all(reach_measured_, width + 1.4F * unit, ink.muted);
  for (const ReachPaint::ClassRange& c : measured_classes_)
    range(reach_measured_, c.segments, width, frame.colours.fill[c.colour]);
  for (const ReachPaint::ClassRange& c : inferred_classes_)
    range(reach_inferred_, c.segments, width, frame.colours.fill[c.colour], 7 * unit, 12 * unit);
  return jobs;
}

std::size_t GlGround::run(GroundJob& job, const GlCanvas& canvas, std::size_t budget) const {
  std::size_t cost = 0;
  std::uint32_t end = job.end;
  if (job.what == GroundJob::What::kClasses) {
    cost = cost_of_ranges(job, budget, end);
    fill_classes(job, canvas, end);
  } else {
    const bool fills = job.what == GroundJob::What::kFill;
    const std::size_t rows = fills ? kCorners * kTrianglesOfASegment : 1;  // of one unit of cost
    const std::size_t most = std::max<std::size_t>(budget, 1);
    if ((job.end - job.begin) / rows > most) end = job.begin + static_cast<std::uint32_t>(most * rows);
    cost = (end - job.begin) / rows + (fills ? 1 : 0);
    if (fills)
      fill(job, canvas, end);
    else
      stroke(job, canvas, end);
  }
  job.begin = end;
  job.first_of_classes = false;
  return cost;
}

void GlGround::stroke_paths(const MapFrame& frame, const GlCanvas& canvas, float unit) const {
  const Inks& ink = frame.inks;
  const auto all = [&](const Buffer& rows, float width, Colour colour) {
    const auto count = static_cast<std::uint32_t>(rows.count());
    if (count > 0)
      stroke({GroundJob::What::kStroke, &rows, 0, count, colour, width, 0, 0, nullptr, false}, canvas, count);
  };
  const bool focused = path_focus_.count() > 0;
  all(path_all_, 8 * unit, {ink.halo.r, ink.halo.g, ink.halo.b, 190});
  all(path_all_, (focused ? 2.4F : 4.6F) * unit, ink.query);
  if (!focused) return;
  all(path_focus_, 10 * unit, ink.halo);
  all(path_focus_, 6 * unit, ink.query);
}

void GlGround::stroke(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const {
  canvas.use(line_);
  line_.set("half_width", job.width / 2);
  line_.set("dash", job.dash, job.period);
  line_.set("colour", job.colour);
  job.rows->bind();
  const std::size_t first = job.begin * sizeof(Segment);
  const GLsizei stride = sizeof(Segment);
  glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, from)));
  glVertexAttribPointer(1, 2, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, to)));
  glVertexAttribPointer(2, 1, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, along_m)));
  for (GLuint i = 0; i < 3; ++i) {
    glEnableVertexAttribArray(i);
    glVertexAttribDivisor(i, 1);
  }
  glDrawArraysInstanced(GL_TRIANGLE_STRIP, 0, 4, static_cast<GLsizei>(end - job.begin));
  for (GLuint i = 0; i < 3; ++i) {
    glVertexAttribDivisor(i, 0);
    glDisableVertexAttribArray(i);
  }
}

void GlGround::fill(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const {
  canvas.use(area_);
  area_.set("colour", job.colour);
  job.rows->bind();
  glEnableVertexAttribArray(0);
  glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
  glDrawArrays(GL_TRIANGLES, static_cast<GLint>(job.begin), static_cast<GLsizei>(end - job.begin));
  glDisableVertexAttribArray(0);
}

// What is drawn first stays, so that a catchment does not tint its own parts.
void GlGround::fill_classes(const GroundJob& job, const GlCanvas& canvas, std::uint32_t end) const {
  glEnable(GL_DEPTH_TEST);
  glDepthMask(GL_TRUE);
  glDepthFunc(GL_LESS);
  if (job.first_of_classes) glClear(GL_DEPTH_BUFFER_BIT);
  canvas.use(area_);
  area_.set("colour", job.colour);
  job.rows->bind();
  glEnableVertexAttribArray(0);
  glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
  glMultiDrawArrays(GL_TRIANGLES, job.group->first.data() + job.begin, job.group->count.data() + job.begin,
                    static_cast<GLsizei>(end - job.begin));
  glDisableVertexAttribArray(0);
  glDisable(GL_DEPTH_TEST);
}

}  // namespace brookmark::viewer

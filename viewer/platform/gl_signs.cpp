#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <cmath>
#include <vector>

#include "viewer/platform/gl_shaders.hpp"
#include "viewer/platform/gl_signs_internal.hpp"

namespace brookmark::viewer {
namespace {

// In radii of the sign; taste, as viewer/panels/cluster_signs.cpp draws it in the key.
constexpr float kHalo = 0.104F, kRing = 0.278F, kRim = 0.052F;
constexpr GLuint kQuarters = 5;  // of the ends of shares: four in each attribute
static_assert(kQuarters * 4 == kMarkColourCount);

}  // namespace

ManySigns::ManySigns() : program_(shaders::kManyVertex, shaders::kManyFragment) {}

void ManySigns::load(const MapFrame& frame) {
  signs_.load(frame.many, true);
  std::vector<Point2f> places;
  for (const ManySites& many : frame.many) places.push_back(many.place);
  places_.load(std::span<const Point2f>(places), true);
  worst_.load(frame.many_worst, true);
}

void ManySigns::draw(const MapFrame& frame, const GlCanvas& canvas, float pixel) const {
  if (signs_.count() == 0) return;
  const float outer = frame.many_radius_px * pixel;
  canvas.use(program_);
  program_.set("size", 2 * std::ceil(outer * (1 + kHalo) + 0.5F) + 1);
  program_.set("outer", outer);
  program_.set("width", outer * kRing);
  program_.set("edge", outer * kHalo);
  program_.set("rim_width", outer * kRim);
  program_.set("ground", frame.inks.mark_ground);
  program_.set("halo", frame.inks.halo);
  program_.set("rim", between(frame.inks.mark_ground, Colour{0, 0, 0}, 0.72));
  set_colours(program_, "fills", frame.colours.fill);
  glUniform1iv(program_.at("order"), static_cast<GLsizei>(kRingOrder.size()), kRingOrder.data());
  signs_.bind();
  const GLsizei stride = sizeof(ManySites);
  glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, stride, nullptr);
  glEnableVertexAttribArray(0);
  for (GLuint i = 0; i < kQuarters; ++i) {
    const std::size_t at = offsetof(ManySites, until) + i * 4 * sizeof(std::uint16_t);
    glVertexAttribIPointer(i + 1, 4, GL_UNSIGNED_SHORT, stride, reinterpret_cast<const void*>(at));
    glEnableVertexAttribArray(i + 1);
  }
  glEnable(GL_PROGRAM_POINT_SIZE);
  glDrawArrays(GL_POINTS, 0, static_cast<GLsizei>(signs_.count()));
  glDisable(GL_PROGRAM_POINT_SIZE);
  for (GLuint i = 0; i <= kQuarters; ++i) glDisableVertexAttribArray(i);
}

}  // namespace brookmark::viewer

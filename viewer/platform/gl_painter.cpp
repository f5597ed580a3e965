#include "viewer/platform/gl_painter.hpp"

#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <vector>

#include "viewer/platform/gl_parts_internal.hpp"
#include "viewer/platform/gl_shaders.hpp"
#include "viewer/platform/gl_tiles_internal.hpp"

namespace brookmark::viewer {
namespace {

const void* offset(std::size_t bytes) {
  return reinterpret_cast<const void*>(bytes);
}

}  // namespace

struct GlPainter::Impl {
  Program area{shaders::kAreaVertex, shaders::kAreaFragment};
  Program tile{shaders::kTileVertex, shaders::kTileFragment};
  TileTextures textures;
  Program line{shaders::kLineVertex, shaders::kLineFragment};
  Program plain_mark{shaders::kMarkVertex, shaders::kMarkFragment};
  Program signed_mark{shaders::kMarkVertex, shaders::kMarkFragment, "#define SIGNS\n"};
  Buffer sites, site_marks, outfalls, outfall_marks, waters, path_all, path_focus, reach_measured,
      reach_inferred, drops, passages, areas;
  // Each grade of detail is sent when it is first seen.
  struct Grades {
    const LineDetail* lines = nullptr;
    std::vector<std::unique_ptr<Buffer>> buffers;
    void load(const LineDetail& from) {
      lines = &from;
      buffers.clear();
      buffers.resize(from.grade_count());
    }
    const Buffer& at(std::size_t grade) {
      if (!buffers[grade]) {
        buffers[grade] = std::make_unique<Buffer>();
        buffers[grade]->load(lines->segments(grade));
      }
      return *buffers[grade];
    }
  };
  Grades channels, catchments, shores;
  std::uint64_t areas_version = 0;
  std::uint64_t site_marks_version = 0, outfall_marks_version = 0, paths_version = 0, reaches_version = 0;
  std::vector<ReachPaint::ClassRange> measured_classes, inferred_classes;
  GLuint vertex_array = 0, photo = 0;
  std::uint64_t photo_version = 0;

  // Of the frame being painted.
  float px_per_m = 1, middle_x = 0, middle_y = 0, canvas_x = 1, canvas_y = 1, centre_x = 0, centre_y = 0;

  Impl() { glGenVertexArrays(1, &vertex_array); }
  ~Impl() {
    glDeleteVertexArrays(1, &vertex_array);
    if (photo != 0) glDeleteTextures(1, &photo);
  }

  void follow(const MapFrame& frame) {
    if (frame.site_marks_version != site_marks_version) {
      sites.load(frame.site_places, true);
      site_marks.load(frame.site_marks, true);
      site_marks_version = frame.site_marks_version;
    }
    if (frame.outfall_marks_version != outfall_marks_version) {
      outfall_marks.load(frame.outfall_marks, true);
      outfall_marks_version = frame.outfall_marks_version;
    }
    if (frame.paths && frame.paths_version != paths_version) {
      path_all.load(std::span<const Segment>(frame.paths->all), true);
      path_focus.load(std::span<const Segment>(frame.paths->focus), true);
      paths_version = frame.paths_version;
    }
    if (frame.reaches && frame.reaches_version != reaches_version) {
      reach_measured.load(std::span<const Segment>(frame.reaches->measured), true);
      reach_inferred.load(std::span<const Segment>(frame.reaches->inferred), true);
      drops.load(std::span<const Segment>(frame.reaches->drops), true);
      measured_classes = frame.reaches->measured_classes;
      inferred_classes = frame.reaches->inferred_classes;
      reaches_version = frame.reaches_version;
    }
  }

  void use(const Program& program) const {
    program.use();
    program.set("centre", centre_x, centre_y);
    program.set("px_per_m", px_per_m);
    program.set("middle", middle_x, middle_y);
    program.set("canvas", canvas_x, canvas_y);
  }

  // The ground: pictures as they are, a little paler than what is drawn on them; light and shade in the look's inks.
  void ground(const MapFrame& frame) {
    textures.begin(frame.tiles_generation);
    if (frame.tiles.empty()) return;
    use(tile);
    const Inks& ink = frame.inks;
    const bool dark = luminance(ink.paper) < 0.3;
    const Colour black{0, 0, 0}, white{255, 255, 255};
    tile.set("shaded", frame.shaded ? 1.0F : 0.0F);
    tile.set("shade", between(ink.paper, black, dark ? 0.55 : 0.42));
    tile.set("light", dark ? between(ink.paper, white, 0.22) : between(ink.paper, white, 0.6));
    tile.set("paper", ink.paper);
    tile.set("strength", frame.shaded ? 1.0F : dark ? 0.62F : 0.78F);
    glUniform1i(tile.at("image"), 0);
    glActiveTexture(GL_TEXTURE0);
    for (const PaintTile& t : frame.tiles) {
      glBindTexture(GL_TEXTURE_2D, textures.texture(t.draw.key, t.image));
      const PlaneBox& box = t.draw.box;
      tile.set("box", static_cast<float>(box.min_x), static_cast<float>(box.min_y),
               static_cast<float>(box.max_x), static_cast<float>(box.max_y));
      tile.set("part", t.draw.u0, t.draw.v0, t.draw.u1, t.draw.v1);
      glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
    }
  }

  void fill(const Buffer& corners, Colour colour) const {
    if (corners.count() == 0) return;
    use(area);
    area.set("colour", colour);
    corners.bind();
    glEnableVertexAttribArray(0);
    glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
    glDrawArrays(GL_TRIANGLES, 0, static_cast<GLsizei>(corners.count()));
    glDisableVertexAttribArray(0);
  }

  void stroke(const Buffer& segments, SegmentRange range, float width, Colour colour, float dash = 0,
              float period = 0) const {
    if (range.begin >= range.end) return;
    use(line);
    line.set("half_width", width / 2);
    line.set("dash", dash, period);
    line.set("colour", colour);
    segments.bind();
    const std::size_t first = range.begin * sizeof(Segment);
    const GLsizei stride = sizeof(Segment);
    glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, from)));
    glVertexAttribPointer(1, 2, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, to)));
    glVertexAttribPointer(2, 1, GL_FLOAT, GL_FALSE, stride, offset(first + offsetof(Segment, along_m)));
    for (GLuint i = 0; i < 3; ++i) {
      glEnableVertexAttribArray(i);
      glVertexAttribDivisor(i, 1);
    }
    glDrawArraysInstanced(GL_TRIANGLE_STRIP, 0, 4, static_cast<GLsizei>(range.end - range.begin));
    for (GLuint i = 0; i < 3; ++i) {
      glVertexAttribDivisor(i, 0);
      glDisableVertexAttribArray(i);
    }
  }
  void stroke(const Buffer& segments, float width, Colour colour, float dash = 0, float period = 0) const {
    stroke(segments, {0, static_cast<std::uint32_t>(segments.count())}, width, colour, dash, period);
  }

  // All ranges in view; `width` of each group.
  template <class Width>
  void stroke(Grades& grades, const LineDetail::View& view, const Width& width, Colour colour, float dash = 0,
              float period = 0) {
    for (const DetailRange& range : view.ranges)
      stroke(grades.at(range.grade), range.segments, width(range.group), colour, dash, period);
  }

  // Catchments by class: what is drawn first stays, so that a catchment does not tint its own parts.
  void fill_catchments(const MapFrame& frame) {
    if (frame.areas == nullptr) return;
    if (frame.areas_version != areas_version) {
      areas.load(std::span<const Point2f>(frame.areas->corners));
      areas_version = frame.areas_version;
    }
    if (frame.fills.empty() || areas.count() == 0) return;
    glClear(GL_DEPTH_BUFFER_BIT);
    glEnable(GL_DEPTH_TEST);
    glDepthMask(GL_TRUE);
    glDepthFunc(GL_LESS);
    use(area);
    areas.bind();
    glEnableVertexAttribArray(0);
    glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
    for (const FillGroup& group : frame.fills) {
      Colour colour = frame.colours.fill[group.colour];
      colour.a = 110;
      area.set("colour", colour);
      glMultiDrawArrays(GL_TRIANGLES, group.first.data(), group.count.data(),
                        static_cast<GLsizei>(group.first.size()));
    }
    glDisableVertexAttribArray(0);
    glDisable(GL_DEPTH_TEST);
  }

  void marks(const Buffer& places, const Buffer& looks, const MapFrame& frame, float radius, bool signs,
             float pixel) const {
    const std::size_t count = std::min(places.count(), looks.count());
    if (count == 0) return;
    const Program& program = signs ? signed_mark : plain_mark;
    use(program);
    // Small marks have thin rims: of a hundred thousand, every pixel counts.
    const float stroke_px = radius > 6 ? std::max(1.0F, radius / 8) : std::max(0.5F, radius / 6);
    const float size = 2 * std::ceil(radius + 2.2F * stroke_px + 0.5F) + 1;
    program.set("size", size);
    program.set("radius", radius);
    program.set("stroke", stroke_px);
    program.set("still_share", frame.still_share);
    program.set("paper", frame.inks.mark_ground);
    constexpr std::size_t kColours = 2 * kMarkColourCount;  // the second half: faded
    std::array<float, kColours * 4> fills{}, inks{};
    const auto spread = [](Colour c, float* to) {
      to[0] = static_cast<float>(c.r) / 255.0F;
      to[1] = static_cast<float>(c.g) / 255.0F;
      to[2] = static_cast<float>(c.b) / 255.0F;
      to[3] = 1;
    };
    for (std::size_t i = 0; i < kColours; ++i) {
      spread(frame.colours.fill[i], &fills[i * 4]);
      spread(frame.colours.ink[i], &inks[i * 4]);
    }
    glUniform4fv(program.at("fills"), kColours, fills.data());
    if (signs) {
      glUniform4fv(program.at("inks"), kColours, inks.data());
      std::array<float, kSignCount * 4> uv{}, box{};
      for (std::size_t i = 0; i < kSignCount; ++i) {
        const SignGlyph& g = frame.signs[i];
        const float uv_i[] = {g.u0, g.v0, g.u1, g.v1};
        const float box_i[] = {g.left * pixel, g.top * pixel, g.right * pixel, g.bottom * pixel};
        std::copy(std::begin(uv_i), std::end(uv_i), &uv[i * 4]);
        std::copy(std::begin(box_i), std::end(box_i), &box[i * 4]);
      }
      glUniform4fv(program.at("sign_uv"), kSignCount, uv.data());
      glUniform4fv(program.at("sign_box"), kSignCount, box.data());
      program.set("advance", frame.digit_advance_px * pixel);
      glUniform1i(program.at("font"), 0);
      glActiveTexture(GL_TEXTURE0);
      glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(frame.font_texture));
    }
    places.bind();
    glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
    glEnableVertexAttribArray(0);
    looks.bind();
    glVertexAttribIPointer(1, 4, GL_UNSIGNED_BYTE, 0, nullptr);
    glEnableVertexAttribArray(1);
    glEnable(GL_PROGRAM_POINT_SIZE);
    glDrawArrays(GL_POINTS, 0, static_cast<GLsizei>(count));
    glDisable(GL_PROGRAM_POINT_SIZE);
    glDisableVertexAttribArray(1);
    glDisableVertexAttribArray(0);
  }
};

GlPainter::GlPainter() : impl_(std::make_unique<Impl>()) {}
GlPainter::~GlPainter() = default;

void GlPainter::load(const MapScene& scene) {
  Impl& m = *impl_;
  m.outfalls.load(std::span<const Point2f>(scene.outfalls));
  m.channels.load(scene.channels);
  m.catchments.load(scene.catchments);
  m.shores.load(scene.shores);
  m.waters.load(std::span<const Point2f>(scene.waters));
  m.passages.load(std::span<const Segment>(scene.passages));
  m.areas_version = 0;
}

std::uintptr_t GlPainter::photo_texture(std::uint64_t version, int width, int height,
                                        std::span<const std::uint8_t> rgba) {
  Impl& m = *impl_;
  if (m.photo != 0 && m.photo_version == version) return m.photo;
  GLint bound = 0;
  glGetIntegerv(GL_TEXTURE_BINDING_2D, &bound);
  if (m.photo == 0) glGenTextures(1, &m.photo);
  glBindTexture(GL_TEXTURE_2D, m.photo);
  for (const GLenum filter : {GL_TEXTURE_MIN_FILTER, GL_TEXTURE_MAG_FILTER})
    glTexParameteri(GL_TEXTURE_2D, filter, GL_LINEAR);
  for (const GLenum wrap : {GL_TEXTURE_WRAP_S, GL_TEXTURE_WRAP_T})
    glTexParameteri(GL_TEXTURE_2D, wrap, GL_CLAMP_TO_EDGE);
  glPixelStorei(GL_UNPACK_ALIGNMENT, 4);
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
  glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(bound));
  m.photo_version = version;
  return m.photo;
}

void GlPainter::paint(const MapFrame& frame, const PixelBox& clip, Pixel display, Pixel framebuffer_scale) {
  Impl& m = *impl_;
  m.follow(frame);
  const double sx = framebuffer_scale.x, sy = framebuffer_scale.y;
  const auto pixel = static_cast<float>(sx);  // framebuffer pixels in a logical one
  const Pixel middle = frame.view.to_pixel(frame.view.centre);
  m.px_per_m = static_cast<float>(sx / frame.view.metres_per_pixel);
  m.middle_x = static_cast<float>(middle.x * sx);
  m.middle_y = static_cast<float>(middle.y * sy);
  m.canvas_x = static_cast<float>(display.x * sx);
  m.canvas_y = static_cast<float>(display.y * sy);
  m.centre_x = static_cast<float>(frame.view.centre.x);
  m.centre_y = static_cast<float>(frame.view.centre.y);

  glBindVertexArray(m.vertex_array);
  glEnable(GL_SCISSOR_TEST);
  glScissor(static_cast<GLint>(clip.left * sx), static_cast<GLint>((display.y - clip.bottom()) * sy),
            static_cast<GLsizei>(std::max(clip.width * sx, 0.0)),
            static_cast<GLsizei>(std::max(clip.height * sy, 0.0)));
  glEnable(GL_BLEND);
  glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
  glDisable(GL_DEPTH_TEST);
  glDisable(GL_CULL_FACE);

  m.ground(frame);
  const float unit = frame.scale * pixel;
  const Inks& ink = frame.inks;
  m.fill_catchments(frame);
  if (frame.layers[Layer::kCatchments])
    m.stroke(
        m.catchments, frame.catchments, [&](std::size_t) { return 1.7F * unit; }, ink.catchment, 9 * unit,
        14 * unit);
  if (frame.layers[Layer::kWaters]) {
    m.fill(m.waters, ink.water);
    m.stroke(
        m.shores, frame.shores, [&](std::size_t) { return 1.3F * unit; }, ink.channel);
  }
  if (frame.layers[Layer::kChannels]) {
    // A little wider when near, so that a stream does not thin out to a hair.
    const auto nearness =
        static_cast<float>(std::clamp(1 + 0.25 * std::log2(8 / frame.view.metres_per_pixel), 1.0, 2.2));
    const float width = 3.4F * nearness * unit;
    if (frame.layers[Layer::kDrops] && frame.reaches != nullptr) {
      m.stroke(m.drops, width + 7.6F * unit, ink.drop);
      m.stroke(m.drops, width + 4 * unit, ink.paper);
      m.stroke(m.drops, width - 0.4F * unit, ink.unknown_reach);  // seen where no class is carried over it
    }
    // Where classes are carried along the channels, the channel itself is what nobody knows of.
    const bool carried = frame.layers[Layer::kReaches] && frame.reaches != nullptr;
    const Colour colour = carried ? ink.unknown_reach : ink.channel;
    m.stroke(m.passages, 1.3F * nearness * unit, colour, 2.2F * unit, 7 * unit);
    m.stroke(
        m.channels, frame.channels,
        [&](std::size_t group) {
          return (1.7F + (carried ? 0.3F : 1.0F) * static_cast<float>(group)) * nearness * unit;
        },
        colour);
    if (carried) {
      m.stroke(m.reach_measured, width + 1.4F * unit, ink.muted);
      for (const ReachPaint::ClassRange& c : m.measured_classes)
        m.stroke(m.reach_measured, c.segments, width, frame.colours.fill[c.colour]);
      for (const ReachPaint::ClassRange& c : m.inferred_classes)
        m.stroke(m.reach_inferred, c.segments, width, frame.colours.fill[c.colour], 7 * unit, 12 * unit);
    }
  }
  const bool focused = m.path_focus.count() > 0;
  m.stroke(m.path_all, 8 * unit, {ink.halo.r, ink.halo.g, ink.halo.b, 190});
  m.stroke(m.path_all, (focused ? 2.4F : 4.6F) * unit, ink.query);
  if (focused) {
    m.stroke(m.path_focus, 10 * unit, ink.halo);
    m.stroke(m.path_focus, 6 * unit, ink.query);
  }
  if (frame.layers[Layer::kOutfalls])
    m.marks(m.outfalls, m.outfall_marks, frame, frame.outfall_radius_px * pixel, false, pixel);
  if (frame.layers[Layer::kSites])
    m.marks(m.sites, m.site_marks, frame, frame.site_radius_px * pixel, frame.show_signs, pixel);
  glBindVertexArray(0);
}

}  // namespace brookmark::viewer

#include "viewer/platform/gl_painter.hpp"

#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "core/base/error.hpp"
#include "viewer/platform/gl_shaders.hpp"

namespace brookmark::viewer {
namespace {

GLuint compile(GLenum kind, const std::string& text) {
  const GLuint shader = glCreateShader(kind);
  const char* source = text.c_str();
  glShaderSource(shader, 1, &source, nullptr);
  glCompileShader(shader);
  GLint good = 0;
  glGetShaderiv(shader, GL_COMPILE_STATUS, &good);
  if (good) return shader;
  char log[600] = {};
  glGetShaderInfoLog(shader, sizeof log - 1, nullptr, log);
  throw Error(
      ErrorCode::kNotFound,
      std::string("The graphics driver does not accept the map's shaders (") + log +
          "). Use `brookmark view SURVEY --screenshot OUT.png`, which can draw with the software driver.");
}

class Program {
 public:
  Program(const char* vertex, const char* fragment, const char* defines = "") {
    const std::string head = std::string("#version 330 core\n") + defines;
    const GLuint v = compile(GL_VERTEX_SHADER, head + shaders::kCommon + vertex);
    const GLuint f = compile(GL_FRAGMENT_SHADER, head + fragment);
    id_ = glCreateProgram();
    glAttachShader(id_, v);
    glAttachShader(id_, f);
    glLinkProgram(id_);
    glDeleteShader(v);
    glDeleteShader(f);
  }
  ~Program() { glDeleteProgram(id_); }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  void use() const { glUseProgram(id_); }
  GLint at(const char* name) const { return glGetUniformLocation(id_, name); }
  void set(const char* name, float v) const { glUniform1f(at(name), v); }
  void set(const char* name, float x, float y) const { glUniform2f(at(name), x, y); }
  void set(const char* name, Colour c) const {
    glUniform4f(at(name), static_cast<float>(c.r) / 255.0F, static_cast<float>(c.g) / 255.0F,
                static_cast<float>(c.b) / 255.0F, static_cast<float>(c.a) / 255.0F);
  }

 private:
  GLuint id_ = 0;
};

// A vertex buffer that knows how many rows it holds.
class Buffer {
 public:
  Buffer() { glGenBuffers(1, &id_); }
  ~Buffer() { glDeleteBuffers(1, &id_); }
  Buffer(const Buffer&) = delete;
  Buffer& operator=(const Buffer&) = delete;

  template <class T>
  void load(std::span<const T> rows, GLenum usage = GL_STATIC_DRAW) {
    glBindBuffer(GL_ARRAY_BUFFER, id_);
    glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(rows.size_bytes()), rows.data(), usage);
    count_ = rows.size();
  }
  void bind() const { glBindBuffer(GL_ARRAY_BUFFER, id_); }
  std::size_t count() const { return count_; }

 private:
  GLuint id_ = 0;
  std::size_t count_ = 0;
};

const void* offset(std::size_t bytes) {
  return reinterpret_cast<const void*>(bytes);
}

}  // namespace

struct GlPainter::Impl {
  Program area{shaders::kAreaVertex, shaders::kAreaFragment};
  Program line{shaders::kLineVertex, shaders::kLineFragment};
  Program plain_mark{shaders::kMarkVertex, shaders::kMarkFragment};
  Program signed_mark{shaders::kMarkVertex, shaders::kMarkFragment, "#define SIGNS\n"};
  Buffer sites, site_marks, outfalls, outfall_marks, channels, catchments, shores, waters, path_all,
      path_focus, reach_measured, reach_inferred, drops;
  SegmentRange channel_order[kWidestOrder];
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
      site_marks.load(frame.site_marks, GL_DYNAMIC_DRAW);
      site_marks_version = frame.site_marks_version;
    }
    if (frame.outfall_marks_version != outfall_marks_version) {
      outfall_marks.load(frame.outfall_marks, GL_DYNAMIC_DRAW);
      outfall_marks_version = frame.outfall_marks_version;
    }
    if (frame.paths && frame.paths_version != paths_version) {
      path_all.load(std::span<const Segment>(frame.paths->all), GL_DYNAMIC_DRAW);
      path_focus.load(std::span<const Segment>(frame.paths->focus), GL_DYNAMIC_DRAW);
      paths_version = frame.paths_version;
    }
    if (frame.reaches && frame.reaches_version != reaches_version) {
      reach_measured.load(std::span<const Segment>(frame.reaches->measured), GL_DYNAMIC_DRAW);
      reach_inferred.load(std::span<const Segment>(frame.reaches->inferred), GL_DYNAMIC_DRAW);
      drops.load(std::span<const Segment>(frame.reaches->drops), GL_DYNAMIC_DRAW);
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
  m.sites.load(std::span<const Point2f>(scene.sites));
  m.outfalls.load(std::span<const Point2f>(scene.outfalls));
  m.channels.load(std::span<const Segment>(scene.channels));
  m.catchments.load(std::span<const Segment>(scene.catchments));
  m.shores.load(std::span<const Segment>(scene.shores));
  m.waters.load(std::span<const Point2f>(scene.waters));
  std::copy(std::begin(scene.channel_order), std::end(scene.channel_order), std::begin(m.channel_order));
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

  const float unit = frame.scale * pixel;
  const Inks& ink = frame.inks;
  if (frame.layers[Layer::kCatchments])
    m.stroke(m.catchments, 1.7F * unit, ink.catchment, 9 * unit, 14 * unit);
  if (frame.layers[Layer::kWaters]) {
    m.fill(m.waters, ink.water);
    m.stroke(m.shores, 1.3F * unit, ink.channel);
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
    for (std::size_t order = 1; order <= kWidestOrder; ++order)
      m.stroke(m.channels, m.channel_order[order - 1],
               (1.7F + (carried ? 0.3F : 1.0F) * static_cast<float>(order - 1)) * nearness * unit,
               carried ? ink.unknown_reach : ink.channel);
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

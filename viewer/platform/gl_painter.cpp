#include "viewer/platform/gl_painter.hpp"

#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include "viewer/platform/gl_ground_internal.hpp"
#include "viewer/platform/gl_shaders.hpp"
#include "viewer/platform/gl_sheets_internal.hpp"
#include "viewer/platform/gl_signs_internal.hpp"
#include "viewer/platform/gl_tiles_internal.hpp"

namespace brookmark::viewer {
namespace {

// Pieces of the ground that are drawn anew in every frame even where the processor draws them; taste.
constexpr std::size_t kFewPieces = 3000;
constexpr double kBeyond_px = 12;  // lines are wide: what lies just outside the view still reaches into it

// Where the processor draws, every segment costs time of the frame's own thread.
bool is_software() {
  const auto* name = reinterpret_cast<const char*>(glGetString(GL_RENDERER));
  const std::string_view renderer = name ? name : "";
  for (const char* known : {"llvmpipe", "softpipe", "swrast", "SwiftShader", "Software"})
    if (renderer.find(known) != std::string_view::npos) return true;
  return false;
}

}  // namespace

struct GlPainter::Impl {
  Program tile{shaders::kTileVertex, shaders::kTileFragment};
  TileTextures textures;
  GlGround ground;
  GroundSheets sheets;
  ManySigns many;
  Program plain_mark{shaders::kMarkVertex, shaders::kMarkFragment};
  Program signed_mark{shaders::kMarkVertex, shaders::kMarkFragment, "#define SIGNS\n"};
  Buffer sites, site_marks, outfalls, outfall_marks;
  std::uint64_t site_marks_version = 0, outfall_marks_version = 0;
  GLuint vertex_array = 0, photo = 0;
  std::uint64_t photo_version = 0;
  const bool software = is_software();
  bool exact = false;
  GlCanvas canvas;  // of the frame being painted

  Impl() { glGenVertexArrays(1, &vertex_array); }
  ~Impl() {
    glDeleteVertexArrays(1, &vertex_array);
    if (photo != 0) glDeleteTextures(1, &photo);
  }

  void follow(const MapFrame& frame) {
    if (frame.site_marks_version != site_marks_version) {
      sites.load(frame.site_places, true);
      site_marks.load(frame.site_marks, true);
      many.load(frame);
      site_marks_version = frame.site_marks_version;
    }
    if (frame.outfall_marks_version != outfall_marks_version) {
      outfall_marks.load(frame.outfall_marks, true);
      outfall_marks_version = frame.outfall_marks_version;
    }
    ground.follow(frame);
  }

  // The ground: pictures as they are, a little paler than what is drawn on them; light and shade in the look's inks.
  void lay_tiles(const MapFrame& frame) {
    textures.begin(frame.tiles_generation);
    if (frame.tiles.empty()) return;
    canvas.use(tile);
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

  // `shift`: right and down of its place, framebuffer pixels; `written`: how large its sign is beside that of a site.
  void marks(const Buffer& places, const Buffer& looks, const MapFrame& frame, float radius, bool signs,
             float pixel, float shift = 0, float written = 1) const {
    const std::size_t count = std::min(places.count(), looks.count());
    if (count == 0) return;
    const Program& program = signs ? signed_mark : plain_mark;
    canvas.use(program);
    program.set("shift", shift);
    // Small marks have thin rims: of a hundred thousand, every pixel counts.
    const float stroke_px = radius > 6 ? std::max(1.0F, radius / 8) : std::max(0.5F, radius / 6);
    const float size = 2 * std::ceil(radius + 2.2F * stroke_px + 0.5F) + 1;
    program.set("size", size);
    program.set("radius", radius);
    program.set("stroke", stroke_px);
    program.set("still_share", frame.still_share);
    program.set("outline", kOutline);
    program.set("faded_outline", kFadedOutline);
    program.set("paper", frame.inks.mark_ground);
    set_colours(program, "fills", frame.colours.fill);
    if (signs) {
      set_colours(program, "inks", frame.colours.ink);
      const float glyph = pixel * written;
      std::array<float, kSignCount * 4> uv{}, box{};
      for (std::size_t i = 0; i < kSignCount; ++i) {
        const SignGlyph& g = frame.signs[i];
        const float uv_i[] = {g.u0, g.v0, g.u1, g.v1};
        const float box_i[] = {g.left * glyph, g.top * glyph, g.right * glyph, g.bottom * glyph};
        std::copy(std::begin(uv_i), std::end(uv_i), &uv[i * 4]);
        std::copy(std::begin(box_i), std::end(box_i), &box[i * 4]);
      }
      glUniform4fv(program.at("sign_uv"), kSignCount, uv.data());
      glUniform4fv(program.at("sign_box"), kSignCount, box.data());
      program.set("advance", frame.digit_advance_px * glyph);
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

  // Everything below the marks; `unit`: framebuffer pixels in a pixel of a plain screen.
  void lay_ground(const MapFrame& frame, float unit, const PixelBox& seen) {
    lay_tiles(frame);
    // Where the processor draws, sheets and not coarser lines keep the map moving.
    const bool in_parts = software && !exact;
    std::vector<GroundJob> jobs =
        ground.jobs(frame,
                    in_parts ? ground.views(frame.view.shown(kBeyond_px), canvas, frame.most_segments)
                             : GroundViews{frame.channels, frame.catchments, frame.shores},
                    unit);
    const bool few = cost_of(jobs) <= kFewPieces;
    if (!in_parts || few || !sheets.paint(ground, frame, canvas, seen, unit)) {
      sheets.rest();
      for (GroundJob& job : jobs) ground.run(job, canvas, kEverything);
    }
    ground.stroke_paths(frame, canvas, unit);
  }

  void set_marks(const MapFrame& frame, float pixel) const {
    if (frame.layers[Layer::kOutfalls])
      marks(outfalls, outfall_marks, frame, frame.outfall_radius_px * pixel, false, pixel);
    if (!frame.layers[Layer::kSites]) return;
    marks(sites, site_marks, frame, frame.site_radius_px * pixel, frame.show_signs, pixel);
    many.draw(frame, canvas, pixel);
    const float radius = frame.many_radius_px * pixel;
    marks(many.places(), many.worst(), frame, radius * kWorstRadius, true, pixel, radius * kWorstAway,
          frame.many_worst_scale);
  }
};

GlPainter::GlPainter() : impl_(std::make_unique<Impl>()) {}
GlPainter::~GlPainter() = default;

void GlPainter::load(const MapScene& scene) {
  Impl& m = *impl_;
  m.outfalls.load(std::span<const Point2f>(scene.outfalls));
  m.ground.load(scene);
  m.sheets.drop();
}

void GlPainter::set_exact(bool exact) {
  impl_->exact = exact;
}

bool GlPainter::draws_in_parts() const {
  return impl_->software;
}

bool GlPainter::is_whole() const {
  return impl_->sheets.is_whole();
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

void GlPainter::paint(const MapFrame& frame, MapPart part, const PixelBox& clip, Pixel display,
                      Pixel framebuffer_scale) {
  Impl& m = *impl_;
  if (part == MapPart::kGround) m.follow(frame);
  const double sx = framebuffer_scale.x, sy = framebuffer_scale.y;
  const auto pixel = static_cast<float>(sx);  // framebuffer pixels in a logical one
  const Pixel middle = frame.view.to_pixel(frame.view.centre);
  m.canvas.px_per_m = sx / frame.view.metres_per_pixel;
  m.canvas.middle = {middle.x * sx, middle.y * sy};
  m.canvas.width = display.x * sx;
  m.canvas.height = display.y * sy;
  m.canvas.centre = frame.view.centre;

  glBindVertexArray(m.vertex_array);
  glEnable(GL_SCISSOR_TEST);
  glScissor(static_cast<GLint>(clip.left * sx), static_cast<GLint>((display.y - clip.bottom()) * sy),
            static_cast<GLsizei>(std::max(clip.width * sx, 0.0)),
            static_cast<GLsizei>(std::max(clip.height * sy, 0.0)));
  glEnable(GL_BLEND);
  glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
  glDisable(GL_DEPTH_TEST);
  glDisable(GL_CULL_FACE);
  if (part == MapPart::kGround)
    m.lay_ground(frame, frame.scale * pixel,
                 {clip.left * sx, clip.top * sy, clip.width * sx, clip.height * sy});
  else
    m.set_marks(frame, pixel);
  glBindVertexArray(0);
}

}  // namespace brookmark::viewer

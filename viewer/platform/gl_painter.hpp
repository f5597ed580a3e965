// Why: a hundred thousand sites are one draw call, and another day rewrites four bytes a site. Where no graphics hardware
// draws, many lines are drawn a part in each frame, onto a sheet that is then moved with the map (gl_sheets_internal.hpp).
// Needs a current OpenGL 3.3 context from construction to destruction.
#pragma once

#include <memory>

#include "viewer/map/painter.hpp"

namespace brookmark::viewer {

class GlPainter final : public MapPainter {
 public:
  // Throws Error(kNotFound) when the graphics driver does not take the shaders.
  GlPainter();
  ~GlPainter() override;
  void load(const MapScene& scene) override;
  void paint(const MapFrame& frame, MapPart part, const PixelBox& clip, Pixel display_size,
             Pixel framebuffer_scale) override;
  std::uintptr_t photo_texture(std::uint64_t version, int width, int height,
                               std::span<const std::uint8_t> rgba) override;
  // For pictures: every frame draws everything anew.
  void set_exact(bool exact);
  // Whether the newest frame's lines are those of its view; else another frame brings more of them.
  bool is_whole() const;
  // Whether the processor draws here, and so many lines a part in each frame.
  bool draws_in_parts() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer

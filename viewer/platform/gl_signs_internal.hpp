// Why: hundreds of signs of gathered sites are one draw call, a point each.
// Use: signs.load(frame);  signs.draw(frame, canvas, pixel);
#pragma once

#include "viewer/map/painter.hpp"
#include "viewer/platform/gl_parts_internal.hpp"

namespace brookmark::viewer {

class ManySigns {
 public:
  ManySigns();
  void load(const MapFrame& frame);
  // Ground and ring; numbers are written by whoever has the fonts. `pixel`: framebuffer pixels in a logical one.
  void draw(const MapFrame& frame, const GlCanvas& canvas, float pixel) const;
  // For the mark of the worst of each.
  const Buffer& places() const { return places_; }
  const Buffer& worst() const { return worst_; }

 private:
  Program program_;
  Buffer signs_, places_, worst_;
};

}  // namespace brookmark::viewer

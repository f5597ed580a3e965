// Why: one small value says which part of the plane the map shows and where on the screen; everything that
// turns metres into pixels or back goes through it.
// Use: Viewport v{...};  auto px = v.to_pixel(site);  auto place = v.to_plane({400, 300});
#pragma once

#include "core/base/geometry.hpp"

namespace brookmark::viewer {

// In logical pixels of the window, y downwards.
struct Pixel {
  double x = 0, y = 0;
  bool operator==(const Pixel&) const = default;
};

struct PixelBox {
  double left = 0, top = 0, width = 0, height = 0;
  double right() const { return left + width; }
  double bottom() const { return top + height; }
  bool contains(Pixel p) const { return p.x >= left && p.x < right() && p.y >= top && p.y < bottom(); }
  bool operator==(const PixelBox&) const = default;
};

// An axis-parallel box in the local plane, metres.
struct PlaneBox {
  double min_x = 0, min_y = 0, max_x = 0, max_y = 0;
  bool operator==(const PlaneBox&) const = default;
};

inline constexpr double kNearestMetresPerPixel = 0.02;
inline constexpr double kFarthestMetresPerPixel = 20000;

struct Viewport {
  PixelBox box;             // the map's place in the window
  core::PlanePoint centre;  // shown in the middle of the box
  double metres_per_pixel = 1;
  bool operator==(const Viewport&) const = default;

  Pixel to_pixel(core::PlanePoint p) const {
    return {box.left + box.width / 2 + (p.x - centre.x) / metres_per_pixel,
            box.top + box.height / 2 - (p.y - centre.y) / metres_per_pixel};
  }
  core::PlanePoint to_plane(Pixel p) const {
    return {centre.x + (p.x - box.left - box.width / 2) * metres_per_pixel,
            centre.y - (p.y - box.top - box.height / 2) * metres_per_pixel};
  }
  // What is shown, widened by `margin_px` on every side.
  PlaneBox shown(double margin_px = 0) const {
    const double half_x = (box.width / 2 + margin_px) * metres_per_pixel;
    const double half_y = (box.height / 2 + margin_px) * metres_per_pixel;
    return {centre.x - half_x, centre.y - half_y, centre.x + half_x, centre.y + half_y};
  }
};

}  // namespace brookmark::viewer

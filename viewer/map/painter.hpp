// Why: the map's description of one frame, free of any graphics library, and the door through which a
// platform paints it. In a test without graphics there is no painter, and everything else runs all the same.
#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "viewer/map/background.hpp"
#include "viewer/map/catchment_fill.hpp"
#include "viewer/map/inks.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/map/reach_paint.hpp"
#include "viewer/map/scene.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// Where the signs 0-9, dash, stroke and question mark lie in the font texture, and their boxes in logical
// pixels around the middle of the sign.
struct SignGlyph {
  float u0 = 0, v0 = 0, u1 = 0, v1 = 0;
  float left = 0, top = 0, right = 0, bottom = 0;
};

// Where several sites stand under one sign; `until`: where the share of each colour ends on its ring, of 65535, in the order
// of kRingOrder.
struct ManySites {
  Point2f place;
  std::array<std::uint16_t, kMarkColourCount> until{};
};
// Colours around the ring: the classes, best first, then what has none.
constexpr std::array<int, kMarkColourCount> ring_order() {
  std::array<int, kMarkColourCount> order{};
  for (std::size_t i = 0; i < kMarkColourCount; ++i)
    order[i] = static_cast<int>((i + kColourFirstClass) % kMarkColourCount);
  return order;
}
inline constexpr std::array<int, kMarkColourCount> kRingOrder = ring_order();
// The mark of the worst of them, on the rim of their sign: its radius, and how far it is right and down; in radii of the
// sign.
inline constexpr float kWorstRadius = 0.452F, kWorstAway = 0.8F;

struct MapFrame {
  Viewport view;
  Layers layers;
  MarkColours colours;
  Inks inks;
  float site_radius_px = 11, outfall_radius_px = 8;
  float still_share = 1;  // of the radius, for sites on still water: less lets their water be seen
  bool show_signs = true;
  float scale = 1;  // of everything that is measured in pixels
  std::array<SignGlyph, kSignCount> signs;
  float digit_advance_px = 8;
  std::uintptr_t font_texture = 0;
  // What of the scene's lines is in view, and as fine as can be seen.
  LineDetail::View channels, catchments, shores;
  // Catchments filled by class; null: not asked for. `areas` lives as long as the scene.
  const CatchmentAreas* areas = nullptr;
  std::uint64_t areas_version = 0;
  std::span<const FillGroup> fills;
  std::uint64_t fills_version = 0;
  std::size_t most_segments = 24000;  // of one kind of line in view
  // Uploaded only when its version differs from the one uploaded last. Of the sites only those in view.
  std::span<const Point2f> site_places;
  std::span<const Mark> site_marks, outfall_marks;
  std::uint64_t site_marks_version = 0, outfall_marks_version = 0;
  // Signs of gathered sites in view, with the version of the sites' marks, and beside them the mark of the worst.
  std::span<const ManySites> many;
  std::span<const Mark> many_worst;
  float many_radius_px = 18;
  float many_worst_scale = 1;  // of the signs in the worst marks, beside those in marks of sites
  // The ground below: pieces to lay down in this order; `shaded`: light and shade, in the inks of the look.
  std::span<const PaintTile> tiles;
  std::uint64_t tiles_generation = 0;
  bool shaded = false;
  const QueryPaths* paths = nullptr;
  std::uint64_t paths_version = 0;
  const ReachPaint* reaches = nullptr;
  std::uint64_t reaches_version = 0;
};

// What else is drawn on the ground comes between the two.
enum class MapPart : std::uint8_t {
  kGround,  // the ground, areas and lines; buffers are brought up to date
  kMarks,   // of outfalls and sites
};

class MapPainter {
 public:
  virtual ~MapPainter() = default;
  // Kept by reference until the next load.
  virtual void load(const MapScene& scene) = 0;
  // Called while the frame is drawn, once for each part in their order, with the map's clip box set by the caller in
  // `clip` (logical pixels).
  virtual void paint(const MapFrame& frame, MapPart part, const PixelBox& clip, Pixel display_size,
                     Pixel framebuffer_scale) = 0;
  // The one photo that a page shows, as a texture for it; uploaded only when its version differs from the one uploaded
  // last. Four bytes a pixel, rows from the top. 0: there is no graphics.
  virtual std::uintptr_t photo_texture(std::uint64_t /*version*/, int /*width*/, int /*height*/,
                                       std::span<const std::uint8_t> /*rgba*/) {
    return 0;
  }
};

}  // namespace brookmark::viewer

#include "viewer/map/triangulate.hpp"

#include <geos_c.h>

#include <cmath>
#include <memory>

namespace brookmark::viewer {
namespace {

struct Context {
  GEOSContextHandle_t handle = GEOS_init_r();
  ~Context() { GEOS_finish_r(handle); }
};

struct Free {
  GEOSContextHandle_t handle;
  void operator()(GEOSGeometry* g) const { GEOSGeom_destroy_r(handle, g); }
};
using Geometry = std::unique_ptr<GEOSGeometry, Free>;

Geometry make_ring(GEOSContextHandle_t geos, const std::vector<core::PlanePoint>& ring) {
  if (ring.size() < 4) return Geometry(nullptr, Free{geos});
  for (const core::PlanePoint p : ring)
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return Geometry(nullptr, Free{geos});
  GEOSCoordSequence* seq = GEOSCoordSeq_create_r(geos, static_cast<unsigned>(ring.size()), 2);
  for (std::size_t i = 0; i < ring.size(); ++i)
    GEOSCoordSeq_setXY_r(geos, seq, static_cast<unsigned>(i), ring[i].x, ring[i].y);
  return Geometry(GEOSGeom_createLinearRing_r(geos, seq), Free{geos});
}

void append_triangles(GEOSContextHandle_t geos, const GEOSGeometry* g, std::vector<core::PlanePoint>& out) {
  const int parts = GEOSGetNumGeometries_r(geos, g);
  if (GEOSGeomTypeId_r(geos, g) != GEOS_POLYGON) {
    for (int i = 0; i < parts; ++i) append_triangles(geos, GEOSGetGeometryN_r(geos, g, i), out);
    return;
  }
  const GEOSGeometry* ring = GEOSGetExteriorRing_r(geos, g);
  const GEOSCoordSequence* seq = ring ? GEOSGeom_getCoordSeq_r(geos, ring) : nullptr;
  unsigned size = 0;
  if (!seq || !GEOSCoordSeq_getSize_r(geos, seq, &size) || size != 4) return;
  for (unsigned i = 0; i < 3; ++i) {
    core::PlanePoint p;
    GEOSCoordSeq_getXY_r(geos, seq, i, &p.x, &p.y);
    out.push_back(p);
  }
}

}  // namespace

std::vector<core::PlanePoint> triangulate(std::span<const std::vector<core::PlanePoint>> rings) {
  std::vector<core::PlanePoint> corners;
  if (rings.empty()) return corners;
  const Context context;
  const GEOSContextHandle_t geos = context.handle;
  Geometry outer = make_ring(geos, rings.front());
  if (!outer) return corners;
  std::vector<GEOSGeometry*> holes;
  for (const auto& ring : rings.subspan(1))
    if (Geometry hole = make_ring(geos, ring)) holes.push_back(hole.release());
  Geometry polygon(
      GEOSGeom_createPolygon_r(geos, outer.release(), holes.data(), static_cast<unsigned>(holes.size())),
      Free{geos});
  if (!polygon) return corners;
  if (GEOSisValid_r(geos, polygon.get()) != 1) polygon.reset(GEOSMakeValid_r(geos, polygon.get()));
  if (!polygon) return corners;
  const Geometry triangles(GEOSConstrainedDelaunayTriangulation_r(geos, polygon.get()), Free{geos});
  if (triangles) append_triangles(geos, triangles.get(), corners);
  return corners;
}

}  // namespace brookmark::viewer

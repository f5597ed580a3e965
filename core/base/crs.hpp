// Why: one place sets axis order, forbids network grids and says how accurate a conversion is.
// Use: CrsConverter utm("EPSG:25832");  auto p = utm.to_lonlat({500000, 5983522});  utm.note()
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "core/base/geometry.hpp"

namespace brookmark::core {

// Converts positions between a coordinate system and WGS 84. x = easting or longitude first, always.
// Throws Error(kBadInput) for a system that PROJ does not know. One per thread.
class CrsConverter {
 public:
  explicit CrsConverter(const std::string& crs);  // "EPSG:25832", or WKT
  ~CrsConverter();
  CrsConverter(CrsConverter&&) noexcept;
  CrsConverter& operator=(CrsConverter&&) noexcept;

  // Nothing where the conversion has no finite answer.
  std::optional<LonLat> to_lonlat(PlanePoint point) const;
  std::optional<PlanePoint> from_lonlat(LonLat position) const;
  bool is_geographic() const;
  // Where the system is meant to be used, as the EPSG dataset tells it to PROJ: west, south, east and north in degrees.
  // Nothing where that is not told, is the whole Earth, or runs over the 180th meridian.
  std::optional<BoundingBox> area_of_use() const;
  // "ETRS89 / UTM zone 32N, accuracy 1 m" or "..., accuracy unknown": kept beside every converted position.
  std::string note() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::core

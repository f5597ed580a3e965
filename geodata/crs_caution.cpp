#include "geodata/crs_caution.hpp"

#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>

#include "core/base/geometry.hpp"
#include "core/base/text.hpp"
#include "geodata/export_frame_internal.hpp"

namespace brookmark::geodata {

std::string crs_caution(const std::string& crs, const core::Snapshot& snapshot) {
  const auto middle = snapshot.centre();
  if (!middle || crs == "EPSG:4326") return {};
  const ExportFrame frame(crs, snapshot, {});
  if (frame.system().IsProjected() == 0) return {};
  const double metres = frame.system().GetLinearUnits(nullptr);
  const double step = 0.005;  // degrees: some hundred metres
  const auto factor = [&](core::LonLat a, core::LonLat b) {
    const core::PlanePoint p = frame.project(a), q = frame.project(b);
    return std::hypot(p.x - q.x, p.y - q.y) * metres / core::geodesic_m(a, b);
  };
  const double east = factor({middle->lon - step, middle->lat}, {middle->lon + step, middle->lat});
  const double north = factor({middle->lon, middle->lat - step}, {middle->lon, middle->lat + step});
  const double worst = std::abs(std::log(east)) > std::abs(std::log(north)) ? east : north;
  if (!std::isfinite(worst) || std::abs(worst - 1) <= 0.01) return {};
  return "caution: in " + crs + " (" + frame.system().GetName() + ") lengths at this survey are " +
         core::format_fixed(worst, 3) +
         " times those on the ground, so do not measure in that file; a UTM zone or a national grid keeps "
         "them";
}

}  // namespace brookmark::geodata

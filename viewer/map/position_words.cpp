#include "viewer/map/position_words.hpp"

#include <cmath>
#include <cstdio>

namespace brookmark::viewer {
namespace {

std::string decimals(double value, int places) {
  char words[48];
  std::snprintf(words, sizeof words, "%.*f", places, value);
  std::string text = words;
  for (char& c : text)  // whatever the locale of the process says
    if (c == ',') c = '.';
  return text;
}

std::string degrees(double value, char positive, char negative) {
  return decimals(std::abs(value), 5) + "\u00B0 " + (value < 0 ? negative : positive);
}

std::string minutes(double value, char positive, char negative) {
  // In tenths of a second first, so that 59.96" becomes a full minute and never 60.0".
  const auto tenths = std::llround(std::abs(value) * 36000);
  return std::to_string(tenths / 36000) + "\u00B0 " + std::to_string(tenths / 600 % 60) + "\u2032 " +
         decimals(static_cast<double>(tenths % 600) / 10, 1) + "\u2033 " + (value < 0 ? negative : positive);
}

}  // namespace

std::string position_words(core::LonLat at, PositionForm form, const core::CrsConverter* grid) {
  if (!core::is_valid(at)) return {};
  if (form == PositionForm::kMinutes) return minutes(at.lon, 'E', 'W') + "  " + minutes(at.lat, 'N', 'S');
  if (form == PositionForm::kGrid && grid != nullptr && !grid->is_geographic())
    if (const auto p = grid->from_lonlat(at))
      return "E " + decimals(std::round(p->x), 0) + "  N " + decimals(std::round(p->y), 0);
  return degrees(at.lon, 'E', 'W') + "  " + degrees(at.lat, 'N', 'S');
}

double true_metres_per_pixel(const Viewport& view, const core::LocalFrame& frame) {
  const double half = 50 * view.metres_per_pixel;
  const core::LonLat west = frame.to_lonlat({view.centre.x - half, view.centre.y}),
                     east = frame.to_lonlat({view.centre.x + half, view.centre.y});
  if (!core::is_valid(west) || !core::is_valid(east)) return view.metres_per_pixel;
  const double metres = core::geodesic_m(west, east);
  return std::isfinite(metres) && metres > 0 ? metres / 100 : view.metres_per_pixel;
}

std::optional<double> north_on_map(const Viewport& view, const core::LocalFrame& frame) {
  const core::LonLat here = frame.to_lonlat(view.centre);
  if (!core::is_valid(here) || std::abs(here.lat) > 89.9) return std::nullopt;
  const core::PlanePoint a = frame.to_plane(here), b = frame.to_plane({here.lon, here.lat + 0.001});
  const double angle = std::atan2(b.x - a.x, b.y - a.y);
  if (!std::isfinite(angle)) return std::nullopt;
  return angle;
}

}  // namespace brookmark::viewer

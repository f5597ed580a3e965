#include "core/hygiene/daylight.hpp"

#include <cmath>
#include <numbers>

namespace brookmark::core {

namespace {

constexpr double kRadians = std::numbers::pi / 180;

double sin_deg(double degrees) {
  return std::sin(degrees * kRadians);
}
double cos_deg(double degrees) {
  return std::cos(degrees * kRadians);
}
double within(double value, double full) {
  const double rest = std::fmod(value, full);
  return rest < 0 ? rest + full : rest;
}

struct Moving {
  std::optional<double> utc_min;
  bool above = false;  // without a time: the sun stays above the horizon
};

// Symbols as printed: N day of the year, t approximate time in days, M mean anomaly, L true longitude, RA right
// ascension, H local hour angle, T local mean time; all in degrees or hours.
constexpr double kCosHorizon = -0.01454;  // of 90 degrees 50', as printed
constexpr double kCosCivil = -0.10453;    // of 96 degrees

Moving moving(LonLat place, Date day, bool rising, double cos_zenith) {
  const int year = year_month_day(day).year;
  const double n = day.days - make_date({year, 1, 1}).days + 1;
  const double lon_hour = place.lon / 15;
  const double t = n + ((rising ? 6 : 18) - lon_hour) / 24;
  const double m = 0.9856 * t - 3.289;
  const double l = within(m + 1.916 * sin_deg(m) + 0.020 * sin_deg(2 * m) + 282.634, 360);
  double ra = within(std::atan(0.91764 * std::tan(l * kRadians)) / kRadians, 360);
  ra = (ra + std::floor(l / 90) * 90 - std::floor(ra / 90) * 90) / 15;
  const double sin_dec = 0.39782 * sin_deg(l);
  const double cos_dec = std::cos(std::asin(sin_dec));
  const double cos_h = (cos_zenith - sin_dec * sin_deg(place.lat)) / (cos_dec * cos_deg(place.lat));
  if (!(cos_h >= -1 && cos_h <= 1)) return {{}, cos_h < -1};
  const double angle = std::acos(cos_h) / kRadians;
  const double h = (rising ? 360 - angle : angle) / 15;
  const double mean = h + ra - 0.06571 * t - 6.622;
  return {within(mean - lon_hour, 24) * 60, false};
}

}  // namespace

Daylight daylight(LonLat place, Date day) {
  const Moving up = moving(place, day, true, kCosHorizon), down = moving(place, day, false, kCosHorizon);
  if (!up.utc_min || !down.utc_min) return {{}, {}, up.above || down.above, {}};
  return {up.utc_min, down.utc_min, false, moving(place, day, false, kCosCivil).utc_min};
}

}  // namespace brookmark::core

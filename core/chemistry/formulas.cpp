#include "core/chemistry/formulas.hpp"

#include <cmath>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

constexpr double kKelvin = 273.15;
constexpr double kAtmosphereHpa = 1013.25;

// Empty when the value lies in the range, else the sentence. NaN lies in none.
std::string outside(const char* what, double value, double least, double most, const char* unit) {
  if (value >= least && value <= most) return "";
  const std::string tail = *unit != 0 ? " " + std::string(unit) : "";
  return std::string(what) + " " +
         (std::isfinite(value) ? format_number(value) + tail : "that is no number") +
         " lies outside the range in which the formula holds (" + format_number(least) + " to " +
         format_number(most) + tail + ")";
}

}  // namespace

Calculated oxygen_at_saturation(const WaterState& water) {
  for (const std::string& complaint : {outside("a temperature of", water.temperature_c, 0, 40, "C"),
                                       outside("an air pressure of", water.pressure_hpa, 507, 1115, "hPa"),
                                       outside("a salinity of", water.salinity, 0, 40, "psu")})
    if (!complaint.empty()) return {{}, complaint};
  const double c = water.temperature_c, t = c + kKelvin;
  const double fresh = -139.34411 + 1.575701e5 / t - 6.642308e7 / (t * t) + 1.243800e10 / (t * t * t) -
                       8.621949e11 / (t * t * t * t);
  const double salt = water.salinity * (1.7674e-2 - 1.0754e1 / t + 2.1407e3 / (t * t));
  // p: pressure in atmospheres; vapour: of water, in atmospheres; theta: departure of oxygen from an ideal gas, per atm.
  const double p = water.pressure_hpa / kAtmosphereHpa;
  const double vapour = std::exp(11.8571 - 3840.70 / t - 216961 / (t * t));
  const double theta = 0.000975 - 1.426e-5 * c + 6.436e-8 * c * c;
  const double pressure = p * ((1 - vapour / p) * (1 - theta * p)) / ((1 - vapour) * (1 - theta));
  return {std::exp(fresh - salt) * pressure, ""};
}

Calculated oxygen_saturation_percent(double oxygen, const WaterState& water) {
  if (!(oxygen >= 0) || !std::isfinite(oxygen))
    return {{},
            "oxygen of " + (std::isfinite(oxygen) ? format_number(oxygen) : std::string("no number")) +
                " mg/l is not possible"};
  const Calculated full = oxygen_at_saturation(water);
  if (!full.value) return full;
  return {100 * oxygen / *full.value, ""};
}

Calculated oxygen_mg_l(double saturation_percent, const WaterState& water) {
  if (!(saturation_percent >= 0) || !std::isfinite(saturation_percent))
    return {{},
            "an oxygen saturation of " +
                (std::isfinite(saturation_percent) ? format_number(saturation_percent)
                                                   : std::string("no number")) +
                " % is not possible"};
  const Calculated full = oxygen_at_saturation(water);
  if (!full.value) return full;
  return {saturation_percent / 100 * *full.value, ""};
}

Calculated unionised_ammonia_share(double ph, double temperature_c) {
  for (const std::string& complaint :
       {outside("a pH of", ph, 6, 10, ""), outside("a temperature of", temperature_c, 0, 30, "C")})
    if (!complaint.empty()) return {{}, complaint};
  const double pka = 0.09018 + 2729.92 / (temperature_c + kKelvin);
  return {1 / (1 + std::pow(10, pka - ph)), ""};
}

Calculated conductivity_at_25(double conductivity, double temperature_c) {
  if (!(conductivity >= 0) || !std::isfinite(conductivity))
    return {{},
            "a conductivity of " +
                (std::isfinite(conductivity) ? format_number(conductivity) : std::string("no number")) +
                " is not possible"};
  if (const std::string complaint = outside("a temperature of", temperature_c, 0, 35, "C");
      !complaint.empty())
    return {{}, complaint};
  return {conductivity / (1 + 0.0191 * (temperature_c - 25)), ""};
}

}  // namespace brookmark::core

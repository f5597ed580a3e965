// Why: the same 9 mg/l of oxygen are plenty in a warm lowland ditch and little in a cold mountain stream; the same ammonia
// is harmless at pH 7 and deadly at pH 9. These are the published formulas, with the range in which they hold; outside it
// there is no value, and a sentence.
// Use: Calculated s = oxygen_at_saturation({.temperature_c = 12, .pressure_hpa = 990});
#pragma once

#include "core/chemistry/units.hpp"

namespace brookmark::core {

inline constexpr double kStandardPressureHpa = 1013.25;  // one atmosphere, by definition

struct WaterState {
  double temperature_c = 0;  // 0 to 40
  double pressure_hpa =
      kStandardPressureHpa;  // of the air at the place, not reduced to sea level; 507 to 1115
  double salinity = 0;       // practical salinity, 0 to 40
};

// Oxygen of water in balance with moist air, mg/l. Benson & Krause 1984, Limnol. Oceanogr. 29:620-632 (DOI
// 10.4319/lo.1984.29.3.0620), as in APHA 4500-O: constants for fresh water `secondary`, the terms of pressure and salinity
// `memory`. Holds for 0 to 40 C, salinity 0 to 40, 0.5 to 1.1 atm; within 0.005 mg/l of tests/reference/methods/11.
Calculated oxygen_at_saturation(const WaterState& water);
// oxygen_mg_l (0 or more) as percent of that, and the other way.
Calculated oxygen_saturation_percent(double oxygen_mg_l, const WaterState& water);
Calculated oxygen_mg_l(double saturation_percent, const WaterState& water);

// The share of total ammonia that is un-ionised NH3, 0 to 1: 1 / (1 + 10^(pKa - pH)), pKa = 0.09018 + 2729.92 / T (T in K).
// Emerson et al. 1975, J. Fish. Res. Board Can. 32:2379-2383 (DOI 10.1139/f75-274): constants `memory`; fresh water, 0 to
// 30 C, pH 6 to 10. Within half a printed digit of the table of tests/reference/methods/11.
Calculated unionised_ammonia_share(double ph, double temperature_c);

// Conductivity at the water's own temperature (0 to 35 C) brought to 25 C, in the unit given: K / (1 + 0.0191 (T - 25)).
// `secondary`: a probe's manual; the coefficient of APHA 2510 and ISO 7888. Coefficients of real waters run from about
// 0.018 to 0.022 (memory), hence some percent at 5 C. The range of temperature is common practice, no source.
Calculated conductivity_at_25(double conductivity, double temperature_c);

}  // namespace brookmark::core

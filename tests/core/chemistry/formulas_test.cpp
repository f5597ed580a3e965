// Against tests/reference/methods/11: oxygen (computed there from the published equation), un-ionised ammonia (published
// tables; cells marked use_in_test = no depart from their own equation), conductivity.
#include "core/chemistry/formulas.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <map>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::near;
using brookmark::test::near_relative;

namespace {

using Row = std::map<std::string, std::string>;

void for_each_row(const char* file, const std::function<void(const Row&)>& use) {
  const core::Table table = core::read_csv_file(brookmark::test::reference(file));
  for (const core::TableRow& line : table.rows) {
    Row row;
    for (std::size_t i = 0; i < table.columns.size(); ++i) row[table.columns[i]] = line.cells[i];
    use(row);
  }
}

double number(const Row& row, const char* column) {
  return core::parse_number(row.at(column)).value();
}

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

// Garcia & Gordon 1992, Limnol. Oceanogr. 37:1307-1312 (memory): another fit to the same measurements, ml/l at 1 atm. Its
// printed check value: 10 C, salinity 35: 6.315 ml/l.
double another_fit_ml_l(double c, double s) {
  const double t = std::log((298.15 - c) / (273.15 + c));
  const auto polynomial = [&](std::initializer_list<double> k) {
    double sum = 0, power = 1;
    for (const double one : k) sum += one * power, power *= t;
    return sum;
  };
  return std::exp(polynomial({2.00907, 3.22014, 4.05010, 4.94457, -0.256847, 3.88767}) +
                  s * polynomial({-6.24523e-3, -7.37614e-3, -1.03410e-2, -8.17083e-3}) - 4.88682e-7 * s * s);
}

}  // namespace

TEST_CASE("oxygen at saturation is that of the table, at every temperature and pressure") {
  int rows = 0;
  for_each_row("methods/11_do_saturation.csv", [&](const Row& row) {
    const auto got = core::oxygen_at_saturation(
        {number(row, "temp_C"), number(row, "pressure_mmHg") * 1013.25 / 760, number(row, "salinity")});
    CAPTURE(row.at("temp_C"));
    CAPTURE(row.at("pressure_mmHg"));
    REQUIRE(got.value.has_value());
    // The equation's own values are printed to 0.001. The other rows are older measurements, up to 0.026 lower.
    const bool same_equation = row.at("source").starts_with("Benson & Krause 1984");
    CHECK(near(*got.value, number(row, "do_mg_L"), same_equation ? 0.0006 : number(row, "tolerance")));
    ++rows;
  });
  CHECK(rows == 104);
}

TEST_CASE("the constants of the oxygen equation are those of the table") {
  std::map<std::string, std::string> constants;
  for_each_row("methods/11_do_constants.csv",
               [&](const Row& row) { constants[row.at("symbol")] = row.at("value"); });
  const auto c = [&](const char* name) { return core::parse_number(constants.at(name)).value(); };
  for (const double temperature : {0.0, 11.5, 25.0, 40.0}) {
    const double t = temperature + 273.15;
    const double expected = std::exp(c("c0") + c("c1") / t + c("c2") / (t * t) + c("c3") / std::pow(t, 3) +
                                     c("c4") / std::pow(t, 4));
    CHECK(near_relative(core::oxygen_at_saturation({temperature}).value.value(), expected, 1e-12));
  }
}

TEST_CASE("salt water holds less oxygen, as another fit to the same measurements says") {
  CHECK(near(another_fit_ml_l(10, 35), 6.315, 0.0005));
  for (const double c : {0.0, 5.0, 10.0, 20.0, 30.0})
    for (const double s : {0.0, 5.0, 20.0, 35.0}) {
      CAPTURE(c);
      CAPTURE(s);
      // 1.42905 mg/ml (11_do_constants.csv). The two fits differ by up to 0.3 %.
      CHECK(near_relative(core::oxygen_at_saturation({c, core::kStandardPressureHpa, s}).value.value(),
                          another_fit_ml_l(c, s) * 1.42905, 0.003));
    }
}

TEST_CASE("saturation and concentration are each other's inverse") {
  const core::WaterState water{12, 975, 0};
  const double percent = core::oxygen_saturation_percent(8.4, water).value.value();
  CHECK(near(core::oxygen_mg_l(percent, water).value.value(), 8.4, 1e-12));
  CHECK(core::oxygen_saturation_percent(0, water).value.value() == 0);
}

TEST_CASE("the share of un-ionised ammonia is that of the published table") {
  int used = 0, left_out = 0;
  for_each_row("methods/11_nh3_fraction.csv", [&](const Row& row) {
    if (row.at("use_in_test") != "yes") {
      ++left_out;
      return;
    }
    CAPTURE(row.at("pH"));
    CAPTURE(row.at("temp_C"));
    const auto got = core::unionised_ammonia_share(number(row, "pH"), number(row, "temp_C"));
    REQUIRE(got.value.has_value());
    CHECK(near(*got.value, number(row, "fraction_equation"), 5.1e-7));  // half its last printed digit
    // Printed to four decimals, some rounded and some cut off.
    CHECK(near(*got.value, number(row, "fraction_published"), 0.0001));
    ++used;
  });
  CHECK(used == 115);
  CHECK(left_out == 9);
}

TEST_CASE("the second table of un-ionised ammonia agrees as far as its own equation does") {
  for_each_row("methods/11_nh3_percent_trussell.csv", [&](const Row& row) {
    const double got =
        100 * core::unionised_ammonia_share(number(row, "pH"), number(row, "temp_C")).value.value();
    CHECK(near(got, number(row, "percent_equation_emerson"), 0.00051));
    CHECK(near_relative(got, number(row, "percent_unionised"), 0.03));  // Trussell 1972 used other constants
  });
}

TEST_CASE("conductivity is brought to 25 C") {
  CHECK(near(core::conductivity_at_25(1000, 15).value.value(), 1236.09, 0.005));  // 11_conductivity.csv
  CHECK(near(core::conductivity_at_25(1000, 20).value.value(), 1105.58, 0.005));
  CHECK(core::conductivity_at_25(315, 25).value.value() == 315);
  // The rule of thumb there: 5 mS/cm at 25 C reads about 4 mS/cm at 15 C.
  CHECK(near(core::conductivity_at_25(4, 15).value.value(), 5, 0.1));
}

TEST_CASE("outside the range of a formula there is no value, and a sentence that says the range") {
  const auto refuses = [](const core::Calculated& c, const char* words) {
    CAPTURE(c.why_not);
    return !c.value && c.why_not.find(words) != std::string::npos;
  };
  CHECK(refuses(core::oxygen_at_saturation({40.1}), "0 to 40 C"));
  CHECK(refuses(core::oxygen_at_saturation({-0.1}), "0 to 40 C"));
  CHECK(refuses(core::oxygen_at_saturation({10, 101.325}), "507 to 1115 hPa"));  // kPa by mistake
  CHECK(refuses(core::oxygen_at_saturation({10, 1000, 41}), "0 to 40 psu"));
  CHECK(refuses(core::oxygen_at_saturation({kNan}), "no number"));
  CHECK(refuses(core::oxygen_saturation_percent(-1, {10}), "not possible"));
  CHECK(refuses(core::oxygen_mg_l(-5, {10}), "not possible"));
  CHECK(refuses(core::unionised_ammonia_share(20, 10), "6 to 10"));
  CHECK(refuses(core::unionised_ammonia_share(5.9, 10), "6 to 10"));
  CHECK(refuses(core::unionised_ammonia_share(8, 32), "0 to 30 C"));
  CHECK(refuses(core::unionised_ammonia_share(kNan, 10), "no number"));
  CHECK(refuses(core::conductivity_at_25(100, 36), "0 to 35 C"));
  CHECK(refuses(core::conductivity_at_25(-1, 20), "not possible"));
}

// Expected values: definitions of the units, and molar masses worked out by hand in the comments.
#include "core/chemistry/units.hpp"

#include <doctest/doctest.h>

#include "core/chemistry/quantities.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
using brookmark::test::near;
using brookmark::test::near_relative;

namespace {

double converted(double value, const char* from, const char* to) {
  const auto result = core::convert(value, from, to);
  INFO(result.why_not);
  REQUIRE(result.value.has_value());
  return *result.value;
}

std::string why_not(const char* from, const char* to) {
  const auto result = core::convert(1, from, to);
  CHECK_FALSE(result.value.has_value());
  return result.why_not;
}

bool says(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

constexpr double kRound = 1e-12;

}  // namespace

TEST_CASE("units of one kind turn into each other") {
  CHECK(near(converted(0.315, "mS/cm", "\u00b5S/cm"), 315, kRound * 315));
  CHECK(near(converted(31.5, "mS/m", "uS/cm"), 315, kRound * 315));
  CHECK(near(converted(315, "\u03bcS cm-1", "mS/cm"), 0.315, kRound));
  CHECK(near(converted(68, "F", "degC"), 20, kRound * 20));
  CHECK(near(converted(-40, "C", "\u00b0F"), -40, 1e-10));
  CHECK(near(converted(293.15, "K", "C"), 20, 1e-10));
  CHECK(near(converted(760, "mmHg", "hPa"), 1013.25, 1e-9));
  CHECK(near(converted(1, "atm", "mmHg"), 760, 1e-9));
  CHECK(near(converted(29.92, "inHg", "hPa"), 1013.2,
             0.05));  // the standard atmosphere, as printed on barometers
  CHECK(near(converted(101.325, "kPa", "hPa"), 1013.25, 1e-9));
  CHECK(near(converted(50, "ug/l", "mg/L"), 0.05, kRound));
  CHECK(near(converted(0.05, "mg l-1", "\u00b5g/l"), 50, 1e-10));
  CHECK(near(converted(9, "mg/l O2", "mg/l"), 9, kRound));
}

// NH4 18.039 g/mol, NH3 17.031, NO3 62.004, NO2 46.005, N 14.007; PO4 94.970, P 30.974.
TEST_CASE("a substance is counted as its element and back") {
  CHECK(near(converted(1, "mg/l NH4", "mg/l N"), 14.007 / 18.039, kRound));
  CHECK(near(converted(1, "mg/l N", "mg/l NH3"), 17.031 / 14.007, kRound));
  CHECK(near(converted(50, "mg/l NO3", "mg/l NO3-N"), 50 * 14.007 / 62.004, 1e-10));
  CHECK(near(converted(1000, "ug/l as NO2", "mg/l N"), 14.007 / 46.005, kRound));
  CHECK(near(converted(1, "mg PO4/l", "mg/l P"), 30.974 / 94.970, kRound));
  CHECK(near(converted(1, "mg/l (NH4)", "mg/l NH4-N"), 14.007 / 18.039, kRound));
}

TEST_CASE("what a unit does not say is not guessed") {
  CHECK(says(why_not("mg/l", "mg/l N"), "does not say what it counts"));
  CHECK(says(why_not("mg/l NH4", "mg/l"), "does not say what it counts"));
  CHECK(says(why_not("mg/l NH4", "mg/l NO3"), "different substances"));
  CHECK(says(why_not("mg/l N", "mg/l P"), "different substances"));
  CHECK(says(why_not("mg/l", "%"), "different things"));
  CHECK(says(why_not("furlong", "C"), "not known here"));
  CHECK(says(why_not("C", "furlong"), "not known here"));
  CHECK(says(why_not("", "mg/l"), "a number without a unit"));
}

TEST_CASE("every unit survives the way there and back") {
  for (const auto& [from, to] : {std::pair{"F", "C"},
                                 {"K", "F"},
                                 {"mmHg", "kPa"},
                                 {"S/m", "uS/cm"},
                                 {"ng/l", "g/l"},
                                 {"mg/l NH4", "ug/l N"},
                                 {"inHg", "atm"}})
    CHECK(near_relative(converted(converted(17.25, from, to), to, from), 17.25, 1e-10));
}

TEST_CASE("every quantity of the table has a unit that is known, and limits in order") {
  CHECK(core::quantities().size() >= 15);
  for (const core::Quantity& one : core::quantities()) {
    CAPTURE(one.id);
    CHECK(core::parse_unit(one.unit).has_value());
    if (one.usual_min && one.usual_max) CHECK(*one.usual_min < *one.usual_max);
    if (one.possible_min && one.usual_min) CHECK(*one.possible_min <= *one.usual_min);
    if (one.possible_max && one.usual_max) CHECK(*one.possible_max >= *one.usual_max);
    CHECK_FALSE(one.source_key.empty());
    // No two quantities share a name and a kind of unit.
    for (const std::string& name : one.names) CHECK(core::find_quantity(name, one.unit) == &one);
  }
}

TEST_CASE("a quantity is known by its names and the kind of its unit") {
  CHECK(core::find_quantity("Oxyg", "%")->id == "oxygen-saturation");
  CHECK(core::find_quantity("Oxyg", "mg/l")->id == "dissolved-oxygen");
  CHECK(core::find_quantity("Oxyg", "") == nullptr);
  CHECK(core::find_quantity("Water Temperature", "F")->id == "temperature");
  CHECK(core::find_quantity("dissolved-oxygen", "mg/l")->id == "dissolved-oxygen");
  CHECK(core::find_quantity("Ammo", "mg/l NH4")->id == "ammonia");
  CHECK(core::find_quantity("colour", "") == nullptr);
  CHECK(core::find_quantity("pH", "furlong") == nullptr);
  CHECK(core::quantities_named("oxygen").size() == 2);
}

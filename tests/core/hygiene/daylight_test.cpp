#include "core/hygiene/daylight.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

double minutes(const std::string& clock) {
  const auto parts = core::split(clock, ':');
  return static_cast<double>(*core::parse_integer(parts.at(0)) * 60 + *core::parse_integer(parts.at(1)));
}

}  // namespace

TEST_CASE("sunrise and sunset agree with printed times") {
  const core::Table table = core::read_csv_file(reference("daylight/sun_times.csv"));
  std::size_t seen = 0;
  for (const core::TableRow& row : table.rows) {
    const auto cell = [&](const char* column) { return row.cells[*table.find(column)]; };
    CAPTURE(row.line);
    const double lat = *core::parse_number(cell("lat"));
    const core::Daylight light =
        core::daylight({*core::parse_number(cell("lon")), lat}, *core::parse_date(cell("date")));
    const auto& found = cell("what") == "sunrise" ? light.rise_utc_min : light.set_utc_min;
    REQUIRE(found.has_value());
    // Printed to the minute; the formula promises about one minute, less well towards the polar circles.
    CHECK(near(*found, minutes(cell("utc")), std::abs(lat) > 60 ? 4 : 2));
    ++seen;
  }
  CHECK(seen == table.rows.size());
  CHECK(seen > 50);
}

TEST_CASE("it is dark when another program for the sky says so, and always after sunset") {
  const core::Table table = core::read_csv_file(reference("daylight/dusk_times.csv"));
  CHECK(table.rows.size() == 40);
  for (const core::TableRow& row : table.rows) {
    const auto cell = [&](const char* column) { return row.cells[*table.find(column)]; };
    CAPTURE(row.line);
    const core::Daylight light =
        core::daylight({*core::parse_number(cell("lon")), *core::parse_number(cell("lat"))},
                       *core::parse_date(cell("date")));
    REQUIRE(light.dusk_utc_min.has_value());
    // Both are minutes of the UTC day; far from Greenwich the evening may lie in the next one.
    const auto apart = [](double a, double b) {
      const double d = std::fmod(std::abs(a - b), 1440);
      return std::min(d, 1440 - d);
    };
    CHECK(apart(*light.dusk_utc_min, minutes(cell("utc"))) <= 2);
    const double twilight = std::fmod(*light.dusk_utc_min - *light.set_utc_min + 1440, 1440);
    CHECK(twilight > 20);
    CHECK(twilight < 75);  // 66 minutes at 57 degrees north at the beginning of July
  }
  // White nights: the sun sets, and it does not get dark.
  const core::Daylight white = core::daylight({25, 64}, *core::parse_date("2024-06-21"));
  CHECK(white.set_utc_min);
  CHECK_FALSE(white.dusk_utc_min);
}

TEST_CASE("the sun neither rises nor sets within the polar circles at the solstices") {
  const core::Date june = *core::parse_date("2024-06-21"), december = *core::parse_date("2024-12-21");
  const core::Daylight up = core::daylight({20, 75}, june), down = core::daylight({20, 75}, december);
  CHECK_FALSE(up.rise_utc_min);
  CHECK(up.always_up);
  CHECK_FALSE(down.set_utc_min);
  CHECK_FALSE(down.always_up);
  CHECK(core::daylight({20, -75}, december).always_up);
}

TEST_CASE("the day at the equator lasts twelve hours and a few minutes, all year") {
  for (int day = 0; day < 366; ++day) {
    const core::Daylight light = core::daylight({0, 0}, {core::parse_date("2024-01-01")->days + day});
    REQUIRE(light.rise_utc_min);
    // 12 hours and what refraction and the sun's radius add: 2 x 50' / cos(declination) at 4 minutes a degree.
    CHECK(near(*light.set_utc_min - *light.rise_utc_min, 727, 1.5));
  }
}

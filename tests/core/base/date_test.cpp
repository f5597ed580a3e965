#include "core/base/date.hpp"

#include <doctest/doctest.h>

using namespace brookmark::core;

TEST_CASE("days are counted from 1970-01-01") {
  CHECK(make_date({1970, 1, 1}).days == 0);
  CHECK(make_date({2000, 3, 1}).days == 11017);  // 30 years and 7 leap days, then January and leap February
  CHECK(format_date(Date{11017}) == "2000-03-01");
}

TEST_CASE("a date is read only when the day exists") {
  CHECK(parse_date("2024-02-29").has_value());
  CHECK_FALSE(parse_date("2023-02-29").has_value());
  CHECK_FALSE(parse_date("2024-13-01").has_value());
  CHECK_FALSE(parse_date("2024-00-10").has_value());
  CHECK_FALSE(parse_date("2024-1-5").has_value());
  CHECK_FALSE(parse_date("05/01/2024").has_value());
  CHECK_FALSE(parse_date("2024-01-05x").has_value());
  CHECK_FALSE(parse_date("").has_value());
}

TEST_CASE("every day from 1899 to 2101 reads back as it was written") {
  for (std::int32_t day = make_date({1899, 12, 31}).days; day <= make_date({2101, 1, 1}).days; ++day)
    REQUIRE(parse_date(format_date(Date{day})) == Date{day});
}

TEST_CASE("a moment keeps what was written and no more") {
  CHECK(format_moment(*parse_moment("2024-05-03")) == "2024-05-03");
  CHECK(format_moment(*parse_moment("2024-05-03T09:30")) == "2024-05-03T09:30");
  CHECK(format_moment(*parse_moment("2024-05-03 09:30:15.25+0130")) == "2024-05-03T09:30+01:30");
  CHECK(format_moment(*parse_moment("2024-05-03T09:30Z")) == "2024-05-03T09:30Z");
  CHECK_FALSE(parse_moment("2024-05-03T24:00").has_value());
  CHECK_FALSE(parse_moment("2024-05-03T09:30+15:00").has_value());
  CHECK_FALSE(parse_moment("2024-05-03T9:30").has_value());
  CHECK_FALSE(parse_moment("2024-05-03T09:30+1").has_value());
}

TEST_CASE("universal time crosses midnight both ways") {
  CHECK(format_utc(*parse_moment("2024-03-01T00:30+01:00")) == "2024-02-29T23:30:00Z");
  CHECK(format_utc(*parse_moment("2023-12-31T23:30-02:00")) == "2024-01-01T01:30:00Z");
  CHECK(format_utc(*parse_moment("2024-05-03")) == "2024-05-03T00:00:00Z");
}

TEST_CASE("seasons turn round in the southern hemisphere") {
  CHECK(season_of(*parse_date("2024-12-01"), false) == Season::kWinter);
  CHECK(season_of(*parse_date("2024-02-29"), false) == Season::kWinter);
  CHECK(season_of(*parse_date("2024-03-01"), false) == Season::kSpring);
  CHECK(season_of(*parse_date("2024-08-31"), false) == Season::kSummer);
  CHECK(season_of(*parse_date("2024-09-01"), false) == Season::kAutumn);
  CHECK(season_of(*parse_date("2024-12-01"), true) == Season::kSummer);
  CHECK(season_of(*parse_date("2024-03-01"), true) == Season::kAutumn);
}

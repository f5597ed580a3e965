// Why: surveyors write local dates and times with an offset; exchange wants UTC; sorting wants a number.
// Use: auto when = parse_moment("2024-05-03T09:30+01:00");  when->date, format_utc(*when)
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace brookmark::core {

// A calendar day (proleptic Gregorian), as days since 1970-01-01. Valid years 1600 to 9999.
struct Date {
  std::int32_t days = 0;
  constexpr auto operator<=>(const Date&) const = default;
};

struct YearMonthDay {
  int year = 1970;
  int month = 1;  // 1..12
  int day = 1;    // 1..31
  constexpr auto operator<=>(const YearMonthDay&) const = default;
};

Date make_date(const YearMonthDay& ymd);
YearMonthDay year_month_day(Date date);
std::optional<Date> parse_date(std::string_view iso);  // "2024-05-03"; nothing else, no impossible days
std::string format_date(Date date);                    // "2024-05-03"

// A local date, a local time if one was noted, and the offset from UTC if one was noted.
struct Moment {
  Date date;
  std::optional<int> minute_of_day;   // 0..1439, local
  std::optional<int> utc_offset_min;  // local = UTC + offset; -840..840
  auto operator<=>(const Moment&) const = default;
};

// ISO 8601: a date, or date "T" (or a space) hh:mm[:ss[.fff]] with an optional "Z" or +hh:mm / +hhmm / +hh.
std::optional<Moment> parse_moment(std::string_view iso);
std::string format_moment(const Moment& moment);  // what was known, in ISO 8601
// "2024-05-03T08:30:00Z". A moment without an offset is taken as UTC; without a time, as midnight.
std::string format_utc(const Moment& moment);

// Meteorological seasons (December to February = winter in the north, summer in the south).
enum class Season : std::uint8_t { kWinter, kSpring, kSummer, kAutumn };
Season season_of(Date date, bool southern_hemisphere);
const char* season_name(Season season);

// The clock of this machine: for edit times and for "in the future" checks.
Date today_utc();
// The latest date that a surveyor anywhere may truly write: it can already be tomorrow east of Greenwich.
Date latest_day_anywhere();
std::string now_utc();  // "2024-05-03T08:30:00Z"

}  // namespace brookmark::core

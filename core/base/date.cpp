#include "core/base/date.hpp"

#include <array>
#include <chrono>
#include <cstdio>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// `text` must be `digits` decimal digits.
std::optional<int> fixed_digits(std::string_view text, std::size_t digits) {
  if (text.size() != digits) return std::nullopt;
  int value = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  return value;
}

std::string two(int value) {
  std::array<char, 16> text{};
  std::snprintf(text.data(), text.size(), "%02d", value);
  return text.data();
}

// "Z", "+01:00", "+0100", "+01"
std::optional<int> parse_offset(std::string_view text) {
  if (text == "Z" || text == "z") return 0;
  if (text.size() < 3 || (text[0] != '+' && text[0] != '-')) return std::nullopt;
  const int sign = text[0] == '-' ? -1 : 1;
  const auto hours = fixed_digits(text.substr(1, 2), 2);
  std::optional<int> minutes = 0;
  if (text.size() == 6 && text[3] == ':') {
    minutes = fixed_digits(text.substr(4), 2);
  } else if (text.size() == 5) {
    minutes = fixed_digits(text.substr(3), 2);
  } else if (text.size() != 3) {
    return std::nullopt;
  }
  if (!hours || !minutes || *minutes > 59 || *hours > 14) return std::nullopt;
  const int offset = sign * (*hours * 60 + *minutes);
  if (offset < -840 || offset > 840) return std::nullopt;
  return offset;
}

}  // namespace

Date make_date(const YearMonthDay& ymd) {
  const std::chrono::year_month_day day{std::chrono::year{ymd.year},
                                        std::chrono::month{static_cast<unsigned>(ymd.month)},
                                        std::chrono::day{static_cast<unsigned>(ymd.day)}};
  return {static_cast<std::int32_t>(std::chrono::sys_days{day}.time_since_epoch().count())};
}

YearMonthDay year_month_day(Date date) {
  const std::chrono::year_month_day ymd{std::chrono::sys_days{std::chrono::days{date.days}}};
  return {static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())),
          static_cast<int>(static_cast<unsigned>(ymd.day()))};
}

std::optional<Date> parse_date(std::string_view iso) {
  if (iso.size() != 10 || iso[4] != '-' || iso[7] != '-') return std::nullopt;
  const auto year = fixed_digits(iso.substr(0, 4), 4);
  const auto month = fixed_digits(iso.substr(5, 2), 2);
  const auto day = fixed_digits(iso.substr(8, 2), 2);
  if (!year || !month || !day || *year < 1600 || *month < 1 || *month > 12 || *day < 1) return std::nullopt;
  const YearMonthDay ymd{*year, *month, *day};
  const Date date = make_date(ymd);
  if (*day > 31 || year_month_day(date) != ymd) return std::nullopt;
  return date;
}

std::string format_date(Date date) {
  const YearMonthDay ymd = year_month_day(date);
  std::array<char, 48> text{};
  std::snprintf(text.data(), text.size(), "%04d-%02d-%02d", ymd.year, ymd.month, ymd.day);
  return text.data();
}

std::optional<Moment> parse_moment(std::string_view iso) {
  iso = trim(iso);
  if (iso.size() < 10) return std::nullopt;
  const auto date = parse_date(iso.substr(0, 10));
  if (!date) return std::nullopt;
  Moment moment{*date, {}, {}};
  if (iso.size() == 10) return moment;
  if ((iso[10] != 'T' && iso[10] != ' ') || iso.size() < 16 || iso[13] != ':') return std::nullopt;
  const auto hour = fixed_digits(iso.substr(11, 2), 2);
  const auto minute = fixed_digits(iso.substr(14, 2), 2);
  if (!hour || !minute || *hour > 23 || *minute > 59) return std::nullopt;
  moment.minute_of_day = *hour * 60 + *minute;
  std::string_view rest = iso.substr(16);
  if (!rest.empty() && rest[0] == ':') {
    const auto second = fixed_digits(rest.substr(1, 2), 2);
    if (!second || *second > 60) return std::nullopt;
    rest = rest.substr(3);
    if (!rest.empty() && rest[0] == '.') {
      std::size_t end = 1;
      while (end < rest.size() && rest[end] >= '0' && rest[end] <= '9') ++end;
      if (end == 1) return std::nullopt;
      rest = rest.substr(end);
    }
  }
  if (rest.empty()) return moment;
  moment.utc_offset_min = parse_offset(rest);
  if (!moment.utc_offset_min) return std::nullopt;
  return moment;
}

std::string format_moment(const Moment& moment) {
  std::string text = format_date(moment.date);
  if (!moment.minute_of_day) return text;
  text += 'T';
  text += two(*moment.minute_of_day / 60) + ":" + two(*moment.minute_of_day % 60);
  if (!moment.utc_offset_min) return text;
  if (*moment.utc_offset_min == 0) return text + "Z";
  const int offset = *moment.utc_offset_min < 0 ? -*moment.utc_offset_min : *moment.utc_offset_min;
  text += *moment.utc_offset_min < 0 ? '-' : '+';
  return text + two(offset / 60) + ":" + two(offset % 60);
}

std::string format_utc(const Moment& moment) {
  int minutes =
      moment.minute_of_day.value_or(0) - (moment.minute_of_day ? moment.utc_offset_min.value_or(0) : 0);
  Date date = moment.date;
  while (minutes < 0) minutes += 1440, --date.days;
  while (minutes >= 1440) minutes -= 1440, ++date.days;
  return format_date(date) + "T" + two(minutes / 60) + ":" + two(minutes % 60) + ":00Z";
}

Season season_of(Date date, bool southern_hemisphere) {
  const int quarter = year_month_day(date).month % 12 / 3;  // December to February: 0
  return static_cast<Season>((quarter + (southern_hemisphere ? 2 : 0)) % 4);
}

const char* season_name(Season season) {
  switch (season) {
    case Season::kWinter:
      return "winter";
    case Season::kSpring:
      return "spring";
    case Season::kSummer:
      return "summer";
    case Season::kAutumn:
      return "autumn";
  }
  return "winter";
}

Date today_utc() {
  const auto day = std::chrono::floor<std::chrono::days>(std::chrono::system_clock::now());
  return {static_cast<std::int32_t>(day.time_since_epoch().count())};
}

Date latest_day_anywhere() {
  return {today_utc().days + 1};
}

std::string now_utc() {
  const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  const auto day = std::chrono::floor<std::chrono::days>(now);
  const auto second = static_cast<int>((now - day).count());
  const Date date{static_cast<std::int32_t>(day.time_since_epoch().count())};
  return format_date(date) + "T" + two(second / 3600) + ":" + two(second / 60 % 60) + ":" + two(second % 60) +
         "Z";
}

}  // namespace brookmark::core

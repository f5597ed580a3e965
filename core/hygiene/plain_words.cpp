#include "core/hygiene/plain_words.hpp"

#include <array>
#include <cmath>

#include "core/base/text.hpp"

namespace brookmark::core {

std::string plain_day(Date day) {
  static constexpr std::array<const char*, 12> kMonths{"January",   "February", "March",    "April",
                                                       "May",       "June",     "July",     "August",
                                                       "September", "October",  "November", "December"};
  const YearMonthDay d = year_month_day(day);
  return std::to_string(d.day) + " " + kMonths[static_cast<std::size_t>(d.month - 1)] + " " +
         std::to_string(d.year);
}

std::string plain_moment(const Moment& moment) {
  if (!moment.minute_of_day) return plain_day(moment.date);
  const auto two = [](int value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  return plain_day(moment.date) + " at " + two(*moment.minute_of_day / 60) + ":" +
         two(*moment.minute_of_day % 60);
}

std::string plain_list(const std::vector<std::string>& words) {
  std::string list;
  for (std::size_t i = 0; i < words.size(); ++i)
    list += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
  return list;
}

std::string plain_number(double value, int most_decimals) {
  std::string text = format_fixed(value, most_decimals);
  if (text.find('.') == std::string::npos) return text;
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string plain_duration(double seconds) {
  const auto said = [](double value, const char* unit) {
    return plain_number(value, value < 10 ? 1 : 0) + " " + unit;
  };
  if (seconds < 120) return said(seconds, "s");
  if (seconds < 2.0 * 3600) return said(seconds / 60, "min");
  if (seconds <= 96.0 * 3600) return said(seconds / 3600, "h");
  return said(seconds / 86400, "days");
}

std::string plain_distance(double metres) {
  if (metres < 9999.5) return format_fixed(metres, 0) + " m";
  return format_fixed(metres / 1000, metres < 99950 ? 1 : 0) + " km";
}

std::string plain_sentence(std::string_view words) {
  std::string sentence(words);
  if (sentence.empty()) return sentence;
  if (sentence[0] >= 'a' && sentence[0] <= 'z') sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
  if (sentence.back() != '.' && sentence.back() != '?' && sentence.back() != '!') sentence += '.';
  return sentence;
}

std::string why_not_yet(const Moment& when, const Moment& now) {
  constexpr int kAheadMin = 60;  // clocks differ: common practice, no source
  const auto minute = [](const Moment& m) {
    return static_cast<long long>(m.date.days) * 1440 + *m.minute_of_day - m.utc_offset_min.value_or(0);
  };
  // Without an offset a time may be any local one.
  const bool exact = when.minute_of_day && now.minute_of_day && when.utc_offset_min && now.utc_offset_min;
  const bool ahead = exact ? minute(when) > minute(now) + kAheadMin : when.date.days > now.date.days + 1;
  if (!ahead) return "";
  return plain_moment(when) + " has not come yet: today is " + plain_day(now.date) + ". Write when it was";
}

}  // namespace brookmark::core

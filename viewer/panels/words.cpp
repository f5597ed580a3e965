#include "viewer/panels/words.hpp"

#include <algorithm>

#include <cmath>
#include <string_view>
#include <utility>

#include "core/base/text.hpp"
#include "viewer/map/marks.hpp"

namespace brookmark::viewer {

std::string month_name(int month) {
  static constexpr const char* kNames[] = {"January",   "February", "March",    "April",
                                           "May",       "June",     "July",     "August",
                                           "September", "October",  "November", "December"};
  return kNames[(month + 11) % 12];
}

std::string date_in_words(core::Date date) {
  const core::YearMonthDay d = core::year_month_day(date);
  return std::to_string(d.day) + " " + month_name(d.month) + " " + std::to_string(d.year);
}

std::string period_in_words(const core::Period& period) {
  std::string words = period.from ? "from " + date_in_words(*period.from) + " to " : std::string("up to ");
  words += date_in_words(period.until);
  return period.seasons.all() ? words : words + ", " + core::season_set_words(period.seasons) + " only";
}

std::string short_date(core::Date date) {
  const core::YearMonthDay d = core::year_month_day(date);
  return std::to_string(d.day) + " " + month_name(d.month).substr(0, 3) + " " + std::to_string(d.year);
}

std::string unit_in_words(std::string_view unit) {
  if (unit.starts_with("degC")) return "\u00B0C" + std::string(unit.substr(4));
  std::string words(unit);
  // A u before another letter, at the start of a word, is the letter that keyboards lack: uS, ug, um, umol.
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    const bool starts = i == 0 || words[i - 1] == ' ' || words[i - 1] == '/';
    const char next = words[i + 1];
    if (starts && words[i] == 'u' &&
        (next == 'S' || next == 'g' || next == 'm' || next == 'M' || next == 'l'))
      words.replace(i, 1, "\u00B5");
  }
  for (const auto& [plain, raised] : {std::pair{"m2", "m\u00B2"}, {"m3", "m\u00B3"}})
    if (words == plain || words.ends_with(std::string("/") + plain) ||
        words.starts_with(std::string(plain) + "/"))
      words.replace(words.find(plain), 2, raised);
  return words;
}

std::string span_in_words(core::Date from, core::Date to) {
  const core::YearMonthDay a = core::year_month_day(from), b = core::year_month_day(to);
  int months = (b.year - a.year) * 12 + b.month - a.month;
  if (b.day < a.day) --months;
  if (months < 1) return count_of(static_cast<std::size_t>(std::max(to.days - from.days, 0)), "day", "days");
  const auto years = static_cast<std::size_t>(months / 12), rest = static_cast<std::size_t>(months % 12);
  std::string words = years > 0 ? count_of(years, "year", "years") : "";
  if (rest > 0) words += (words.empty() ? "" : " ") + count_of(rest, "month", "months");
  return words;
}

std::string weekday_name(core::Date date) {
  // Day 0, 1970-01-01, was a Thursday.
  static constexpr const char* kNames[] = {"Thursday", "Friday",  "Saturday", "Sunday",
                                           "Monday",   "Tuesday", "Wednesday"};
  return kNames[((date.days % 7) + 7) % 7];
}

std::string day_and_season(core::Date date, bool southern) {
  return weekday_name(date) + " " + date_in_words(date) + ", " +
         core::season_name(core::season_of(date, southern));
}

std::string distance_in_words(double metres) {
  if (metres < 9999.5) return core::format_fixed(metres, 0) + " m";
  return core::format_fixed(metres / 1000, metres < 99950 ? 1 : 0) + " km";
}

std::string count_of(std::size_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

std::string in_the_window(std::string words) {
  static constexpr std::pair<std::string_view, std::string_view> kPages[] = {
      {"import", "page Survey, Import"}, {"drops", "page Poor"}};
  for (const auto& [verb, page] : kPages) {
    const std::string begin = "`brookmark " + std::string(verb) + " ";
    for (std::size_t at = words.find(begin); at != std::string::npos; at = words.find(begin)) {
      const std::size_t end = words.find('`', at + 1);
      if (end == std::string::npos) break;
      words.replace(at, end + 1 - at, page);
    }
  }
  return words;
}

std::string position_in_words(double lon, double lat) {
  return core::format_fixed(std::abs(lat), 5) + (lat < 0 ? "\u00B0 S, " : "\u00B0 N, ") +
         core::format_fixed(std::abs(lon), 5) + (lon < 0 ? "\u00B0 W" : "\u00B0 E");
}

std::string value_in_words(const core::Metric& metric, double value) {
  return core::format_fixed(value, core::shown_decimals(metric));
}

std::string use_in_words(const core::Outfall& outfall, std::optional<core::Date> day) {
  switch (outfall_use(outfall, day)) {
    case OutfallUse::kClosed:
      return "closed " + short_date(*outfall.until);
    case OutfallUse::kNotYet:
      return "from " + short_date(*outfall.since);
    case OutfallUse::kInUse:
      break;
  }
  return "";
}

std::string sentence_start(std::string words) {
  if (words.empty()) return words;
  const bool sign = words.find_first_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ", 1) == 1;  // pH stays pH
  if (!sign && words.front() >= 'a' && words.front() <= 'z')
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  return words;
}

std::string as_sentence(std::string words) {
  if (words.empty()) return words;
  words = sentence_start(std::move(words));
  if (words.back() != '.') words += '.';
  return words;
}

std::string confirmed_badge(core::Confirmed confirmed) {
  switch (confirmed) {
    case core::Confirmed::kDocument:
      return "";
    case core::Confirmed::kSecondary:
      return "read second-hand";
    case core::Confirmed::kMemory:
      break;
  }
  return "from memory";
}

std::string confirmed_sentence(core::Confirmed confirmed) {
  switch (confirmed) {
    case core::Confirmed::kDocument:
      return "Its values were read in the publication.";
    case core::Confirmed::kSecondary:
      return "Some of its values were read in a text that quotes the publication.";
    case core::Confirmed::kMemory:
      break;
  }
  return "Some of its values were recalled from memory and have not been checked against the publication.";
}

std::string drop_in_words(const core::Snapshot& snapshot, const core::Drop& drop,
                          const core::Metric& metric) {
  std::string words = std::string(snapshot.sites.code[drop.up.value()]) + " to " +
                      std::string(snapshot.sites.code[drop.down.value()]);
  if (const core::SamplePair* pair = drop.newest(); pair && pair->fall)
    words += ": worse by " + core::format_fixed(*pair->fall, core::shown_decimals(metric));
  else if (pair)
    words += ": nothing found below";
  const std::string outfalls = core::outfalls_text(snapshot, drop);
  return words + (outfalls.empty() ? "" : "; " + outfalls);
}

}  // namespace brookmark::viewer

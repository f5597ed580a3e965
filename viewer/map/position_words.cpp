#include "viewer/map/position_words.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iterator>
#include <utility>
#include <vector>

#include "core/base/text.hpp"

namespace brookmark::viewer {
namespace {

std::string decimals(double value, int places) {
  char words[48];
  std::snprintf(words, sizeof words, "%.*f", places, value);
  std::string text = words;
  for (char& c : text)  // whatever the locale of the process says
    if (c == ',') c = '.';
  return text;
}

std::string degrees(double value, char positive, char negative) {
  return decimals(std::abs(value), 5) + "\u00B0 " + (value < 0 ? negative : positive);
}

std::string minutes(double value, char positive, char negative) {
  // In tenths of a second first, so that 59.96" becomes a full minute and never 60.0".
  const auto tenths = std::llround(std::abs(value) * 36000);
  return std::to_string(tenths / 36000) + "\u00B0 " + std::to_string(tenths / 600 % 60) + "\u2032 " +
         decimals(static_cast<double>(tenths % 600) / 10, 1) + "\u2033 " + (value < 0 ? negative : positive);
}

// A word of what was typed: a number with its mark, or a letter of the compass.
struct Part {
  std::string number;
  char mark = 0;    // 'd', 'm', 's'; 0: none
  char letter = 0;  // N, S, E, W
};

// Marks as people and phones write them, in one letter each; longer ones first.
constexpr std::pair<std::string_view, char> kMarks[] = {{"\u00B0", 'd'}, {"\u00BA", 'd'}, {"\u2033", 's'},
                                                        {"\u201D", 's'}, {"\"", 's'},     {"''", 's'},
                                                        {"\u2032", 'm'}, {"\u2019", 'm'}, {"'", 'm'}};
constexpr std::string_view kMinusSign = "\u2212";

std::optional<std::vector<Part>> parts_of(std::string_view rest) {
  std::vector<Part> parts;
  bool fresh = true;  // a number begins anew after a blank
  while (!rest.empty()) {
    const char c = rest.front();
    if (c == ' ' || c == ',' || c == ';' || c == '\t') {
      fresh = true;
      rest.remove_prefix(1);
      continue;
    }
    const char upper = static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
    if (upper == 'N' || upper == 'S' || upper == 'E' || upper == 'W') {
      parts.push_back({{}, 0, upper});
      fresh = true;
      rest.remove_prefix(1);
      continue;
    }
    const auto mark = std::find_if(std::begin(kMarks), std::end(kMarks),
                                   [&](const auto& m) { return rest.starts_with(m.first); });
    if (mark != std::end(kMarks)) {
      if (parts.empty() || parts.back().number.empty() || parts.back().mark != 0) return std::nullopt;
      parts.back().mark = mark->second;
      fresh = true;
      rest.remove_prefix(mark->first.size());
      continue;
    }
    const bool minus = rest.starts_with(kMinusSign);
    if (!minus && c != '-' && c != '+' && c != '.' && (c < '0' || c > '9')) return std::nullopt;
    if (fresh) parts.push_back({});
    fresh = false;
    parts.back().number += minus ? '-' : c;
    rest.remove_prefix(minus ? kMinusSign.size() : 1);
  }
  return parts;
}

// Degrees of one coordinate: "45.001", or with a letter (`lettered`) also "45° 0' 3.6\"" and "45 0 3.6" in that order.
// Nothing for anything else.
std::optional<double> degrees_of(std::span<const Part> parts, bool lettered) {
  if (parts.empty() || parts.size() > 3) return std::nullopt;
  double degrees = 0, part = 1;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto number = core::parse_number(parts[i].number);
    if (!number || (parts[i].mark != 0 && parts[i].mark != "dms"[i])) return std::nullopt;
    if (parts.size() > 1) {
      const bool whole = i + 1 == parts.size() || *number == std::floor(*number);
      if (!lettered || *number < 0 || !whole || (i > 0 && *number >= 60)) return std::nullopt;
    }
    degrees += *number * part;
    part /= 60;
  }
  return degrees;
}

}  // namespace

std::optional<core::LonLat> read_position(std::string_view words) {
  const auto parts = parts_of(words);
  if (!parts || parts->empty()) return std::nullopt;
  std::vector<std::size_t> letters;
  for (std::size_t i = 0; i < parts->size(); ++i)
    if ((*parts)[i].letter != 0) letters.push_back(i);
  const std::span<const Part> all(*parts);
  if (letters.empty()) {
    if (all.size() != 2) return std::nullopt;
    const auto lat = degrees_of(all.first(1), false), lon = degrees_of(all.last(1), false);
    if (!lat || !lon || !core::is_valid({*lon, *lat})) return std::nullopt;
    return core::LonLat{*lon, *lat};
  }
  if (letters.size() != 2) return std::nullopt;
  const bool before = letters[0] == 0;
  if (!before && letters[1] + 1 != all.size()) return std::nullopt;
  const std::span<const Part> groups[2] = {
      before ? all.subspan(1, letters[1] - 1) : all.first(letters[0]),
      before ? all.subspan(letters[1] + 1) : all.subspan(letters[0] + 1, letters[1] - letters[0] - 1)};
  std::optional<double> lat, lon;
  for (std::size_t g = 0; g < 2; ++g) {
    const char letter = all[letters[g]].letter;
    const auto value = degrees_of(groups[g], true);
    if (!value || *value < 0) return std::nullopt;  // a sign beside a letter says two things
    (letter == 'N' || letter == 'S' ? lat : lon) = letter == 'S' || letter == 'W' ? -*value : *value;
  }
  if (!lat || !lon || !core::is_valid({*lon, *lat})) return std::nullopt;
  return core::LonLat{*lon, *lat};
}

std::optional<double> nearest_place_m(core::LonLat at, std::span<const core::LonLat> places) {
  std::optional<double> nearest;
  for (const core::LonLat place : places) {
    if (!core::is_placed(place)) continue;
    const double way_m = core::geodesic_m(at, place);
    if (std::isfinite(way_m) && (!nearest || way_m < *nearest)) nearest = way_m;
  }
  return nearest;
}

std::string position_words(core::LonLat at, PositionForm form, const core::CrsConverter* grid) {
  if (!core::is_valid(at)) return {};
  if (form == PositionForm::kMinutes) return minutes(at.lat, 'N', 'S') + "  " + minutes(at.lon, 'E', 'W');
  if (form == PositionForm::kGrid && grid != nullptr && !grid->is_geographic())
    if (const auto p = grid->from_lonlat(at))
      return "E " + decimals(std::round(p->x), 0) + "  N " + decimals(std::round(p->y), 0);
  return degrees(at.lat, 'N', 'S') + "  " + degrees(at.lon, 'E', 'W');
}

double true_metres_per_pixel(const Viewport& view, const core::LocalFrame& frame) {
  const double half = 50 * view.metres_per_pixel;
  const core::LonLat west = frame.to_lonlat({view.centre.x - half, view.centre.y}),
                     east = frame.to_lonlat({view.centre.x + half, view.centre.y});
  if (!core::is_valid(west) || !core::is_valid(east)) return view.metres_per_pixel;
  const double metres = core::geodesic_m(west, east);
  return std::isfinite(metres) && metres > 0 ? metres / 100 : view.metres_per_pixel;
}

std::optional<double> north_on_map(const Viewport& view, const core::LocalFrame& frame) {
  const core::LonLat here = frame.to_lonlat(view.centre);
  if (!core::is_valid(here) || std::abs(here.lat) > 89.9) return std::nullopt;
  const core::PlanePoint a = frame.to_plane(here), b = frame.to_plane({here.lon, here.lat + 0.001});
  const double angle = std::atan2(b.x - a.x, b.y - a.y);
  if (!std::isfinite(angle)) return std::nullopt;
  return angle;
}

}  // namespace brookmark::viewer

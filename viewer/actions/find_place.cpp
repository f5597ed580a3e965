#include "viewer/actions/find_place.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "core/base/text.hpp"
#include "viewer/map/position_words.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

// Whether somebody means a place: nothing but numbers, their marks and letters of the compass, at least two numbers.
bool looks_like_coordinates(std::string_view words) {
  std::size_t numbers = 0;
  bool in_number = false;
  std::string rest(words);
  for (const std::string_view mark : {"\u00B0", "\u00BA", "\u2032", "\u2033", "\u2019", "\u201D", "\u2212"})
    for (std::size_t at = rest.find(mark); at != std::string::npos; at = rest.find(mark))
      rest.replace(at, mark.size(), mark == "\u2212" ? "-" : " ");
  for (const char c : rest) {
    const bool digit = c >= '0' && c <= '9';
    if (digit && !in_number) ++numbers;
    in_number = digit || (in_number && c == '.');
    if (!digit && std::string_view(" \t.,;+-'\"NSEWnsew").find(c) == std::string_view::npos) return false;
  }
  return numbers >= 2;
}

struct NumberPair {
  double first = 0, second = 0;
  char letters[2] = {0, 0};  // beside them, E or N; 0: none
};

// Two numbers with a point, each perhaps with E or N before or behind it. Nothing for anything else.
std::optional<NumberPair> number_pair(std::string_view words) {
  constexpr std::string_view kMinusSign = "\u2212";
  std::string text, plain(words);
  for (std::size_t at = plain.find(kMinusSign); at != std::string::npos; at = plain.find(kMinusSign))
    plain.replace(at, kMinusSign.size(), "-");
  for (const char c : plain) {
    const char upper = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    if (upper == 'E' || upper == 'N')
      text += {' ', upper, ' '};
    else
      text += c == ',' || c == ';' || c == '\t' ? ' ' : c;
  }
  std::vector<std::string> parts;
  for (std::string& part : core::split(text, ' '))
    if (!part.empty()) parts.push_back(std::move(part));
  const auto is_letter = [](const std::string& part) { return part == "E" || part == "N"; };
  NumberPair pair;
  if (parts.size() == 4) {
    const bool before = is_letter(parts[0]);
    const std::size_t letter = before ? 0 : 1;
    if (!is_letter(parts[letter]) || !is_letter(parts[letter + 2]) || parts[letter] == parts[letter + 2])
      return std::nullopt;
    pair.letters[0] = parts[letter][0], pair.letters[1] = parts[letter + 2][0];
    parts = {parts[1 - letter], parts[3 - letter]};
  }
  if (parts.size() != 2) return std::nullopt;
  const auto first = core::parse_number(parts[0]), second = core::parse_number(parts[1]);
  if (!first || !second) return std::nullopt;
  pair.first = *first, pair.second = *second;
  return pair;
}

bool within(const std::optional<core::BoundingBox>& area, core::LonLat at) {
  return !area || (at.lon >= area->min_lon && at.lon <= area->max_lon && at.lat >= area->min_lat &&
                   at.lat <= area->max_lat);
}

void read_grid(const NumberPair& pair, const core::CrsConverter& grid, std::vector<PlaceReading>& readings) {
  const auto add = [&](double easting, double northing, const char* how) {
    const auto at = grid.to_lonlat({easting, northing});
    if (at && within(grid.area_of_use(), *at)) readings.push_back({*at, how});
  };
  if (pair.letters[0] != 'N') add(pair.first, pair.second, "easting, then northing");
  if (pair.letters[0] != 'E') add(pair.second, pair.first, "northing, then easting");
}

constexpr const char* kHowToWrite =
    "Write latitude, longitude as in 45.0010, -30.0020, or with letters as in 45\u00B0 0\u2032 3.6\u2033 N "
    "30\u00B0 "
    "0\u2032 7.2\u2033 W.";

std::string trouble_of(const std::optional<NumberPair>& pair, const core::CrsConverter* grid) {
  if (!pair) return std::string("These numbers are no place. ") + kHowToWrite;
  const bool large = std::abs(pair->first) > 180 || std::abs(pair->second) > 180;
  if (large && grid != nullptr)
    return "No place of the survey\u2019s grid has these numbers: they lie outside the area it is made for.";
  if (large)
    return std::string(
               "Degrees end at 90 for latitude and 180 for longitude, and this survey has no grid. ") +
           kHowToWrite;
  return std::string("A latitude lies between -90 and 90, a longitude between -180 and 180. ") + kHowToWrite;
}

TypedPlace read_numbers(std::string_view words, const core::CrsConverter* grid) {
  TypedPlace typed;
  const auto pair = number_pair(words);
  const bool bare = pair && pair->letters[0] == 0;
  if (const auto at = read_position(words))
    typed.readings.push_back({*at, bare ? "latitude, then longitude" : "its letters say"});
  if (bare && pair->first != pair->second)
    if (const core::LonLat other{pair->first, pair->second}; core::is_valid(other))
      typed.readings.push_back({other, "longitude, then latitude"});
  // Within 180 metres of a grid's origin nobody works: small numbers are degrees.
  if (pair && grid != nullptr && !grid->is_geographic() && typed.readings.empty() &&
      (std::abs(pair->first) > 180 || std::abs(pair->second) > 180))
    read_grid(*pair, *grid, typed.readings);
  if (typed.readings.empty()) typed.trouble = trouble_of(pair, grid);
  return typed;
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Commas between two digits as points, where nothing else is a decimal point: "50,1234 -4,5678". Nothing where there are
// none.
std::optional<std::string> with_decimal_points(std::string_view words) {
  if (words.find('.') != std::string_view::npos) return std::nullopt;
  std::string text(words);
  for (std::size_t i = 1; i + 1 < text.size(); ++i)
    if (text[i] == ',' && is_digit(text[i - 1]) && is_digit(text[i + 1])) text[i] = '.';
  if (text == words) return std::nullopt;
  return text;
}

// "-12.5" or "12,5", and nothing else.
bool is_one_number(std::string_view words) {
  std::string text(core::trim(words));
  std::replace(text.begin(), text.end(), ',', '.');
  return text.find_first_not_of("+-.0123456789") == std::string::npos && core::parse_number(text).has_value();
}

// A number of a geo: address: digits, perhaps with a sign and a fraction, and no exponent.
std::optional<double> plain_number(std::string_view words) {
  if (words.empty() || words.find_first_not_of("-.0123456789") != std::string_view::npos) return std::nullopt;
  return core::parse_number(words);
}

TypedPlace no_geo_address() {
  TypedPlace typed;
  typed.trouble =
      "A geo: address has a latitude, a comma and a longitude in degrees with decimal points, as in "
      "geo:45.001,-30.002.";
  return typed;
}

// "geo:48.2,16.37,183;crs=wgs84;u=35". `rest` is what stands behind the colon.
TypedPlace read_geo_address(std::string_view rest) {
  TypedPlace typed;
  const std::vector<std::string> parts = core::split(rest, ';');
  const std::vector<std::string> numbers = core::split(parts.empty() ? "" : parts.front(), ',');
  std::optional<double> within_m;
  for (std::size_t i = 1; i < parts.size(); ++i) {
    const std::string part = core::to_lower_ascii(parts[i]);
    if (part.find(',') != std::string::npos) return no_geo_address();
    if (part.starts_with("crs=") && part != "crs=wgs84") {
      typed.trouble = "This geo: address is in the system \u201C" + parts[i].substr(4) +
                      "\u201D; only wgs84 is read, latitude and longitude in degrees.";
      return typed;
    }
    if (part.starts_with("u=")) within_m = plain_number(std::string_view(part).substr(2));
  }
  bool good = numbers.size() == 2 || numbers.size() == 3;
  for (const std::string& number : numbers) good = good && plain_number(number).has_value();
  const core::LonLat at =
      good ? core::LonLat{*plain_number(numbers[1]), *plain_number(numbers[0])} : core::LonLat{};
  if (!good || !core::is_valid(at)) return no_geo_address();
  typed.readings.push_back({at, "a geo: address, latitude then longitude" +
                                    (within_m ? ", good to " + core::format_number(*within_m) + " m" : "")});
  return typed;
}

// A zone, a band, the letters of a square and an even number of digits: "30UXB 12345 67890" (common practice, no source).
bool looks_like_mgrs(std::string_view words) {
  std::string text;
  for (const char c : words)
    if (c != ' ') text += static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
  const auto count_of_digits = [&](std::size_t from) {
    std::size_t n = 0;
    while (from + n < text.size() && is_digit(text[from + n])) ++n;
    return n;
  };
  const std::size_t zone = count_of_digits(0);
  if (zone < 1 || zone > 2 || text.size() < zone + 5) return false;
  for (std::size_t i = zone; i < zone + 3; ++i)
    if (text[i] < 'A' || text[i] > 'Z' || text[i] == 'I' || text[i] == 'O') return false;
  const std::size_t digits = count_of_digits(zone + 3);
  return digits % 2 == 0 && digits >= 2 && digits <= 10 && zone + 3 + digits == text.size();
}

}  // namespace

TypedPlace read_place(std::string_view words, const core::CrsConverter* grid) {
  TypedPlace typed;
  words = core::trim(words);
  if (core::to_lower_ascii(words.substr(0, 4)) == "geo:") return read_geo_address(words.substr(4));
  if (looks_like_mgrs(words)) {
    typed.trouble = std::string("References of the military grid (MGRS) are not read. ") + kHowToWrite;
    return typed;
  }
  if (is_one_number(words) && !number_pair(words)) {
    typed.trouble = std::string("One number alone is no place. ") + kHowToWrite;
    return typed;
  }
  if (!looks_like_coordinates(words)) return typed;
  typed = read_numbers(words, grid);
  if (!typed.readings.empty()) return typed;
  // As written it is none; with decimal commas it may be.
  if (const auto text = with_decimal_points(words); text && (number_pair(*text) || read_position(*text))) {
    typed = read_numbers(*text, grid);
    for (PlaceReading& reading : typed.readings) reading.how += ", with decimal commas";
  }
  return typed;
}

std::vector<FindHit> place_hits(std::string_view words, const Model& model, PositionForm form,
                                const core::CrsConverter* grid) {
  const TypedPlace typed = read_place(words, grid);
  std::vector<FindHit> hits;
  if (!typed.trouble.empty()) hits.push_back({FindHit::Kind::kPlace, "No such place", typed.trouble, {}});
  const auto& sites = model.snapshot().sites.position;
  std::vector<std::pair<const PlaceReading*, std::optional<double>>>
      order;  // with the way to the nearest site
  for (const PlaceReading& reading : typed.readings)
    order.emplace_back(&reading, nearest_place_m(reading.at, sites));
  const auto is_near = [](const auto& entry) { return entry.second && *entry.second <= kFarPlace_m; };
  std::stable_partition(order.begin(), order.end(), is_near);
  for (const auto& [reading, way_m] : order) {
    std::string below = "read as " + reading->how;
    if (way_m) below += " \u00B7 " + distance_in_words(*way_m) + " from the nearest site";
    hits.push_back({FindHit::Kind::kPlace,
                    "Go to " + position_words(reading->at, form, grid),
                    below,
                    {ShowPanel{false}, GoToPlace{reading->at}}});
  }
  if (order.empty()) return hits;
  const core::LonLat at = order.front().first->at;
  const std::string place = position_words(at, form, grid);
  if (!model.session().channels.edges().empty() && !model.snapshot().outfalls.empty())
    hits.push_back({FindHit::Kind::kPlace, "Distances to outfalls from there", place, {QueryFromPoint{at}}});
  const core::PlanePoint p = model.frame().to_plane(at);
  if (std::isfinite(p.x) && std::isfinite(p.y))
    hits.push_back({FindHit::Kind::kPlace,
                    "Add a site there",
                    place,
                    {ShowPage{Page::kEdit}, TakeTool{EditTool::kAddSite}, PlaceEdit{at},
                     ShowArea{{p.x - 200, p.y - 200, p.x + 200, p.y + 200}}}});
  return hits;
}

}  // namespace brookmark::viewer

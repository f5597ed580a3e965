#include "core/survey/period.hpp"

#include <algorithm>
#include <vector>

#include "core/base/text.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

namespace {

constexpr Season kSeasons[] = {Season::kWinter, Season::kSpring, Season::kSummer, Season::kAutumn};

}  // namespace

std::optional<SeasonSet> parse_seasons(std::string_view words) {
  std::string even(words);
  std::replace(even.begin(), even.end(), '+', ',');
  SeasonSet set = SeasonSet::none();
  for (const std::string& part : split(even, ',')) {
    const std::string word = to_lower_ascii(trim(part));
    const auto* const known = std::find_if(std::begin(kSeasons), std::end(kSeasons),
                                           [&](Season season) { return word == season_name(season); });
    if (known == std::end(kSeasons)) return std::nullopt;
    set = set.with(*known);
  }
  if (set.empty()) return std::nullopt;
  return set;
}

std::string season_set_words(SeasonSet seasons) {
  if (seasons.all()) return "all seasons";
  std::vector<std::string> names;
  for (const Season season : kSeasons)
    if (seasons.has(season)) names.emplace_back(season_name(season));
  if (names.empty()) return "no season";
  if (names.size() == 1) return names.front();
  const std::string last = names.back();
  names.pop_back();
  return joined(names, ", ") + " and " + last;
}

Period days_up_to(Date last, int days, SeasonSet seasons) {
  return {last, Date{last.days - std::max(days, 1) + 1}, seasons};
}

bool in_period(const Period& period, const Snapshot& snapshot, SampleIndex sample) {
  const std::size_t s = sample.value();
  return period.holds(snapshot.samples.date[s],
                      snapshot.sites.position[snapshot.samples.site[s].value()].lat < 0);
}

std::string period_words(const Period& period) {
  std::string words = period.from ? "from " + format_date(*period.from) + " to " + format_date(period.until)
                                  : "up to " + format_date(period.until);
  if (!period.seasons.all()) words += ", of " + season_set_words(period.seasons);
  return words;
}

}  // namespace brookmark::core

// Why: "how do the sites stand", asked of one spring, or of the last two years, has other samples behind it than asked
// of all. One value says which samples a question speaks of; command line and window ask by the same.
// Use: assess(snapshot, scores, 0, nesting, {until, from, SeasonSet::of(Season::kSpring)});
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/date.hpp"
#include "core/base/index.hpp"

namespace brookmark::core {

struct Snapshot;

// Any of the four seasons; all of them unless said otherwise.
class SeasonSet {
 public:
  constexpr SeasonSet() = default;
  static constexpr SeasonSet none() { return SeasonSet(0); }
  static constexpr SeasonSet of(Season season) { return none().with(season); }
  constexpr SeasonSet with(Season season) const {
    return SeasonSet(static_cast<std::uint8_t>(bits_ | bit(season)));
  }
  constexpr SeasonSet without(Season season) const {
    return SeasonSet(static_cast<std::uint8_t>(bits_ & ~bit(season)));
  }
  constexpr bool has(Season season) const { return (bits_ & bit(season)) != 0; }
  constexpr bool all() const { return bits_ == kAll; }
  constexpr bool empty() const { return bits_ == 0; }
  constexpr bool operator==(const SeasonSet&) const = default;

 private:
  static constexpr std::uint8_t kAll = 15;
  static constexpr int bit(Season season) { return 1 << static_cast<int>(season); }
  constexpr explicit SeasonSet(std::uint8_t bits) : bits_(bits) {}
  std::uint8_t bits_ = kAll;
};

// "spring" or "spring, summer", comma or + between. Nothing for an unknown word or for none.
std::optional<SeasonSet> parse_seasons(std::string_view words);
std::string season_set_words(SeasonSet seasons);  // "spring and summer"; "all seasons"

// The samples a question speaks of: from a day on, up to a day, of some seasons. A day alone means everything up to it.
struct Period {
  Date until;                // the day the answer speaks for; the last one that counts
  std::optional<Date> from;  // the first one that counts; nothing: without limit
  SeasonSet seasons;

  constexpr Period() = default;
  // A plain day is a period: everything up to it.
  constexpr Period(Date last) : until(last) {}  // NOLINT(google-explicit-constructor)
  constexpr Period(Date last, std::optional<Date> first, SeasonSet of = {})
      : until(last), from(first), seasons(of) {}
  constexpr bool operator==(const Period&) const = default;

  bool holds(Date date, bool southern) const {
    return date <= until && !(from && date < *from) &&
           (seasons.all() || seasons.has(season_of(date, southern)));
  }
};

// The `days` days that end on a day: that day and those before it. At least one.
Period days_up_to(Date last, int days, SeasonSet seasons = {});

// Whether a sample counts; its season is that of its site's half of the earth (north where no position is known).
bool in_period(const Period& period, const Snapshot& snapshot, SampleIndex sample);

// "up to 2024-05-03", "from 2023-05-04 to 2024-05-03, of spring and summer".
std::string period_words(const Period& period);

}  // namespace brookmark::core

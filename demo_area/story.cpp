#include "demo_area/story.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "core/base/csv.hpp"
#include "core/base/date.hpp"
#include "core/base/text.hpp"
#include "demo_area/animals.hpp"

namespace brookmark::demo {
namespace {

using core::Season;

// Chance of our own (splitmix64: Steele, Lea and Flood 2014, OOPSLA, p. 459), since the standard library's
// distributions differ between makers. Each sample starts from its own code, so one sample more changes no
// other.
class Chance {
 public:
  explicit Chance(std::string_view seed) {
    for (const char c : seed) state_ = (state_ ^ static_cast<unsigned char>(c)) * 0x100000001b3U;  // FNV-1a
  }
  // 0 up to, not including, `end`.
  int below(int end) {
    state_ += 0x9e3779b97f4a7c15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    return static_cast<int>((z ^ (z >> 31)) % static_cast<std::uint64_t>(end));
  }
  bool percent(int chance) { return below(100) < chance; }

 private:
  std::uint64_t state_ = 0xcbf29ce484222325U;
};

// From this year and season on, the site is at this level.
struct Turn {
  int year;
  Season season;
  Level level;
};

struct SiteStory {
  std::string_view code;
  bool all_seasons;         // winter and summer too
  std::vector<Turn> turns;  // oldest first
  int last_year = 2025;
};

constexpr int kFirstYear = 2020, kLastYear = 2025;

const std::vector<SiteStory>& stream_stories() {
  using enum Season;
  using enum Level;
  static const std::vector<SiteStory> all{
      {"Q01", false, {{2020, kWinter, kGood}}},
      {"Q02", false, {{2020, kWinter, kGood}}},
      {"Q03", true, {{2020, kWinter, kGood}}},
      // The overflow OUT-2 begins to fail in spring 2022. Worst just below it, better with every kilometre.
      {"Q04",
       true,
       {{2020, kWinter, kGood}, {2022, kSpring, kFair}, {2022, kSummer, kPoor}, {2023, kWinter, kBad}}},
      {"Q05", false, {{2020, kWinter, kGood}, {2022, kSpring, kFair}, {2022, kAutumn, kPoor}}},
      {"Q06", true, {{2020, kWinter, kGood}, {2022, kSummer, kFair}, {2023, kWinter, kPoor}}},
      {"Q07", false, {{2020, kWinter, kGood}, {2022, kAutumn, kFair}}},
      {"Q08", false, {{2020, kWinter, kGood}, {2023, kSpring, kFair}}},
      {"Q09", false, {{2020, kWinter, kGood}}},
      {"E01", true, {{2020, kWinter, kExcellent}}},
      {"E02", false, {{2020, kWinter, kExcellent}}},
      {"T01", false, {{2020, kWinter, kGood}}},
      // The works at OUT-1 close at the end of 2021; the animals come back from upstream.
      {"T02", true, {{2020, kWinter, kPoor}, {2022, kAutumn, kFair}, {2023, kAutumn, kGood}}},
      {"T03", false, {{2020, kWinter, kPoor}, {2022, kSpring, kFair}, {2023, kAutumn, kGood}}},
      {"P01", false, {{2020, kWinter, kPoor}}},
      {"P02", true, {{2020, kWinter, kPoor}}},
      {"W01", false, {{2020, kWinter, kGood}}},
      {"W02", false, {{2020, kWinter, kFair}}},
      {"M01", false, {{2020, kWinter, kFair}}, 2021},
      {"S01", false, {{2020, kWinter, kGood}}},
      {"K01", false, {{2020, kWinter, kExcellent}}},
      {"D01", false, {{2020, kWinter, kPoor}}},
  };
  return all;
}

constexpr std::array<std::string_view, 3> kPondCodes{"N01", "N02", "N03"};

// What went otherwise than planned.
constexpr std::string_view kSpateSamples[] = {"M01-2020-10", "W01-2023-04", "S01-2024-10",
                                              "W02-2022-10"};  // few animals
constexpr std::string_view kReplicated[] = {"Q03-2022-04", "Q04-2023-04", "Q06-2024-04", "T02-2021-10",
                                            "E01-2023-10"};
constexpr std::string_view kBlanks[] = {"Q03-2021-04", "Q04-2022-10", "E01-2024-04"};

// Names that no list holds, or that are written wrongly: kept as they are.
struct OddName {
  std::string_view sample, instead_of, written;  // `instead_of` empty: one animal more
  std::string_view note;
};
constexpr OddName kOddNames[] = {
    {"Q02-2020-10", "Limnephilidae", "Limnefilidae", ""},
    {"E02-2022-04", "Gammaridae", "Gamaridae", ""},
    {"Q01-2021-04", "", "red wriggler with a brush", "about 8 mm, kept in a jar"},
    {"E02-2023-10", "", "flat grey thing under stone", ""},
    {"P01-2021-10", "Oligochaeta", "a worm", "not looked at closely"},
    {"P02-2024-04", "", "jelly blob", "not an egg mass we know"},
};

template <class List>
bool holds(const List& list, std::string_view code) {
  return std::find(std::begin(list), std::end(list), code) != std::end(list);
}

constexpr std::array<int, 4> kMonth{1, 4, 7, 10};  // by Season: winter, spring, summer, autumn
constexpr std::array<int, 4> kFirstDay{18, 21, 12, 3};

Level level_at(const SiteStory& story, int year, Season season) {
  Level level = story.turns.front().level;
  for (const Turn& turn : story.turns)
    if (std::pair(turn.year, turn.season) <= std::pair(year, season)) level = turn.level;
  return level;
}

// A sheet under construction, as comma-separated text.
class Sheet {
 public:
  explicit Sheet(std::string_view header) : text_(header) { text_ += '\n'; }
  void row(std::initializer_list<std::string_view> cells) {
    bool first = true;
    for (const std::string_view cell : cells) {
      if (!first) text_ += ',';
      text_ += core::csv_cell(cell);
      first = false;
    }
    text_ += '\n';
  }
  core::Table table(const std::string& name) const { return core::read_csv(text_, name); }

 private:
  std::string text_;
};

class Teller {
 public:
  StoryTables tell() {
    for (int year = kFirstYear; year <= kLastYear; ++year)
      for (const Season season : {Season::kWinter, Season::kSpring, Season::kSummer, Season::kAutumn})
        tell_round(year, season);
    return {samples_.table("invented samples"), counts_.table("invented counts"),
            classes_.table("invented classes"), presences_.table("invented presences"),
            measurements_.table("invented measurements")};
  }

 private:
  struct Stop {
    std::string code;  // of the sample
    std::string site, moment, people, weather;
    int year;
    Season season;
  };

  void tell_round(int year, Season season) {
    const bool main_season = season == Season::kSpring || season == Season::kAutumn;
    int order = 0;
    for (const SiteStory& story : stream_stories()) {
      if (year <= story.last_year && (main_season || story.all_seasons))
        tell_stream(stop_at(story.code, year, season, order), level_at(story, year, season));
      ++order;
    }
    for (const std::string_view code : kPondCodes) {
      if (main_season) tell_pond(stop_at(code, year, season, order));
      ++order;
    }
  }

  // Eight places a day, from nine o'clock, three quarters of an hour each; times are two hours behind UTC out
  // there.
  static Stop stop_at(std::string_view site, int year, Season season, int order) {
    static constexpr std::string_view kPeople[] = {"A.K.", "A.K.; B.T.", "B.T.", "C.M.; A.K."};
    static constexpr std::string_view kWeather[] = {"dry, overcast", "sunny", "light rain", "windy, showers",
                                                    "dry, cold"};
    const auto s = static_cast<std::size_t>(season);
    Chance round("round " + std::to_string(year * 4 + static_cast<int>(s)));
    const core::YearMonthDay first{year, kMonth[s], kFirstDay[s] + round.below(5)};
    const core::Date day{core::make_date(first).days + order / 8};
    const std::string month = (kMonth[s] < 10 ? "0" : "") + std::to_string(kMonth[s]);
    core::Moment moment{day, 9 * 60 + order % 8 * 45, -120};
    return {std::string(site) + '-' + std::to_string(year) + '-' + month,
            std::string(site),
            core::format_moment(moment),
            std::string(kPeople[static_cast<std::size_t>(round.below(4))]),
            std::string(kWeather[static_cast<std::size_t>(round.below(5))]),
            year,
            season};
  }

  void add_sample(const Stop& stop, const std::string& code, std::string_view kind, std::string_view protocol,
                  std::string_view note) {
    const bool blank = kind == "blank";
    samples_.row({code, stop.site, stop.moment, blank ? "rinse of net and tray" : protocol,
                  blank ? "" : "180", blank ? "" : "s", "500 um", kind, stop.people, stop.weather, note});
  }

  void tell_stream(const Stop& stop, Level level) {
    const bool spate = holds(kSpateSamples, stop.code);
    const std::string_view protocol = stop.site == "D01" || stop.site == "K01" ? "sweep" : "kick sample";
    add_sample(stop, stop.code, "routine", protocol,
               spate ? "Invented. High water, only a short reach could be sampled." : "Invented.");
    catch_animals(stop, stop.code, level, spate ? 6 : 1);
    if (holds(kReplicated, stop.code)) {
      add_sample(stop, stop.code + "-R", "replicate", protocol, "Invented.");
      catch_animals(stop, stop.code + "-R", level, 1);
    }
    if (holds(kBlanks, stop.code))
      add_sample(stop, stop.code + "-B", "blank", protocol, "Invented. Nothing in it.");
    if (stop.site != "D01") measure(stop, level);
  }

  void catch_animals(const Stop& stop, const std::string& code, Level level, int share) {
    Chance chance(code);
    for (const StreamAnimal& animal : stream_animals()) {
      const int usual = animal.usual[static_cast<std::size_t>(level)];
      const int season = animal.season_percent[static_cast<std::size_t>(stop.season)];
      const int found_percent = usual >= 5 ? 100 : usual == 0 ? 0 : 15 + 17 * usual;
      const bool found = chance.percent(found_percent);
      const int count = std::max(1, usual * season * (60 + chance.below(81)) / 10000);
      const bool other = !animal.other_names.empty() && chance.percent(18);
      const auto pick = static_cast<std::size_t>(
          chance.below(std::max<int>(1, static_cast<int>(animal.other_names.size()))));
      if (!found || (share > 1 && count < share)) continue;
      std::string_view name = other ? animal.other_names[pick] : animal.name;
      for (const OddName& odd : kOddNames)
        if (odd.sample == code && odd.instead_of == animal.name) name = odd.written;
      counts_.row({code, name, std::to_string(count / share), animal.stage, ""});
    }
    for (const OddName& odd : kOddNames)
      if (odd.sample == code && odd.instead_of.empty())
        counts_.row({code, odd.written, std::to_string(1 + chance.below(3)), "", odd.note});
  }

  // Heron and Kiln Pond in abundance letters, Alder Pond as presence only.
  void tell_pond(const Stop& stop) {
    add_sample(stop, stop.code, "routine", "net sweeps", "Invented.");
    const std::size_t pond = static_cast<std::size_t>(
        std::find(kPondCodes.begin(), kPondCodes.end(), stop.site) - kPondCodes.begin());
    Chance chance(stop.code);
    for (const PondAnimal& animal : pond_animals()) {
      const int usual = animal.usual[pond];
      const int count = usual * (50 + chance.below(101)) / 100;
      if (count == 0) continue;
      if (pond == 2)
        presences_.row({stop.code, animal.name, "present", animal.stage});
      else
        classes_.row({stop.code, animal.name,
                      count < 10    ? "R"
                      : count < 100 ? "C"
                                    : "D",
                      kScheme, animal.stage});
    }
  }

  // Rare, common, dominant: as in core/reference/abundance_schemes.csv.
  static constexpr std::string_view kScheme = "rare-common-dominant";

  void measure(const Stop& stop, Level level) {
    Chance chance("water " + stop.code);
    const auto s = static_cast<std::size_t>(stop.season);
    const auto l = static_cast<std::size_t>(level);
    static constexpr std::array<int, 4> kTenthsOfDegree{52, 98, 158, 112};
    static constexpr std::array<int, 4> kTenthsOfOxygen{120, 108, 95, 104};            // mg/l, clean water
    static constexpr std::array<int, kLevels> kOxygenPercent{100, 97, 88, 66, 41};     // of that, by level
    static constexpr std::array<int, kLevels> kAmmoniaHundredths{2, 6, 40, 160, 520};  // mg/l as nitrogen
    const auto say = [&](std::string_view quantity, std::string_view unit, double value, int decimals) {
      measurements_.row(
          {stop.code, stop.site, stop.moment, quantity, core::format_fixed(value, decimals), unit});
    };
    say("temperature", "°C", (kTenthsOfDegree[s] + chance.below(25) - 12) / 10.0, 1);
    say("pH", "", (74 + chance.below(7) - 3 * static_cast<int>(l) / 2) / 10.0, 1);
    say("oxygen", "mg/l", kTenthsOfOxygen[s] * (kOxygenPercent[l] + chance.below(9) - 4) / 1000.0, 1);
    const int ammonia = kAmmoniaHundredths[l] * (70 + chance.below(61)) / 100;
    if (ammonia < 5)
      measurements_.row({stop.code, stop.site, stop.moment, "ammonia", "<0.05", "mg/l"});
    else
      say("ammonia", "mg/l", ammonia / 100.0, 2);
  }

  Sheet samples_{
      "eventID,locationID,eventDate,samplingProtocol,sampleSizeValue,sampleSizeUnit,meshSize,sampleKind,"
      "recordedBy,weather,"
      "sampleRemarks"};
  Sheet counts_{"eventID,scientificName,individualCount,lifeStage,occurrenceRemarks"};
  Sheet classes_{"eventID,scientificName,organismQuantity,organismQuantityType,lifeStage"};
  Sheet presences_{"eventID,scientificName,occurrenceStatus,lifeStage"};
  Sheet measurements_{"eventID,locationID,eventDate,measurementType,measurementValue,measurementUnit"};
};

}  // namespace

StoryTables tell_story() {
  return Teller().tell();
}

}  // namespace brookmark::demo

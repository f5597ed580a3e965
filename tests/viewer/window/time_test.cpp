// The day, the window of days, the seasons, and playing them; and the histogram below the slider.
#include <doctest/doctest.h>

#include <random>

#include "sample_survey.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/actions/time_actions.hpp"
#include "viewer/state/time_bins.hpp"

namespace brookmark::viewer {

namespace {

core::Date day(const char* iso) {
  return core::parse_date(iso).value();
}

struct Desk {
  Model model;
  State state;
  explicit Desk(core::Snapshot snapshot)
      : model(make_session(std::move(snapshot))), state(opening_state(model)) {}
  void act(const Action& action) { apply(action, state, model); }
  const core::Assessment& shown() const { return *model.assessment(state.choice, state.period()); }
};

// One site, sampled in spring and autumn of three years.
core::Snapshot seasons_survey() {
  test::SurveyBuilder b;
  b.site("A", "Alder", test::ocean(0, 0));
  for (const char* date :
       {"2020-04-10", "2020-10-10", "2021-04-12", "2021-10-12", "2022-04-14", "2022-10-14"})
    b.sample(date, test::tray(2, 0));
  return b.snapshot;
}

}  // namespace

TEST_CASE("a window of days ends on the day shown, and the map shows what lies in it") {
  Desk desk(seasons_survey());
  desk.act(SetDate{day("2021-09-30")});
  CHECK(desk.model.snapshot().samples.date[desk.shown().sites[0].sample.value()] == day("2021-04-12"));
  desk.act(SetWindow{60});
  CHECK(desk.state.period()->from ==
        day("2021-08-02"));  // 60 days with the last: 30 in September, 30 in August
  CHECK_FALSE(desk.shown().sites[0].newest_sample.has_value());
  desk.act(SetWindow{365});
  CHECK(desk.shown().sites[0].sample.has_value());
  desk.act(SetWindow{0});
  CHECK(desk.state.time.window_days == 1);
  desk.act(SetWindow{INT32_MAX});
  CHECK(desk.state.time.window_days == kLongestWindow);
  desk.act(SetWindow{std::nullopt});
  CHECK(desk.state.period() == core::Period(day("2021-09-30")));
}

TEST_CASE("a season is chosen by one tap, others are added, and the last one brings all back") {
  using core::Season;
  const core::SeasonSet spring = core::SeasonSet::of(Season::kSpring);
  CHECK(tapped({}, Season::kSpring) == spring);
  CHECK(tapped(spring, Season::kAutumn) == spring.with(Season::kAutumn));
  CHECK(tapped(spring.with(Season::kAutumn), Season::kSpring) == core::SeasonSet::of(Season::kAutumn));
  CHECK(tapped(spring, Season::kSpring).all());
  Desk desk(seasons_survey());
  desk.act(ChooseSeasons{spring});
  CHECK(desk.model.snapshot().samples.date[desk.shown().sites[0].sample.value()] == day("2022-04-14"));
  desk.act(ChooseSeasons{core::SeasonSet::none()});
  CHECK(desk.state.time.seasons.all());
}

TEST_CASE("steps go over the days of other seasons, and stay where there is none") {
  Desk desk(seasons_survey());
  desk.act(ChooseSeasons{core::SeasonSet::of(core::Season::kSpring)});
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2022-04-14"));
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2021-04-12"));
  desk.act(StepDate{-7});
  CHECK(desk.state.date == day("2020-04-10"));
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2020-04-10"));
  desk.act(StepDate{2});
  CHECK(desk.state.date == day("2022-04-14"));
  desk.act(ChooseSeasons{core::SeasonSet::of(core::Season::kWinter)});
  desk.act(StepDate{-1});
  CHECK(desk.state.date == day("2022-04-14"));
}

TEST_CASE("the sample opened follows the window and the seasons") {
  Desk desk(seasons_survey());
  desk.act(SelectSite{core::SiteIndex(0)});
  const auto& dates = desk.model.snapshot().samples.date;
  CHECK(dates[desk.state.sample->value()] == day("2022-10-14"));
  desk.act(ChooseSeasons{core::SeasonSet::of(core::Season::kSpring)});
  CHECK(dates[desk.state.sample->value()] == day("2022-04-14"));
  desk.act(SetWindow{30});
  CHECK_FALSE(desk.state.sample);
}

TEST_CASE("playing goes through all days in the time stated, then rests; anything by hand stops it") {
  Desk desk(seasons_survey());
  desk.act(PlayTime{true});  // at the last day: from the first on
  CHECK(desk.state.date == day("2020-04-10"));
  core::Date before = *desk.state.date;
  double seconds = 0;
  while (desk.state.time.playing && seconds < 60) {
    desk.act(PlayOn{1 / 60.0});
    seconds += 1 / 60.0;
    CHECK(*desk.state.date >= before);
    CHECK(desk.state.date->days - before.days <= 2);  // 917 days in 24 s: under one a frame
    before = *desk.state.date;
  }
  CHECK(desk.state.date == day("2022-10-14"));
  CHECK(std::abs(seconds - kPlaySeconds) < 0.1);  // a frame's rounding
  desk.act(PlayTime{true});
  desk.act(SetDate{day("2021-01-01")});
  CHECK_FALSE(desk.state.time.playing);
  desk.act(PlayTime{true});
  CHECK(desk.state.date == day("2021-01-01"));
  desk.act(StepDate{1});
  CHECK_FALSE(desk.state.time.playing);
  desk.act(PlayTime{true});
  desk.act(ClearAll{});
  CHECK_FALSE(desk.state.time.playing);
  for (const double none : {-1.0, 0.0, std::nan(""), HUGE_VAL}) {
    desk.act(PlayTime{true});
    const auto at = desk.state.date;
    desk.act(PlayOn{none});
    CHECK(desk.state.date == at);
  }
}

TEST_CASE("one day, no samples, no sites: nothing plays, steps or breaks") {
  test::SurveyBuilder one;
  one.site("A", "Only", test::ocean(0, 0));
  one.sample("2022-02-03", test::tray(2, 0));
  test::SurveyBuilder unsampled;
  unsampled.site("A", "Only", test::ocean(0, 0));
  unsampled.snapshot.samples.record_begin.push_back(0);
  for (const core::Snapshot& survey : {one.snapshot, unsampled.snapshot, test::empty_snapshot()}) {
    Desk desk(survey);
    const auto at = desk.state.date;
    for (const Action& action :
         Actions{PlayTime{true}, PlayOn{1}, StepDate{1}, StepDate{-1}, SetWindow{10},
                 ChooseSeasons{core::SeasonSet::of(core::Season::kSummer)}, SetDate{day("2030-01-01")}})
      desk.act(action);
    CHECK(desk.state.date == at);
    CHECK_FALSE(desk.state.time.playing);
  }
}

TEST_CASE("the bins of the histogram follow each other without a gap and hold every sample once") {
  std::mt19937 random(7);
  const auto below = [&](int limit) { return static_cast<int>(random() % static_cast<unsigned>(limit)); };
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    std::vector<core::Date> days;
    std::vector<std::size_t> samples;
    core::Date date{below(20000)};
    const int most_apart = 1 + below(400);
    for (int n = 1 + below(60); n > 0; --n) {
      days.push_back(date);
      samples.push_back(static_cast<std::size_t>(1 + below(9)));
      date.days += 1 + below(most_apart);
    }
    const core::SeasonSet seasons = core::SeasonSet::of(core::Season::kSpring);
    const std::size_t most = 1 + static_cast<std::size_t>(below(80));
    const auto bins = time_bins(days, samples, seasons, false, most);
    REQUIRE_FALSE(bins.empty());
    CHECK(bins.front().first == days.front());
    CHECK(bins.back().last == days.back());
    // Years may be more than asked for; nothing else is.
    if (bin_unit(days.front(), days.back(), most) != BinUnit::kYear) CHECK(bins.size() <= most);
    for (std::size_t b = 0; b < bins.size(); ++b) {
      CHECK(bins[b].first <= bins[b].last);
      if (b > 0) CHECK(bins[b].first.days == bins[b - 1].last.days + 1);
      std::size_t all = 0, spring = 0;
      for (std::size_t d = 0; d < days.size(); ++d) {
        if (days[d] < bins[b].first || days[d] > bins[b].last) continue;
        all += samples[d];
        const int month = core::year_month_day(days[d]).month;
        if (month >= 3 && month <= 5) spring += samples[d];
      }
      CHECK(bins[b].samples == all);
      CHECK(bins[b].in_season == spring);
    }
  }
  CHECK(time_bins({}, {}, {}, false, 10).empty());
}

TEST_CASE("bins begin where the calendar does") {
  const std::vector<core::Date> days{day("2021-01-06"), day("2021-12-20")};
  const std::vector<std::size_t> samples{1, 1};
  CHECK(bin_unit(days[0], days[1], 400) == BinUnit::kDay);
  CHECK(bin_unit(days[0], days[1], 60) == BinUnit::kWeek);
  CHECK(bin_unit(days[0], days[1], 12) == BinUnit::kMonth);
  CHECK(bin_unit(days[0], days[1], 5) == BinUnit::kQuarter);
  CHECK(bin_unit(days[0], days[1], 1) == BinUnit::kYear);
  CHECK(time_bins(days, samples, {}, false, 60)[1].first == day("2021-01-11"));  // a Monday
  CHECK(time_bins(days, samples, {}, false, 12)[1].first == day("2021-02-01"));
  CHECK(time_bins(days, samples, {}, false, 5)[1].first == day("2021-03-01"));  // spring
  CHECK(time_bins(days, samples, {}, false, 1).size() == 1);
}

}  // namespace brookmark::viewer

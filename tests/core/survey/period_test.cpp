// Which samples a question speaks of, and that every analysis asks by the same ones: against the plain answer of a survey
// from which all other samples were taken away.
#include <doctest/doctest.h>

#include <random>

#include "core/analysis/drops.hpp"
#include "core/scoring/assessment.hpp"
#include "core/survey/period.hpp"
#include "tests/core/analysis/drawn_survey.hpp"
#include "tests/core/scoring/survey_builder.hpp"

using namespace brookmark::test;
namespace core = brookmark::core;
using core::Season;
using core::SeasonSet;

namespace {

core::Date day(const std::string& iso) {
  return core::parse_date(iso).value();
}

}  // namespace

TEST_CASE("seasons are read with comma or plus, in any case, and said again") {
  CHECK(core::parse_seasons("spring") == SeasonSet::of(Season::kSpring));
  CHECK(core::parse_seasons(" Spring, autumn") == SeasonSet::of(Season::kSpring).with(Season::kAutumn));
  CHECK(core::parse_seasons("winter+spring+summer+autumn") == SeasonSet());
  for (const char* none : {"", "monsoon", "spring,", "spring;summer", "1"})
    CHECK_FALSE(core::parse_seasons(none));
  CHECK(core::season_set_words(SeasonSet::of(Season::kAutumn).with(Season::kWinter)) == "winter and autumn");
  CHECK(core::season_set_words(SeasonSet().without(Season::kSummer)) == "winter, spring and autumn");
  CHECK(core::season_set_words(SeasonSet()) == "all seasons");
}

TEST_CASE("a period holds its first and its last day, and a window of days counts its last") {
  const core::Period window = core::days_up_to(day("2024-03-10"), 10);
  CHECK(window.from == day("2024-03-01"));
  CHECK(window.holds(day("2024-03-01"), false));
  CHECK(window.holds(day("2024-03-10"), false));
  CHECK_FALSE(window.holds(day("2024-02-29"), false));
  CHECK_FALSE(window.holds(day("2024-03-11"), false));
  CHECK(core::days_up_to(day("2024-03-10"), 1).from == day("2024-03-10"));
  CHECK(core::days_up_to(day("2024-03-10"), 0).from == day("2024-03-10"));
  const core::Period plain = day("2024-03-10");
  CHECK(plain.holds(day("1900-01-01"), false));
}

TEST_CASE("December belongs to winter in the north and to summer in the south") {
  const core::Period winter(day("2030-01-01"), {}, SeasonSet::of(Season::kWinter));
  CHECK(winter.holds(day("2023-12-01"), false));
  CHECK_FALSE(winter.holds(day("2023-12-01"), true));
  CHECK(winter.holds(day("2023-06-01"), true));
  SurveyBuilder b;
  const auto north = b.sample(b.site("N", WaterKind::kStream, 52), "2023-12-01", {present("Baetidae")});
  const auto south = b.sample(b.site("S", WaterKind::kStream, -40), "2023-12-01", {present("Baetidae")});
  CHECK(core::in_period(winter, b.snapshot(), north));
  CHECK_FALSE(core::in_period(winter, b.snapshot(), south));
}

TEST_CASE("the words of a period") {
  CHECK(core::period_words(day("2024-05-03")) == "up to 2024-05-03");
  CHECK(core::period_words({day("2024-05-03"), day("2023-05-04"), SeasonSet::of(Season::kSpring)}) ==
        "from 2023-05-04 to 2024-05-03, of spring");
}

TEST_CASE("a site shows the newest sample of the seasons and days asked for") {
  SurveyBuilder b;
  const SiteIndex site = b.site("S1", WaterKind::kStream);
  const auto spring22 = b.sample(site, "2022-05-01", kGood), autumn22 = b.sample(site, "2022-10-01", kFair);
  const auto spring23 = b.sample(site, "2023-05-01", kPoor);
  const core::ScoreTable scores = core::score_samples(b.snapshot(), *core::find_method("bmwp-a"));
  const auto at = [&](const core::Period& period) {
    return core::assess(b.snapshot(), scores, 0, {}, period).sites[0];
  };
  const core::Date end = day("2023-12-31");
  CHECK(at(end).sample == spring23);
  CHECK(at({end, {}, SeasonSet::of(Season::kAutumn)}).sample == autumn22);
  CHECK(at({day("2023-04-30"), {}, SeasonSet::of(Season::kSpring)}).sample == spring22);
  CHECK(at({day("2023-04-30"), day("2022-06-01")}).sample == autumn22);
  CHECK(at({end, {}, SeasonSet::of(Season::kAutumn)}).value == kFairScore);
  // A newer sample of another season is not asked for, so it does not supersede.
  CHECK_FALSE(at({end, {}, SeasonSet::of(Season::kAutumn)}).superseded);
  const auto nothing = at({end, day("2023-06-01")});
  CHECK_FALSE(nothing.sample.has_value());
  CHECK_FALSE(nothing.newest_sample.has_value());
  CHECK_FALSE(at({end, {}, SeasonSet::of(Season::kWinter)}).newest_sample.has_value());
  const auto a = core::assess(b.snapshot(), scores, 0, {}, {end, day("2023-06-01")});
  CHECK(core::assessment_note(b.snapshot(), scores, a, site) == "no sample from 2023-06-01 to 2023-12-31");
}

TEST_CASE("asked of a period, all is as if the other samples were not there") {
  // Brute force: the same survey is built again from the samples of the period alone.
  static const char* const names[] = {"Heptageniidae", "Leuctridae",   "Gammaridae",
                                      "Baetidae",      "Chironomidae", "Oligochaeta"};
  std::mt19937 random(20261125);
  const auto below = [&](std::uint32_t limit) { return static_cast<std::uint32_t>(random() % limit); };
  for (int round = 0; round < 150; ++round) {
    CAPTURE(round);
    core::SeasonSet seasons = SeasonSet::none();
    for (const Season s : {Season::kWinter, Season::kSpring, Season::kSummer, Season::kAutumn})
      if (below(2) == 0) seasons = seasons.with(s);
    if (seasons.empty()) seasons = SeasonSet();
    const core::Date until{19000 + static_cast<int>(below(900))};
    core::Period period(until, {}, seasons);
    if (below(2) == 0) period.from = core::Date{until.days - static_cast<int>(below(500))};

    SurveyBuilder whole, cut;
    core::CatchmentNesting nesting;
    nesting.parent = {core::CatchmentIndex::none(), core::CatchmentIndex(0)};
    nesting.area_m2 = {2, 1};
    std::vector<std::size_t> kept;  // samples of `cut` as indices into `whole`
    std::size_t made = 0;
    for (int i = 0; i < 6; ++i) {
      const bool south = i == 5;
      for (SurveyBuilder* b : {&whole, &cut})
        b->site("S" + std::to_string(i), WaterKind::kStream, south ? -52 : 52);
      nesting.site_smallest.emplace_back(below(2));
      core::Date date{18600};
      for (std::uint32_t k = below(8); k > 0; --k, ++made) {
        date.days += static_cast<int>(below(200));
        std::vector<Found> sheet;
        for (const char* name : names)
          if (below(3) == 0) sheet.push_back(present(name));
        if (below(6) == 0) sheet = {absent("Baetidae")};
        const SampleKind kind = below(5) == 0 ? SampleKind::kReplicate : SampleKind::kRoutine;
        whole.sample(SiteIndex(static_cast<std::size_t>(i)), core::format_date(date), sheet, kind);
        const int month = core::year_month_day(date).month;
        const int quarter = (month % 12 / 3 + (south ? 2 : 0)) % 4;
        if (date > until || (period.from && date < *period.from) ||
            !seasons.has(static_cast<Season>(quarter)))
          continue;
        cut.sample(SiteIndex(static_cast<std::size_t>(i)), core::format_date(date), sheet, kind);
        kept.push_back(made);
      }
    }
    const core::Method& method = *core::find_method("bmwp-a");
    const auto scores = core::score_samples(whole.snapshot(), method);
    const auto cut_scores = core::score_samples(cut.snapshot(), method);
    const auto asked = core::assess(whole.snapshot(), scores, 0, nesting, period);
    const auto plain = core::assess(cut.snapshot(), cut_scores, 0, nesting, core::make_date({2050, 1, 1}));
    const auto same = [&](SampleIndex a, SampleIndex b) {
      return a.has_value() == b.has_value() && (!b.has_value() || a.value() == kept[b.value()]);
    };
    std::vector<SiteIndex> inside;
    std::vector<core::SiteAssessment> known;
    for (std::size_t i = 0; i < 6; ++i) {
      CHECK(same(asked.sites[i].sample, plain.sites[i].sample));
      CHECK(same(asked.sites[i].newest_sample, plain.sites[i].newest_sample));
      CHECK(asked.sites[i].class_rank == plain.sites[i].class_rank);
      CHECK(asked.sites[i].superseded == plain.sites[i].superseded);
      const auto alone = core::assess_site(whole.snapshot(), scores, 0, SiteIndex(i), period);
      CHECK(alone.sample == asked.sites[i].sample);
      CHECK(alone.class_rank == asked.sites[i].class_rank);
      inside.emplace_back(5 - i);
    }
    for (const SiteIndex site : inside) known.push_back(asked.sites[site.value()]);
    for (std::size_t c = 0; c < 2; ++c) {
      CHECK(asked.catchments[c].worst_rank == plain.catchments[c].worst_rank);
      CHECK(asked.catchments[c].median_value == plain.catchments[c].median_value);
      CHECK(asked.catchments[c].assessed_sites == plain.catchments[c].assessed_sites);
    }
    // Catchment 0 holds all sites, given here in another order.
    const auto alone = core::assess_catchment(whole.snapshot(), method.metrics[0], inside, known);
    CHECK(alone.median_site == asked.catchments[0].median_site);
    CHECK(alone.median_value == asked.catchments[0].median_value);
    CHECK(alone.worst_rank == asked.catchments[0].worst_rank);
    CHECK(alone.assessed_sites == asked.catchments[0].assessed_sites);
    CHECK(alone.first == asked.catchments[0].first);
    CHECK(alone.last == asked.catchments[0].last);
  }
}

TEST_CASE("falls are looked for among the samples of the period alone") {
  DrawnSurvey s(R"(
    A
    |
    B
    |
  )");
  s.sample('A', "2023-05-01", kGood);
  s.sample('A', "2023-10-01", kGood);
  s.sample('B', "2023-05-02", kGood);
  s.sample('B', "2023-10-02", kPoor);
  const auto scores = core::score_samples(s.builder.snapshot(), *core::find_method("bmwp-a"));
  const auto falls = [&](const core::Period& period) {
    return core::find_drops(s.builder.snapshot(), scores, 0, s.network, period);
  };
  const core::Date end = day("2023-12-31");
  REQUIRE(falls(end).size() == 1);
  CHECK(falls(end)[0].pairs.size() == 2);
  CHECK(falls(end)[0].is_worse());
  const auto spring = falls({end, {}, SeasonSet::of(Season::kSpring)});
  REQUIRE(spring.size() == 1);
  CHECK(spring[0].pairs.size() == 1);
  CHECK_FALSE(spring[0].is_worse());
  CHECK(falls({end, day("2023-08-01")})[0].pairs.size() == 1);
  CHECK(falls({end, {}, SeasonSet::of(Season::kWinter)}).empty());
}

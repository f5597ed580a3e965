#include <algorithm>
#include <cmath>
#include <numeric>
#include <ostream>

#include "core/analysis/impact.hpp"
#include "core/analysis/outfalls.hpp"
#include "core/analysis/survey_trends.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

constexpr std::string_view kMeasurement = "measurement:";

// What a trend or a comparison is of.
struct ValueOptions {
  std::string of;               // a metric's id, or measurement:QUANTITY; empty: the method's first metric
  std::string method;           // empty: the first shipped one that has the metric
  ScoreOptions days;            // its until, from and season alone; empty: everything
  std::string below_detection;  // bound, zero, half, limit; empty: bound
};

struct ChosenValues {
  core::SiteValues values;
  std::shared_ptr<const core::Method> method;  // none for a measurement, or a number of diversity
  bool measured = false;
  std::optional<core::DiversityMetric> diversity = {};

  Cell confirmed() const {
    if (diversity) return text(core::confirmed_name(core::diversity_metric_confirmed(*diversity)));
    return method ? text(core::confirmed_name(method->confirmed)) : Cell{};
  }
};

// The first shipped method with this metric; of an empty text the first of all. None where there is none.
std::shared_ptr<const core::Method> method_with(const std::string& metric) {
  for (const core::Method& method : core::shipped_methods())
    if (metric.empty() || method.find_metric(metric) != nullptr)
      return {std::shared_ptr<const core::Method>(), &method};
  return nullptr;
}

[[noreturn]] void refuse_metric(const std::string& metric) {
  std::vector<std::string> ids;
  for (const core::Method& method : core::shipped_methods())
    for (const core::Metric& one : method.metrics)
      if (std::find(ids.begin(), ids.end(), one.id) == ids.end()) ids.push_back(one.id);
  for (std::size_t i = 0; i < core::kDiversityMetrics; ++i)
    ids.emplace_back(core::diversity_metric_name(static_cast<core::DiversityMetric>(i)));
  throw Error(ErrorCode::kNotFound, "there is no metric \"" + metric + "\"; choose one of " +
                                        core::joined(ids, ", ") +
                                        ", name your own --method, or write measurement:QUANTITY");
}

ChosenValues choose_values(const core::Snapshot& snapshot, const ValueOptions& options) {
  const core::Period period = choose_period(options.days, {INT32_MAX});
  if (options.of.starts_with(kMeasurement)) {
    if (!options.method.empty())
      throw Error(ErrorCode::kBadUse, "a measurement has no method; leave out --method, or name a metric");
    const auto below =
        core::parse_below_detection(options.below_detection.empty() ? "bound" : options.below_detection);
    return {core::measured_values(snapshot, options.of.substr(kMeasurement.size()), *below, period), nullptr,
            true};
  }
  auto method = options.method.empty() ? method_with(options.of) : choose_method(options.method);
  if (method == nullptr) {
    const auto diversity = core::parse_diversity_metric(options.of);
    if (!diversity) refuse_metric(options.of);
    return {core::diversity_values(snapshot, *diversity, period), nullptr, false, diversity};
  }
  const std::size_t metric = choose_metric(*method, options.of);
  return {core::metric_values(snapshot, core::score_samples(snapshot, *method), metric, period), method,
          false};
}

// Ten significant digits; more would only show how a computer rounds.
Cell significant(const std::optional<double>& value) {
  if (!value) return {};
  if (*value == 0) return exact(0);
  const double digits = 9 - std::floor(std::log10(std::abs(*value)));
  if (digits > 30) return exact(*value);
  const int decimals = std::max(0, static_cast<int>(digits));
  std::string written = core::format_fixed(*value, decimals);
  if (written.find('.') == std::string::npos) return number(*value, 0);
  written.erase(written.find_last_not_of('0') + 1);
  return number(*value, static_cast<int>(written.size() - written.find('.') - 1));
}

Cell date_cell(const std::optional<core::Date>& date) {
  return date ? text(core::format_date(*date)) : Cell{};
}

core::SiteIndex choose_site(const core::Snapshot& snapshot, const std::string& code) {
  if (const auto site = snapshot.find_site(code)) return *site;
  throw Error(ErrorCode::kNotFound, "there is no site \"" + code + "\" in this survey");
}

struct TrendCommand {
  ValueOptions of;
  std::string site, catchment, each;
  bool catchments = false, by_season = false, by_month = false;
};

core::SurveyTrendOptions trend_options(const TrendCommand& command) {
  core::SurveyTrendOptions options;
  if (command.each == "year") options.step = core::TrendStep::kYear;
  if (command.each == "day") options.step = core::TrendStep::kDay;
  if (command.by_season) options.groups = core::TrendGroups::kSeasons;
  if (command.by_month) options.groups = core::TrendGroups::kMonths;
  if (command.by_season && command.by_month)
    throw Error(ErrorCode::kBadUse, "--by-season and --by-month are two ways of one thing; choose one");
  if (options.groups != core::TrendGroups::kNone && !command.each.empty())
    throw Error(ErrorCode::kBadUse, "by season or month each of a year is one value; leave out --each");
  return options;
}

std::vector<core::TrendRow> trends_asked_for(const Session& session, const core::SiteValues& values,
                                             const TrendCommand& command) {
  const core::Snapshot& snapshot = session.snapshot;
  const core::SurveyTrendOptions options = trend_options(command);
  if (!command.site.empty() && (!command.catchment.empty() || command.catchments))
    throw Error(ErrorCode::kBadUse, "name a site or a catchment, not both");
  if (command.catchment.empty() && !command.catchments) {
    std::vector<core::SiteIndex> sites;
    if (!command.site.empty())
      sites.push_back(choose_site(snapshot, command.site));
    else
      for (std::size_t s = 0; s < snapshot.sites.size(); ++s) sites.emplace_back(s);
    return core::site_trends(snapshot, values, sites, options);
  }
  std::vector<core::CatchmentIndex> catchments;
  for (std::size_t c = 0; c < snapshot.catchments.size(); ++c)
    if (command.catchments || snapshot.catchments[c].code == command.catchment) catchments.emplace_back(c);
  if (catchments.empty() && !command.catchments)
    throw Error(ErrorCode::kNotFound, "there is no catchment \"" + command.catchment + "\" in this survey");
  return core::catchment_trends(snapshot, values, session.nesting, catchments, options);
}

int run_trend(const std::filesystem::path& survey, const TrendCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const ChosenValues chosen = choose_values(session.snapshot, command.of);
  Rows rows{
      {"site",          "of",        "n",          "s",     "var_s",   "z",         "p",     "slope_per_year",
       "season_method", "slope_low", "slope_high", "tau_b", "p_exact", "answer",    "first", "last",
       "method",        "taken_by",  "unit",       "place", "counts",  "confirmed", "note"},
      {}};
  std::size_t tests = 0, shown = 0;
  for (const core::TrendRow& row : trends_asked_for(session, chosen.values, command)) {
    const auto* test = row.test ? &*row.test : nullptr;
    const bool judged = test != nullptr && !row.no_variance;
    const auto of_test = [&](std::optional<double> core::TrendTest::*member) {
      return test != nullptr ? significant(test->*member) : Cell{};
    };
    tests += row.counts ? 1 : 0;
    const bool trend = row.answer == core::TrendAnswer::kRising || row.answer == core::TrendAnswer::kFalling;
    shown += row.counts && trend ? 1 : 0;
    rows.add({text(row.place),
              text(row.of),
              whole(row.n),
              test != nullptr ? Cell{test->s} : Cell{},
              test != nullptr ? significant(test->var_s) : Cell{},
              judged ? significant(test->z) : Cell{},
              judged ? significant(test->p) : Cell{},
              of_test(&core::TrendTest::slope),
              text(row.season_method),
              of_test(&core::TrendTest::slope_low),
              of_test(&core::TrendTest::slope_high),
              of_test(&core::TrendTest::tau_b),
              of_test(&core::TrendTest::p_exact),
              text(row.words),
              date_cell(row.first),
              date_cell(row.last),
              chosen.method ? text(chosen.method->id) : Cell{},
              chosen.measured ? Cell{} : text_or_empty(row.way),
              text_or_empty(chosen.measured ? row.way : chosen.values.unit),
              text(row.is_catchment ? "catchment" : "site"),
              test != nullptr ? Cell{row.counts} : Cell{},
              chosen.confirmed(),
              text_or_empty(row.note)});
  }
  console.rows(rows);
  if (tests == 0) {
    console.err << "no trend can be given; the note of each row says why\n";
    return kAnswerIsNo;
  }
  console.err
      << chosen.values.title << ": " << shown << " of " << tests
      << " series show a trend at p < 0.05 (by chance alone about one in twenty does). A trend says that the "
         "numbers changed, not why.\n";
  return kDone;
}

struct ImpactCommand {
  ValueOptions of;
  std::string metric, control, impact, event, outfall;
  std::int64_t days = core::kMostDaysApart, seed = 1;
  bool pairs = false;
};

// The outfall's first day, or the date given.
core::Date choose_event(const core::Snapshot& snapshot, const ImpactCommand& command,
                        std::optional<core::OutfallIndex>& outfall) {
  if (command.outfall.empty()) return choose_date(command.event, {});
  for (std::size_t o = 0; o < snapshot.outfalls.size(); ++o)
    if (snapshot.outfalls[o].code == command.outfall) outfall = core::OutfallIndex(o);
  if (!outfall)
    throw Error(ErrorCode::kNotFound, "there is no outfall \"" + command.outfall + "\" in this survey");
  const auto& since = snapshot.outfalls[outfall->value()].since;
  if (!since)
    throw Error(ErrorCode::kBadInput,
                "the outfall " + command.outfall +
                    " has no first day (since) in this survey; give the day with --event");
  return *since;
}

void show_pairs(const core::Impact& impact, const ImpactCommand& command, const Console& console) {
  Rows rows{{"control_date", "impact_date", "control", "impact", "control_value", "impact_value",
             "difference", "side", "taken_by"},
            {}};
  for (const core::ImpactPair& pair : impact.pairs)
    rows.add({text(core::format_date(pair.control_date)), text(core::format_date(pair.impact_date)),
              text(command.control), text(command.impact), significant(pair.control),
              significant(pair.impact), significant(pair.difference()), text(pair.after ? "after" : "before"),
              text_or_empty(pair.way)});
  console.rows(rows);
}

int run_impact(const std::filesystem::path& survey, ImpactCommand command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  if (!command.metric.empty() && !command.of.of.empty())
    throw Error(ErrorCode::kBadUse, "--of and --metric name the same thing; give one");
  if (command.of.of.empty()) command.of.of = command.metric;
  std::optional<core::OutfallIndex> outfall;
  const core::SiteIndex control = choose_site(snapshot, command.control);
  const core::SiteIndex impact_site = choose_site(snapshot, command.impact);
  core::ImpactOptions options;
  options.event = choose_event(snapshot, command, outfall);
  options.most_days_apart = static_cast<int>(command.days);
  options.permutation.seed = static_cast<std::uint64_t>(command.seed);
  const ChosenValues chosen = choose_values(snapshot, command.of);
  const core::Impact impact = core::assess_impact(chosen.values, control, impact_site, options);
  const std::string setting = core::impact_setting(snapshot, session.channels, control, impact_site,
                                                   outfall.value_or(core::OutfallIndex::none()));
  if (command.pairs) {
    show_pairs(impact, command, console);
  } else {
    Rows rows{{"test", "control", "impact", "of", "event", "pairs_before", "pairs_after", "estimate", "low",
               "high", "p", "smallest_p", "arrangements", "exact", "answer", "method", "confirmed", "note"},
              {}};
    const auto add = [&](const char* name, const std::optional<double>& estimate,
                         const std::optional<core::PermutationResult>& test, Cell answer,
                         const std::string& more) {
      std::string all = setting;  // before anything else
      core::append_note(all, more);
      core::append_note(all, impact.note);
      rows.add({text(name), text(command.control), text(command.impact), text(chosen.values.of),
                text(core::format_date(options.event)), whole(impact.before), whole(impact.after),
                significant(test ? test->statistic : estimate), test ? significant(test->low) : Cell{},
                test ? significant(test->high) : Cell{}, test ? significant(test->p) : Cell{},
                test ? significant(test->smallest_p) : Cell{}, test ? whole(test->arrangements) : Cell{},
                test ? Cell{test->exact} : Cell{}, std::move(answer),
                chosen.method ? text(chosen.method->id) : Cell{}, chosen.confirmed(), text_or_empty(all)});
    };
    add("change of the difference", std::nullopt, impact.change, text(impact.words), impact.change_why_not);
    add("difference before", impact.mean_before, std::nullopt, {}, "");
    add("difference after", impact.mean_after, impact.against_none, {}, impact.against_none_why_not);
    console.rows(rows);
  }
  if (!setting.empty()) console.err << "warning: " << setting << "\n";
  console.err << chosen.values.title << ", " << command.impact << " less " << command.control << ": "
              << impact.words << (impact.change ? "" : "; " + impact.change_why_not)
              << ". It compares two sides of a day and does not say what changed the numbers.\n";
  return impact.change ? kDone : kAnswerIsNo;
}

Verb& with_below_detection(Verb& verb, ValueOptions& of) {
  return verb
      .option("--below-detection", of.below_detection,
              "what stands for a value below detection: bound (default: nothing does), zero, half or limit")
      .choices({"bound", "zero", "half", "limit"});
}

}  // namespace

void add_trend_verbs(Verbs& verbs) {
  const auto trend = std::make_shared<TrendCommand>();
  Verb told = verbs.add_for_survey(
      "trend", "what changed over the years, one row a site or catchment",
      [trend](const auto& survey, const Console& c) { return run_trend(survey, *trend, c); });
  told.option("--of", trend->of.of, "a metric of a method, a number of diversity, or measurement:QUANTITY")
      .required()
      .option("--method", trend->of.method,
              "a method's name, or your own NAME.method.csv; default: the first that has the metric")
      .option("--site", trend->site, "one site's code; default: every site")
      .option("--catchment", trend->catchment,
              "one catchment's code: its sites together, each compared with itself")
      .flag("--catchments", trend->catchments, "every catchment")
      .flag("--by-season", trend->by_season, "compare each season with itself only (seasonal Kendall)")
      .flag("--by-month", trend->by_month, "the same with months")
      .option("--each", trend->each,
              "several values of one season (default), year or day count as their median")
      .choices({"season", "year", "day"})
      .with_period(trend->of.days);
  with_below_detection(told, trend->of).with_format();

  const auto impact = std::make_shared<ImpactCommand>();
  Verb compared = verbs.add_for_survey(
      "impact", "is the difference between two sites another after an event than before",
      [impact](const auto& survey, const Console& c) { return run_impact(survey, *impact, c); });
  compared.option("--control", impact->control, "the site that the event does not reach, above it")
      .required()
      .option("--impact", impact->impact, "the site below it")
      .required()
      .option("--event", impact->event, "the day of the event, YYYY-MM-DD")
      .option("--outfall", impact->outfall, "an outfall's code: the event is its first day")
      .exactly_one({"--event", "--outfall"})
      .option("--of", impact->of.of, "a metric of a method, a number of diversity, or measurement:QUANTITY")
      .option("--method", impact->of.method,
              "a method's name, or your own NAME.method.csv; default: the first of `brookmark methods`")
      .option("--metric", impact->metric, "one of the method's metrics; default: its first")
      .whole("--days", impact->days, 0, 366, "most days between the two samples of a pair; default 14")
      .whole("--seed", impact->seed, 0, 9'007'199'254'740'991,
             "of the random draws, used only for many pairs; default 1")
      .flag("--pairs", impact->pairs, "list the pairs instead")
      .with_period(impact->of.days);
  with_below_detection(compared, impact->of).with_format();
}

}  // namespace brookmark::viewer

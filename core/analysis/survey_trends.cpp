#include "core/analysis/survey_trends.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

struct Step {
  int group = 0;    // season or month; 0 without groups
  double time = 0;  // years
  auto operator<=>(const Step&) const = default;
};

Step step_of(Date date, const SurveyTrendOptions& options) {
  const YearMonthDay day = year_month_day(date);
  switch (options.groups) {
    case TrendGroups::kSeasons:
      return {season_number(date) % 4, static_cast<double>(season_number(date) / 4)};
    case TrendGroups::kMonths:
      return {day.month, static_cast<double>(day.year)};
    case TrendGroups::kNone:
      break;
  }
  switch (options.step) {
    case TrendStep::kSeason:
      return {0, season_number(date) / 4.0};
    case TrendStep::kYear:
      return {0, static_cast<double>(day.year)};
    case TrendStep::kDay: {
      const Date first = make_date({day.year, 1, 1}), next = make_date({day.year + 1, 1, 1});
      return {0, day.year + (date.days - first.days) / static_cast<double>(next.days - first.days)};
    }
  }
  return {};
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return (values[(values.size() - 1) / 2] + values[values.size() / 2]) / 2;
}

// One way of taking, with the values of one or several sites.
struct Part {
  std::map<std::pair<std::size_t, Step>, std::vector<double>> steps;  // by site and step
  std::size_t values = 0;
  Date first{INT32_MAX}, last{INT32_MIN};

  void add(const SiteValue& value, const SurveyTrendOptions& options) {
    steps[{value.site.value(), step_of(value.date, options)}].push_back(value.value);
    ++values;
    first = std::min(first, value.date);
    last = std::max(last, value.date);
  }

  // One series a site and season (month), in order of time.
  std::vector<TrendGroup> groups() const {
    std::map<std::pair<std::size_t, int>, TrendGroup> by;
    for (const auto& [key, several] : steps) {
      TrendGroup& group = by[{key.first, key.second.group}];
      group.times.push_back(key.second.time);
      group.values.push_back(median(several));
    }
    std::vector<TrendGroup> out;
    for (auto& [key, group] : by) out.push_back(std::move(group));
    return out;
  }
};

struct Place {
  bool is_catchment = false;
  std::string code;
  std::map<std::string, Part> parts;        // by way
  std::map<std::string, std::size_t> left;  // reason -> how many
  std::size_t below_detection = 0;
};

std::string of_many(std::size_t count, const std::string& one) {
  return std::to_string(count) + " " + one + (count == 1 ? "" : "s");
}

std::string way_text(const std::string& way) {
  return way.empty() ? "none noted" : "\"" + way + "\"";
}

const char* groups_word(TrendGroups groups) {
  return groups == TrendGroups::kSeasons ? "seasons" : "months";
}

const char* step_word(const SurveyTrendOptions& options) {
  if (options.groups == TrendGroups::kSeasons) return "season of a year";
  if (options.groups == TrendGroups::kMonths) return "month of a year";
  if (options.step == TrendStep::kSeason) return "season of a year";
  return options.step == TrendStep::kYear ? "year" : "day";
}

std::string left_out_text(const Place& place) {
  std::string text;
  for (const auto& [why, count] : place.left)
    append_note(text, of_many(count, "value") + " left out (" + (why.empty() ? "no value" : why) + ")");
  return text;
}

// "sampling protocol changed: "kick" 2020-04-10 to 2021-10-02, then ...; each is a series of its own"
std::string split_text(const Place& place, const std::string& way_word) {
  if (place.parts.size() < 2) return "";
  std::vector<std::pair<Date, std::string>> ways;
  for (const auto& [way, part] : place.parts)
    ways.emplace_back(part.first,
                      way_text(way) + " " + format_date(part.first) + " to " + format_date(part.last));
  std::sort(ways.begin(), ways.end());
  std::string text;
  for (const auto& [first, words] : ways) text += (text.empty() ? "" : ", ") + words;
  return "the " + way_word + " changed (" + text + "): each is a series of its own";
}

std::string answer_words(const TrendRow& row, const SiteValues& values) {
  switch (row.answer) {
    case TrendAnswer::kNoAnswer:
      return "no answer";
    case TrendAnswer::kNone:
      return "no trend shown";
    case TrendAnswer::kRising:
    case TrendAnswer::kFalling:
      break;
  }
  const bool rising = row.answer == TrendAnswer::kRising;
  std::string words = rising ? "rising" : "falling";
  if (values.higher_is_better)
    words += *values.higher_is_better == rising ? ", for the better" : ", for the worse";
  return words + " (p < 0.05)";
}

void judge_row(TrendRow& row) {
  const TrendTest& test = *row.test;
  if (row.no_variance) return;
  row.answer = TrendAnswer::kNone;
  if (test.best_p() < kTrendLevel && test.s != 0)
    row.answer = test.s > 0 ? TrendAnswer::kRising : TrendAnswer::kFalling;
  if (test.var_s == 0) append_note(row.note, "all values are equal");
  if (test.smallest_p && *test.smallest_p >= kTrendLevel)
    append_note(row.note, "with " + std::to_string(test.n) + " values even a steady rise has p = " +
                              format_fixed(*test.smallest_p, 3) + ", so no trend can be shown");
  if (!test.slope && test.n > kMostSlopeValues) append_note(row.note, "too many values for a slope");
}

// Marks the row of a series to go by; the newest rows are of that series.
void choose_row(std::span<TrendRow> series, std::size_t years) {
  if (series.empty() || !series[0].test) return;
  std::size_t chosen = 0;
  if (series.size() == 2 && !series[1].no_variance &&
      (years >= kCovarianceYears || series[1].test->best_p() > series[0].test->best_p()))
    chosen = 1;
  series[chosen].counts = !series[chosen].no_variance;
  if (series.size() == 2)
    append_note(series[1 - chosen].note, "another test of one series: go by the row " +
                                             std::string(chosen == 1 ? "with" : "without") + " covariance");
}

void add_rows(const Place& place, const SiteValues& values, const SurveyTrendOptions& options,
              std::vector<TrendRow>& rows) {
  TrendRow row;
  row.is_catchment = place.is_catchment;
  row.place = place.code;
  row.of = values.of;
  const bool grouped = place.is_catchment || options.groups != TrendGroups::kNone;
  row.season_method = !grouped                               ? "none"
                      : options.groups == TrendGroups::kNone ? "sites"
                      : place.is_catchment ? std::string("sites and ") + groups_word(options.groups)
                                           : groups_word(options.groups);
  const std::string left = left_out_text(place), split = split_text(place, values.way_word);
  if (place.parts.empty() && place.below_detection == 0) {
    row.note = left.empty() ? "no values" : left;
    row.words = answer_words(row, values);
    rows.push_back(std::move(row));
    return;
  }
  // Where every value lies below detection there is still one row, to say so.
  static const std::map<std::string, Part> kOneEmpty{{"", {}}};
  for (const auto& [way, part] : place.parts.empty() ? kOneEmpty : place.parts) {
    TrendRow one = row;
    one.way = way;
    const std::vector<TrendGroup> groups = part.groups();
    std::size_t pairs = 0;
    std::set<double> years;
    for (const TrendGroup& group : groups) {
      one.n += group.values.size();
      pairs += group.values.size() * (group.values.size() - 1) / 2;
      for (const double time : group.times) years.insert(std::floor(time));
    }
    if (part.values > 0) one.first = part.first, one.last = part.last;
    append_note(one.note, split);
    if (part.values > one.n)
      append_note(one.note, std::to_string(one.n) + " medians of " + of_many(part.values, "value") +
                                ", one each " + step_word(options));
    append_note(one.note, left);
    if (place.below_detection > 0) {
      one.note = of_many(place.below_detection, "value") + " of " +
                 std::to_string(place.below_detection + part.values) +
                 " below detection: no trend without a number in their place, to be asked for" +
                 (one.note.empty() ? "" : "; " + one.note);
    } else if (!grouped ? one.n < kFewestTrendValues : pairs < kFewestPairs) {
      const std::string few =
          grouped ? of_many(pairs, "comparison") + " within " + one.season_method + ", fewer than " +
                        std::to_string(kFewestPairs)
                  : of_many(one.n, "value") + ", fewer than " + std::to_string(kFewestTrendValues);
      one.note = "too few: " + few + (one.note.empty() ? "" : "; " + one.note);
    } else {
      const TrendOptions test_options{options.level, false, true};
      one.test = grouped ? grouped_kendall(groups, test_options)
                         : mann_kendall(groups[0].times, groups[0].values, test_options);
    }
    const std::size_t before = rows.size();
    for (const bool covariance : {false, true}) {
      if (covariance && (!grouped || !one.test)) continue;
      TrendRow told = one;
      if (covariance) {
        told.season_method += ", covariance";
        told.test = grouped_kendall(groups, {options.level, true, true});
        told.no_variance = told.test->var_s <= 0 && told.test->s != 0;
        if (told.no_variance)
          append_note(told.note, "the covariance estimated leaves no variance: no z and no p");
        if (years.size() < kCovarianceYears)
          append_note(told.note,
                      "covariance from " + of_many(years.size(), "year") + " is uncertain: ten are wanted");
      }
      if (told.test) judge_row(told);
      told.words = answer_words(told, values);
      rows.push_back(std::move(told));
    }
    choose_row(std::span(rows).subspan(before), years.size());
  }
}

void add_left_out(Place& place, const LeftOut& out) {
  if (out.below_detection)
    ++place.below_detection;
  else
    ++place.left[out.why];
}

}  // namespace

std::vector<TrendRow> site_trends(const Snapshot& snapshot, const SiteValues& values,
                                  std::span<const SiteIndex> sites, const SurveyTrendOptions& options) {
  std::vector<Place> places(snapshot.sites.size());
  for (const SiteValue& value : values.values)
    places[value.site.value()].parts[value.way].add(value, options);
  for (const LeftOut& out : values.left_out) add_left_out(places[out.site.value()], out);
  std::vector<TrendRow> rows;
  for (const SiteIndex site : sites) {
    places[site.value()].code = snapshot.sites.code[site.value()];
    add_rows(places[site.value()], values, options, rows);
  }
  return rows;
}

std::vector<TrendRow> catchment_trends(const Snapshot& snapshot, const SiteValues& values,
                                       const CatchmentNesting& nesting,
                                       std::span<const CatchmentIndex> catchments,
                                       const SurveyTrendOptions& options) {
  std::vector<TrendRow> rows;
  for (const CatchmentIndex catchment : catchments) {
    std::vector<bool> inside(snapshot.sites.size(), false);
    for (std::size_t s = 0; s < inside.size(); ++s)
      for (CatchmentIndex at = nesting.site_smallest[s]; at.has_value(); at = nesting.parent[at.value()])
        if (at == catchment) inside[s] = true;
    Place place;
    place.is_catchment = true;
    place.code = snapshot.catchments[catchment.value()].code;
    for (const SiteValue& value : values.values)
      if (inside[value.site.value()]) place.parts[value.way].add(value, options);
    for (const LeftOut& out : values.left_out)
      if (inside[out.site.value()]) add_left_out(place, out);
    add_rows(place, values, options, rows);
  }
  return rows;
}

}  // namespace brookmark::core

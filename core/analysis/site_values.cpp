#include "core/analysis/site_values.hpp"

#include <algorithm>
#include <set>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

template <class Row>
void by_site_and_date(std::vector<Row>& rows) {
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return a.site != b.site ? a.site < b.site : a.date < b.date;
  });
}

// A value in the unit that others of its quantity can be brought to as well.
struct InUnit {
  std::optional<double> value;
  std::string unit, why_not;
};

InUnit in_common_unit(const Quantity& quantity, std::string_view unit, double value) {
  // "mg/l N" cannot become "mg/l", which does not say what it counts; it stays apart, counted as its element.
  for (const std::string& target : {quantity.unit, quantity.unit + " N", quantity.unit + " P"}) {
    if (!parse_unit(target)) continue;
    const Calculated got = convert(value, unit, target);
    if (got.value) return {got.value, target, ""};
  }
  return {{}, "", convert(value, unit, quantity.unit).why_not};
}

std::string measured_names(const Snapshot& snapshot) {
  std::set<std::string> names;
  for (std::size_t m = 0; m < snapshot.measurements.size(); ++m)
    names.insert(std::string(snapshot.measurements.quantity[m]));
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
  return list;
}

}  // namespace

SiteValues metric_values(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                         const Period& period, SiteIndex only) {
  const Metric& info = scores.method->metrics.at(metric);
  SiteValues out;
  out.of = info.id;
  out.title = info.title;
  out.unit = info.unit;
  out.way_word = "sampling protocol";
  out.decimals = shown_decimals(info);
  out.higher_is_better = info.higher_is_better;
  std::pair<std::size_t, std::size_t> run{0, snapshot.samples.size()};
  if (only.has_value()) {
    const auto [first, last] = snapshot.samples_of(only);
    run = {first.value(), last.value()};
  }
  for (std::size_t i = run.first; i < run.second; ++i) {
    const SiteIndex site = snapshot.samples.site[i];
    const Date date = snapshot.samples.date[i];
    if (!in_period(period, snapshot, SampleIndex(i)) || snapshot.samples.kind[i] == SampleKind::kBlank)
      continue;
    const SampleScore& score = scores.metrics[metric][i];
    if (score.has_value && score.in_scope)
      out.values.push_back({site, date, score.value, std::string(trim(snapshot.samples.protocol[i]))});
    else
      out.left_out.push_back({site, date,
                              reasons_text(score.reasons, *scores.method, snapshot.sites.kind[site.value()]),
                              false});
  }
  by_site_and_date(out.values);
  by_site_and_date(out.left_out);
  return out;
}

SiteValues diversity_values(const Snapshot& snapshot, DiversityMetric metric, const Period& period) {
  DiversityOptions options;
  options.period = period;
  const DiversityTable table = diversity_of_samples(snapshot, options);
  SiteValues out;
  out.of = diversity_metric_name(metric);
  out.title = out.of;
  out.way_word = "sampling protocol";
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i) {
    if (!in_period(period, snapshot, SampleIndex(i)) || snapshot.samples.kind[i] == SampleKind::kBlank)
      continue;
    const SiteIndex site = snapshot.samples.site[i];
    if (const auto value = value_of(table, SampleIndex(i), metric))
      out.values.push_back(
          {site, snapshot.samples.date[i], *value, std::string(trim(snapshot.samples.protocol[i]))});
    else
      out.left_out.push_back(
          {site, snapshot.samples.date[i], missing_reason(table, SampleIndex(i), metric), false});
  }
  by_site_and_date(out.values);
  by_site_and_date(out.left_out);
  return out;
}

SiteValues measured_values(const Snapshot& snapshot, std::string_view quantity,
                           BelowDetection below_detection, const Period& period) {
  const MeasurementColumns& all = snapshot.measurements;
  const std::string wanted = fold_name(quantity);
  const std::vector<const Quantity*> known = quantities_named(quantity);
  SiteValues out;
  out.of = "measurement:" + std::string(quantity);
  out.title = known.size() == 1 ? known[0]->title : std::string(quantity);
  out.way_word = "unit";
  bool any = false;
  for (std::size_t m = 0; m < all.size(); ++m) {
    const std::vector<const Quantity*> names = quantities_named(all.quantity[m]);
    const bool same = std::any_of(names.begin(), names.end(), [&](const Quantity* one) {
      return std::find(known.begin(), known.end(), one) != known.end();
    });
    if (!same && fold_name(all.quantity[m]) != wanted) continue;
    any = true;
    const SiteIndex site = snapshot.visits.site[all.visit[m].value()];
    const Date date = snapshot.visits.start[all.visit[m].value()].date;
    if (!period.holds(date, snapshot.sites.position[site.value()].lat < 0)) continue;
    const bool low = all.below_detection[m];
    const std::optional<double> raw = low ? stand_in(below_detection, all.value[m]) : all.value[m];
    if (!raw) {
      out.left_out.push_back({site, date, "below detection", true});
      continue;
    }
    if (names.empty()) {  // of no known quantity: as written, apart by its unit
      out.values.push_back({site, date, *raw, std::string(trim(all.unit[m]))});
      continue;
    }
    const Quantity* one = find_quantity(all.quantity[m], all.unit[m]);
    if (one == nullptr) {
      out.left_out.push_back({site, date,
                              "the unit \"" + std::string(all.unit[m]) + "\" is not known here for " +
                                  std::string(all.quantity[m]),
                              false});
      continue;
    }
    InUnit plain = in_common_unit(*one, all.unit[m], *raw);
    if (!plain.value)
      out.left_out.push_back({site, date, plain.why_not, false});
    else if (judge(*one, *plain.value) == Plausible::kImpossible)
      out.left_out.push_back({site, date, "not a possible value of " + one->title, false});
    else
      out.values.push_back({site, date, *plain.value, std::move(plain.unit)});
  }
  if (!any)
    throw Error(ErrorCode::kNotFound,
                "nothing called \"" + std::string(quantity) + "\" was measured in this survey" +
                    (all.size() == 0 ? "; it has no measurements" : "; it has " + measured_names(snapshot)));
  by_site_and_date(out.values);
  by_site_and_date(out.left_out);
  std::set<std::string> units;
  for (const SiteValue& value : out.values) units.insert(value.way);
  if (units.size() == 1) out.unit = *units.begin();
  return out;
}

int season_number(Date date) {
  const YearMonthDay day = year_month_day(date);
  return (day.year * 12 + day.month % 12 + (day.month == 12 ? 12 : 0)) / 3;
}

}  // namespace brookmark::core

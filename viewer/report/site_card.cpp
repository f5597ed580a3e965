// One page on one site: how it stands, where it lies, its course, why, and what that does not say.
#include <algorithm>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "viewer/map/group_colours.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/chart_figure.hpp"
#include "viewer/report/map_figure.hpp"
#include "viewer/report/report_parts_internal.hpp"
#include "viewer/report/report_tables.hpp"
#include "viewer/report/report_words.hpp"
#include "viewer/report/survey_report.hpp"

namespace brookmark::viewer {

namespace {

constexpr std::size_t kMostReasons = 11;  // records told; more would need a second page

ResultBlock result_of(const ReportFacts& facts, core::SiteIndex site) {
  const core::SiteAssessment& known = facts.known(site);
  const core::Metric& metric = facts.metric;
  ResultBlock result{class_badge(metric, known.class_rank), "No class", ""};
  const std::string note = core::assessment_note(facts.snapshot, facts.handed.scores, facts.assessment, site);
  switch (standing_of(known, metric)) {
    case Standing::kClass:
      result.text = std::string(core::class_name(metric, known.class_rank));
      break;
    case Standing::kValue:
      result.text = metric.title + " " + value_in_words(metric, known.value);
      break;
    case Standing::kOutsideScope:
      result.text = "Outside the method's scope";
      break;
    case Standing::kNoValue:
      result.badge.sign = "×";
      break;
    case Standing::kNotSampled:
      result.badge.sign = "?";
      result.text = facts.handed.shared.rules().narrowed() ? "No sample of the days and seasons asked for"
                                                           : "Not sampled";
      break;
  }
  if (known.has_value) {
    result.below = metric.title + " " + value_in_words(metric, known.value) + " on " +
                   date_in_words(facts.snapshot.samples.date[known.sample.value()]) + ".";
    const core::SampleConfidence& sure = facts.assessment.confidence[site.value()];
    if (const std::string interval = interval_words(facts, sure); !interval.empty())
      result.below += " 95 % interval " + interval +
                      (is_one_sided(sure) ? ", one-sided: from below up to the value." : ".");
    if (sure.likeliest_rank > 0)
      result.below += " Likeliest class " + std::string(core::class_name(metric, sure.likeliest_rank)) +
                      ", probability " + class_probability_words(sure, sure.likeliest_rank) + ".";
  }
  if (!note.empty()) result.below += (result.below.empty() ? "" : " ") + as_sentence(note);
  return result;
}

std::string place_words(const ReportFacts& facts, core::SiteIndex site) {
  const core::SiteColumns& sites = facts.snapshot.sites;
  const std::size_t s = site.value();
  std::vector<std::string> words;
  if (!sites.water[s].empty()) words.emplace_back(sites.water[s]);
  if (sites.kind[s] != core::WaterKind::kUnknown) words.emplace_back(core::water_kind_name(sites.kind[s]));
  if (!sites.habitat[s].empty()) words.emplace_back(sites.habitat[s]);
  const core::SharedPlace& place = facts.handed.shared.places()[s];
  if (core::is_placed(place.position))
    words.push_back(place.blurred ? "place told only roughly, to " +
                                        distance_in_words(place.uncertainty_m.value_or(place.cell_m))
                                  : position_in_words(place.position.lon, place.position.lat));
  return core::joined(words, " · ");
}

// Text and chart name the same ones: all up the channel. How many of them count for the class is said beside.
std::string outfalls_sentence(const ReportFacts& facts, core::SiteIndex site) {
  constexpr std::size_t kMostNamed = 4;
  if (facts.handed.shared.places()[site.value()].blurred)
    return "Outfalls above: not told, since the place of this site is told only roughly.";
  const core::SiteExposure& exposure = facts.exposure[site.value()];
  if (!exposure.exposure) return "Outfalls above: not known, " + exposure.note + ".";
  const std::vector<core::UpstreamOutfall> above = facts.outfalls_above(site);
  if (above.empty()) return "No outfall lies above it on the channel, as far as the survey knows.";
  const core::SiteAssessment& known = facts.known(site);
  const core::Date day =
      known.sample.has_value() ? facts.snapshot.samples.date[known.sample.value()] : facts.assessment.until();
  std::vector<std::string> words;
  for (std::size_t i = 0; i < above.size() && i < kMostNamed; ++i)
    words.push_back(outfall_above_words(facts, above[i], day));
  if (above.size() > kMostNamed) words.push_back(std::to_string(above.size() - kMostNamed) + " farther up");
  return count_of(above.size(), "outfall", "outfalls") + " above along the channel, " +
         std::to_string(exposure.outfalls) + " in use on " + date_in_words(day) + ". " +
         core::joined(words, ". ") + ".";
}

void add_findings(Document& card, const ReportFacts& facts, core::SiteIndex site) {
  ListBlock list;
  for (const core::StillReading& reading : facts.still)
    list.items.push_back("Reading of its animals as a still water: " +
                         std::string(core::verdict_words(reading.verdict)) + ". " + as_sentence(reading.why));
  for (const core::TrendRow& row : facts.trends) {
    std::string words = "Over the years: " + row.words;
    if (row.test && row.test->slope)
      words +=
          ", " + core::format_fixed(*row.test->slope, 2) + " a year, " + std::to_string(row.n) + " values";
    else if (!row.note.empty())
      words += ": " + row.note;
    list.items.push_back(words + ".");
  }
  for (const core::Drop& fall : facts.falls) {
    list.items.push_back(fall_sentence(facts, fall));
    if (fall.since) list.items.back() += " " + since_sentence(facts, fall);
  }
  list.items.push_back(outfalls_sentence(facts, site));
  card.add(std::move(list));
}

}  // namespace

std::vector<KeyEntry> stack_key(const Chart& chart) {
  std::vector<KeyEntry> key;
  const std::vector<Colour> colours = stack_colours(chart.stacks);
  for (std::size_t g = 0; g < chart.stacks.size(); ++g)
    key.push_back({9, 9,
                   [colour = colours[g]](Canvas& canvas) {
                     canvas.box({0.5, 0.5, 8, 8}, colour);
                   },
                   chart.stacks[g].name});
  return key;
}

Document site_card(const ReportFacts& facts, const std::string& date) {
  const core::SiteIndex site = *facts.scope.site;
  Document card = begin_report(facts, site_title(facts.snapshot, site), date);
  if (const std::string place = place_words(facts, site); !place.empty())
    card.subtitle = place + ". " + card.subtitle;
  card.add(result_of(facts, site));
  add_findings(card, facts, site);

  FigureBlock courses;
  const Chart course = facts.course(site), groups = facts.groups(site);
  const bool any_course = std::any_of(course.points.begin(), course.points.end(),
                                      [](const ChartPoint& p) { return p.value.has_value(); });
  if (any_course)
    courses.figures.push_back(
        chart_figure(course, facts.metric, facts.metric.title + " through time", {252, 140}));
  const bool any_count = std::any_of(groups.stacks.begin(), groups.stacks.end(), [](const ChartStack& stack) {
    return std::any_of(stack.heights.begin(), stack.heights.end(), [](double height) { return height > 0; });
  });
  if (any_count) courses.figures.push_back(chart_figure(groups, facts.metric, groups.title, {252, 140}));
  card.add(std::move(courses));
  if (any_count) card.add(KeyBlock{stack_key(groups)});

  MapFigure map = map_figure({facts.handed, facts.reaches, facts.clear_falls(), {}, site, 252, 185});
  if (!map.empty && core::is_placed(facts.handed.shared.places()[site.value()].position)) {
    map.figure.title = "Where it lies";
    card.add(FigureBlock{{std::move(map.figure)}, std::move(map.key)});
  }
  // A still water is read piece by piece; an index made for running water says nothing of it.
  if (!facts.still.empty())
    card.add(evidence_table(facts, facts.still.front()));
  else if (const core::SampleIndex sample = facts.known(site).sample; sample.has_value())
    card.add(reasons_table(facts, sample, kMostReasons));
  card.add(TextBlock{core::kResultCaution, true});
  card.add(TextBlock{method_sentence(facts)});
  std::string field = "Whoever goes to the water:";
  for (const char* caution : core::kFieldCautions) field += std::string(" ") + caution;
  card.add(TextBlock{field});
  return card;
}

}  // namespace brookmark::viewer

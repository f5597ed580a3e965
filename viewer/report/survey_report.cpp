#include "viewer/report/survey_report.hpp"

#include <algorithm>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/chart_figure.hpp"
#include "viewer/report/map_figure.hpp"
#include "viewer/report/report_parts_internal.hpp"
#include "viewer/report/report_tables.hpp"
#include "viewer/report/report_words.hpp"

namespace brookmark::viewer {

namespace {

constexpr std::size_t kFallsTold = 3;  // with charts and reasons; the table lists all
constexpr std::size_t kMostCharts = 8;

class ReportMaker {
 public:
  ReportMaker(const ReportFacts& facts, const std::string& date) : facts_(facts) {
    const std::string survey = facts.snapshot.survey.title.empty() ? "a survey" : facts.snapshot.survey.title;
    report_ = begin_report(facts,
                           facts.scope.catchment ? catchment_title(facts.snapshot, *facts.scope.catchment) +
                                                       ": report on " + survey
                                                 : "Report on " + survey,
                           date);
    report_.contents = true;
    report_.may_shrink = false;
  }

  Document make() {
    begin();
    parts();
    map();
    falls();
    courses();
    still_waters();
    add_how_sure(report_, facts_, told_);
    add_method(report_, facts_);
    add_cautions(report_, facts_);
    annex();
    return std::move(report_);
  }

 private:
  void begin() {
    report_.add(HeadingBlock{"In short"});
    if (!facts_.snapshot.survey.description.empty())
      report_.add(TextBlock{as_sentence(facts_.snapshot.survey.description)});
    report_.add(ListBlock{in_short(facts_)});
    report_.add(TextBlock{core::kResultCaution, true});
    if (facts_.handed.method->confirmed != core::Confirmed::kDocument)
      report_.add(TextBlock{facts_.handed.method->title + ": " +
                            confirmed_sentence(facts_.handed.method->confirmed)});
    const Standings standing = standings_of(facts_);
    if (facts_.metric.bands.empty()) return;
    std::vector<ClassCount> counts;
    for (const core::ClassBand& band : facts_.metric.bands)
      counts.push_back({band.name, band.rank, standing.by_rank[static_cast<std::size_t>(band.rank - 1)]});
    if (standing.without_class() > 0) counts.push_back({"without a class", 0, standing.without_class()});
    report_.add(FigureBlock{
        {class_bars(counts, facts_.metric, "Sites by class (" + facts_.metric.title + ")", "Sites", 340)}});
  }

  void map() {
    const auto shown = facts_.clear_falls().first(std::min(facts_.clear, kFallsTold));
    MapFigure map = map_figure({facts_.handed, facts_.reaches, shown, facts_.scope.catchment, {}, 350, 500});
    report_.add(HeadingBlock{"The map"});
    if (map.empty) {
      report_.add(TextBlock{"No place of this survey is known, so there is no map."});
      return;
    }
    map.figure.title = (facts_.metric.bands.empty() ? "Sites with their value: "
                                                    : "Sites with the rank of their class (1 is best): ") +
                       facts_.metric.title;
    report_.add(FigureBlock{{std::move(map.figure)}, std::move(map.key)});
  }

  void falls() {
    report_.add(HeadingBlock{kFallsHeading});
    if (facts_.snapshot.reaches.empty()) {
      report_.add(TextBlock{"The survey has no watercourses, so nothing is up or down stream of anything."});
      return;
    }
    if (facts_.falls.empty()) {
      report_.add(TextBlock{facts_.compared == 0 ? "No two sites on one flow path can be compared."
                                                 : falls_count(facts_)});
      return;
    }
    report_.add(TextBlock{
        "Only neighbours on one flow path are compared, by samples of one season taken within thirty days "
        "of each other. " +
        falls_count(facts_)});
    for (std::size_t i = 0; i < facts_.clear && i < kFallsTold; ++i) {
      const core::Drop& fall = facts_.falls[i];
      report_.add(HeadingBlock{std::to_string(i + 1) + ". " + site_title(facts_.snapshot, fall.up) + " to " +
                                   site_title(facts_.snapshot, fall.down),
                               3});
      report_.add(TextBlock{fall_sentence(facts_, fall)});
      ListBlock details{fall_details(facts_, fall)};
      for (std::string& reason : fall_reasons(facts_, fall)) details.items.push_back(std::move(reason));
      report_.add(std::move(details));
      for (const core::SiteIndex site : {fall.up, fall.down}) take_course(site);
      add_charts();
    }
    if (const std::string covers = what_falls_cover(); !covers.empty())
      report_.add(TextBlock{"What the intervals and probabilities of these falls cover: " + covers});
    report_.add(falls_table(facts_));
  }

  // Each thing once: what all falls rest on, then what some of them do.
  std::string what_falls_cover() {
    std::vector<std::vector<std::string>> of_falls;
    for (const core::Drop& fall : facts_.falls)
      if (fall.confidence) of_falls.push_back(clauses_of(fall.confidence->rests_on));
    std::vector<std::string> all, some;
    for (const auto& clauses : of_falls)
      for (const std::string& clause : clauses) {
        if (std::find(told_.begin(), told_.end(), clause) != told_.end()) continue;
        told_.push_back(clause);
        const bool of_all = std::all_of(of_falls.begin(), of_falls.end(), [&](const auto& others) {
          return std::find(others.begin(), others.end(), clause) != others.end();
        });
        (of_all ? all : some).push_back(clause);
      }
    std::string words = all.empty() ? "" : as_sentence(core::joined(all, "; "));
    if (!some.empty())
      words += (words.empty() ? "" : " ") + std::string("Of some of them: ") + core::joined(some, "; ") + ".";
    return words;
  }

  // Once a site.
  void take_course(core::SiteIndex site) {
    if (std::find(charted_.begin(), charted_.end(), site) != charted_.end()) return;
    charted_.push_back(site);
    take_chart(facts_.course(site), site_title(facts_.snapshot, site));
  }
  void take_chart(Chart chart, std::string title) {
    if (chart.empty()) return;
    charts_.push_back(std::move(chart));
    titles_.push_back(std::move(title));
  }
  void add_charts() {
    share_axis(charts_);
    FigureBlock block;
    for (std::size_t i = 0; i < charts_.size(); ++i)
      block.figures.push_back(chart_figure(charts_[i], facts_.metric, titles_[i]));
    report_.add(std::move(block));
    charts_.clear();
    titles_.clear();
  }

  void parts() {
    if (facts_.parts.empty()) return;
    report_.add(HeadingBlock{"Sub-catchments"});
    report_.add(parts_table(facts_));
  }

  void courses() {
    report_.add(HeadingBlock{"Through time"});
    report_.add(TextBlock{
        "Each point is one sample, its bar the 95 % interval; below a chart stands where the bars are "
        "one-sided. The bands are the classes; their ranks stand "
        "at "
        "the right. A hollow point lies outside the method's scope, a cross is a sample without a value."});
    if (facts_.scope.catchment)
      take_chart(facts_.course(*facts_.scope.catchment),
                 catchment_title(facts_.snapshot, *facts_.scope.catchment) + ": the site in the middle");
    // Where the years show something, then the worst sites.
    for (const core::TrendRow& row : facts_.trends)
      if (row.answer == core::TrendAnswer::kRising || row.answer == core::TrendAnswer::kFalling)
        if (const auto site = facts_.snapshot.find_site(row.place); site && charts_.size() < kMostCharts)
          take_course(*site);
    std::vector<core::SiteIndex> worst;
    for (const core::SiteIndex site : facts_.sites)
      if (facts_.known(site).class_rank > 0) worst.push_back(site);
    std::stable_sort(worst.begin(), worst.end(), [&](core::SiteIndex a, core::SiteIndex b) {
      return facts_.known(a).class_rank > facts_.known(b).class_rank;
    });
    for (const core::SiteIndex site : worst)
      if (charts_.size() < kMostCharts) take_course(site);
    add_charts();
    report_.add(
        TextBlock{"A site is said to get better or worse over the years only where its values go one way "
                  "more steadily than "
                  "chance would have it: if nothing changed, a run as steady as this would come in fewer "
                  "than one of twenty "
                  "cases. How often, stands in the last column (p)."});
    report_.add(trends_table(facts_));
  }

  void still_waters() {
    if (facts_.still.empty()) return;
    report_.add(HeadingBlock{"Ponds and pools"});
    report_.add(TextBlock{"Still waters get a reading in words and no index: " +
                          std::string(core::kStillWaterCaution)});
    TableBlock table{"What the animals of still waters point to",
                     {"Site", "Sample of", "Reading", "Why"},
                     {20, 12, 16, 52},
                     {}};
    table.row_heads = true;
    for (const core::StillReading& reading : facts_.still) {
      const std::size_t s = reading.sample.value();
      std::string why = reading.why;
      if (!reading.caution.empty()) why = as_sentence(why) + " " + reading.caution;
      table.rows.push_back({site_title(facts_.snapshot, facts_.snapshot.samples.site[s]),
                            core::format_date(facts_.snapshot.samples.date[s]),
                            core::verdict_words(reading.verdict), as_sentence(why)});
    }
    report_.add(std::move(table));
  }

  void annex() {
    report_.add(HeadingBlock{"Annex: all sites", 2, true});
    report_.add(sites_table(facts_));
    if (!facts_.outfalls.empty()) {
      report_.add(HeadingBlock{"Annex: outfalls"});
      report_.add(outfalls_table(facts_));
    }
    report_.add(HeadingBlock{"Annex: all samples"});
    std::vector<std::string> notes;
    report_.add(samples_table(facts_, notes));
    add_notes(report_, notes);
  }

  const ReportFacts& facts_;
  Document report_;
  std::vector<std::string> told_;  // clauses of what the intervals of the falls cover
  std::vector<core::SiteIndex> charted_;
  std::vector<Chart> charts_;        // taken for the next block of figures
  std::vector<std::string> titles_;  // beside them
};

}  // namespace

Document survey_report(const ReportFacts& facts, const std::string& date) {
  return ReportMaker(facts, date).make();
}

}  // namespace brookmark::viewer

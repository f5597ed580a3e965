#include <algorithm>
#include <set>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/report_parts_internal.hpp"
#include "viewer/report/report_tables.hpp"
#include "viewer/report/report_words.hpp"

namespace brookmark::viewer {

namespace {

// Who agreed to be named.
std::string surveyors(const core::Snapshot& snapshot) {
  std::set<std::string> names;
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    if (!snapshot.visits.people[v].empty()) names.emplace(snapshot.visits.people[v]);
  std::string words;
  for (const std::string& name : names) words += (words.empty() ? "" : "; ") + name;
  return words;
}

}  // namespace

Document begin_report(const ReportFacts& facts, const std::string& title, const std::string& date) {
  Document report;
  report.title = title;
  report.date = date;
  const auto day = core::parse_date(date);
  const std::string made = day ? date_in_words(*day) : date;
  report.subtitle = facts.metric.title + " (" + facts.handed.method->title + "), " + known_in_words(facts) +
                    ". Report made on " + made + ".";
  report.footer = title + ", made on " + made + ". " + core::kResultCautionShort;
  report.subject = "What lives in the water and what that says, " +
                   core::period_words(facts.handed.period()) + ", by " + facts.handed.method->title;
  return report;
}

std::string method_sentence(const ReportFacts& facts) {
  const core::Method& method = *facts.handed.method;
  std::string words =
      method.title + " (" + method.id + "): " + core::source_text(method.source_key, method.source_detail);
  words = as_sentence(words);
  return words + " " + confirmed_sentence(method.confirmed);
}

std::vector<std::string> clauses_of(const std::string& words) {
  std::vector<std::string> clauses;
  for (std::size_t at = 0; at < words.size();) {
    const std::size_t end = std::min(words.find("; ", at), words.size());
    clauses.push_back(words.substr(at, end - at));
    at = end + 2;
  }
  return clauses;
}

void add_how_sure(Document& report, const ReportFacts& facts, const std::vector<std::string>& told) {
  report.add(HeadingBlock{"How sure this is"});
  report.add(
      TextBlock{"An index is worked out from the animals of one tray. The interval says where it would lie "
                "if animals were drawn "
                "again from the same tray; the probability says how often the class would come out. Neither "
                "covers where "
                "and how the sample was taken, unless the note speaks of replicates."});
  std::vector<std::string> notes;
  TableBlock table = confidence_table(facts, notes);
  if (table.rows.empty()) {
    report.add(TextBlock{"No site has a sample to say it of."});
    return;
  }
  report.add(std::move(table));
  for (std::string& note : notes) {
    std::vector<std::string> rest;
    const std::vector<std::string> clauses = clauses_of(note);
    for (const std::string& clause : clauses)
      if (std::find(told.begin(), told.end(), clause) == told.end()) rest.push_back(clause);
    if (rest.size() + 1 < clauses.size())
      note = "what is said of the falls under \"" + std::string(kFallsHeading) + "\" holds here too" +
             (rest.empty() ? "" : "; " + core::joined(rest, "; "));
  }
  add_notes(report, notes);
}

void add_notes(Document& report, const std::vector<std::string>& notes) {
  ListBlock list;
  for (std::size_t i = 0; i < notes.size(); ++i)
    list.items.push_back("Note " + std::to_string(i + 1) + ": " + as_sentence(notes[i]));
  report.add(std::move(list));
}

void add_method(Document& report, const ReportFacts& facts) {
  const core::Method& method = *facts.handed.method;
  report.add(HeadingBlock{"Method and source"});
  report.add(TextBlock{method_sentence(facts)});
  if (!method.summary.empty()) report.add(TextBlock{as_sentence(method.summary)});
  ListBlock scope;
  if (!method.region.empty()) scope.items.push_back("Made for: " + as_sentence(method.region));
  if (method.flow != core::Flow::kUncertain)
    scope.items.push_back(method.flow == core::Flow::kRunning
                              ? "For running water: streams and rivers."
                              : "For still water: ponds, pools and lake margins.");
  if (method.minimum_count)
    scope.items.push_back("Asks for at least " + std::to_string(*method.minimum_count) +
                          " animals that it scores (" + confirmed_in_words(method.minimum_count_confirmed) +
                          ").");
  for (const core::Season season : method.excluded_seasons)
    scope.items.push_back(std::string("Not for samples of ") + core::season_name(season) + ".");
  scope.items.emplace_back(
      "Outside its scope a value may be shown, and is then never given a class. Blank is not zero: not "
      "looked for, looked "
      "for and absent, and too uncertain to use are three different things.");
  report.add(std::move(scope));
  report.add(
      TextBlock{"Over the years: the test is that of Mann and Kendall (does the index go one way more often "
                "than the other), the "
                "change a year the middle one of the changes between any two samples (Theil-Sen); p is the "
                "share of arrangements "
                "of the same values without any change that go one way as much. A trend is called one at p "
                "below 0.05."});
  if (!facts.metric.bands.empty()) report.add(classes_table(facts));
  report.add(statements_table(facts));
  if (const std::string names = surveyors(facts.snapshot); !names.empty())
    report.add(TextBlock{as_sentence("Surveyed by " + names)});
}

void add_cautions(Document& report, const ReportFacts& facts) {
  report.add(HeadingBlock{"What this does not say"});
  report.add(TextBlock{core::kResultCaution, true});
  ListBlock cautions;
  if (facts.handed.shared.rules().narrowed())
    cautions.items.push_back("Only some of the samples count here: those " +
                             period_in_words(facts.handed.period()) + ". What the others say is not in it.");
  cautions.items.emplace_back(
      "A fall, a trend or an outfall nearby says that and where numbers changed, not why. An outfall is "
      "named because it "
      "is there.");
  cautions.items.emplace_back("Of twenty tests without any change one shows a trend by chance.");
  cautions.items.emplace_back(
      "A class is carried along its channel for 500 m at most, and inferred only between sites of one class "
      "without "
      "an outfall between them (common practice, no source).");
  if (!facts.still.empty()) cautions.items.emplace_back(core::kStillWaterCaution);
  cautions.items.emplace_back(
      "What the survey's own rules keep back (places, protected animals, names of people who did not agree) "
      "is not in this "
      "report. A place told only roughly lies somewhere within its circle.");
  report.add(std::move(cautions));
  report.add(TextBlock{"Whoever goes to the water:"});
  ListBlock field;
  for (const char* caution : core::kFieldCautions) field.items.emplace_back(caution);
  report.add(std::move(field));
}

}  // namespace brookmark::viewer

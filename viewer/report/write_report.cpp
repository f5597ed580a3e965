#include "viewer/report/write_report.hpp"

#include <algorithm>

#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "geodata/output_file.hpp"
#include "viewer/report/report_facts.hpp"
#include "viewer/report/survey_report.hpp"

namespace brookmark::viewer {

namespace {

void tell(const Steps& steps, const char* what, double done) {
  if (steps && !steps(what, done)) throw Stopped{};
}

std::string ending_of(const std::filesystem::path& target) {
  return core::to_lower_ascii(target.extension().string());
}

core::SiteIndex own_site(const core::Snapshot& own, const std::string& word) {
  if (const auto site = own.find_site(word)) return *site;
  throw Error(ErrorCode::kNotFound,
              "there is no site \"" + word + "\"; `brookmark score` lists those with samples");
}

std::size_t own_catchment(const core::Snapshot& own, const std::string& word) {
  for (std::size_t c = 0; c < own.catchments.size(); ++c)
    if (own.catchments[c].code == word || own.catchments[c].key == word) return c;
  std::vector<std::string> codes;
  for (const core::Catchment& catchment : own.catchments) codes.push_back(catchment.code);
  throw Error(
      ErrorCode::kNotFound,
      codes.empty()
          ? "this survey has no catchments; bring them in with `brookmark import SURVEY catchments FILE`"
          : "there is no catchment \"" + word + "\"; choose one of " + core::joined(codes, ", "));
}

// The scope asked for in the survey's own words, as it stands in what may leave.
ReportScope scope_of(const core::Snapshot& own, const core::Snapshot& leaving, const ReportWish& wish) {
  ReportScope scope;
  if (!wish.site.empty()) {
    const core::SiteIndex site = own_site(own, wish.site);
    scope.site = leaving.find_site(own.sites.key[site.value()]);
    if (!scope.site)
      throw Error(ErrorCode::kBadUse,
                  "site \"" + wish.site +
                      "\" is withheld, so no report can be handed over about it; `brookmark share` "
                      "lists the rules");
  }
  if (!wish.catchment.empty()) {
    const std::string& key = own.catchments[own_catchment(own, wish.catchment)].key;
    for (std::size_t c = 0; c < leaving.catchments.size(); ++c)
      if (leaving.catchments[c].key == key) scope.catchment = core::CatchmentIndex(c);
    if (!scope.catchment)
      throw Error(ErrorCode::kBadUse,
                  "catchment \"" + wish.catchment +
                      "\" stays at home with a site that is not told; `brookmark export --preview` "
                      "says why");
  }
  return scope;
}

void check_wish(const Session& session, const ReportWish& wish) {
  if (!is_report_name(wish.target))
    throw Error(ErrorCode::kBadUse, "a report is written as .html or .pdf", wish.target.string());
  if (!wish.site.empty() && !wish.catchment.empty())
    throw Error(ErrorCode::kBadUse, "a report is about one site or about one catchment; give one of the two");
  if (!wish.site.empty()) own_site(session.snapshot, wish.site);
  if (!wish.catchment.empty()) own_catchment(session.snapshot, wish.catchment);
  std::vector<std::filesystem::path> inputs;
  if (!session.path.empty()) inputs.push_back(session.path);
  geodata::check_output(wish.target, inputs, wish.replace);
}

}  // namespace

bool is_report_name(const std::filesystem::path& target) {
  const std::string ending = ending_of(target);
  return ending == ".html" || ending == ".pdf";
}

std::string write_report(const Session& session, const ReportWish& wish, const Steps& steps) {
  check_wish(session, wish);
  tell(steps, "Working out what may leave, and its classes", 0.05);
  const auto handed = core::prepare_hand_over(session.snapshot, wish.method, wish.metric, wish.rules);
  if (const std::string none = nothing_of_period(session.snapshot, handed->shared); !none.empty())
    throw AnswerIsNo(none);
  if (handed->shared.snapshot().samples.size() == 0)
    throw AnswerIsNo(std::string(session.snapshot.samples.size() == 0
                                     ? "this survey has no sample yet"
                                     : "no sample of this survey may be told") +
                     ", so there is nothing to report; nothing was written");
  const ReportScope scope = scope_of(session.snapshot, handed->shared.snapshot(), wish);
  tell(steps, "Looking for falls, trends and reasons", 0.3);
  const ReportFacts facts(*handed, scope);
  const std::string date = geodata::time_of_export().substr(0, 10);
  const Document report = scope.site ? site_card(facts, date) : survey_report(facts, date);
  tell(steps, "Drawing the pages", 0.6);
  const std::string bytes = ending_of(wish.target) == ".pdf" ? to_pdf(report) : to_html(report);
  tell(steps, "Writing the file", 0.95);
  geodata::write_text_file(wish.target, bytes, wish.replace);
  std::string sentence = "wrote " + wish.target.string() + ": " + report.title + ", by " +
                         facts.metric.title + " (method " + wish.method->id + ") " +
                         core::period_words(handed->period()) +
                         " (confirmed: " + core::confirmed_name(wish.method->confirmed) + ")";
  if (const std::size_t hidden = handed->shared.hidden().size(); hidden > 0)
    sentence += "; left out or moved: " + std::to_string(hidden) + (hidden == 1 ? " thing" : " things");
  return sentence;
}

}  // namespace brookmark::viewer

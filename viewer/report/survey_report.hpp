// Why: a landowner or a committee reads what was found, sees it on a map and through time, and learns how sure it is, by which
// method, and what it does not say.
// Use: const Document report = survey_report(ReportFacts(handed, {}), "2026-02-01");  to_html(report)
#pragma once

#include <string>

#include "viewer/report/document.hpp"
#include "viewer/report/report_facts.hpp"

namespace brookmark::viewer {

// Of the whole survey or of one catchment. `date`: the day it is made, "2026-02-01".
Document survey_report(const ReportFacts& facts, const std::string& date);
// One page on one site; facts.scope.site must be given.
Document site_card(const ReportFacts& facts, const std::string& date);

}  // namespace brookmark::viewer

// Why: report and site card share their beginning, method and cautions. Private to viewer/report.
#pragma once

#include <string>

#include "viewer/report/document.hpp"
#include "viewer/report/report_facts.hpp"

namespace brookmark::viewer {

inline constexpr const char* kFallsHeading = "The worst stretches, and why";

// Title, subtitle, footer, date and subject.
Document begin_report(const ReportFacts& facts, const std::string& title, const std::string& date);
std::string method_sentence(const ReportFacts& facts);  // its name, source, and how it is known
// `told`: clauses that stand in the report already, at the falls; they are not said again.
void add_how_sure(Document& report, const ReportFacts& facts, const std::vector<std::string>& told = {});
// Numbered, below the table that names the numbers.
void add_notes(Document& report, const std::vector<std::string>& notes);
std::vector<std::string> clauses_of(const std::string& words);  // parted by "; "
void add_method(Document& report, const ReportFacts& facts);
void add_cautions(Document& report, const ReportFacts& facts);
// Colours of a chart of heaps.
std::vector<KeyEntry> stack_key(const Chart& chart);

}  // namespace brookmark::viewer

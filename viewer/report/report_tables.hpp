// Why: what is told in sentences stands behind them in numbers: the tables of a report.
// Use: document.add(sites_table(facts));
#pragma once

#include <vector>

#include "viewer/report/document.hpp"
#include "viewer/report/report_facts.hpp"

namespace brookmark::viewer {

// A table of more rows is cut; its caption then says so.
inline constexpr std::size_t kMostTableRows = 1000;

TableBlock sites_table(const ReportFacts& facts);
// A note that stands at more than one sample goes into `notes`, and its number ("note 1") into the table.
TableBlock samples_table(const ReportFacts& facts, std::vector<std::string>& notes);
TableBlock parts_table(const ReportFacts& facts);
TableBlock falls_table(const ReportFacts& facts);
TableBlock trends_table(const ReportFacts& facts);
TableBlock outfalls_table(const ReportFacts& facts);
TableBlock classes_table(const ReportFacts& facts);
TableBlock statements_table(const ReportFacts& facts);  // of the method, each with its source
// One row a record of a sample: value, whether it contributes, and why.
TableBlock reasons_table(const ReportFacts& facts, core::SampleIndex sample, std::size_t most_rows);
// Piece by piece what the animals of a still water point to.
TableBlock evidence_table(const ReportFacts& facts, const core::StillReading& reading);
// How sure each site is; the notes it refers to by letters stand in `notes`.
TableBlock confidence_table(const ReportFacts& facts, std::vector<std::string>& notes);

}  // namespace brookmark::viewer

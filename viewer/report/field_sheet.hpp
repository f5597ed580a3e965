// Why: what a round of visits comes down to on the bank: one page to take along, in the order of the day. A long round takes more, and
// each page then says which of how many it is.
// Use: const Document sheet = field_sheet({snapshot, waters, plan, request.day, "0123 456"});  to_pdf(sheet)
#pragma once

#include <string>

#include "core/hygiene/visit_plan.hpp"
#include "viewer/report/document.hpp"

namespace brookmark::viewer {

struct FieldSheetInput {
  const core::Snapshot& snapshot;
  const core::SurveyWaters& waters;
  const core::VisitPlan& plan;
  core::Date day;
  std::string call;  // whom to call; empty: a line to fill in
};

Document field_sheet(const FieldSheetInput& input);

// How many of its stops, from the first on, the paper sheet holds on one page with all that is said of the round; at most all.
std::size_t stops_on_one_page(const FieldSheetInput& input);
// "The sheet has 2 pages; the first 6 of its 8 stops would fit on one."; empty for one page.
std::string pages_words(const FieldSheetInput& input);

}  // namespace brookmark::viewer

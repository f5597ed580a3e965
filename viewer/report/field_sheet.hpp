// Why: what a round of visits comes down to on the bank: one page to take along, in the order of the day.
// Use: const Document sheet = field_sheet({snapshot, waters, plan, request, "0123 456"});  to_pdf(sheet)
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

}  // namespace brookmark::viewer

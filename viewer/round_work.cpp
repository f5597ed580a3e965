#include "viewer/round_work.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/export_suggestions.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/report/field_sheet.hpp"

namespace brookmark::viewer {
namespace {

std::string ending_of(const std::filesystem::path& target) {
  return core::to_lower_ascii(target.extension().string());
}

}  // namespace

std::string write_round_sheet(const Session& session, const SheetWish& wish, const Steps& steps) {
  geodata::check_output(wish.target, {session.path}, wish.replace);
  if (!steps("Planning the round", 0.4)) throw Stopped{};
  const core::SurveyWaters waters(session.snapshot, &session.channels);
  const core::KitHistory history(session.snapshot, waters);
  const core::PlanRequest request = round_request(wish.round, session.snapshot);
  const core::VisitPlan plan = core::plan_visits(session.snapshot, waters, history, request);
  if (!steps("Drawing the sheet", 0.7)) throw Stopped{};
  const FieldSheetInput input{session.snapshot, waters, plan, request.day, wish.round.call};
  const Document sheet = field_sheet(input);
  const std::string bytes = ending_of(wish.target) == ".pdf" ? to_pdf(sheet) : to_html(sheet);
  if (!steps("Writing", 0.9)) throw Stopped{};
  geodata::write_text_file(wish.target, bytes, wish.replace);
  std::string words = "Wrote " + wish.target.string() + ".";
  if (!plan.lacking.empty()) words += " THE ORDER IS NOT CLEAN: the sheet says what is lacking.";
  if (!plan.late.empty()) words += " " + plan.late.front();
  if (ending_of(wish.target) == ".pdf")
    if (const std::string pages = pages_words(input); !pages.empty()) words += " " + pages;
  return words;
}

bool is_spots_name(const std::filesystem::path& target) {
  const std::string ending = ending_of(target);
  return ending == ".gpx" || ending == ".geojson" || ending == ".gpkg" || ending == ".csv";
}

std::string write_spots(const Session& session, const SpotsWish& wish, const Steps& steps) {
  if (!is_spots_name(wish.target))
    throw Error(ErrorCode::kBadUse, "spots are written as .gpx, .geojson, .gpkg or .csv",
                wish.target.string());
  geodata::check_output(wish.target, {session.path}, wish.replace);
  if (!steps("Writing", 0.5)) throw Stopped{};
  geodata::start_geodata();
  geodata::export_suggestions(*wish.spots, session.snapshot, wish.target, {wish.replace});
  const std::size_t count = wish.spots->list.size();
  return "Wrote " + std::to_string(count) + (count == 1 ? " spot to " : " spots to ") + wish.target.string() +
         ".";
}

}  // namespace brookmark::viewer

// Why: a round of visits and suggested spots leave the window as files, as the command line writes them; both take a while, so they
// are made on an errand, from the survey as it stands in its file.
// Use: write_round_sheet(open_session(path), {wish, "round.pdf"}, steps)   "Wrote round.pdf."
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "core/design/suggestion.hpp"
#include "viewer/state/clean_form.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

struct SheetWish {
  RoundWish round;
  std::filesystem::path target;  // .html or .pdf
  bool replace = false;
};
// Plans the round anew and writes its field sheet. Says what was written, and whether the plan is clean and by daylight. Throws as
// round_request, plan_visits, check_output and write_text_file do; Stopped, with nothing written.
std::string write_round_sheet(const Session& session, const SheetWish& wish, const Steps& steps);

struct SpotsWish {
  std::shared_ptr<const core::Suggestions> spots;
  std::filesystem::path target;  // as geodata::export_suggestions takes it
  bool replace = false;
};
std::string write_spots(const Session& session, const SpotsWish& wish, const Steps& steps);
bool is_spots_name(const std::filesystem::path& target);

}  // namespace brookmark::viewer

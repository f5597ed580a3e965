#include "viewer/cli/cli.hpp"

#include <ostream>

#include "core/base/no_answer.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

constexpr const char* kVersion = "Brookmark " BROOKMARK_VERSION;

int exit_code(ErrorCode code) {
  switch (code) {
    case ErrorCode::kBadUse:
    case ErrorCode::kBadInput:
    case ErrorCode::kNotFound:
    case ErrorCode::kForeignFile:
    case ErrorCode::kNewerFile:
      return kBadUse;
    case ErrorCode::kReadOnly:
    case ErrorCode::kLocked:
    case ErrorCode::kNoSpace:
    case ErrorCode::kStorage:
      return kFailed;
  }
  return kFailed;
}

int run_verbs(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
  core::start_storage();
  Verbs verbs(std::string(kVersion) + "\n" + core::storage_versions() + ", " + geodata::geodata_versions(),
              std::string(core::kResultCaution) +
                  "\nExit codes: 0 done, 1 the answer is \"no\" (findings, nothing found), 2 bad use or bad "
                  "input, 3 failure.");
  add_survey_verbs(verbs);
  add_import_verbs(verbs);
  add_names_verbs(verbs);
  add_score_verbs(verbs);
  add_diversity_verbs(verbs);
  add_ratio_verbs(verbs);
  add_still_water_verbs(verbs);
  add_place_verbs(verbs);
  add_reach_verbs(verbs);
  add_upstream_verbs(verbs);
  add_terrain_verbs(verbs);
  add_exposure_verbs(verbs);
  add_trend_verbs(verbs);
  add_chemistry_verbs(verbs);
  add_drop_verbs(verbs);
  add_catchment_verbs(verbs);
  add_suggest_verbs(verbs);
  add_enough_verbs(verbs);
  add_kit_verbs(verbs);
  add_risk_verbs(verbs);
  add_visit_plan_verbs(verbs);
  add_background_verbs(verbs);
  add_hand_over_verbs(verbs);
  add_report_verbs(verbs);
  return verbs.run(argc, argv, out, err);
}

}  // namespace

int run_command_line(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
  try {
    return run_verbs(argc, argv, out, err);
  } catch (const AnswerIsNo& no) {
    err << no.what() << '\n';
    return kAnswerIsNo;
  } catch (const Error& error) {
    err << "brookmark: " << error.what() << '\n';
    return exit_code(error.code());
  } catch (const std::bad_alloc&) {
    err << "brookmark: there is not enough memory for this\n";
    return kFailed;
  } catch (const std::exception& error) {
    err << "brookmark: something failed that should not: " << error.what() << '\n';
    return kFailed;
  }
}

}  // namespace brookmark::viewer

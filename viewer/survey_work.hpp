// Why: what the command line and the window both do with a survey as a whole (make one, take in a table, hand it
// over), once. Each is a plain function on files and values, so that it can run on a thread of its own; `steps` is
// told what is being done and may end it.
// Use: IntakePlan plan = plan_intake("demo.brook", wish, {});  if (plan.report.ok(false)) store_intake(...)
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/intake/import.hpp"
#include "core/scoring/method.hpp"
#include "core/sharing/hand_over.hpp"
#include "geodata/export.hpp"
#include "viewer/session.hpp"

namespace brookmark::viewer {

// Told before each step, with the share of the whole that is done (0 to 1); false ends the work, which then throws
// Stopped. Nothing is ever half written.
using Steps = std::function<bool(const char* what, double done)>;

struct Stopped {};

// An empty survey file. Throws core Error: kBadUse for a system that is not EPSG:number, and as SurveyFile::create.
void create_survey(const std::filesystem::path& target, const std::string& title,
                   const std::string& crs = {});

struct IntakeWish {
  core::ImportKind kind = core::ImportKind::kSites;
  std::filesystem::path file;
  std::string layer, crs;       // crs: empty for the survey's own
  core::ImportOptions options;  // its crs and keys are filled in
};
// What would happen: nothing is written.
struct IntakePlan {
  core::Table table;  // as read: file, columns, note on the coordinate system
  core::ImportReport report;
};
// Throws what reading the file and core::plan_import throw.
IntakePlan plan_intake(const core::SurveyFile& survey, const core::Snapshot& snapshot, const IntakeWish& wish,
                       const Steps& steps = {});

struct HandOverWish {
  std::filesystem::path target;
  std::shared_ptr<const core::Method> method;
  std::size_t metric = 0;
  core::SharingRules rules;         // what may leave, and up to which day
  bool replace = false;             // a file that is already there
  std::vector<std::string> layers;  // empty: all, or the sites where the format holds one
  std::string crs, licence;         // crs: EPSG:n, empty for WGS 84
};
// "1 km", "1km", "500 m", "500": the size of a grid cell in metres; nothing for what is none, or is out of core's limits.
std::optional<double> read_cell_size(std::string_view words);
// Neither sites nor anything drawn.
bool holds_nothing(const core::Snapshot& snapshot);
// "no sample of this survey may be told from 1990-01-01 to 1990-12-31, so there is nothing to hand over; nothing was written"; empty where
// no days or seasons are asked for, one of their samples may leave, or the survey has none at all.
std::string nothing_of_period(const core::Snapshot& own, const core::SharedSurvey& shared);
// The same, or "nothing to hand over yet: no sites"; empty where there is something.
std::string nothing_to_hand_over(const core::Snapshot& own, const core::SharedSurvey& shared);
// "wrote sites.gpkg: sites by BMWP score (method bmwp-a) up to 2025-10-07 (confirmed: memory); left out or moved: 3
// things". Throws what geodata::export_survey throws.
std::string write_hand_over(const core::HandOver& handed, const std::filesystem::path& target,
                            const geodata::ExportOptions& options);
// Both steps: what may leave, then the file. Says what was written, as sentences for the window. Throws also
// Error(kNotFound) where nothing would be in it.
std::string hand_over(const Session& session, const HandOverWish& wish, const Steps& steps = {});

}  // namespace brookmark::viewer

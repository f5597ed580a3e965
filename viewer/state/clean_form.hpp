// Why: on the bank kit goes into a water, is cleaned, a risk is met, a live sample is taken home or put back: each a few
// taps on the page "Clean". What was tapped and written, as plain values, and what it comes to before it is recorded; and
// the round of visits that was asked for.
// Use: CleanForm form = begin_task(CleanTask::kUse, state_site, now);  const CleanReading r = read_form(form, source);
//      if (r.recorded) push(StoreEdits{r.recorded->batch});
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/kit_records.hpp"
#include "core/hygiene/visit_plan.hpp"

namespace brookmark::viewer {

enum class CleanTask : std::uint8_t { kNone, kUse, kClean, kRisk, kHold, kRelease };

struct CleanForm {
  CleanTask task = CleanTask::kNone;
  std::vector<std::string> kit;  // codes; of a live sample the first alone
  std::string site;              // a code
  std::string day, time;         // as written: YYYY-MM-DD, hh:mm or nothing
  std::optional<int> utc_offset_min;
  std::string agent, strength, temperature, minutes;  // of a cleaning
  std::string organism, told_by;                      // of a risk
  core::RiskStatus status = core::RiskStatus::kSuspected;
  std::string what;       // the live sample
  bool disposed = false;  // else it was put into a water
  std::string reason;     // why somebody goes on in spite of a warning
};

// Today, now, at the chosen site.
CleanForm begin_task(CleanTask task, const std::string& site_code, const core::Moment& now);
// Adds a code, or takes it away; with `alone` it is the only one.
void tap_kit(CleanForm& form, const std::string& code, bool alone);

struct CleanReading {
  std::optional<core::Recorded> recorded;
  std::vector<core::CleaningVerdict> verdicts;  // of a cleaning: against what it is enough
  std::string trouble;                          // why it cannot be recorded yet: a sentence
};
CleanReading read_form(const CleanForm& form, const core::RecordSource& source);

// The codes that a task may name: all kit; for the end of a live sample what holds one.
std::vector<std::string> kit_to_choose(CleanTask task, const core::Snapshot& snapshot);

// A round of visits.
struct RoundWish {
  std::vector<std::string> sites;            // codes, each once
  std::string day;                           // as written
  std::optional<std::size_t> clean_sets;     // nothing: the survey's kit
  std::optional<core::Cleaning> on_the_way;  // nothing: no cleaning
  std::string start;                         // as written, latitude first; empty: at the first stop
  bool and_back = false;                     // to the start; nothing where there is none
  std::string leave;                         // hh:mm as written; empty: nine, or sunrise where that is later
  double speed_kmh = core::PlanRequest{}.speed_kmh, stop_min = core::PlanRequest{}.stop_min;
  std::size_t vessels = core::PlanRequest{}.vessels_per_stop;
  bool after_dark = false;  // no stop is left for another day
  std::string call;         // whom to call, for the field sheet
  bool operator==(const RoundWish& o) const;
};
// What is asked of the plan. Throws Error with a sentence for what cannot be read or is not there.
core::PlanRequest round_request(const RoundWish& wish, const core::Snapshot& snapshot);

struct Round {
  RoundWish wish;
  std::optional<core::VisitPlan> plan;
  std::string trouble;         // why there is none: a sentence
  std::uint64_t revision = 0;  // of the model that the plan speaks of
  bool more = false;           // the question is shown in full
};
void plan_round(Round& round, const core::RecordSource& source, std::uint64_t revision);
// Cleanings that one can do between waters, which are enough against the routine targets; the quickest first.
std::vector<core::Cleaning> cleanings_on_the_way();

struct CleanDesk {
  CleanForm form;
  Round round;
};

}  // namespace brookmark::viewer

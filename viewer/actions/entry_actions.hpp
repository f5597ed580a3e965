// Why: what a person does on the sheet of a visit, as values. Every tap on the tally becomes one committed edit; the
// sheet shows it at once and the survey file has it before the next frame.
// Use: apply(EntryAction{StartEntry{site, now_here()}}, state, model);  apply(EntryAction{TapTaxon{0}}, state, model);
#pragma once

#include <optional>
#include <span>
#include <string>
#include <variant>

#include "viewer/session_keeper.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

struct StartEntry {  // a new visit to a site
  core::SiteIndex site;
  core::Moment now;
};
struct ResumeEntry {  // a sample that is there
  core::SampleIndex sample;
};
// A replicate at the same visit: what is written of the visit stays.
struct AnotherSample {};
struct TypeField {
  EntryField field = EntryField::kDate;
  std::string words;
};
struct ChooseSampleKind {
  core::SampleKind kind = core::SampleKind::kRoutine;
};
// Stores the form where it can be read and was changed; the first time it makes the visit and the sample. Then shows a
// part, unless the form cannot be kept.
struct ShowEntryPart {
  EntryPart part = EntryPart::kTally;
};
struct TapTaxon {  // one of the buttons: one animal more, the next class, or present
  std::size_t button = 0;
};
struct TypeName {
  std::string words;
};
struct LightChoice {  // up and down the lines below the name
  int by = 1;
};
struct TakeChoice {  // a line below the name; nothing: the lit one
  std::optional<std::size_t> row = {};
};
struct TypeNumber {
  std::string words;
};
// The number for the chosen name: "12" adds twelve, "=12" makes it twelve, "-2" takes two away, "0" says looked for and
// not found, nothing says present; where classes are used, their letter.
struct TakeNumber {};
struct LeaveName {};  // the chosen name, or what was typed
struct ChangeCount {  // of a line of the tally: one more, one less; classes and presence likewise
  std::size_t line = 0;
  int by = 1;
};
struct RemoveLine {
  std::size_t line = 0;
};
struct ChooseTallyWay {
  TallyWay way = TallyWay::kCount;
  std::string scheme = {};  // of the classes; empty: as before
};
struct ChooseStage {  // of what comes next
  core::LifeStage stage = core::LifeStage::kUnknown;
};
struct ChooseUnsure {
  bool unsure = false;
};
struct TypeReading {
  std::string quantity, words;
};
struct KeepReading {  // into the file, where it can be read
  std::string quantity;
};
struct UndoOnSheet {};
struct RedoOnSheet {};  // what was taken back last, until another edit is made
struct CloseEntry {};

using EntryAction =
    std::variant<StartEntry, ResumeEntry, AnotherSample, TypeField, ChooseSampleKind, ShowEntryPart, TapTaxon,
                 TypeName, LightChoice, TakeChoice, TypeNumber, TakeNumber, LeaveName, ChangeCount,
                 RemoveLine, ChooseTallyWay, ChooseStage, ChooseUnsure, TypeReading, KeepReading, UndoOnSheet,
                 RedoOnSheet, CloseEntry>;

void apply_entry(const EntryAction& action, State& state, const Model& model);

// After the file was asked: what it refused is taken off the sheet, and so is what it took back.
void settle_sheet(const Order& order, const OrderOutcome& outcome, State& state);
// The sheet after the model was read anew, from the sample of its key; closed where that is gone.
void refill_sheet(State& state, const Model& model);

// "13", "B (10 to 99)", "present", "looked for, not found".
std::string quantity_in_words(const core::Record& record);
// How many lines of the tally stand for animals that were there.
std::size_t found_lines(const EntrySheet& sheet);

// The quantities that the page of readings asks for, in its order.
struct ReadingAsked {
  const char* quantity;  // id, as in core/reference/quantities.csv
  const char* unit;      // in which it is asked
};
std::span<const ReadingAsked> readings_asked();

}  // namespace brookmark::viewer

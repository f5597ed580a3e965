// Steps of a script that write down a visit or put the map right.
#include <algorithm>
#include <utility>

#include "core/base/text.hpp"
#include "viewer/actions/visit_form.hpp"
#include "viewer/platform/script_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::pair<const char*, EntryField> kFields[] = {
    {"date", EntryField::kDate},         {"time", EntryField::kTime},
    {"offset", EntryField::kOffset},     {"people", EntryField::kPeople},
    {"weather", EntryField::kWeather},   {"conditions", EntryField::kConditions},
    {"note", EntryField::kVisitNote},    {"code", EntryField::kCode},
    {"protocol", EntryField::kProtocol}, {"effort", EntryField::kEffort},
    {"unit", EntryField::kEffortUnit},   {"mesh", EntryField::kMesh},
    {"share", EntryField::kShare},       {"sample-note", EntryField::kSampleNote}};

const EntrySheet& sheet(const Stage& stage, const ScriptPlace& at) {
  if (!stage.state().entry)
    at.refuse("No sheet of a visit is open; begin with a line like: visit S07 2024-05-03",
              ErrorCode::kBadUse);
  return *stage.state().entry;
}

// What the file refused is the end of a script.
void meet_trouble(const Stage& stage, std::size_t before, const ScriptPlace& at) {
  const auto& messages = stage.state().messages;
  for (std::size_t i = before; i < messages.size(); ++i)
    if (messages[i].kind == Message::Kind::kTrouble) at.refuse(messages[i].text, ErrorCode::kStorage);
}

void visit(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  const std::vector<std::string>& w = step.words;
  stage.apply(StartEntry{script_site(stage, w[1], at), {*core::parse_date(w[2]), {}, {}}});
  if (w.size() > 3) stage.apply(TypeField{EntryField::kTime, w[3]});
  if (w.size() > 4) stage.apply(TypeField{EntryField::kOffset, w[4]});
}

void part(const std::string& word, Stage& stage, const ScriptPlace& at) {
  sheet(stage, at);
  const EntryPart wanted = word == "visit"   ? EntryPart::kVisit
                           : word == "tally" ? EntryPart::kTally
                                             : EntryPart::kWater;
  stage.apply(ShowEntryPart{wanted});
  if (stage.state().entry->part != wanted) at.refuse(stage.state().entry->form_trouble);
}

void tap(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  const auto& common = sheet(stage, at).common;
  const auto found = std::find_if(common.begin(), common.end(),
                                  [&](const CommonTaxon& c) { return c.name.shown == step.words[1]; });
  if (found == common.end()) {
    std::string names;
    for (const CommonTaxon& c : common) names += (names.empty() ? "" : ", ") + c.name.shown;
    at.refuse("There is no button \u201C" + step.words[1] + "\u201D. There are: " + names + ".",
              ErrorCode::kNotFound);
  }
  const TapTaxon action{static_cast<std::size_t>(found - common.begin())};
  const double times = step.words.size() > 2 ? script_number(step.words[2], at) : 1;
  for (int i = 0; i < static_cast<int>(times); ++i) stage.apply(action);
}

// The name itself, or a line that is shown for it: nothing is picked for the writer of a script either.
// With `own`, words that the checklist does not know are kept as they are.
void animal(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  sheet(stage, at);
  const std::string& name = step.words[1];
  const bool own = step.words[0] == "own";
  stage.apply(TypeName{name});
  const auto& choices = sheet(stage, at).choices;
  const std::string folded = core::fold_name(name);
  const auto found = std::find_if(choices.begin(), choices.end(), [&](const NameChoice& c) {
    return core::fold_name(c.verbatim) == folded && (c.match == core::NameMatch::kNone) == own &&
           c.match != core::NameMatch::kChosen;
  });
  if (found == choices.end()) {
    std::string names;
    for (const NameChoice& c : choices) names += (names.empty() ? "" : ", ") + c.shown;
    stage.apply(LeaveName{});
    at.refuse("\u201C" + name + "\u201D is " +
                  (own ? "a name of the checklist" : "no name of the checklist") + "; shown are: " + names +
                  (own ? "." : ". To keep the words as they are: own \"" + name + "\""),
              ErrorCode::kNotFound);
  }
  stage.apply(TakeChoice{static_cast<std::size_t>(found - choices.begin())});
  if (step.words.size() > 2) stage.apply(TypeNumber{step.words[2]});
  stage.apply(TakeNumber{});
  if (!sheet(stage, at).number_trouble.empty()) at.refuse(sheet(stage, at).number_trouble);
}

void write(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  sheet(stage, at);
  std::string names;
  for (const auto& [name, field] : kFields) {
    if (step.words[1] == name) {
      stage.apply(TypeField{field, step.words[2]});
      return;
    }
    names += (names.empty() ? "" : ", ") + std::string(name);
  }
  at.refuse("The form has no field \u201C" + step.words[1] + "\u201D. There are: " + names + ".");
}

void reading(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  sheet(stage, at);
  stage.apply(TypeReading{step.words[1], step.words[2]});
  stage.apply(KeepReading{step.words[1]});
  const auto& troubles = sheet(stage, at).reading_troubles;
  if (const auto t = troubles.find(step.words[1]); t != troubles.end() && !t->second.starts_with("Stored"))
    at.refuse(t->second);
}

EditTool tool_of(const std::string& word) {
  if (word == "site") return EditTool::kAddSite;
  if (word == "move") return EditTool::kMoveSite;
  if (word == "outfall") return EditTool::kAddOutfall;
  if (word == "reach") return EditTool::kDrawReach;
  if (word == "fix") return EditTool::kFixReach;
  return EditTool::kNone;
}

void set_of_edit(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  const std::string &what = step.words[1], &words = step.words[2];
  if (what == "code") stage.apply(TypeEditCode{words});
  if (what == "name") stage.apply(TypeEditName{words});
  if (what == "two-way") stage.apply(SetTwoWay{script_switch(words, at)});
  if (what != "kind") return;
  const auto water = core::parse_water_kind(words);
  const auto outfall = core::parse_outfall_kind(words);
  const bool of_outfall = stage.state().edit.tool == EditTool::kAddOutfall;
  if (of_outfall ? !outfall : !water)
    at.refuse("\u201C" + words + "\u201D is no kind of " +
              (of_outfall ? "outfall, as treated sewage." : "water, as stream."));
  if (of_outfall)
    stage.apply(ChooseEditOutfall{*outfall});
  else
    stage.apply(ChooseEditWater{*water});
}

}  // namespace

bool run_entry_step(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  const std::vector<std::string>& w = step.words;
  const std::string& command = w.front();
  const std::size_t before = stage.state().messages.size();
  if (command == "visit") {
    visit(step, stage, at);
  } else if (command == "resume") {
    const auto sample = stage.model().snapshot().find_sample(w[1]);
    if (!sample) at.refuse("This survey has no sample \u201C" + w[1] + "\u201D.", ErrorCode::kNotFound);
    stage.apply(ResumeEntry{*sample});
  } else if (command == "part") {
    part(w[1], stage, at);
  } else if (command == "write") {
    write(step, stage, at);
  } else if (command == "kind") {
    sheet(stage, at);
    stage.apply(ChooseSampleKind{*core::parse_sample_kind(w[1])});
  } else if (command == "another") {
    sheet(stage, at);
    stage.apply(AnotherSample{});
  } else if (command == "way") {
    sheet(stage, at);
    const TallyWay way = w[1] == "count"   ? TallyWay::kCount
                         : w[1] == "class" ? TallyWay::kClass
                                           : TallyWay::kPresent;
    stage.apply(ChooseTallyWay{way, w.size() > 2 ? w[2] : std::string()});
  } else if (command == "stage") {
    sheet(stage, at);
    stage.apply(ChooseStage{w[1] == "any" ? core::LifeStage::kUnknown : *core::parse_life_stage(w[1])});
  } else if (command == "unsure") {
    sheet(stage, at);
    stage.apply(ChooseUnsure{script_switch(w[1], at)});
  } else if (command == "tap") {
    tap(step, stage, at);
  } else if (command == "animal" || command == "own") {
    animal(step, stage, at);
  } else if (command == "reading") {
    reading(step, stage, at);
  } else if (command == "close") {
    sheet(stage, at);
    stage.apply(CloseEntry{});
    if (stage.state().entry) at.refuse(stage.state().entry->form_trouble);
  } else {
    return false;
  }
  meet_trouble(stage, before, at);
  return true;
}

bool run_edit_step(const ScriptStep& step, Stage& stage, const ScriptPlace& at) {
  const std::vector<std::string>& w = step.words;
  const std::string& command = w.front();
  const std::size_t before = stage.state().messages.size();
  const MapEdit& edit = stage.state().edit;
  if (command == "tool") {
    stage.apply(TakeTool{tool_of(w[1])});
    if (!stage.state().edit.trouble.empty()) at.refuse(edit.trouble, ErrorCode::kBadUse);
  } else if (command == "place") {
    if (edit.tool == EditTool::kNone)
      at.refuse("No tool is in hand; begin with a line like: tool site", ErrorCode::kBadUse);
    stage.apply(PlaceEdit{{script_number(w[1], at), script_number(w[2], at)}});
  } else if (command == "set") {
    set_of_edit(step, stage, at);
  } else if (command == "turn") {
    stage.apply(TurnReach{});
  } else if (command == "store") {
    stage.apply(StoreEdit{});
    if (!stage.state().edit.trouble.empty()) at.refuse(stage.state().edit.trouble);
  } else if (command == "status") {
    if (!stage.state().site) at.refuse("Choose a site first, with a line like: site S07", ErrorCode::kBadUse);
    stage.apply(SetStatus{*core::parse_site_status(w[1])});
  } else if (command == "undo") {
    if (stage.state().entry)
      stage.apply(UndoOnSheet{});
    else
      stage.apply(UndoEdit{});
  } else if (command == "redo" && stage.state().entry) {
    stage.apply(RedoOnSheet{});
  } else if (command == "redo") {
    if (stage.state().entry)
      stage.apply(RedoOnSheet{});
    else
      stage.apply(RedoEdit{});
  } else {
    return false;
  }
  meet_trouble(stage, before, at);
  return true;
}

}  // namespace brookmark::viewer

// What is written down on the bank: a few taps, today and now already filled in, what there is to warn of before it is
// recorded, and one edit that can be taken back.
#include <algorithm>

#include "core/hygiene/plain_words.hpp"
#include "viewer/panels/clean_internal.hpp"
#include "viewer/panels/entry_fields_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr CleanTask kTasks[] = {CleanTask::kUse, CleanTask::kClean, CleanTask::kRisk, CleanTask::kHold,
                                CleanTask::kRelease};
constexpr const char* kTaskNames[] = {"Use kit", "Clean kit", "Risk", "Keep alive", "Put back"};
constexpr const char* kTaskWords[] = {"Kit goes into a water.", "Kit was cleaned, or hung up to dry.",
                                      "Something is suspected or found in a water, or it is cleared.",
                                      "Live animals or water are taken away in a vessel.",
                                      "A live sample goes back, or is disposed of."};

void line(const Ui& ui, const char* id, const char* label, std::string& words, float width) {
  if (const Typed typed = field(ui, id, label, words, width); typed.words) words = *typed.words;
}

// Two or three fields beside each other.
float share_of(int parts) {
  const float gaps = ImGui::GetStyle().ItemSpacing.x * static_cast<float>(parts - 1);
  return std::floor((ImGui::GetContentRegionAvail().x - gaps) / static_cast<float>(parts));
}

void kit_part(const Ui& ui, const GoingClean& clean, CleanForm& form) {
  const bool alone = form.task == CleanTask::kHold || form.task == CleanTask::kRelease;
  const auto codes = kit_to_choose(form.task, ui.snapshot());
  small_muted(ui.theme, alone ? "In which vessel?" : "Which kit?");
  if (codes.empty())
    muted(form.task == CleanTask::kRelease ? "No live sample is held."
                                           : "No kit is listed yet: page Survey, Import, Kit.");
  ButtonFlow flow(ui);
  for (const std::string& code : codes) {
    const bool chosen = std::find(form.kit.begin(), form.kit.end(), code) != form.kit.end();
    std::string sign;
    for (const core::KitState& state : clean.kit)
      if (ui.snapshot().kit[state.kit.value()].code == code && form.task != CleanTask::kRelease)
        sign = state.is_clean() ? "\u2713 " : !state.has_history() || !state.unmet.empty() ? "? " : "\u2717 ";
    if (flow.button(sign + code + "##kit " + code, chosen)) tap_kit(form, code, alone);
  }
}

void site_part(const Ui& ui, CleanForm& form, const char* label) {
  const float half = share_of(2);
  line(ui, "##clean site", label, form.site, half);
  if (!ui.state.site) return;
  const std::string chosen(ui.snapshot().sites.code[ui.state.site->value()]);
  if (chosen == form.site) return;
  ImGui::SameLine();
  ImGui::BeginGroup();
  ImGui::Dummy({half, ui.theme.small->FontSize});
  if (push_button(ui.theme, ("Take " + chosen).c_str(), {half, ui.theme.row(2.1F)})) form.site = chosen;
  ImGui::EndGroup();
}

void when_part(const Ui& ui, CleanForm& form, bool with_time) {
  const float half = share_of(2);
  line(ui, "##clean day", "Day", form.day, half);
  if (!with_time) return;
  ImGui::SameLine();
  line(ui, "##clean time", "Time", form.time, half);
}

void agent_part(const Ui& ui, CleanForm& form) {
  small_muted(ui.theme, "With what?");
  ButtonFlow flow(ui);
  for (const core::CleaningAgent& agent : core::cleaning_agents())
    if (flow.button(agent.name, form.agent == agent.name)) form.agent = agent.name;
  const float third = share_of(3);
  line(ui, "##clean strength", "Strength %", form.strength, third);
  ImGui::SameLine();
  line(ui, "##clean temperature", "\u00b0C", form.temperature, third);
  ImGui::SameLine();
  line(ui, "##clean minutes", "Minutes", form.minutes, third);
}

void risk_part(const Ui& ui, CleanForm& form) {
  small_muted(ui.theme, "What?");
  ButtonFlow flow(ui);
  for (const core::TargetIndex target : core::routine_targets()) {
    const std::string& name = core::target_at(target).name;
    if (flow.button(name, form.organism == name)) form.organism = name;
  }
  line(ui, "##clean organism", "Organism", form.organism, share_of(1));
  static constexpr const char* kStatus[] = {"Suspected", "Confirmed", "Cleared"};
  static constexpr core::RiskStatus kStatuses[] = {core::RiskStatus::kSuspected, core::RiskStatus::kConfirmed,
                                                   core::RiskStatus::kCleared};
  const auto chosen = static_cast<int>(std::find(std::begin(kStatuses), std::end(kStatuses), form.status) -
                                       std::begin(kStatuses));
  if (const int i = choices(ui.theme, "status", kStatus, chosen, ImGui::GetContentRegionAvail().x); i >= 0)
    form.status = kStatuses[i];
  line(ui, "##clean by", "Who says so", form.told_by, share_of(1));
}

void fields(const Ui& ui, const GoingClean& clean, CleanForm& form) {
  if (form.task != CleanTask::kRisk) kit_part(ui, clean, form);
  switch (form.task) {
    case CleanTask::kNone:
      break;
    case CleanTask::kUse:
      site_part(ui, form, "Into the water at site");
      when_part(ui, form, true);
      break;
    case CleanTask::kClean:
      agent_part(ui, form);
      when_part(ui, form, true);
      small_muted(ui.theme, "Day and time when it was finished.");
      break;
    case CleanTask::kRisk:
      site_part(ui, form, "At site");
      risk_part(ui, form);
      when_part(ui, form, false);
      break;
    case CleanTask::kHold:
      site_part(ui, form, "Taken at site");
      line(ui, "##clean what", "What is in it", form.what, share_of(1));
      when_part(ui, form, false);
      break;
    case CleanTask::kRelease: {
      static constexpr const char* kEnds[] = {"Put into a water", "Disposed of"};
      if (const int i =
              choices(ui.theme, "end", kEnds, form.disposed ? 1 : 0, ImGui::GetContentRegionAvail().x);
          i >= 0)
        form.disposed = i == 1;
      if (!form.disposed) site_part(ui, form, "At site");
      when_part(ui, form, true);
      break;
    }
  }
}

void told_part(const Ui& ui, CleanForm& form, const CleanReading& reading) {
  for (const core::CleaningVerdict& verdict : reading.verdicts) {
    const bool enough = verdict.effect == core::CleaningEffect::kEnough;
    wrapped(std::string(enough ? "\u2713 " : "\u2717 ") + core::target_at(verdict.target).name);
    ImGui::Indent(ui.theme.em * 1.2F);
    small_muted(ui.theme, core::plain_sentence(verdict.why));
    ImGui::Unindent(ui.theme.em * 1.2F);
  }
  if (!reading.recorded) {
    small_muted(ui.theme, reading.trouble);
    return;
  }
  for (const std::string& warning : reading.recorded->warnings) notice(ui.theme, warning);
  for (const std::string& note : reading.recorded->notes) small_muted(ui.theme, note);
  const bool may_override = form.task == CleanTask::kUse || form.task == CleanTask::kRelease;
  if (may_override && !reading.recorded->warnings.empty())
    line(ui, "##clean reason", "Why you go on all the same", form.reason, share_of(1));
}

}  // namespace

bool ButtonFlow::button(const std::string& words, bool chosen) {
  const std::string seen = words.substr(0, words.find("##"));
  const float width =
      std::max(ImGui::CalcTextSize(seen.c_str()).x + ui_.theme.em * 1.4F, ui_.theme.row(2.2F));
  if (used_ > 0 && used_ + width < ImGui::GetContentRegionAvail().x)
    ImGui::SameLine();
  else
    used_ = 0;
  used_ += width + ImGui::GetStyle().ItemSpacing.x;
  if (chosen) {
    ImGui::PushStyleColor(ImGuiCol_Button, im(ui_.theme.ink.accent));
    ImGui::PushStyleColor(ImGuiCol_ButtonHovered, im(ui_.theme.ink.accent));
    ImGui::PushStyleColor(ImGuiCol_Text, im(ui_.theme.ink.on_accent));
  }
  const bool tapped = ImGui::Button(words.c_str(), {width, ui_.theme.row(2.2F)});
  tell_target(seen);
  if (chosen) ImGui::PopStyleColor(3);
  return tapped;
}

core::RecordSource record_source(const Ui& ui, const GoingClean& clean) {
  return {ui.snapshot(), clean.waters, clean.history,
          core::local_moment(ui.snapshot(), core::parse_moment(core::now_utc()).value())};
}

void draw_clean_tasks(const Ui& ui, const GoingClean& clean) {
  CleanForm& form = ui.desk.clean.form;
  const core::RecordSource source = record_source(ui, clean);
  heading(ui.theme, "Write it down");
  ButtonFlow flow(ui);
  for (std::size_t i = 0; i < std::size(kTasks); ++i) {
    if (!flow.button(kTaskNames[i], form.task == kTasks[i])) continue;
    const std::string chosen =
        ui.state.site ? std::string(ui.snapshot().sites.code[ui.state.site->value()]) : std::string();
    form = form.task == kTasks[i] ? CleanForm{} : begin_task(kTasks[i], chosen, source.now);
  }
  if (form.task == CleanTask::kNone) {
    gap(ui.theme, 0.4F);
    return;
  }
  for (std::size_t i = 0; i < std::size(kTasks); ++i)
    if (kTasks[i] == form.task) small_muted(ui.theme, kTaskWords[i]);
  ImGui::PushID("clean task");
  fields(ui, clean, form);
  const CleanReading reading = read_form(form, source);
  told_part(ui, form, reading);
  const float half = share_of(2);
  ImGui::BeginDisabled(!reading.recorded);
  if (push_button(ui.theme, "Record", {half, ui.theme.row(2.4F)}) && reading.recorded) {
    ui.push(StoreEdits{reading.recorded->batch});
    form = {};
  }
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (push_button(ui.theme, "Cancel", {half, ui.theme.row(2.4F)})) form = {};
  ImGui::PopID();
  gap(ui.theme, 0.4F);
}

}  // namespace brookmark::viewer

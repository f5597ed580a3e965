// What the animals of a still water point to, above the score that a method for running water could not give.
#include "core/base/text.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

void source_tip(const Ui& ui, const core::Evidence& evidence) {
  if (!hint_wanted(ui.theme)) return;
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(ui.theme.em * 26);
  text(evidence.source + " (" + core::confirmed_name(evidence.confirmed) + ")");
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

void piece(const Ui& ui, const core::Evidence& evidence) {
  const bool good = evidence.pointing == core::Pointing::kGood;
  const bool recalled = evidence.confirmed == core::Confirmed::kMemory;
  // Direction and strength in words: colour and sign alone would not reach everybody.
  wrapped(std::string(good ? "+ " : "\u2013 ") + evidence.item + (recalled ? "*" : ""));
  source_tip(ui, evidence);
  ImGui::Indent(ui.theme.em * 0.8F);
  small_muted(ui.theme, std::string(core::pointing_words(evidence.pointing)) + ", " +
                            core::strength_word(evidence.strength) + ". " + evidence.finding);
  source_tip(ui, evidence);
  ImGui::Unindent(ui.theme.em * 0.8F);
}

}  // namespace

bool draw_still_reading(const Ui& ui, core::SampleIndex sample) {
  const core::StillReading& reading = ui.model.still_reading(sample);
  if (reading.verdict == core::Verdict::kOutOfScope) return false;
  heading(ui.theme, std::string("Still-water reading: ") + core::verdict_words(reading.verdict));
  small_muted(ui.theme, "Sample of " + date_in_words(ui.snapshot().samples.date[sample.value()]) + ". " +
                            reading.why + (reading.caution.empty() ? "" : " " + reading.caution));
  std::vector<std::string> silent;
  bool recalled = false;
  for (const core::Evidence& evidence : reading.evidence) {
    if (evidence.pointing == core::Pointing::kNeutral) {
      silent.push_back(core::to_lower_ascii(evidence.item));
      continue;
    }
    recalled = recalled || evidence.confirmed == core::Confirmed::kMemory;
    piece(ui, evidence);
  }
  if (!silent.empty()) small_muted(ui.theme, "Says nothing here: " + core::joined(silent, "; ") + ".");
  if (recalled) small_muted(ui.theme, "* common practice, or recalled and not checked against a publication");
  small_muted(ui.theme, core::kStillWaterCaution);
  gap(ui.theme, 0.3F);
  return true;
}

}  // namespace brookmark::viewer

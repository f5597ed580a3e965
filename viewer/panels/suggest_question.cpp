// What is asked on the page "Where": first the purpose and what it cannot do without, the rest behind one button.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/design/habitat.hpp"
#include "viewer/panels/clean_internal.hpp"
#include "viewer/panels/entry_fields_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/stepper_internal.hpp"
#include "viewer/panels/suggest_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr core::Purpose kPurposes[] = {core::Purpose::kSpread, core::Purpose::kGap, core::Purpose::kBracket,
                                       core::Purpose::kNarrow, core::Purpose::kVariety};
constexpr const char* kPurposeNames[] = {"Spread", "Gap", "Bracket", "Narrow", "Variety"};
constexpr const char* kPurposeWords[] = {
    "Evenly over the waters, each spot with a known chance; sites that are there count.",
    "Where most channel is unmeasured, stale or unsure.",
    "A control above each outfall and a spot below it. Choose an outfall on the map for that one alone.",
    "The next visit that halves what may be to blame for the worst fall.",
    "Spots that differ most in place and habitat, for a diverse day."};

template <class Value>
int place_of(std::span<const Value> values, Value value) {
  return static_cast<int>(std::find(values.begin(), values.end(), value) - values.begin());
}

// Metres by steps; 0 as `none` where that is given.
double metres(const Ui& ui, const char* label, double value, StepRange range, const char* none = nullptr) {
  const int now = static_cast<int>(std::lround(value));
  const std::string words = none != nullptr && now == 0 ? none : std::to_string(now) + " m";
  return stepper(ui, label, words, now, range);
}

void where_part(const Ui& ui, DesignQuestion& next, float width) {
  static constexpr const char* kWhere[] = {"Everywhere", "Within the map's view"};
  const bool by_catchment = !next.within.empty();
  const int on = by_catchment ? -1 : next.in_sight ? 1 : 0;
  if (const int i = choices(ui.theme, "where", kWhere, on, width); i >= 0) {
    next.in_sight = i == 1;
    next.within.clear();
  }
  const auto& catchments = ui.snapshot().catchments;
  if (catchments.empty()) return;
  const auto words = [](const core::Catchment& c) {
    return c.name.empty() ? c.code : c.code + "  " + c.name;
  };
  std::string shown = "Within a catchment \u2026";
  for (const core::Catchment& catchment : catchments)
    if (catchment.key == next.within) shown = words(catchment);
  ImGui::SetNextItemWidth(width);
  const float pad = std::max(0.0F, (ui.theme.row(2.1F) - ImGui::GetFontSize()) / 2);
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2(ui.theme.em * 0.5F, pad));
  const bool open = begin_chooser(ui.theme, "##within", shown, ImGuiComboFlags_HeightLarge);
  ImGui::PopStyleVar();
  tell_target("Within a catchment");
  if (!open) return;
  for (const core::Catchment& catchment : catchments) {
    ImGui::PushID(catchment.key.c_str());
    if (words_row(ui.theme, "##catchment", catchment.key == next.within, {words(catchment)},
                  ui.theme.em * 0.3F, ui.theme.row(2.0F))
            .tapped) {
      next.within = catchment.key;
      next.in_sight = false;
    }
    ImGui::PopID();
  }
  ImGui::EndCombo();
}

// The two ends of a narrowing, as codes or taken from the map.
void between_part(const Ui& ui, DesignQuestion& next) {
  small_muted(ui.theme, "Between two sites on one flow path; left empty: the worst fall between neighbours.");
  const float half = std::floor((ImGui::GetContentRegionAvail().x - ImGui::GetStyle().ItemSpacing.x) / 2);
  if (const Typed typed = field(ui, "##upper", "Upper site", next.upper, half); typed.words)
    next.upper = std::string(core::trim(*typed.words));
  ImGui::SameLine();
  if (const Typed typed = field(ui, "##lower", "Lower site", next.lower, half); typed.words)
    next.lower = std::string(core::trim(*typed.words));
  if (!ui.state.site) return;
  const std::string chosen(ui.snapshot().sites.code[ui.state.site->value()]);
  if (push_button(ui.theme, ("Upper: " + chosen).c_str(), {half, ui.theme.row(2.1F)})) next.upper = chosen;
  ImGui::SameLine();
  if (push_button(ui.theme, ("Lower: " + chosen).c_str(), {half, ui.theme.row(2.1F)})) next.lower = chosen;
}

// Variables by which spots are to differ: those of the program, and what was measured in the survey.
void variables_part(const Ui& ui, DesignQuestion& next) {
  small_muted(ui.theme, "To differ by. None chosen: by all that is known at every spot.");
  std::vector<std::string> words;
  for (std::size_t v = 0; v < core::kHabitatVariables; ++v) {
    const auto variable = static_cast<core::HabitatVariable>(v);
    // Of a terrain model, which the window does not ask for.
    if (variable == core::HabitatVariable::kAltitude || variable == core::HabitatVariable::kSlope) continue;
    words.emplace_back(core::habitat_variable_name(variable));
  }
  for (std::size_t m = 0; m < ui.snapshot().measurements.size(); ++m) {
    const std::string name(core::trim(ui.snapshot().measurements.quantity[m]));
    if (!name.empty() && std::find(words.begin(), words.end(), name) == words.end()) words.push_back(name);
  }
  ButtonFlow flow(ui);
  for (const std::string& word : words) {
    const auto at = std::find(next.by.begin(), next.by.end(), word);
    const bool chosen = at != next.by.end();
    if (!flow.button(word + "##by", chosen)) continue;
    if (chosen)
      next.by.erase(at);
    else
      next.by.push_back(word);
  }
}

void more_part(const Ui& ui, DesignQuestion& next, float width) {
  small_muted(ui.theme, "Nobody is sent to private, unsafe or refused ground that is recorded.");
  next.road_m = metres(ui, "From roads", next.road_m, {0, 2000, 25});
  small_muted(ui.theme,
              "Roads and bridges that are recorded. 100 m: rapid bioassessment (EPA 841-B-99-002 sec. 7.2, "
              "as NEMI 12655 has "
              "it).");
  next.walk_m = metres(ui, "Walk", next.walk_m, {0, 20'000, 100}, "not asked");
  small_muted(ui.theme, "The farthest way, straight, from a place of access that is recorded.");
  next.around_m = metres(ui, "From such ground", next.around_m, {0, 1000, 10});
  small_muted(ui.theme, "Where it is noted as a point or a line. 50 m: common practice, no source.");
  if (core::keeps_clear(next.purpose)) {
    next.clear_m = metres(ui, "Clear", next.clear_m, {0, 2000, 25});
    small_muted(ui.theme,
                "From confluences and above outfalls, along the channel. 100 m from a major tributary: as "
                "the roads.");
  }
  next.spacing_m = metres(ui, "A spot every", next.spacing_m, {5, 500, 5});
  switch (next.purpose) {
    case core::Purpose::kSpread: {
      static constexpr const char* kBeside[] = {"Sites there count", "As if none were there"};
      if (const int i = choices(ui.theme, "beside", kBeside, next.beside_sites ? 0 : 1, width); i >= 0)
        next.beside_sites = i == 0;
      next.seed = static_cast<std::uint64_t>(stepper(ui, "Draw", "no. " + std::to_string(next.seed),
                                                     static_cast<int>(next.seed), {0, 1'000'000, 1}));
      small_muted(ui.theme, "The same number, the same spots.");
      break;
    }
    case core::Purpose::kBracket:
      next.below = stepper(ui, "Below each", std::to_string(next.below), next.below, {1, 20, 1});
      break;
    case core::Purpose::kNarrow:
      next.fine_m = metres(ui, "Not parted below", next.fine_m, {25, 2000, 25});
      small_muted(ui.theme, "100 m: the length of a site (NEMI 12655).");
      next.outfall_m = metres(ui, "An outfall weighs", next.outfall_m, {0, 10'000, 50});
      next.tributary_m = metres(ui, "A tributary", next.tributary_m, {0, 10'000, 50});
      small_muted(ui.theme, "As much as so many metres of channel. Common practice, no source.");
      break;
    default:
      break;
  }
}

}  // namespace

void draw_suggest_question(const Ui& ui) {
  const Design& design = ui.state.design;
  DesignQuestion next = design.question;
  const float width = ImGui::GetContentRegionAvail().x;
  const int chosen = place_of<core::Purpose>(kPurposes, next.purpose);
  if (const int i = choices(ui.theme, "purposes", kPurposeNames, chosen, width); i >= 0) {
    if (kPurposes[i] != next.purpose) next.count = usual_count(kPurposes[i]);
    next.purpose = kPurposes[i];
  }
  small_muted(ui.theme, kPurposeWords[chosen]);
  gap(ui.theme, 0.3F);
  const bool spread = next.purpose == core::Purpose::kSpread;
  if (spread || next.purpose == core::Purpose::kVariety) {
    static constexpr const char* kOn[] = {"Channels", "Waters", "Both"};
    if (const int i = choices(ui.theme, "on", kOn, static_cast<int>(next.on), width); i >= 0)
      next.on = static_cast<core::SpotOn>(i);
  }
  if (spread) {
    static constexpr const char* kStrata[] = {"No groups", "Kind", "Order", "Catchment"};
    if (const int i = choices(ui.theme, "strata", kStrata, static_cast<int>(next.strata), width); i >= 0)
      next.strata = static_cast<core::Strata>(i);
  }
  if (next.purpose == core::Purpose::kVariety) variables_part(ui, next);
  if (next.purpose == core::Purpose::kNarrow) between_part(ui, next);
  where_part(ui, next, width);
  if (core::keeps_clear(next.purpose)) {
    next.mixing_m = metres(ui, "Mixed in after", next.mixing_m, {0, 5000, 50}, "not said");
    small_muted(ui.theme,
                "So far below an outfall its water has mixed in. No single published figure exists.");
  }
  if (next.purpose != core::Purpose::kBracket)
    next.count = stepper(ui, "Spots", std::to_string(next.count), next.count, {1, 100, 1});
  if (push_button(ui.theme, design.more ? "Less" : "More: roads, walk, clear, seed \u2026", {width, 0}))
    ui.push(ShowWholeQuestion{!design.more});
  if (design.more) more_part(ui, next, width);
  if (next != design.question) ui.push(SetQuestion{next});
  gap(ui.theme, 0.2F);
  const bool again = design.asked == design.question && spread && !design.answer.list.empty();
  if (push_button(ui.theme, again ? "Suggest other spots" : "Suggest spots", {width, 0})) {
    ui.push(AskSuggestions{});
    ImGui::GetStateStorage()->SetBool(ImGui::GetID("to the answer"), true);
  }
}

}  // namespace brookmark::viewer

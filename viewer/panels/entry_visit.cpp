// The first part of the sheet: who, when, how the weather was, and how the sample was taken.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>

#include "viewer/panels/entry_fields_internal.hpp"

namespace brookmark::viewer {
namespace {

struct Asked {
  EntryField field;
  const char* label;
  float ems;  // the least it needs; what a row has left over is shared out by these
};

class Form {
 public:
  explicit Form(const Ui& ui) : ui_(ui), e_(*ui.state.entry), width_(ImGui::GetContentRegionAvail().x) {}

  // As many beside each other as find room, the label included.
  template <std::size_t N>
  void flow(const std::array<Asked, N>& asked) {
    const float gap_px = ImGui::GetStyle().ItemSpacing.x;
    for (std::size_t i = 0; i < N;) {
      std::size_t end = i;
      float used = 0;
      while (end < N && (end == i || used + gap_px + least(asked[end]) <= width_)) {
        used += least(asked[end]) + (end > i ? gap_px : 0);
        ++end;
      }
      float wanted = 0;
      for (std::size_t k = i; k < end; ++k) wanted += least(asked[k]);
      const float free = width_ - gap_px * static_cast<float>(end - i - 1);
      for (std::size_t k = i; k < end; ++k) {
        if (k > i) ImGui::SameLine();
        one(asked[k], std::floor(free * least(asked[k]) / wanted));
      }
      i = end;
    }
  }

 private:
  void one(const Asked& a, float width) {
    const std::string id = "##field" + std::to_string(static_cast<int>(a.field));
    const Typed typed = field(ui_, id.c_str(), a.label, e_.form[a.field], width, e_.trouble_at == a.field);
    if (typed.words) ui_.push(TypeField{a.field, *typed.words});
    if (typed.entered) ui_.push(ShowEntryPart{EntryPart::kTally});
  }

  float least(const Asked& a) const {
    const ImFont& small = *ui_.theme.small;
    return std::max(a.ems * ui_.theme.em, small.CalcTextSizeA(small.FontSize, 1e6F, 0, a.label).x + 2);
  }

  const Ui& ui_;
  const EntrySheet& e_;
  float width_;
};

// Of the newest visit that names any.
std::string people_before(const Ui& ui) {
  const auto& visits = ui.snapshot().visits;
  std::optional<std::size_t> newest;
  for (std::size_t v = 0; v < visits.size(); ++v)
    if (!visits.people[v].empty() && (!newest || visits.start[v].date >= visits.start[*newest].date))
      newest = v;
  return newest ? std::string(visits.people[*newest]) : std::string();
}

}  // namespace

void draw_entry_visit(const Ui& ui) {
  const EntrySheet& e = *ui.state.entry;
  const float em = ui.theme.em;
  ImGui::BeginChild("visit", {0, 0});
  if (!e.form_trouble.empty()) {
    notice(ui.theme, e.form_trouble);
    gap(ui.theme, 0.2F);
  }
  Form form(ui);
  heading(ui.theme, "Visit");
  form.flow<7>({{{EntryField::kDate, "Date, as 2024-05-03", 9},
                 {EntryField::kTime, "Local time, as 09:30", 8},
                 {EntryField::kOffset, "Clock ahead of UTC, as +01:00", 8},
                 {EntryField::kPeople, "People", 15},
                 {EntryField::kWeather, "Weather", 13},
                 {EntryField::kConditions, "Conditions of the water", 14},
                 {EntryField::kVisitNote, "Note", 14}}});
  if (e.sample_key.empty() && e.form[EntryField::kPeople].empty())
    if (const std::string before = people_before(ui); !before.empty()) {
      if (push_button(ui.theme, "The people of the newest visit"))
        ui.push(TypeField{EntryField::kPeople, before});
      small_muted(ui.theme, before);
    }
  gap(ui.theme, 0.3F);
  heading(ui.theme, "Sample");
  form.flow<7>({{{EntryField::kCode, "Code", 12},
                 {EntryField::kProtocol, "Protocol", 18},
                 {EntryField::kEffort, "Effort this time", 8},
                 {EntryField::kEffortUnit, "Unit: s, jabs, l, m\u00B2", 9},
                 {EntryField::kMesh, "Mesh, \u00B5m", 8},
                 {EntryField::kShare, "Share of the catch sorted, as 1/4", 13},
                 {EntryField::kSampleNote, "Note on the sample", 16}}});
  gap(ui.theme, 0.2F);
  small_muted(ui.theme, "Kind of sample");
  const char* kinds[] = {"Routine", "Replicate", "Blank"};
  const float width = std::min(ImGui::GetContentRegionAvail().x, em * 26);
  if (const int kind = choices(ui.theme, "kind", kinds, static_cast<int>(e.form.kind), width); kind >= 0)
    ui.push(ChooseSampleKind{static_cast<core::SampleKind>(kind)});
  gap(ui.theme, 0.4F);
  const bool fresh = e.sample_key.empty();
  const float room = ImGui::GetContentRegionAvail().x;
  if (push_button(ui.theme,
                  fresh && e.visit_key.empty() ? "Store the visit and count animals"
                  : fresh                      ? "Store the sample and count animals"
                                               : "Store and go on counting",
                  {std::min(em * 20, room), ui.theme.row(2.6F)}))
    ui.push(ShowEntryPart{EntryPart::kTally});
  if (!fresh) {
    if (room > em * 35) ImGui::SameLine();
    if (push_button(ui.theme, "Replicate at this visit", {std::min(em * 14, room), ui.theme.row(2.6F)}))
      ui.push(AnotherSample{});
  }
  if (fresh)
    small_muted(
        ui.theme,
        "Protocol, unit and mesh are those of the newest sample; change them where they differ. Enter in "
        "a field does the same as the button.");
  ImGui::EndChild();
}

}  // namespace brookmark::viewer

// The first part of the sheet: who, when, how the weather was, and how the sample was taken.
#include <array>
#include <cmath>

#include "viewer/panels/entry_fields_internal.hpp"

namespace brookmark::viewer {
namespace {

struct Asked {
  EntryField field;
  const char* label;
  float share;  // of the row
};

class Form {
 public:
  explicit Form(const Ui& ui) : ui_(ui), e_(*ui.state.entry), width_(ImGui::GetContentRegionAvail().x) {}

  template <std::size_t N>
  void row(const std::array<Asked, N>& asked) {
    const float gap_px = ImGui::GetStyle().ItemSpacing.x;
    const float free = width_ - gap_px * static_cast<float>(N - 1);
    for (std::size_t i = 0; i < N; ++i) {
      if (i > 0) ImGui::SameLine();
      one(asked[i], std::floor(free * asked[i].share));
    }
  }

 private:
  void one(const Asked& a, float width) {
    const std::string id = "##field" + std::to_string(static_cast<int>(a.field));
    const Typed typed = field(ui_, id.c_str(), a.label, e_.form[a.field], width, e_.trouble_at == a.field);
    if (typed.words) ui_.push(TypeField{a.field, *typed.words});
    if (typed.entered) ui_.push(ShowEntryPart{EntryPart::kTally});
  }

  const Ui& ui_;
  const EntrySheet& e_;
  float width_;
};

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
  form.row<4>({{{EntryField::kDate, "Date, as 2024-05-03", 0.22F},
                {EntryField::kTime, "Local time, as 09:30", 0.2F},
                {EntryField::kOffset, "From UTC, as +01:00", 0.2F},
                {EntryField::kPeople, "People", 0.38F}}});
  form.row<3>({{{EntryField::kWeather, "Weather", 0.3F},
                {EntryField::kConditions, "Conditions of the water", 0.35F},
                {EntryField::kVisitNote, "Note", 0.35F}}});
  gap(ui.theme, 0.3F);
  heading(ui.theme, "Sample");
  form.row<2>({{{EntryField::kCode, "Code", 0.4F}, {EntryField::kProtocol, "Protocol", 0.6F}}});
  form.row<4>({{{EntryField::kEffort, "Effort this time", 0.22F},
                {EntryField::kEffortUnit, "Unit: s, jabs, l, m2", 0.22F},
                {EntryField::kMesh, "Mesh, \u00B5m", 0.22F},
                {EntryField::kShare, "Share of the catch sorted, as 1/4", 0.34F}}});
  form.row<1>({{{EntryField::kSampleNote, "Note on the sample", 1.0F}}});
  gap(ui.theme, 0.2F);
  small_muted(ui.theme, "Kind of sample");
  const char* kinds[] = {"Routine", "Replicate", "Blank"};
  const float width = std::min(ImGui::GetContentRegionAvail().x, em * 26);
  if (const int kind = choices(ui.theme, "kind", kinds, static_cast<int>(e.form.kind), width); kind >= 0)
    ui.push(ChooseSampleKind{static_cast<core::SampleKind>(kind)});
  gap(ui.theme, 0.4F);
  const bool fresh = e.sample_key.empty();
  if (push_button(ui.theme, fresh ? "Store the visit and count animals" : "Store and go on counting",
                  {std::min(em * 20, width), ui.theme.row(2.6F)}))
    ui.push(ShowEntryPart{EntryPart::kTally});
  if (!fresh) {
    ImGui::SameLine();
    if (push_button(ui.theme, "Replicate at this visit", {std::min(em * 14, width), ui.theme.row(2.6F)}))
      ui.push(AnotherSample{});
  }
  if (fresh)
    small_muted(ui.theme,
                "People, protocol, unit and mesh are those of the newest sample; change them where they "
                "differ. Enter in a "
                "field does the same as the button.");
  ImGui::EndChild();
}

}  // namespace brookmark::viewer

// A report: about what, as a page or on paper, what of the survey may leave, and what stays at home, before anything is
// written.
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr const char* kForms[] = {"A page (HTML)", "On paper (PDF)"};
constexpr const char* kEndings[] = {".html", ".pdf"};

std::string named(const std::string& code, std::string_view name) {
  return name.empty() ? code : code + "  " + std::string(name);
}

// The survey, the site that is open beside the map, or a catchment.
void about_chooser(const Ui& ui, Dialog& next) {
  const core::Snapshot& s = ui.snapshot();
  std::string shown = "The whole survey";
  if (const auto site = s.find_site(next.about_site); site && !next.about_site.empty())
    shown = "One page on " + named(std::string(s.sites.code[site->value()]), s.sites.name[site->value()]);
  for (const core::Catchment& catchment : s.catchments)
    if (catchment.key == next.about_catchment) shown = "Catchment " + named(catchment.code, catchment.name);
  small_muted(ui.theme, "About");
  ImGui::SetNextItemWidth(-1);
  if (!begin_chooser(ui.theme, "##about", shown, ImGuiComboFlags_HeightLarge)) return;
  const auto line = [&](const std::string& words, const std::string& site, const std::string& catchment) {
    const bool on = next.about_site == site && next.about_catchment == catchment;
    ImGui::PushID((site + "/" + catchment).c_str());
    const bool tapped =
        words_row(ui.theme, "##about", on, {words}, ui.theme.em * 0.3F, ui.theme.row(1.8F)).tapped;
    ImGui::PopID();
    if (!tapped) return;
    next.about_site = site;
    next.about_catchment = catchment;
  };
  line("The whole survey", "", "");
  if (ui.state.site) {
    const std::size_t i = ui.state.site->value();
    line("One page on " + named(std::string(s.sites.code[i]), s.sites.name[i]), std::string(s.sites.key[i]),
         "");
  }
  for (const core::Catchment& catchment : s.catchments)
    line("Catchment " + named(catchment.code, catchment.name), "", catchment.key);
  ImGui::EndCombo();
}

// The button writes the ending.
void form_chooser(const Ui& ui, Dialog& next) {
  int form = -1;
  for (std::size_t i = 0; i < std::size(kEndings); ++i)
    if (next.name.ends_with(kEndings[i])) form = static_cast<int>(i);
  const int chosen = choices(ui.theme, "form", kForms, form, ImGui::GetContentRegionAvail().x);
  if (chosen < 0) return;
  const std::size_t dot = next.name.rfind('.');
  next.name = next.name.substr(0, dot == std::string::npos ? next.name.size() : dot) +
              kEndings[static_cast<std::size_t>(chosen)];
}

}  // namespace

void draw_report_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "report", 44)) ui.push(CloseDialog{});
  {
    const FontScope font(ui.theme.title);
    text("Report");
  }
  muted(
      "What was found, for a landowner or a committee: in words, on a map, through time, and how sure it "
      "is.");
  draw_what_counts(ui, "By ");
  about_chooser(ui, next);
  form_chooser(ui, next);
  draw_target(ui, next, {".html", ".pdf"}, "report.html");
  draw_rules_and_foot(ui, next, "Write the report");
}

}  // namespace brookmark::viewer

// The page for going clean: what is suspected where and which waters may have it too, which kit is clean, and live
// samples that are away from their water. The map marks the same waters while the page is open.
#include <algorithm>

#include "core/hygiene/plain_words.hpp"
#include "core/survey/cautions.hpp"
#include "viewer/panels/clean_internal.hpp"
#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/state/going_clean.hpp"

namespace brookmark::viewer {
namespace {

core::Date day_of(const Ui& ui) {
  return day_of_going_clean(ui.snapshot(), ui.state.date, core::today_utc());
}

void contact(const Ui& ui, const std::string& what, const std::string& why,
             std::span<const core::SiteIndex> sites) {
  ImGui::PushID(what.c_str());
  wrapped(what);
  ImGui::Indent(ui.theme.em * 1.2F);
  small_muted(ui.theme, core::plain_sentence(why));
  site_buttons(ui, sites);
  ImGui::Unindent(ui.theme.em * 1.2F);
  ImGui::PopID();
}

void risk_part(const Ui& ui, const GoingClean& clean) {
  heading(ui.theme, "Waters with a risk");
  if (clean.risks.empty())
    muted("Nothing is told of any water by that day. That is no proof that all are clean.");
  for (const TracedRisk& risk : clean.risks) {
    const core::WaterRisk& row = ui.snapshot().risks[risk.row];
    ImGui::PushID(static_cast<int>(risk.row));
    notice(ui.theme,
           clean.waters.name(risk.body) + ": " + row.target + " " + core::risk_status_name(row.status) +
               " since " + core::plain_day(row.since) + (row.told_by.empty() ? "" : ", by " + row.told_by) +
               (risk.rule_known ? "" : ". No cleaning rule speaks of it, so no cleaning counts against it"));
    site_buttons(ui, clean.waters.sites(risk.body));
    const core::Contacts& found = risk.contacts;
    if (found.entered.empty() && found.upstream.empty())
      muted("On record, no kit went from here into another water before it was cleaned of it.");
    for (const core::TracedWater& water : found.entered)
      contact(ui,
              std::to_string(water.chain.size()) + "  " + clean.waters.name(water.body) +
                  (water.direct     ? ": entered with the same kit"
                   : water.by_water ? ": reached with kit from below"
                                    : ": reached through other waters"),
              water.words, water.sites);
    for (const core::UpstreamMove& move : found.upstream)
      contact(ui, "\u2191  Further up the same water", move.words, {&move.step.in.site, 1});
    for (const core::WaterAtRisk& lower : found.below)
      contact(ui, "\u2193  " + clean.waters.name(lower.below.body) + ": downstream", lower.words,
              lower.below.reached());
    if (!found.entered.empty())
      small_muted(ui.theme, "A list of contacts, no proof. What nobody recorded is not in it.");
    ImGui::PopID();
    gap(ui.theme, 0.4F);
  }
}

void warning_part(const Ui& ui, const GoingClean& clean) {
  if (!ui.state.site) return;
  const std::size_t s = ui.state.site->value();
  heading(ui.theme, "Before going into " + clean.waters.name(clean.waters.of(*ui.state.site)));
  const auto warnings = clean.before(*ui.state.site);
  if (warnings.empty() && !clean.kit.empty())
    muted("All kit that is listed may go in at " + std::string(ui.snapshot().sites.code[s]) + ".");
  for (const core::EntryWarning& warning : warnings) notice(ui.theme, warning.text);
  gap(ui.theme, 0.4F);
}

void kit_part(const Ui& ui, const GoingClean& clean) {
  heading(ui.theme, "Kit and vessels");
  if (clean.kit.empty()) {
    muted("No kit is listed yet. A list of it comes in by page Survey, Import, Kit.");
    if (push_button(ui.theme, "Import kit \u2026", {ImGui::GetContentRegionAvail().x, ui.theme.row(2.2F)}))
      ui.push(OpenDialog{DialogKind::kImport, core::ImportKind::kKit});
  }
  for (const core::KitState& state : clean.kit) {
    const core::Kit& item = ui.snapshot().kit[state.kit.value()];
    // A sign and a word, so that colour is not needed.
    const char* sign = !state.has_history() || !state.unmet.empty() ? "?"
                       : state.is_clean()                           ? "\u2713"
                                                                    : "\u2717";
    wrapped(std::string(sign) + "  " + item.code + "  " + core::kit_kind_name(item.kind) +
            (item.set.empty() ? "" : ", set " + item.set) + (item.name.empty() ? "" : ", " + item.name));
    ImGui::Indent(ui.theme.em * 1.2F);
    small_muted(ui.theme, core::plain_sentence(state.words));
    ImGui::Unindent(ui.theme.em * 1.2F);
  }
  if (!clean.kit.empty())
    small_muted(ui.theme,
                "\u2713 clean  \u2717 belongs to a water until cleaned  ? nobody knows. Clean: against " +
                    core::target_names(core::routine_targets()) +
                    " (common practice, no source), and what is told of the waters it was in.");
  gap(ui.theme, 0.4F);
}

void held_part(const Ui& ui, const GoingClean& clean) {
  heading(ui.theme, "Live samples away from their water");
  if (clean.held.empty()) muted("None.");
  for (const core::HeldSample& held : clean.held)
    if (held.overdue)
      notice(ui.theme, core::plain_sentence(held.words));
    else
      wrapped(core::plain_sentence(held.words));
  gap(ui.theme, 0.4F);
}

void add_trace_marks(const Ui& ui, std::span<const core::SiteIndex> sites, const std::string& sign,
                     bool source, std::vector<TraceMark>& marks) {
  for (const core::SiteIndex site : sites) {
    if (!core::is_placed(ui.snapshot().sites.position[site.value()])) continue;
    if (!ui.layout.map.contains(ui.state.view.to_pixel(ui.model.site_places()[site.value()]))) continue;
    const auto known =
        std::find_if(marks.begin(), marks.end(), [site](const TraceMark& mark) { return mark.site == site; });
    if (known == marks.end())
      marks.push_back({site, sign, source});
    else if (!known->source && (source || sign < known->sign))
      *known = {site, sign, source};
  }
}

void add_contacts(const Ui& ui, const GoingClean& clean, const core::Contacts& found,
                  std::vector<TraceMark>& marks) {
  for (const core::WaterAtRisk& lower : found.below)
    add_trace_marks(ui, lower.below.reached(), "\u2193", false, marks);
  for (const core::TracedWater& water : found.entered)
    add_trace_marks(ui, clean.waters.sites(water.body), std::to_string(water.chain.size()), false, marks);
  for (const core::UpstreamMove& move : found.upstream)
    add_trace_marks(ui, {&move.step.in.site, 1}, "\u2191", false, marks);
}

}  // namespace

void site_buttons(const Ui& ui, std::span<const core::SiteIndex> sites) {
  ButtonFlow flow(ui);
  for (const core::SiteIndex site : sites) {
    ImGui::PushID(static_cast<int>(site.value()));
    if (flow.button(std::string(ui.snapshot().sites.code[site.value()]))) ui.push(SelectSite{site});
    ImGui::PopID();
  }
}

std::vector<TraceMark> trace_marks(const Ui& ui) {
  std::vector<TraceMark> marks;
  if (!ui.state.panel_open || ui.state.page != Page::kClean) return marks;
  const GoingClean& clean = ui.model.going_clean(day_of(ui));
  for (const TracedRisk& risk : clean.risks) add_contacts(ui, clean, risk.contacts, marks);
  for (const TracedRisk& risk : clean.risks)
    add_trace_marks(ui, clean.waters.sites(risk.body), "!", true, marks);
  return marks;
}

void draw_kit_page(const Ui& ui) {
  const core::Date day = day_of(ui);
  const GoingClean& clean = ui.model.going_clean(day);
  std::string words = "What was known on " + date_in_words(day) + ".";
  if (ui.state.date && day > *ui.state.date)
    words += " That is later than the day of the map, " + date_in_words(*ui.state.date) +
             ": kit is judged by all that is written down of it, and never by less than is known.";
  small_muted(ui.theme, words);
  small_muted(
      ui.theme,
      "Rings on the map: ! has a risk; 1 was entered with kit used there before and not cleaned since, "
      "2 with kit from such a water, and so on; \u2193 lies downstream; \u2191 kit was carried further up.");
  gap(ui.theme, 0.3F);
  draw_clean_tasks(ui, clean);
  draw_round(ui, clean);
  risk_part(ui, clean);
  warning_part(ui, clean);
  kit_part(ui, clean);
  held_part(ui, clean);
  small_muted(ui.theme,
              std::string(core::kFieldCautions[4]) + " Local codes and licensed practice go first.");
}

}  // namespace brookmark::viewer

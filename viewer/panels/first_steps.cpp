// What a survey without places or samples begins with: the ways to get some, one tap each.
#include <algorithm>
#include <cmath>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kManySites = 20'000;  // lie everywhere

struct Missing {
  std::string sentence;
  bool sites = false, samples = false, survey = false;
};

Missing missing_of(const Ui& ui) {
  const core::Snapshot& s = ui.snapshot();
  const std::size_t unplaced = ui.model.unplaced_sites().size();
  if (s.sites.size() == 0 && ui.model.session().path.empty())  // behind a dialog that says what to do
    return desk_is_covered(ui.state) ? Missing{} : Missing{"No survey is open.", false, false, true};
  if (s.sites.size() == 0 && ui.model.bounds()) return {"This survey has no sites yet.", true, false};
  if (s.sites.size() == 0)
    return {ui.state.map.found    ? "This survey has no places yet. The cross stands where you asked for."
            : ui.model.has_area() ? "This survey has no places yet. The map shows all the ground of " +
                                        s.survey.crs + ": give coordinates, or import places."
                                  : "This survey has no places yet, so the map cannot know where your waters "
                                    "lie: give coordinates, or import places.",
            true, false};
  if (unplaced == s.sites.size())
    return {count_of(unplaced, "site", "sites") +
                (unplaced == 1 ? ", without a position: it is" : ", none with a position: they are") +
                " listed under Key, not on the map.",
            false, false};
  if (s.samples.size() == 0) return {"No site has a sample yet.", false, true};
  return {};
}

void buttons(const Ui& ui, const Missing& missing) {
  const float width = ImGui::GetContentRegionAvail().x, high = ui.theme.row(2.2F);
  if (missing.sites) {
    if (push_button(ui.theme, "Go to coordinates \u2026", {width, high})) ui.push(OpenFind{});
    if (push_button(ui.theme, "Import places \u2026", {width, high}))
      ui.push(OpenDialog{DialogKind::kImport, core::ImportKind::kSites});
    if (push_button(ui.theme, "Add a site on the map", {width, high})) {
      ui.push(ShowPage{Page::kEdit});
      ui.push(TakeTool{EditTool::kAddSite});
      // The map stands where the page was; with a cross there is nothing left to tap.
      if (ui.layout.narrow && !ui.state.map.found) ui.push(ShowPanel{false});
    }
    if (push_button(ui.theme, "Open the demo", {width, high})) ui.push(OpenDemo{});
  }
  if (missing.survey) {
    if (push_button(ui.theme, "Open a survey \u2026", {width, high})) ui.push(OpenDialog{DialogKind::kOpen});
    if (push_button(ui.theme, "Begin a new survey \u2026", {width, high}))
      ui.push(OpenDialog{DialogKind::kNew});
    if (push_button(ui.theme, "Open the demo", {width, high})) ui.push(OpenDemo{});
  }
  if (missing.samples) {
    if (push_button(ui.theme, "Import samples \u2026", {width, high}))
      ui.push(OpenDialog{DialogKind::kImport, core::ImportKind::kSamples});
    small_muted(ui.theme, "Or tap a site and write down a visit.");
  }
}

// Where there is something on the map, out of the hand's way: at the foot of the map, or where no site lies below the
// card, for these are to be tapped.
float card_top(const Ui& ui, float left, float width, float height) {
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, top = static_cast<float>(map.top);
  const float free = static_cast<float>(map.height) - height;
  if (!ui.model.bounds() && !ui.state.map.found) return std::round(top + free / 2);
  const float foot = std::round(top + std::max(free - em * 3.5F, 0.0F));
  if (ui.model.site_places().size() > kManySites) return foot;
  const double reach = static_cast<double>(em) * 1.2;
  for (const float y : {foot, std::round(top + free * 0.6F), std::round(top + free * 0.4F)}) {
    const core::PlanePoint a = ui.state.view.to_plane({left - reach, y + height + reach}),
                           b = ui.state.view.to_plane({left + width + reach, y - reach});
    if (ui.model.site_grid().inside({a.x, a.y, b.x, b.y}).empty()) return y;
  }
  return foot;
}

}  // namespace

void draw_first_steps(const Ui& ui) {
  const Missing missing = missing_of(ui);
  if (missing.sentence.empty()) return;
  wrapped(missing.sentence);
  buttons(ui, missing);
}

void draw_first_steps_card(const Ui& ui) {
  const Missing missing = missing_of(ui);
  // Suggested spots are dragged over the map: nothing may lie on them.
  if (missing.sentence.empty() || ui.state.edit.tool != EditTool::kNone || ui.state.picking_point ||
      !ui.state.design.answer.list.empty())
    return;
  const PixelBox& map = ui.layout.map;
  const float em = ui.theme.em, width = std::min(static_cast<float>(map.width) - 2 * em, em * 22);
  if (width < em * 8) return;
  const float rows = missing.sites ? 4 : missing.survey ? 3 : missing.samples ? 1.6F : 0;
  const float words = ImGui::CalcTextSize(missing.sentence.c_str(), nullptr, false, width - em * 1.6F).y;
  const float wanted = words + rows * (ui.theme.row(2.2F) + ImGui::GetStyle().ItemSpacing.y) + em * 1.4F + 2;
  const float height = std::min(wanted, static_cast<float>(map.height) - em);
  if (height < em * 2) return;
  float left = std::round(static_cast<float>(map.left) + (static_cast<float>(map.width) - width) / 2);
  // Beside the cross, which stands in the middle.
  if (ui.state.map.found && static_cast<float>(map.width) / 2 > width + 2 * em)
    left = std::round(static_cast<float>(map.left) + em);
  const ImVec2 at{left, card_top(ui, left, width, height)};
  ImGui::SetCursorScreenPos(at);
  ImGui::PushStyleColor(ImGuiCol_ChildBg, im(ui.theme.ink.note));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(em * 0.8F, em * 0.6F));
  ImGui::BeginChild("first steps", {width, height}, false, ImGuiWindowFlags_AlwaysUseWindowPadding);
  ImGui::PopStyleVar();
  ImGui::PopStyleColor();
  wrapped(missing.sentence);
  buttons(ui, missing);
  ImGui::EndChild();
}

}  // namespace brookmark::viewer

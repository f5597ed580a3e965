// The page of an outfall: what enters there and since when, how far it is to the sites up and down the channel, and between
// which sites the index falls where it lies.
#include <algorithm>

#include "core/base/text.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostListed = 8;

void head(const Ui& ui, const core::Outfall& o) {
  {
    const FontScope font(ui.theme.title);
    wrapped(o.code + (o.name.empty() || o.name == o.code ? "" : "  " + o.name));
  }
  muted(std::string("Outfall: ") +
        (o.kind == core::OutfallKind::kUnknown ? "kind not known" : core::outfall_kind_name(o.kind)));
  text(o.since ? "In use since " + date_in_words(*o.since) : "In use since: not noted");
  if (o.until) text("Closed " + date_in_words(*o.until));
  if (const std::string use = use_in_words(o, ui.state.date); !use.empty())
    notice(ui.theme, "Not in use on the day shown: " + use + ".");
  wrapped(o.strength ? "Strength " + core::format_number(*o.strength) + ", in the survey's own measure"
                     : "Strength: not noted; it weighs as 1 beside the others");
  if (!o.note.empty()) wrapped(o.note);
  small_muted(ui.theme, position_in_words(o.position.lon, o.position.lat));
}

void sites_along(const Ui& ui, const char* title, const char* none, const char* sign,
                 const std::vector<NeighbourSite>& sites) {
  ImGui::PushID(title);
  heading(ui.theme, title);
  for (std::size_t k = 0; k < std::min(sites.size(), kMostListed); ++k)
    draw_site_line(ui, sites[k].site, sign, sites[k].distance_m);
  if (sites.size() > kMostListed)
    small_muted(ui.theme, "and " + std::to_string(sites.size() - kMostListed) + " more, farther away");
  if (sites.empty()) muted(none);
  ImGui::PopID();
}

// Where the index falls and this outfall enters in between, on the day shown.
void falls_here(const Ui& ui, core::OutfallIndex outfall) {
  const std::vector<core::Drop>* drops = ui.model.drops(ui.state.choice, ui.state.period());
  if (!drops || !ui.assessment) return;
  bool any = false;
  for (const core::Drop& drop : *drops) {
    const bool here = std::any_of(drop.outfalls.begin(), drop.outfalls.end(),
                                  [&](const core::StretchOutfall& o) { return o.outfall == outfall; });
    if (!here || !drop.is_worse()) continue;
    if (!any) heading(ui.theme, "The index falls past it");
    any = true;
    wrapped(as_sentence(drop_in_words(ui.snapshot(), drop, ui.assessment->metric_info())));
  }
  if (any) small_muted(ui.theme, "That it lies between two sites does not prove that it is the cause.");
}

}  // namespace

void draw_outfall_page(const Ui& ui, core::OutfallIndex outfall) {
  const core::Outfall& o = ui.snapshot().outfalls[outfall.value()];
  head(ui, o);
  gap(ui.theme, 0.3F);
  const SitesOfOutfall& sites = ui.model.answers().sites_of(outfall);
  if (sites.worked_out) {
    sites_along(ui, "Sites downstream, along the channel", "None downstream on a channel.", "\u2193",
                sites.down);
    gap(ui.theme, 0.2F);
    sites_along(ui, "Sites upstream", "None upstream on a channel.", "\u2191", sites.up);
  } else {
    muted(
        "This survey has too many sites to list those up and down the channel here; \u201CWhat lies upstream "
        "of here\u201D lists those above it.");
  }
  gap(ui.theme, 0.3F);
  falls_here(ui, outfall);
  if (push_button(ui.theme, "What lies upstream of here", {ImGui::GetContentRegionAvail().x, 0})) {
    ui.push(QueryFromPoint{o.position});
    ui.push(AskUpstream{true});
  }
}

}  // namespace brookmark::viewer

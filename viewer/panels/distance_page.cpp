// The page of the distance query: from where, which way, and each outfall with its way along the channel.
#include <algorithm>
#include <cmath>

#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

std::string relation_words(core::Relation relation) {
  switch (relation) {
    case core::Relation::kUpstream:
      return "\u2191 upstream";
    case core::Relation::kDownstream:
      return "\u2193 downstream";
    case core::Relation::kViaConfluence:
      return "\u2194 over a confluence";
    case core::Relation::kUnconnected:
      return "no channel between";
    case core::Relation::kOffChannel:
      break;
  }
  return "off the channel";
}

constexpr std::size_t kMostSites = 200;

// The sites upstream, nearest first; a tap opens one.
void upstream_lists(const Ui& ui, const core::Upstream& up) {
  if (up.sites.empty()) return;
  const FontScope font(ui.theme.small);
  for (std::size_t k = 0; k < std::min(up.sites.size(), kMostSites); ++k) {
    const std::size_t i = up.sites[k].site.value();
    const std::string label =
        std::string(ui.snapshot().sites.code[i]) + "  " + std::string(ui.snapshot().sites.name[i]) +
        "  \u00B7  " + (up.sites[k].distance_m > 0 ? distance_in_words(up.sites[k].distance_m) : "here");
    ImGui::PushID(static_cast<int>(k));
    if (words_row(ui.theme, "##site", false, {label, {}, {}, ui.theme.small, {}}, 0, ui.theme.row(1.5F))
            .tapped)
      ui.push(SelectSite{up.sites[k].site});
    ImGui::PopID();
  }
  if (up.sites.size() > kMostSites)
    muted("and " + std::to_string(up.sites.size() - kMostSites) + " more, farther up");
  rule(ui.theme);
}

void target_row(const Ui& ui, std::size_t row) {
  const core::ChannelDistance& d = ui.state.query.distances[row];
  const core::Outfall& o = ui.snapshot().outfalls[d.target];
  const float em = ui.theme.em;
  const bool focus = ui.state.query.focus == row;
  std::string way = relation_words(d.relation);
  if (d.distance_m) way += " \u00B7 " + count_of(d.reach_count, "reach", "reaches");
  way += " \u00B7 straight line " + distance_in_words(d.straight_m);
  std::string kind =
      o.kind == core::OutfallKind::kUnknown ? "kind not known" : core::outfall_kind_name(o.kind);
  if (const std::string use = use_in_words(o, ui.state.date); !use.empty()) kind = use + " \u00B7 " + kind;
  if (d.target_snap_m) kind += " \u00B7 outfall " + distance_in_words(*d.target_snap_m) + " from the channel";
  ImGui::PushID(static_cast<int>(row));
  const DrawnRow drawn =
      words_row(ui.theme, "##target", focus,
                {o.code + (o.name.empty() ? "" : "  " + o.name),
                 d.distance_m ? distance_in_words(*d.distance_m) : "\u2013", way + "\n" + kind,
                 ui.theme.strong, d.distance_m ? ui.theme.ink.query : ui.theme.ink.muted},
                em * 2.1F, ui.theme.target);
  if (drawn.tapped) ui.push(FocusTarget{focus ? std::nullopt : std::optional<std::size_t>(row)});
  draw_mark(*ImGui::GetWindowDrawList(), {drawn.at.x + em, drawn.middle}, em * 0.5F,
            outfall_mark(o, ui.state.date, d.distance_m.has_value()), ui.colours, ui.theme);
  const FontScope small(ui.theme.small);
  if (!d.note.empty()) {
    ImGui::Indent(em * 2.1F);
    wrapped(d.note);
    ImGui::Unindent(em * 2.1F);
  }
  ImGui::PopID();
  ImGui::Separator();
}

void where_from(const Ui& ui) {
  const Query& query = ui.state.query;
  const core::Snapshot& s = ui.snapshot();
  if (query.from == Query::From::kSite)
    heading(ui.theme, "From " + std::string(s.sites.code[query.site.value()]) + "  " +
                          std::string(s.sites.name[query.site.value()]));
  else
    heading(ui.theme, "From the point " + position_in_words(query.point.lon, query.point.lat));
  const core::ChannelNetwork& channels = ui.model.session().channels;
  if (const auto at = channels.snap(query.point, query.max_snap_m))
    small_muted(ui.theme, distance_in_words(at->snap_m) +
                              " from the nearest channel; distances run along the channel.");
  else
    notice(ui.theme, "This place is on no channel (none within " +
                         distance_in_words(query.max_snap_m.value_or(channels.options().max_snap_m)) +
                         "). Only straight lines can be given; the water does not run along them.");
}

}  // namespace

void draw_distance_page(const Ui& ui) {
  const Query& query = ui.state.query;
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x;
  const float half = std::floor((width - ImGui::GetStyle().ItemSpacing.x) / 2);
  const core::SiteColumns& sites = ui.snapshot().sites;
  const bool unplaced = ui.state.site && !core::is_placed(sites.position[ui.state.site->value()]);
  ImGui::BeginDisabled(!ui.state.site || unplaced);
  if (push_button(ui.theme, "From the site", {half, 0}) && ui.state.site)
    ui.push(QueryFromSite{*ui.state.site});
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (push_button(ui.theme, "From a point \u2026", {half, 0})) ui.push(StartPointPick{});
  static constexpr const char* kWays[] = {"\u2191 Upstream", "\u2193 Downstream", "\u2195 Both"};
  constexpr core::Direction kDirections[] = {core::Direction::kUpstream, core::Direction::kDownstream,
                                             core::Direction::kAny};
  int chosen = 2;
  for (int i = 0; i < 3; ++i)
    if (kDirections[i] == query.direction) chosen = i;
  const int clicked = choices(ui.theme, "ways", kWays, chosen, width);
  if (clicked >= 0) ui.push(SetDirection{kDirections[clicked]});
  gap(ui.theme, 0.2F);
  if (query.from == Query::From::kNone && unplaced)
    notice(ui.theme, std::string(sites.code[ui.state.site->value()]) +
                         " has no position, so nothing can be measured from it.");
  if (query.from == Query::From::kNone) {
    muted(
        "Which outfalls lie up and down the channel, and how far along it? Ask from a site on the map, or "
        "from any "
        "point.");
    if (ui.snapshot().outfalls.empty()) {
      notice(ui.theme, "This survey has no outfalls yet.");
      if (push_button(ui.theme, "Import outfalls \u2026", {half, 0}))
        ui.push(OpenDialog{DialogKind::kImport, core::ImportKind::kOutfalls});
      ImGui::SameLine();
      if (push_button(ui.theme, "Add one on the map", {half, 0})) {
        ui.push(ShowPage{Page::kEdit});
        ui.push(TakeTool{EditTool::kAddOutfall});
      }
    }
    return;
  }
  where_from(ui);
  bool upstream = query.upstream;
  if (ImGui::Checkbox("What lies upstream of here", &upstream)) ui.push(AskUpstream{upstream});
  if (query.upstream) {
    draw_upstream_card(ui, ui.model.answers().upstream(query.point, query.max_snap_m));
    upstream_lists(ui, ui.model.answers().upstream(query.point, query.max_snap_m));
  }
  gap(ui.theme, 0.2F);
  if (query.distances.empty()) {
    const char* words = ui.snapshot().outfalls.empty()                  ? "This survey has no outfalls yet."
                        : query.direction == core::Direction::kUpstream ? "No outfall lies upstream of here."
                        : query.direction == core::Direction::kDownstream
                            ? "No outfall lies downstream of here."
                            : "No outfall can be reached from here.";
    wrapped(words);
  }
  ImGui::Separator();
  for (std::size_t row = 0; row < query.distances.size(); ++row) target_row(ui, row);
  gap(ui.theme, 0.3F);
  if (ImGui::Button("Clear", {em * 7, 0})) ui.push(ClearQuery{});
}

}  // namespace brookmark::viewer

// What is told of a site beside its samples: how sure its class is, its course through time, and what lies around it.
#include <algorithm>
#include <cmath>

#include "core/analysis/outfalls.hpp"
#include "core/base/text.hpp"
#include "viewer/panels/chart_internal.hpp"
#include "viewer/panels/site_cards_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostListed = 8;

std::string per_cent(double share) {
  if (share > 0 && share < 0.005) return "< 1 %";
  if (share < 1 && share > 0.995) return "> 99 %";
  return core::format_fixed(share * 100, 0) + " %";
}

// Each class as wide as its probability; what no draw gave a class is left open.
void probability_bar(const Ui& ui, const core::SampleConfidence& sure) {
  const core::Metric& metric = ui.assessment->metric_info();
  const float em = ui.theme.em, width = ImGui::GetContentRegionAvail().x, height = std::round(em * 1.5F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + width, at.y + height}, im(ui.theme.ink.field), em * 0.2F);
  float x = at.x;
  for (std::size_t k = 0; k < sure.class_probability.size(); ++k) {
    const auto part = static_cast<float>(sure.class_probability[k]) * width;
    if (part <= 0) continue;
    const std::size_t colour = kColourFirstClass + k;
    list.AddRectFilled({x, at.y}, {x + std::max(part - 1, 1.0F), at.y + height}, im(ui.colours.fill[colour]));
    const std::string rank = std::to_string(k + 1);
    const float size = ui.theme.signs->FontSize;
    const ImVec2 extent = ui.theme.signs->CalcTextSizeA(size, 1e6F, 0, rank.c_str());
    if (extent.x + 4 < part)
      list.AddText(ui.theme.signs, size,
                   {std::round(x + (part - extent.x) / 2), std::round(at.y + (height - extent.y) / 2)},
                   im(ui.colours.ink[colour]), rank.c_str());
    x += part;
  }
  ImGui::Dummy({width, height});
  std::string words;
  for (std::size_t k = 0; k < sure.class_probability.size(); ++k)
    if (sure.class_probability[k] > 0)
      words += (words.empty() ? "" : ", ") + std::string(core::class_name(metric, static_cast<int>(k + 1))) +
               " " + per_cent(sure.class_probability[k]);
  small_muted(ui.theme, words);
}

void add_photo_button(const Ui& ui, std::string_view site_key) {
  if (push_button(ui.theme, "Add a photo \u2026", {ImGui::GetContentRegionAvail().x, 0}))
    ui.push(OpenDialog{DialogKind::kPhoto, {}, std::string(site_key)});
  gap(ui.theme, 0.4F);
}

// A photo as large as fits, or a sentence where there is none to show; true when it is tapped.
bool photo_button(const Ui& ui, const char* id, const std::string& file, ImVec2 most) {
  const Answers::ShownPhoto* shown = ui.model.answers().photo(file);
  if (shown == nullptr) {
    ui.shown.moving = true;
    ImGui::Dummy({most.x, most.y * 0.7F});
    return false;
  }
  if (!shown->trouble.empty()) {
    notice(ui.theme, "No photo: " + shown->trouble + ".");
    return false;
  }
  const float scale = std::min(most.x / static_cast<float>(shown->photo.width),
                               most.y / static_cast<float>(shown->photo.height));
  const ImVec2 size{std::max(std::round(static_cast<float>(shown->photo.width) * scale), 1.0F),
                    std::max(std::round(static_cast<float>(shown->photo.height) * scale), 1.0F)};
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const bool tapped = ImGui::InvisibleButton(id, size);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const std::uintptr_t texture =
      ui.paint.painter
          ? ui.paint.painter->photo_texture(ui.model.answers().photo_version(), shown->photo.width,
                                            shown->photo.height, shown->photo.rgba)
          : 0;
  if (texture != 0)
    list.AddImage(reinterpret_cast<ImTextureID>(texture), corner, {corner.x + size.x, corner.y + size.y});
  else
    list.AddRect(corner, {corner.x + size.x, corner.y + size.y}, im(ui.theme.ink.edge));
  return tapped;
}

// One photo of the site; a tap shows the next.
void photos_of(const Ui& ui, core::SiteIndex site) {
  std::vector<const core::Photo*> photos;
  const std::string_view key = ui.snapshot().sites.key[site.value()];
  for (const core::Photo& p : ui.snapshot().photos)
    if (p.site_key == key) photos.push_back(&p);
  if (photos.empty()) {
    add_photo_button(ui, key);
    return;
  }
  ImGuiStorage& storage = *ImGui::GetStateStorage();
  const ImGuiID chosen = ImGui::GetID("photo shown");
  const auto at = static_cast<std::size_t>(std::max(storage.GetInt(chosen, 0), 0)) % photos.size();
  if (photo_button(ui, "photo", photos[at]->file, {ImGui::GetContentRegionAvail().x, ui.theme.em * 16}))
    storage.SetInt(chosen, static_cast<int>((at + 1) % photos.size()));
  std::string words = photos[at]->caption;
  for (std::size_t v = 0; v < ui.snapshot().visits.size() && !photos[at]->visit_key.empty(); ++v)
    if (ui.snapshot().visits.key[v] == photos[at]->visit_key)
      words += (words.empty() ? "" : ", ") + date_in_words(ui.snapshot().visits.start[v].date);
  if (photos.size() > 1)
    words += (words.empty() ? "" : " ") + ("(" + std::to_string(at + 1)) + " of " +
             std::to_string(photos.size()) + "; tap for the next)";
  if (!words.empty()) small_muted(ui.theme, words);
  add_photo_button(ui, key);
}

void neighbours(const Ui& ui, core::SiteIndex site) {
  heading(ui.theme, "Next sites along the channel");
  const Neighbours& found = ui.model.answers().neighbours(site);
  if (!found.worked_out) {
    muted("They are being worked out.");
    ui.shown.moving = true;
    return;
  }
  if (!found.on_channel) {
    muted("This site is on no channel: nothing is up or down stream of it.");
    return;
  }
  ImGui::PushID("up");
  for (std::size_t k = 0; k < std::min(found.up.size(), kMostListed); ++k)
    draw_site_line(ui, found.up[k].site, "\u2191", found.up[k].distance_m);
  ImGui::PopID();
  if (found.up.size() > kMostListed)
    small_muted(ui.theme, "and " + std::to_string(found.up.size() - kMostListed) + " more upstream");
  ImGui::PushID("down");
  for (const NeighbourSite& n : found.down) draw_site_line(ui, n.site, "\u2193", n.distance_m);
  ImGui::PopID();
  if (found.up.empty()) small_muted(ui.theme, "None upstream.");
  if (found.down.empty()) small_muted(ui.theme, "None downstream.");
}

void outfalls_around(const Ui& ui, core::SiteIndex site) {
  heading(ui.theme, "Outfalls upstream");
  const core::Upstream& up = ui.model.answers().upstream(site);
  if (!up.here) {
    muted(as_sentence(up.note));
  } else if (up.outfalls.empty()) {
    muted("No outfall lies upstream.");
  }
  for (std::size_t k = 0; k < std::min(up.outfalls.size(), kMostListed); ++k) {
    const core::Outfall& o = ui.snapshot().outfalls[up.outfalls[k].outfall.value()];
    const float em = ui.theme.em;
    ImGui::PushID(static_cast<int>(k));
    std::string name = o.code + "  " + core::outfall_kind_name(o.kind);
    if (const std::string use = use_in_words(o, ui.state.date); !use.empty()) name += ", " + use;
    const DrawnRow row =
        words_row(ui.theme, "##outfall", false,
                  {name, distance_in_words(up.outfalls[k].distance_m), {}, nullptr, ui.theme.ink.text},
                  em * 1.7F, ui.theme.row(1.9F));
    if (row.tapped) ui.push(SelectOutfall{up.outfalls[k].outfall});
    draw_mark(*ImGui::GetWindowDrawList(), {row.at.x + em * 0.7F, row.middle}, em * 0.45F,
              outfall_mark(o, ui.state.date, false), ui.colours, ui.theme);
    ImGui::PopID();
  }
  ImGui::BeginDisabled(!core::is_placed(ui.snapshot().sites.position[site.value()]));
  if (push_button(ui.theme, "All distances, up and down", {ImGui::GetContentRegionAvail().x, 0}))
    ui.push(QueryFromSite{site});
  ImGui::EndDisabled();
}

void trend_lines(const Ui& ui, core::SiteIndex site) {
  // Of the samples that the chart shows: all days up to the chosen one, of the chosen seasons.
  const core::SeasonSet seasons = ui.state.time.seasons;
  heading(ui.theme, "Trend of " + core::season_set_words(seasons) +
                        (ui.state.date ? ", up to " + date_in_words(*ui.state.date) : std::string()));
  const core::Date last = ui.state.date.value_or(core::make_date({9999, 12, 31}));
  const auto* rows = ui.model.answers().trend(ui.state.choice, site, {last, {}, seasons});
  if (rows == nullptr) {
    muted("working it out \u2026");
    ui.shown.moving = true;
    return;
  }
  for (const core::TrendRow& row : *rows) {
    std::string words = as_sentence(row.words);
    if (row.test && row.test->slope)
      words += (*row.test->slope < 0 ? " \u2212" : " +") + core::format_fixed(std::abs(*row.test->slope), 2) +
               " a year, " + std::to_string(row.n) + " values.";
    if (!row.way.empty() && rows->size() > 1) words = row.way + ": " + words;
    wrapped(words);
    if (!row.note.empty()) small_muted(ui.theme, as_sentence(row.note));
  }
  if (rows->empty()) muted("No value of this index yet.");
}

}  // namespace

void draw_site_line(const Ui& ui, core::SiteIndex site, const char* sign, double distance_m) {
  const std::size_t i = site.value();
  const float em = ui.theme.em;
  std::string name(ui.snapshot().sites.code[i]);
  if (!ui.snapshot().sites.name[i].empty()) name += "  " + std::string(ui.snapshot().sites.name[i]);
  ImGui::PushID(static_cast<int>(i));
  const DrawnRow row = words_row(
      ui.theme, "##site", false,
      {name, distance_m > 0 ? distance_in_words(distance_m) : "here", {}, nullptr, ui.theme.ink.text},
      em * 2.8F, ui.theme.row(1.9F));
  if (row.tapped) ui.push(SelectSite{site});
  ImDrawList& list = *ImGui::GetWindowDrawList();
  put_words(list, ui.theme.body, {row.at.x, row.middle - em / 2}, 1e6F, ui.theme.ink.muted, sign);
  if (ui.assessment)
    draw_mark(list, {row.at.x + em * 1.9F, row.middle}, em * 0.55F,
              site_mark(ui.assessment->sites[i], ui.assessment->metric_info()), ui.colours, ui.theme);
  ImGui::PopID();
}

std::string first_photo(const Ui& ui, core::SiteIndex site) {
  for (const core::Photo& p : ui.snapshot().photos)
    if (p.site_key == ui.snapshot().sites.key[site.value()]) return p.file;
  return {};
}

void draw_small_photo(const Ui& ui, const std::string& file, float side) {
  // Its room is the same before the file is read, so that nothing below moves under a hand.
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float height = std::round(side * 0.7F);
  const Answers::ShownPhoto* shown = ui.model.answers().photo(file);
  if (shown == nullptr) {
    ui.shown.moving = true;
  } else if (shown->trouble.empty()) {  // what is wrong with it is said in the view with all of them
    if (photo_button(ui, "small photo", file, {side, height})) ui.push(ShowSiteView{SiteView::kAround});
    hint(ui.theme, "The photos of this site");
  }
  ImGui::SetCursorScreenPos(at);
  ImGui::Dummy({side, height});
}

void draw_confidence(const Ui& ui, core::SiteIndex site, core::SampleIndex sample) {
  const core::ConfidenceTable* table = ui.model.answers().sure(ui.state.choice.method, site);
  if (table == nullptr) {
    small_muted(ui.theme, "How sure: working it out \u2026");
    ui.shown.moving = true;
    return;
  }
  const std::size_t first = ui.snapshot().samples_of(site).first.value();
  const core::SampleConfidence& sure = table->metrics[ui.state.choice.metric][sample.value() - first];
  if (!sure.class_probability.empty()) probability_bar(ui, sure);
  if (sure.has_interval) {
    const core::Metric& metric = ui.assessment->metric_info();
    small_muted(ui.theme, core::format_number(std::round(table->options.level * 100)) + " % interval " +
                              value_in_words(metric, sure.low) + " to " + value_in_words(metric, sure.high) +
                              ", from " + core::confidence_basis_name(sure.basis));
  }
  const std::string note = core::confidence_text(sure);
  if (note.empty()) return;
  // The first reason; all of them are a tap away.
  const std::size_t end = note.find("; ");
  const std::string first_note = note.substr(0, end);
  small_muted(ui.theme, sure.class_probability.empty() ? as_sentence("How sure is not said: " + first_note)
                                                       : as_sentence(first_note));
  if (end == std::string::npos) return;
  bool* all = ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("all notes"));
  if (push_button(ui.theme, *all ? "Less about how sure" : "More about how sure")) *all = !*all;
  for (std::size_t at = end; *all && at != std::string::npos;) {
    const std::size_t next = note.find("; ", at + 2);
    small_muted(ui.theme, as_sentence(note.substr(at + 2, next == std::string::npos ? next : next - at - 2)));
    at = next;
  }
}

void draw_site_through_time(const Ui& ui, core::SiteIndex site) {
  if (!ui.assessment) return;
  ImGui::PushID(static_cast<int>(site.value()));  // what is read of a chart is of this site
  const core::SeasonSet seasons = ui.state.time.seasons;
  const core::ConfidenceTable* sure = ui.model.answers().sure(ui.state.choice.method, site);
  if (sure == nullptr) ui.shown.moving = true;
  if (!seasons.all())
    small_muted(ui.theme, "Only " + core::season_set_words(seasons) + ", as chosen below the map.");
  draw_chart(ui, "index", index_chart(ui.model, ui.state.choice, site, seasons, sure), 11);
  trend_lines(ui, site);
  gap(ui.theme, 0.4F);
  draw_chart(ui, "groups", group_chart(ui.model, site, seasons), 9);
  for (const Chart& chart : measured_charts(ui.model, site, seasons))
    draw_chart(ui, chart.title.c_str(), chart, 7);
  ImGui::PopID();
}

void draw_site_around(const Ui& ui, core::SiteIndex site) {
  photos_of(ui, site);
  neighbours(ui, site);
  gap(ui.theme, 0.4F);
  outfalls_around(ui, site);
  gap(ui.theme, 0.4F);
  draw_upstream_card(ui, ui.model.answers().upstream(site));
}

void draw_upstream_card(const Ui& ui, const core::Upstream& up) {
  heading(ui.theme, "All that lies upstream");
  if (!up.here) {
    muted(as_sentence(up.note));
    ui.shown.moving = ui.shown.moving || !ui.model.answers().places_are_known();
    return;
  }
  const std::size_t others =
      up.sites.size() -
      static_cast<std::size_t>(std::count_if(up.sites.begin(), up.sites.end(),
                                             [](const core::UpstreamSite& s) { return s.distance_m <= 0; }));
  wrapped(distance_in_words(up.channel_m) + " of channel \u00B7 " + count_of(others, "site", "sites") +
          " \u00B7 " + count_of(up.outfalls.size(), "outfall", "outfalls") +
          (up.area_m2 ? " \u00B7 " + core::format_fixed(*up.area_m2 / 1e6, 2) + " km\u00B2" : ""));
  if (!up.note.empty()) small_muted(ui.theme, as_sentence(up.note));
}

}  // namespace brookmark::viewer

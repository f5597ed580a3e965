// The poor parts of a survey: sub-catchments and falling stretches, each worst first, and why in one line. The pointer on
// a row, or a tap, brings it out on the map.
#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/panels/chart_internal.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostDrops = 100, kMostCatchments = 200;

// A row of a mark, words in strong and more in small; true when tapped. Its box is the item's.
bool part_row(const Ui& ui, const Mark* mark, const std::string& title, const std::string& side,
              const std::string& below, bool on) {
  const float em = ui.theme.em;
  const DrawnRow row =
      words_row(ui.theme, "##part", on, {title, side, below, ui.theme.strong, ui.theme.ink.muted},
                mark ? em * 1.9F : em * 0.3F, ui.theme.target);
  if (mark)
    draw_mark(*ImGui::GetWindowDrawList(), {row.at.x + em * 0.9F, row.middle}, em * 0.6F, *mark, ui.colours,
              ui.theme);
  return row.tapped;
}

void follow_pointer(const Ui& ui, const Lit& row, bool tapped, Lit& under_pointer) {
  if (ImGui::IsItemHovered()) under_pointer = row;
  if (tapped) ui.push(Light{row, true});
}

Mark class_mark(const core::Metric& metric, const core::CatchmentAssessment& known) {
  core::SiteAssessment as_site;
  if (known.assessed_sites > 0) {
    as_site.sample = as_site.newest_sample = core::SampleIndex(0);
    as_site.has_value = as_site.in_scope = true;
    as_site.class_rank = known.worst_rank;
  }
  return site_mark(as_site, metric);
}

void catchment_row(const Ui& ui, const PoorParts& parts, std::size_t place, Lit& under_pointer) {
  const core::Metric& metric = parts.assessment.metric_info();
  const core::CatchmentIndex c = parts.order[place];
  const core::Catchment& catchment = ui.snapshot().catchments[c.value()];
  const core::CatchmentAssessment& known = parts.assessment.catchments[c.value()];
  const Lit row{c, {}};
  const bool pinned = ui.state.pinned == row;
  ImGui::PushID(static_cast<int>(place));
  const Mark mark = class_mark(metric, known);
  const std::string title = catchment.code + (catchment.name.empty() ? "" : "  " + catchment.name);
  const std::string side =
      std::to_string(known.assessed_sites) + " of " + count_of(known.sites, "site", "sites") + " assessed";
  const bool tapped = part_row(ui, &mark, title, side, as_sentence(parts.why[place]), pinned);
  follow_pointer(ui, row, tapped, under_pointer);
  if (pinned) {
    ImGui::Indent(ui.theme.em * 0.4F);
    if (const Chart* course =
            ui.model.answers().catchment_course(ui.state.choice, c, ui.state.time.seasons)) {
      small_muted(ui.theme,
                  "The mark above is of the worst site; the chart is of the site in the middle of them all.");
      draw_chart(ui, "catchment", *course, 8);
    } else {
      muted("Its course through time: working it out \u2026");
      ui.shown.moving = true;
    }
    ImGui::Unindent(ui.theme.em * 0.4F);
  }
  ImGui::PopID();
}

// The better ones are a line, which a tap opens.
void catchment_rows(const Ui& ui, const PoorParts& parts, Lit& under_pointer) {
  heading(ui.theme, "Sub-catchments, by their worst site");
  if (parts.order.empty()) {
    muted("This survey has no catchments.");
    return;
  }
  const PartsByClass sorted = parts_by_class(parts);
  const auto list = [&](std::span<const std::size_t> places) {
    for (std::size_t k = 0; k < std::min(places.size(), kMostCatchments); ++k)
      catchment_row(ui, parts, places[k], under_pointer);
    if (places.size() > kMostCatchments)
      small_muted(ui.theme,
                  "and " + std::to_string(places.size() - kMostCatchments) + " more, none of them worse");
  };
  if (sorted.poor.empty()) muted(sorted.none_poor);
  list(sorted.poor);
  if (!sorted.better.empty()) {
    bool& open = *ImGui::GetStateStorage()->GetBoolRef(ImGui::GetID("better ones"));
    const std::string line = std::string(open ? "\u25BE  " : "\u25B8  ") + sorted.better_words;
    const float wrap = ImGui::GetContentRegionAvail().x - ui.theme.em * 0.6F;
    const float words = ImGui::CalcTextSize(line.c_str(), nullptr, false, wrap).y;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float height = std::max(ui.theme.row(1.8F), words + ui.theme.em * 0.5F);
    if (ImGui::Selectable("##better", false, 0, {0, height})) open = !open;
    tell_target(sorted.better_words);
    ImGui::GetWindowDrawList()->AddText(ImGui::GetFont(), ImGui::GetFontSize(),
                                        {at.x + ui.theme.em * 0.3F, std::round(at.y + (height - words) / 2)},
                                        im(ui.theme.ink.accent), line.c_str(), nullptr, wrap);
    if (open) list(sorted.better);
  }
  if (sorted.unknown > 0)
    small_muted(ui.theme, count_of(sorted.unknown, "sub-catchment has", "sub-catchments have") +
                              " no site with a class that holds.");
}

void drop_rows(const Ui& ui, Lit& under_pointer) {
  heading(ui.theme, "Where the index falls between neighbours");
  const std::vector<core::Drop>* drops = ui.model.drops(ui.state.choice, ui.state.period());
  if (drops == nullptr && !ui.model.session().channels.edges().empty()) {
    muted("Working it out \u2026");
    ui.shown.moving = true;
    return;
  }
  if (drops == nullptr) {
    muted("This survey has no watercourses, so nothing is up or down stream.");
    return;
  }
  std::size_t shown = 0, falling = 0;
  for (std::size_t k = 0; k < drops->size(); ++k) {
    const core::Drop& drop = (*drops)[k];
    if (!drop.is_worse()) continue;
    ++falling;
    if (shown >= kMostDrops) continue;
    ++shown;
    const Lit row{{}, std::pair(drop.up, drop.down)};
    ImGui::PushID(static_cast<int>(k));
    const core::SiteColumns& sites = ui.snapshot().sites;
    const std::string title =
        std::string(sites.code[drop.up.value()]) + " \u2192 " + std::string(sites.code[drop.down.value()]);
    std::string why = drop_in_words(ui.snapshot(), drop, ui.assessment->metric_info());
    if (!drop.note.empty()) why += "; " + drop.note;
    const bool tapped = part_row(ui, nullptr, title, distance_in_words(drop.stretch.length_m),
                                 as_sentence(why), ui.state.pinned == row);
    follow_pointer(ui, row, tapped, under_pointer);
    ImGui::PopID();
  }
  if (falling == 0) muted("Nowhere between two sites that can be compared.");
  if (falling > shown)
    small_muted(ui.theme, "and " + std::to_string(falling - shown) + " more, none of them a greater fall");
}

// "Good", "Good or Excellent", "Good, High or Excellent".
std::string listed(const std::vector<std::string>& names) {
  std::string words;
  for (std::size_t i = 0; i < names.size(); ++i)
    words += (i == 0 ? "" : i + 1 == names.size() ? " or " : ", ") + names[i];
  return words;
}

}  // namespace

PartsByClass parts_by_class(const PoorParts& parts) {
  const core::Metric& metric = parts.assessment.metric_info();
  int classes = 0;
  for (const core::ClassBand& band : metric.bands) classes = std::max(classes, band.rank);
  const int good = classes / 2;  // of five classes the best two
  PartsByClass sorted;
  for (std::size_t k = 0; k < parts.order.size(); ++k) {
    const core::CatchmentAssessment& known = parts.assessment.catchments[parts.order[k].value()];
    if (known.assessed_sites == 0)
      ++sorted.unknown;
    else if (known.worst_rank > 0 && known.worst_rank <= good)
      sorted.better.push_back(k);
    else
      sorted.poor.push_back(k);
  }
  std::vector<std::string> names;
  for (int rank = good; rank >= 1; --rank)
    if (std::any_of(sorted.better.begin(), sorted.better.end(), [&](std::size_t k) {
          return parts.assessment.catchments[parts.order[k].value()].worst_rank == rank;
        }))
      names.emplace_back(core::class_name(metric, rank));
  const std::size_t n = sorted.better.size();
  sorted.better_words =
      std::to_string(n) + (sorted.poor.empty() ? "" : " more") + (n == 1 ? " is " : " are ") + listed(names);
  sorted.none_poor = sorted.better.empty() ? "No sub-catchment has a site with a class that holds."
                                           : "None has a site in a poorer class than " +
                                                 std::string(core::class_name(metric, good)) + ".";
  return sorted;
}

void draw_parts_page(const Ui& ui) {
  const PoorParts* parts = ui.model.answers().poor_parts(ui.state.choice, ui.state.period());
  if (!ui.assessment) {
    muted("The program has no method to rank by.");
    return;
  }
  if (parts == nullptr) {
    muted("Working it out \u2026");
    ui.shown.moving = true;
    return;
  }
  small_muted(ui.theme, ui.assessment->method->title + ", " + ui.assessment->metric_info().title +
                            (ui.state.date ? ", " + period_in_words(ui.assessment->period) : std::string()) +
                            ". Tap a line to keep it on the map.");
  Lit under_pointer;
  catchment_rows(ui, *parts, under_pointer);
  gap(ui.theme, 0.5F);
  drop_rows(ui, under_pointer);
  if (!(under_pointer == ui.state.lit) && !(under_pointer == Lit{} && ui.state.lit == ui.state.pinned))
    ui.push(Light{under_pointer, false});
}

}  // namespace brookmark::viewer

// The signs of gathered sites: how many they are, their classes as shares of a ring, the worst of them on its rim. On the
// map the painter draws all but the numbers.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "viewer/panels/map_parts_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kCorners =
    28;  // of a round sign: a chord then lies within an eighth of a pixel of the circle at scale 1
constexpr float kWholeTurn = 2 * std::numbers::pi_v<float>, kTop = -std::numbers::pi_v<float> / 2;

std::string count_words(std::size_t count) {
  if (count < 1000) return std::to_string(count);
  if (count < 10000) return std::to_string(count / 1000) + "." + std::to_string(count / 100 % 10) + "k";
  if (count < 1000000) return std::to_string(count / 1000) + "k";
  return std::to_string(count / 1000000) + "M";
}

void arc(ImDrawList& list, ImVec2 middle, float radius, float from, float to, ImU32 colour, float width) {
  const int steps = std::max(2, static_cast<int>(std::ceil((to - from) / kWholeTurn * kCorners)));
  list.PathArcTo(middle, radius, from, to, steps);
  list.PathStroke(colour, 0, width);
}

void write_count(ImDrawList& list, ImVec2 at, const Theme& theme, std::size_t count, float scale) {
  const std::string words = count_words(count);
  const float size =
      theme.strong->FontSize * scale * (words.size() > 2 ? words.size() > 3 ? 0.62F : 0.72F : 0.88F);
  const ImVec2 extent = theme.strong->CalcTextSizeA(size, 1e6F, 0, words.c_str());
  list.AddText(theme.strong, size, {std::round(at.x - extent.x / 2), std::round(at.y - extent.y / 2)},
               im(ink_on(theme.ink.mark_ground)), words.c_str());
}

}  // namespace

void draw_cluster_sign(ImDrawList& list, ImVec2 at, const Theme& theme, const MarkColours& colours,
                       const ClusterLook& look, float scale) {
  const float em = theme.em * scale, outer = static_cast<float>(kSignRadius_ems) * em, width = em * 0.32F;
  list.AddCircleFilled(at, outer + em * 0.12F, im(theme.ink.halo), kCorners);
  list.AddCircleFilled(at, outer, im(theme.ink.mark_ground), kCorners);
  float from = kTop;
  for (const int colour : kRingOrder) {
    const std::uint32_t share = look.share[static_cast<std::size_t>(colour)];
    if (share == 0) continue;
    const float to = from + kWholeTurn * static_cast<float>(share) / static_cast<float>(look.count);
    arc(list, at, outer - width / 2, from, to, im(colours.fill[static_cast<std::size_t>(colour)]), width);
    from = to;
  }
  list.AddCircle(at, outer, im(between(theme.ink.mark_ground, Colour{0, 0, 0}, 0.72)), kCorners, em * 0.06F);
  write_count(list, at, theme, look.count, scale);
  const Mark worst = worst_mark(look);
  if (worst.shape == MarkShape::kHidden) return;
  const float away = outer * kWorstAway;
  draw_mark(list, {std::round(at.x + away), std::round(at.y + away)}, outer * kWorstRadius, worst, colours,
            theme);
}

// The signs themselves are the painter's.
void write_cluster_counts(const Ui& ui, ImDrawList& list) {
  if (!ui.state.layers[Layer::kSites]) return;
  const SiteClusters& clusters = ui.sites.clusters();
  for (const std::uint32_t sign : ui.sites.signs()) {
    const SiteCluster& cluster = clusters.clusters()[sign];
    const Pixel p = ui.state.view.to_pixel(cluster.place);
    write_count(list, {static_cast<float>(p.x), static_cast<float>(p.y)}, ui.theme, cluster.size(), 1);
  }
}

void show_cluster_hover(const Ui& ui, std::uint32_t sign) {
  const ClusterLook& look = ui.sites.look(sign, ui.all_site_marks, ui.marks_version);
  ImGui::BeginTooltip();
  heading(ui.theme, count_of(look.count, "site", "sites") + " close together");
  if (ui.assessment)
    for (const core::ClassBand& band : ui.assessment->metric_info().bands) {
      const std::size_t colour = kColourFirstClass + static_cast<std::size_t>(band.rank) - 1;
      if (colour < kMarkColourCount && look.share[colour] > 0)
        text(std::to_string(band.rank) + " " + band.name + ": " + std::to_string(look.share[colour]));
    }
  if (look.share[kColourUnclassed] > 0)
    text("without a class: " + std::to_string(look.share[kColourUnclassed]));
  ImGui::EndTooltip();
}

}  // namespace brookmark::viewer

#include <algorithm>
#include <cmath>
#include <string>

#include "core/analysis/drops.hpp"

namespace brookmark::core {

std::optional<FallConfidence> fall_confidence(std::span<const double> up, std::span<const double> down,
                                              bool higher_is_better, double level) {
  std::vector<double> falls;
  for (std::size_t i = 0; i < std::min(up.size(), down.size()); ++i) {
    const double fall = higher_is_better ? up[i] - down[i] : down[i] - up[i];
    if (std::isfinite(fall)) falls.push_back(fall);
  }
  if (falls.empty()) return std::nullopt;
  std::sort(falls.begin(), falls.end());
  // Between the two nearest draws, in proportion (Hyndman & Fan 1996, Am. Stat. 50:361-365, definition 7; memory).
  const auto quantile = [&](double share) {
    const double at = share * static_cast<double>(falls.size() - 1);
    const auto low = static_cast<std::size_t>(at);
    const std::size_t high = std::min(low + 1, falls.size() - 1);
    return falls[low] + (at - static_cast<double>(low)) * (falls[high] - falls[low]);
  };
  const auto worse = falls.end() - std::upper_bound(falls.begin(), falls.end(), 0.0);
  return FallConfidence{quantile((1 - level) / 2), quantile((1 + level) / 2),
                        static_cast<double>(worse) / static_cast<double>(falls.size())};
}

void add_confidence(std::span<Drop> drops, const Snapshot& snapshot, const Method& method, std::size_t metric,
                    const ConfidenceOptions& options) {
  for (Drop& drop : drops) {
    const SamplePair* pair = drop.newest();
    if (pair == nullptr || !pair->fall) continue;
    const std::vector<double> up = draw_values(snapshot, method, metric, pair->up, options);
    const std::vector<double> down = draw_values(snapshot, method, metric, pair->down, options);
    drop.confidence = fall_confidence(up, down, method.metrics[metric].higher_is_better, options.level);
    if (drop.confidence) continue;
    const SampleIndex missing = up.empty() ? pair->up : pair->down;
    const std::string why =
        confidence_text(confidence_of(snapshot, method, std::span(&missing, 1), options).metrics[metric][0]);
    drop.note += std::string(drop.note.empty() ? "" : "; ") + "no probability: the sample at " +
                 std::string(snapshot.sites.code[(up.empty() ? drop.up : drop.down).value()]) +
                 " cannot be drawn" + (why.empty() ? "" : " (" + why + ")");
  }
}

}  // namespace brookmark::core

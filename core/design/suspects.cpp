#include "core/design/suspects.hpp"

#include <algorithm>

namespace brookmark::core {
namespace {

constexpr double kSameM = 1e-6;

SuspectCut cut_at(const SuspectStretch& stretch, const SuspectState& state, double at_m) {
  SuspectCut cut;
  cut.spot_m = at_m;
  cut.if_bad = {state.from_m, at_m, {}};
  cut.if_good = {at_m, state.to_m, {}};
  for (const std::size_t i : state.items)
    (stretch.items[i].at_m < at_m ? cut.if_bad : cut.if_good).items.push_back(i);
  return cut;
}

SuspectCut cut_at_mouth(const SuspectStretch& stretch, const SuspectState& state, std::size_t item) {
  SuspectCut cut;
  cut.spot_m = stretch.items[item].at_m;
  cut.mouth = item;
  cut.if_bad = {cut.spot_m, cut.spot_m, {item}};
  cut.if_good = state;
  std::erase(cut.if_good.items, item);
  return cut;
}

}  // namespace

SuspectState everything(const SuspectStretch& stretch) {
  SuspectState state{0, stretch.length_m, {}};
  for (std::size_t i = 0; i < stretch.items.size(); ++i) state.items.push_back(i);
  return state;
}

double weight_of(const SuspectStretch& stretch, const SuspectState& state) {
  double sum = state.to_m - state.from_m;
  for (const std::size_t i : state.items) sum += stretch.items[i].weight_m;
  return sum;
}

bool is_single(const SuspectStretch& stretch, const SuspectState& state) {
  return state.items.size() <= 1 && state.to_m - state.from_m <= stretch.fine_m;
}

std::optional<SuspectCut> best_cut(const SuspectStretch& stretch, const SuspectState& state) {
  std::optional<SuspectCut> best;
  const double whole_m = weight_of(stretch, state);
  const auto offer = [&](SuspectCut cut) {
    const double bad_m = weight_of(stretch, cut.if_bad), good_m = weight_of(stretch, cut.if_good);
    cut.larger_m = std::max(bad_m, good_m);
    if (cut.larger_m > whole_m - kSameM || (best && cut.larger_m > best->larger_m - kSameM)) return;
    best = std::move(cut);
  };
  const auto first = std::upper_bound(stretch.spots_m.begin(), stretch.spots_m.end(), state.from_m);
  for (auto spot = first; spot != stretch.spots_m.end() && *spot < state.to_m; ++spot)
    offer(cut_at(stretch, state, *spot));
  for (const std::size_t i : state.items)
    if (stretch.items[i].has_mouth) offer(cut_at_mouth(stretch, state, i));
  return best;
}

std::size_t visits_at_worst(const SuspectStretch& stretch, const SuspectState& state) {
  if (is_single(stretch, state)) return 0;
  const auto cut = best_cut(stretch, state);
  if (!cut) return 0;
  return 1 + std::max(visits_at_worst(stretch, cut->if_bad), visits_at_worst(stretch, cut->if_good));
}

}  // namespace brookmark::core

#include "core/sharing/drawn_fates_internal.hpp"

#include <algorithm>
#include <utility>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

// Cuts the piece [from, to] of a straight line (shares of its length) down to where low <= start + share * by <= high.
bool cut(double start, double by, double low, double high, double& from, double& to) {
  if (by == 0) return start >= low && start <= high;
  const double at_low = (low - start) / by, at_high = (high - start) / by;
  from = std::max(from, std::min(at_low, at_high));
  to = std::min(to, std::max(at_low, at_high));
  return from <= to;
}

bool edge_meets(LonLat a, LonLat b, const BoundingBox& box) {
  double from = 0, to = 1;
  return cut(a.lon, b.lon - a.lon, box.min_lon, box.max_lon, from, to) &&
         cut(a.lat, b.lat - a.lat, box.min_lat, box.max_lat, from, to);
}

class DrawnJudge {
 public:
  DrawnJudge(const Snapshot& snapshot, Fates& fates) : snapshot_(snapshot), fates_(fates) {}

  void waters() {
    for (std::size_t w = 0; w < snapshot_.waters.size(); ++w) {
      const Water& water = snapshot_.waters[w];
      std::string why;
      if (const auto named = fates_.hidden_sites.find(water.name))
        why = "it is named after site " + std::string(snapshot_.sites.code[named->number]);
      for (std::size_t i = 0; i < snapshot_.sites.size() && why.empty(); ++i)
        if (tells_of(water, i)) why = "it would lead to site " + std::string(snapshot_.sites.code[i]);
      if (why.empty()) continue;
      fates_.waters[w] = false;
      fates_.told.push_back({"waters", water.name.empty() ? water.key : water.name, "left out", why});
    }
  }

  void catchments() {
    for (std::size_t i = 0; i < snapshot_.sites.size(); ++i) {
      if (!hidden(i)) continue;
      const auto is_named = [&](const Catchment& catchment) {
        for (const std::string_view text :
             {std::string_view(catchment.code), std::string_view(catchment.name)})
          for (std::optional<PhraseList::Found> found = fates_.hidden_sites.find(text); found;
               found = fates_.hidden_sites.find(text, found->end))
            if (found->number == i) return true;
        return false;
      };
      if (std::none_of(snapshot_.catchments.begin(), snapshot_.catchments.end(), is_named)) continue;
      const std::optional<BlurCell>& cell = fates_.sites[i].cell;
      const std::string code(snapshot_.sites.code[i]);
      for (std::size_t c = 0; c < snapshot_.catchments.size(); ++c) {
        const Catchment& catchment = snapshot_.catchments[c];
        const bool named = is_named(catchment);
        if (!fates_.catchments[c] || !(named || (cell && shape_meets(catchment.shape, cell->box)))) continue;
        fates_.catchments[c] = false;
        fates_.told.push_back({"catchments", catchment.code, "left out",
                               named ? "it is named after site " + code
                                     : "it reaches into the grid cell of site " + code +
                                           ", after which a catchment is named: their outlines together "
                                           "would lead there"});
      }
    }
  }

 private:
  bool hidden(std::size_t site) const { return fates_.sites[site].sharing != Sharing::kOpen; }

  bool holds_an_open_site(const Water& water) const {
    for (std::size_t i = 0; i < snapshot_.sites.size(); ++i)
      if (!hidden(i) && is_placed(snapshot_.sites.position[i]) &&
          contains(water.shape, snapshot_.sites.position[i]))
        return true;
    return false;
  }

  // By the cell only, never by the place within it: else what is left out would tell more than the cell.
  bool tells_of(const Water& water, std::size_t site) const {
    if (!hidden(site)) return false;
    const SiteFate& fate = fates_.sites[site];
    const Flow of_site = flow_of(snapshot_.sites.kind[site]), of_water = flow_of(water.kind);
    const bool other_water =
        of_site != of_water && of_site != Flow::kUncertain && of_water != Flow::kUncertain;
    const bool same_name = !water.name.empty() && of_site != Flow::kRunning &&
                           fold_name(water.name) == fold_name(snapshot_.sites.water[site]);
    if (same_name && !other_water) return true;
    if (!fate.cell || other_water || !shape_meets(water.shape, fate.cell->box)) return false;
    // A river goes on far beyond a cell: where an open site shows it anyway, it does not point at a blurred one.
    const bool river = of_site == Flow::kRunning && of_water == Flow::kRunning;
    return !(river && fate.sharing == Sharing::kBlurred && holds_an_open_site(water));
  }

  const Snapshot& snapshot_;
  Fates& fates_;
};

}  // namespace

bool shape_meets(const MultiPolygon& shape, const BoundingBox& box) {
  const auto bounds = bounds_of(shape);
  if (!bounds || !overlap(*bounds, box)) return false;
  for (const Polygon& polygon : shape)
    for (const Line& ring : polygon.rings)
      for (std::size_t i = 1; i < ring.size(); ++i)
        if (edge_meets(ring[i - 1], ring[i], box)) return true;
  // No border passes through the box: all of it lies inside, or all of it outside.
  return contains(shape, {(box.min_lon + box.max_lon) / 2, (box.min_lat + box.max_lat) / 2});
}

void judge_drawn(const Snapshot& snapshot, Fates& fates) {
  DrawnJudge judge(snapshot, fates);
  judge.waters();
  judge.catchments();
}

}  // namespace brookmark::core

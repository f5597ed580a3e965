#include "viewer/actions/find.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "core/base/text.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kNoMatch = 99;

// 0 is best.
int rank_of(std::string_view code, std::string_view words, std::string_view wanted) {
  if (!code.empty() && code == wanted) return 0;
  if (words == wanted) return 1;
  if (!code.empty() && code.starts_with(wanted)) return 2;
  if (words.starts_with(wanted)) return 3;
  for (std::size_t at = words.find(wanted); at != std::string_view::npos; at = words.find(wanted, at + 1))
    if (at == 0 || words[at - 1] == ' ') return 4;
  if (code.find(wanted) != std::string_view::npos || words.find(wanted) != std::string_view::npos) return 5;
  return kNoMatch;
}

// Several words need not stand side by side: then each is looked for, and the worst counts.
int rank_of_all(std::string_view code, std::string_view words, std::string_view wanted) {
  const int whole = rank_of(code, words, wanted);
  if (whole < kNoMatch || wanted.find(' ') == std::string_view::npos) return whole;
  int worst = 6;
  for (const std::string& word : core::split(wanted, ' '))
    if (!word.empty()) worst = std::max(worst, rank_of(code, words, word));
  return worst;
}

// A water that is one point is shown with its surroundings.
PlaneBox widened(PlaneBox box) {
  constexpr double kLeast_m = 200;
  const double x = std::max(0.0, kLeast_m - (box.max_x - box.min_x)) / 2,
               y = std::max(0.0, kLeast_m - (box.max_y - box.min_y)) / 2;
  return {box.min_x - x, box.min_y - y, box.max_x + x, box.max_y + y};
}

std::string with_name(const std::string& code, std::string_view name) {
  return name.empty() ? code : code + "  " + std::string(name);
}

}  // namespace

FindIndex::FindIndex(const Model& model, std::vector<FindCommand> commands)
    : model_(&model), commands_(std::move(commands)) {
  const core::Snapshot& s = model.snapshot();
  const auto add = [&](FindHit::Kind kind, std::size_t index, std::string_view code, std::string_view words) {
    entries_.push_back(
        {kind, static_cast<std::uint32_t>(index), core::fold_name(code), core::fold_name(words)});
  };
  entries_.reserve(commands_.size() + s.sites.size() + s.outfalls.size() + s.taxa.size());
  for (std::size_t i = 0; i < commands_.size(); ++i)
    add(FindHit::Kind::kCommand, i, "", commands_[i].title + " " + commands_[i].below);
  for (std::size_t i = 0; i < s.sites.size(); ++i)
    add(FindHit::Kind::kSite, i, s.sites.code[i],
        std::string(s.sites.name[i]) + " " + std::string(s.sites.water[i]));
  for (std::size_t i = 0; i < s.outfalls.size(); ++i)
    add(FindHit::Kind::kOutfall, i, s.outfalls[i].code, s.outfalls[i].name);
  take_waters(model);
  for (std::size_t i = 0; i < waters_.size(); ++i) add(FindHit::Kind::kWater, i, "", waters_[i].name);
  for (std::size_t i = 0; i < s.taxa.size(); ++i) add(FindHit::Kind::kTaxon, i, "", s.taxa.name[i]);
  finds_.assign(s.taxa.size(), 0);
  for (std::size_t r = 0; r < s.records.size(); ++r)
    if (s.records.count_max[r] > 0) ++finds_[s.records.taxon[r].value()];
}

void FindIndex::take_waters(const Model& model) {
  const core::Snapshot& s = model.snapshot();
  std::map<std::string, std::size_t> known;  // folded name -> place in waters_
  const auto of = [&](std::string_view name) -> WaterPlace* {
    const std::string folded = core::fold_name(name);
    if (folded.empty()) return nullptr;
    const auto [at, fresh] = known.try_emplace(folded, waters_.size());
    if (fresh) waters_.push_back({std::string(name), {1, 1, 0, 0}});  // nothing: its sides are crossed
    return &waters_[at->second];
  };
  const auto widen = [&](WaterPlace& water, core::LonLat at) {
    if (!core::is_placed(at)) return;
    const core::PlanePoint p = model.frame().to_plane(at);
    water.box = water.box.min_x > water.box.max_x
                    ? PlaneBox{p.x, p.y, p.x, p.y}
                    : PlaneBox{std::min(water.box.min_x, p.x), std::min(water.box.min_y, p.y),
                               std::max(water.box.max_x, p.x), std::max(water.box.max_y, p.y)};
  };
  for (std::size_t i = 0; i < s.sites.size(); ++i)
    if (WaterPlace* water = of(s.sites.water[i])) {
      widen(*water, s.sites.position[i]);
      ++water->sites;
    }
  for (const core::Reach& reach : s.reaches)
    if (WaterPlace* water = of(reach.name)) {
      for (const core::LonLat at : reach.line) widen(*water, at);
      ++water->reaches;
    }
  for (const core::Water& shape : s.waters)
    if (WaterPlace* water = of(shape.name)) {
      if (const auto box = core::bounds_of(shape.shape)) {
        widen(*water, {box->min_lon, box->min_lat});
        widen(*water, {box->max_lon, box->max_lat});
      }
      ++water->shapes;
    }
}

// Behind what bears the name itself: what a common name or a misspelling may mean, of the animals of this survey.
void FindIndex::propose(std::string_view text, std::vector<FindHit>& hits, std::size_t most) const {
  if (core::fold_name(text).size() < 3) return;
  const core::Snapshot& s = model_->snapshot();
  const auto add = [&](const std::string& name, const std::string& why) {
    for (std::size_t t = 0; t < s.taxa.size() && hits.size() < most; ++t) {
      if (s.taxa.name[t] != name) continue;
      const Entry entry{FindHit::Kind::kTaxon, static_cast<std::uint32_t>(t), "", ""};
      FindHit hit = hit_of(entry);
      const auto same = [&](const FindHit& other) {
        return other.kind == hit.kind && other.title == hit.title;
      };
      if (std::any_of(hits.begin(), hits.end(), same)) return;
      hit.below += why;
      hits.push_back(std::move(hit));
      return;
    }
  };
  const core::Checklist& names = model_->names();
  const core::NameResult exact = names.match(text);
  const std::string written(core::trim(text));
  if (exact.match != core::NameMatch::kNone)
    add(exact.lineage.front().name, ", also called \u201C" + written + "\u201D");
  for (const core::NameProposal& p : names.propose(text, 5))
    add(p.name, "; for \u201C" + written + "\u201D?");
}

FindHit FindIndex::hit_of(const Entry& entry) const {
  const core::Snapshot& s = model_->snapshot();
  const std::size_t i = entry.index;
  switch (entry.kind) {
    case FindHit::Kind::kSite: {
      std::string below = "site";
      if (!s.sites.water[i].empty()) below += " on " + std::string(s.sites.water[i]);
      if (!core::is_placed(s.sites.position[i])) below += ", without a position";
      return {entry.kind,
              with_name(std::string(s.sites.code[i]), s.sites.name[i]),
              below,
              {SelectSite{core::SiteIndex(i)}}};
    }
    case FindHit::Kind::kOutfall:
      return {entry.kind,
              with_name(s.outfalls[i].code, s.outfalls[i].name),
              std::string("outfall: ") + core::outfall_kind_name(s.outfalls[i].kind),
              {SelectOutfall{core::OutfallIndex(i)}}};
    case FindHit::Kind::kTaxon: {
      Finding places;
      places.open = true;
      places.text = std::string(s.taxa.name[i]);
      places.taxon = core::TaxonIndex(i);
      return {entry.kind,
              std::string(s.taxa.name[i]),
              finds_[i] == 0
                  ? "animal, not found under this name itself"
                  : "animal, in " + std::to_string(finds_[i]) + (finds_[i] == 1 ? " record" : " records"),
              {ChangeFind{places}}};
    }
    case FindHit::Kind::kWater: {
      const WaterPlace& water = waters_[i];
      std::string below = "water";
      const auto say = [&](std::size_t n, const char* one, const char* many) {
        if (n > 0) below += ", " + std::to_string(n) + " " + (n == 1 ? one : many);
      };
      say(water.sites, "site", "sites");
      say(water.reaches, "reach drawn", "reaches drawn");
      say(water.shapes, "shape drawn", "shapes drawn");
      if (!(water.box.min_x <= water.box.max_x))
        return {entry.kind, water.name, below + ", without a place", {}};
      return {entry.kind, water.name, below, {ShowPanel{false}, ShowArea{widened(water.box)}}};
    }
    case FindHit::Kind::kPlace:  // in no index
    case FindHit::Kind::kCommand:
      break;
  }
  return {entry.kind, commands_[i].title, commands_[i].below, commands_[i].actions};
}

std::vector<FindHit> FindIndex::search(std::string_view text, std::size_t most) const {
  std::vector<FindHit> hits;
  const std::string wanted = core::fold_name(text);
  if (wanted.empty()) {
    for (const Entry& entry : entries_)
      if (entry.kind == FindHit::Kind::kCommand && hits.size() < most) hits.push_back(hit_of(entry));
    return hits;
  }
  std::vector<std::pair<int, std::uint32_t>> found;
  for (std::uint32_t i = 0; i < entries_.size(); ++i)
    if (const int rank = rank_of_all(entries_[i].code, entries_[i].words, wanted); rank < kNoMatch)
      found.emplace_back(rank, i);
  const std::size_t kept = std::min(most, found.size());
  std::partial_sort(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(kept), found.end());
  for (std::size_t i = 0; i < kept; ++i) hits.push_back(hit_of(entries_[found[i].second]));
  propose(text, hits, most);
  return hits;
}

std::vector<FindHit> FindIndex::places_of(const Model& model, core::TaxonIndex taxon,
                                          std::size_t most) const {
  const core::Snapshot& s = model.snapshot();
  if (taxon.value() >= s.taxa.size()) return {};
  std::vector<bool> below(s.taxa.size(), false);
  for (std::size_t t = 0; t < s.taxa.size(); ++t) {  // parents stand before their children
    const core::TaxonIndex parent = s.taxa.parent[t];
    below[t] = t == taxon.value() || (parent.has_value() && below[parent.value()]);
  }
  struct Place {
    core::SampleIndex newest;
    std::size_t samples = 0;
  };
  std::map<std::uint32_t, Place> places;  // by site
  core::SampleIndex counted;
  for (std::size_t r = 0; r < s.records.size(); ++r) {
    if (!below[s.records.taxon[r].value()] || s.records.count_max[r] == 0) continue;
    const core::SampleIndex sample = s.records.sample[r];
    if (s.samples.kind[sample.value()] == core::SampleKind::kBlank) continue;
    Place& place = places[static_cast<std::uint32_t>(s.samples.site[sample.value()].value())];
    if (sample != counted) ++place.samples;
    counted = sample;
    place.newest = sample;  // samples of a site stand oldest first
  }
  std::vector<std::pair<core::Date, std::uint32_t>> order;
  for (const auto& [site, place] : places) order.emplace_back(s.samples.date[place.newest.value()], site);
  std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) {
    return a.first != b.first ? a.first > b.first : a.second < b.second;
  });
  std::vector<FindHit> hits;
  for (std::size_t i = 0; i < order.size() && i < most; ++i) {
    const auto& [day, site] = order[i];
    const Place& place = places[site];
    hits.push_back({FindHit::Kind::kSite,
                    with_name(std::string(s.sites.code[site]), s.sites.name[site]),
                    "found in " + std::to_string(place.samples) +
                        (place.samples == 1 ? " sample" : " samples") + ", last on " + date_in_words(day),
                    {SelectSite{core::SiteIndex(site)}}});
  }
  return hits;
}

}  // namespace brookmark::viewer

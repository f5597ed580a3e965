#include "viewer/actions/tally_words.hpp"

#include <algorithm>
#include <vector>

#include "core/base/text.hpp"

namespace brookmark::viewer {

bool has_a_line(const core::Method& method, std::span<const core::Taxon> lineage) {
  if (method.units.empty()) return true;
  std::vector<std::string_view> passed;  // names below the one looked at, and itself
  const auto among = [](const std::vector<std::string>& names, std::string_view name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (const core::Taxon& taxon : lineage) {
    if (!taxon.listed) continue;  // a surveyor's own name never scores by itself
    passed.push_back(taxon.name);
    for (const core::ScoreUnit& unit : method.units)
      if (among(unit.members, taxon.name) &&
          std::none_of(passed.begin(), passed.end(),
                       [&](std::string_view name) { return among(unit.except, name); }))
        return true;
  }
  return false;
}

std::string read_as(std::span<const core::Taxon> lineage, std::string_view verbatim,
                    const core::Method* method) {
  if (lineage.empty()) return {};
  const core::Taxon& taxon = lineage.front();
  std::string words;
  if (!taxon.listed)
    words = "not in the checklist";
  else if (core::fold_name(taxon.name) != core::fold_name(verbatim))
    words =
        "= " + taxon.name +
        (taxon.rank == core::Rank::kInformal ? "" : std::string(" (") + core::rank_name(taxon.rank) + ")");
  const bool idle = method && !has_a_line(*method, lineage);
  // Of a name as it is, the rank is worth a word only where it is coarse, or the reason why nothing comes of it.
  if (words.empty() && taxon.rank != core::Rank::kInformal && (idle || taxon.rank > core::Rank::kFamily))
    words = core::rank_name(taxon.rank);
  if (idle) words += words.empty() ? "will not score" : ": will not score";
  return words;
}

}  // namespace brookmark::viewer

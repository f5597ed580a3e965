#include "core/taxa/survey_names.hpp"

namespace brookmark::core {

std::vector<NameUse> names_in_use(const Snapshot& snapshot) {
  std::vector<std::size_t> records(snapshot.taxa.size(), 0);
  for (const TaxonIndex taxon : snapshot.records.taxon) ++records[taxon.value()];
  std::vector<NameUse> uses;
  for (std::size_t t = 0; t < records.size(); ++t)
    if (records[t] > 0) uses.push_back({std::string(snapshot.taxa.name[t]), records[t]});
  return uses;
}

}  // namespace brookmark::core

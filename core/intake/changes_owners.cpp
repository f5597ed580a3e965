// What a row belongs to, and the codes that stand once in a layer.
#include "core/intake/changes_comparison_internal.hpp"

namespace brookmark::core {

bool Comparison::has_codes(const std::string& layer) {
  return layer == "sites" || layer == "outfalls" || layer == "samples" || layer == "catchments";
}

std::string Comparison::owner_complaint(const AnyRow& row, std::string& ask) const {
  for (const auto& [column, layer] :
       {std::pair{"site_uuid", "sites"}, {"visit_uuid", "visits"}, {"sample_uuid", "samples"}}) {
    const std::string owner = cell_of(row, column);
    if (owner.empty()) {
      if (std::holds_alternative<Visit>(row) && std::string_view(layer) == "sites")
        return "it needs the UUID of its site";
      if (std::holds_alternative<Sample>(row) && std::string_view(layer) == "visits")
        return "it needs the UUID of its visit";
      if (std::holds_alternative<Record>(row) && std::string_view(layer) == "samples")
        return "it needs the UUID of its sample";
      if (std::holds_alternative<Measurement>(row) && std::string_view(layer) == "visits")
        return "it needs the UUID of its visit";
      continue;
    }
    const auto has = [&](const auto& keys) {
      const auto found = keys.find(layer);
      return found != keys.end() && found->second.contains(owner);
    };
    if (has(here_)) continue;
    if (!has(perhaps_))
      return "it belongs to a " + word_of_layer(layer) + " that is not in this survey (" + column + " " +
             owner + ")";
    ask = "it belongs to a " + word_of_layer(layer) + " that has to be taken too";
  }
  return {};
}

std::string Comparison::code_complaint(const std::string& layer, const std::string& key,
                                       const std::string& code) const {
  if (!has_codes(layer)) return {};
  const auto found = codes_.find(code);
  if (found == codes_.end() || found->second == key) return {};
  return "conflict: another " + word_of_layer(layer) + " here already has the code \"" + code +
         "\"; give one of the two another code, here or in their file";
}

}  // namespace brookmark::core

// Why: a name on a field sheet carries more than the name: articles, doubts, life stages, authorities. This
// takes them off by fixed rules and keeps what was taken off.
// Use: WrittenName n = read_written_name("Baetis cf. rhodani (larvae)");  // "Baetis rhodani", "cf.", larva
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/survey/types.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

struct WrittenName {
  // Without articles, qualifiers and life stages; empty when nothing else was written.
  std::vector<std::string> words;
  std::string qualifier;  // open nomenclature and doubt as written, in their order
  NameDoubt doubt = NameDoubt::kNone;
  std::size_t doubted_word =
      0;  // of `words`: the first that a doubt stands before, or a question mark behind
  NameExtent extent = NameExtent::kAsNamed;
  std::string species_tag;  // "A" of "Baetis sp. A", "2" of "Baetis sp. 2"
  LifeStage stage = LifeStage::kUnknown;
  bool several_stages = false;  // "larvae and adults"; `stage` is then unknown
};
WrittenName read_written_name(std::string_view verbatim);

// Words before what has the shape of an authority with its year: "Baetis Leach, 1815" gives "Baetis". For
// proposals; whether an authority may be dropped for good, the checklist decides.
std::vector<std::string> without_authority(const std::vector<std::string>& words);

std::string join_words(const std::vector<std::string>& words);

// The form under which common names are compared, from a folded name: last word in the singular, no hyphens,
// apostrophes and spaces. "black flies" and "Blackfly" both give "blackfly".
std::string common_form(std::string_view folded);

}  // namespace brookmark::core

// Why: a name on a field sheet carries more than the name: articles, doubts, life stages, authorities. This
// takes them off by fixed rules and keeps what was taken off. Use: WrittenName n = read_written_name("Baetis
// cf. rhodani (larvae)");  // Baetis rhodani; "cf. (larvae)"
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace brookmark::core {

struct WrittenName {
  std::vector<std::string> words;  // without articles and qualifiers; empty when nothing else was written
  std::string qualifier;           // those words as written, in their order
  std::string species_tag;         // "A" of "Baetis sp. A", "2" of "Baetis sp. 2"
};
WrittenName read_written_name(std::string_view verbatim);

// Words before an authority that ends in a year: "Baetis (Leach, 1815)" and "Baetis Leach, 1815" give
// "Baetis".
std::vector<std::string> without_authority(const std::vector<std::string>& words);

std::string join_words(const std::vector<std::string>& words);

// The form under which common names are compared, from a folded name: last word in the singular, no hyphens,
// apostrophes and spaces. "black flies" and "Blackfly" both give "blackfly".
std::string common_form(std::string_view folded);

}  // namespace brookmark::core

// Why: "Baetis (Leach, 1815)" is Baetis, but "Caenis Hydropsyche 2019" and "Mayfly (none seen 2021)" are not what
// stands first. Only what has an authority's shape may be dropped.
// Use: if (is_authority(words, true)) ...   // {"(Leach,", "1815)"}
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace brookmark::core {

// One to three surnames (initials, "de" and "von" aside) between &, et, and, in, ex or commas, in brackets or not,
// then a year from 1758 on, the year of the tenth edition of Systema Naturae, with which zoological names begin
// (International Code of Zoological Nomenclature 1999, article 3.1). `needs_year`: false lets the year be missing.
bool is_authority(std::span<const std::string> words, bool needs_year);

// "Pictet", "(Pictet", "Ödmann": what may begin an authority.
bool starts_authority(std::string_view word);

}  // namespace brookmark::core

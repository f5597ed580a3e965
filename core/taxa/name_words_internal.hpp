// Why: a name cell holds more than names. These are the words that say something else: how sure the name is,
// which life stage, or that the animal was not there at all. All in one place, so that one list holds everywhere.
// Use: if (is_absence_word("missing")) ...   // case, points and brackets do not matter
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/survey/types.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

// Folded, and cut at everything that is no letter or digit: "Baetis(none)" gives baetis and none.
std::vector<std::string> plain_words(std::string_view text);
// Without brackets around it and commas behind it: "(larvae)," is "larvae".
std::string_view bare_word(std::string_view word);

bool is_article(std::string_view word);
// Open nomenclature and doubt: "sp.", "cf.", "?", "maybe", "juv."; none of them says which animal it is.
bool is_qualifier(std::string_view word);
NameDoubt doubt_of_word(std::string_view word);    // kNone for a word that says no doubt
NameExtent extent_of_word(std::string_view word);  // kAsNamed for a word that says nothing of it
// kUnknown for a word that names no life stage.
LifeStage stage_of_word(std::string_view word);
// "none", "not", "missing": the animal was not there.
bool is_negation(std::string_view word);
// A negation, or what an animal leaves behind: "dead", "shells", "exuviae", "eggs".
bool is_absence_word(std::string_view word);
// "animals", "taxa", "was": words around a negation that name no animal.
bool is_filler(std::string_view word);
// Plain words that have the form of a species epithet and are none: "and", "small", "male".
bool is_no_epithet(std::string_view word);

}  // namespace brookmark::core

// Why: a note may say in words what its row may not say in numbers, or name somebody who did not agree. Texts are read word
// by word, whatever their case, accents and punctuation: "SP-1" is also "sp 1" and "SP1".
//
// Read is every text that is handed over: title and description, names, notes, protocols, units, names as written, the
// surveyor's own taxa. A code that tells is replaced by one made from the key; a measurement or an effort whose words tell
// is left out. Not read: names of the checklist, and codes of abundance classes of up to two characters. What a text
// tells in other words nobody can find: whoever hands it over should read it first.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::core {

// Phrases of whole words, found in one pass over a text whatever their number.
class PhraseList {
 public:
  // Nothing is added for a phrase without a word. `number` is given back by find().
  void add(std::string_view phrase, std::size_t number);
  struct Found {
    std::size_t number = 0, begin = 0, end = 0;  // bytes of the text
  };
  // The first phrase in the text from `from` on; of those that begin at one word the longest.
  std::optional<Found> find(std::string_view text, std::size_t from = 0) const;
  bool empty() const { return by_first_word_.empty(); }

 private:
  struct Phrase {
    std::vector<std::string> words;
    std::size_t number;
  };
  std::map<std::string, std::vector<Phrase>, std::less<>> by_first_word_;
};

// The text with every phrase of `names` replaced by "[name left out]".
std::string without_names(std::string_view text, const PhraseList& names);

// "A. Smith, B. Jones & C. Brown" -> its names as written, ends trimmed.
std::vector<std::string> names_in(std::string_view people);

// A word that stands for one site and no more: it has a letter, or three digits.
bool tells_a_site(std::string_view code_or_name);

}  // namespace brookmark::core

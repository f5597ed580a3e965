#include <algorithm>

#include "core/base/text.hpp"
#include "core/sharing/free_text_internal.hpp"

namespace brookmark::core {

namespace {

struct Word {
  std::size_t begin = 0, end = 0;
  std::string folded;
  bool opens = false, closes = false;  // nothing of a word stands before, behind it
};

bool in_word(char c) {
  const auto u = static_cast<unsigned char>(c);
  return (u >= '0' && u <= '9') || (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || u >= 0x80;
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Letters and digits apart, so that "SP1" reads as "SP-1" does.
std::vector<Word> words_of(std::string_view text) {
  std::vector<Word> words;
  for (std::size_t at = 0; at < text.size();) {
    if (!in_word(text[at])) {
      ++at;
      continue;
    }
    std::size_t end = at;
    while (end < text.size() && in_word(text[end]) && is_digit(text[end]) == is_digit(text[at])) ++end;
    words.push_back({at, end, fold_name(text.substr(at, end - at)), at == 0 || !in_word(text[at - 1]),
                     end == text.size() || !in_word(text[end])});
    at = end;
  }
  return words;
}

}  // namespace

void PhraseList::add(std::string_view phrase, std::size_t number) {
  Phrase added{{}, number};
  for (Word& word : words_of(phrase)) added.words.push_back(std::move(word.folded));
  if (added.words.empty()) return;
  std::vector<Phrase>& same_start = by_first_word_[added.words.front()];
  same_start.push_back(std::move(added));
  std::stable_sort(same_start.begin(), same_start.end(),
                   [](const Phrase& a, const Phrase& b) { return a.words.size() > b.words.size(); });
}

std::optional<PhraseList::Found> PhraseList::find(std::string_view text, std::size_t from) const {
  if (by_first_word_.empty() || text.empty()) return std::nullopt;
  const std::vector<Word> words = words_of(text);
  for (std::size_t w = 0; w < words.size(); ++w) {
    if (words[w].begin < from || !words[w].opens) continue;
    const auto start = by_first_word_.find(words[w].folded);
    if (start == by_first_word_.end()) continue;
    for (const Phrase& phrase : start->second) {
      if (w + phrase.words.size() > words.size()) continue;
      bool same = words[w + phrase.words.size() - 1].closes;
      for (std::size_t i = 0; i < phrase.words.size() && same; ++i)
        same = words[w + i].folded == phrase.words[i];
      if (same) return Found{phrase.number, words[w].begin, words[w + phrase.words.size() - 1].end};
    }
  }
  return std::nullopt;
}

std::string without_names(std::string_view text, const PhraseList& names) {
  std::string result;
  std::size_t copied = 0;
  for (auto found = names.find(text); found; found = names.find(text, found->end)) {
    result.append(text.substr(copied, found->begin - copied)).append("[name left out]");
    copied = found->end;
  }
  return result.append(text.substr(copied));
}

std::vector<std::string> names_in(std::string_view people) {
  std::vector<std::string> names;
  std::string name;
  const auto finish = [&] {
    const std::string_view plain = trim(name);
    if (!plain.empty()) names.emplace_back(plain);
    name.clear();
  };
  for (std::size_t at = 0; at < people.size(); ++at) {
    constexpr std::string_view kBetween = ",;&/+|\n";
    if (kBetween.find(people[at]) != std::string_view::npos) {
      finish();
    } else if (to_lower_ascii(people.substr(at, 5)) == " and ") {
      finish();
      at += 3;
    } else {
      name += people[at];
    }
  }
  finish();
  return names;
}

bool tells_a_site(std::string_view code_or_name) {
  std::size_t digits = 0;
  for (const char c : code_or_name) {
    if (c >= '0' && c <= '9')
      ++digits;
    else if (in_word(c))
      return true;
  }
  return digits >= 3;
}

}  // namespace brookmark::core

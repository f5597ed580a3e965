#include <algorithm>
#include <array>
#include <span>
#include <utility>

#include "core/base/text.hpp"
#include "core/taxa/authority_internal.hpp"
#include "core/taxa/name_words_internal.hpp"
#include "core/taxa/written_name_internal.hpp"

namespace brookmark::core {

namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool is_capital(char c) {
  return c >= 'A' && c <= 'Z';
}

// "A", "2", "2b": what follows "sp." when a surveyor numbers unknown species.
bool is_species_tag(std::string_view word) {
  if (word.empty() || word.size() > 3) return false;
  const auto plain = [](char c) { return is_digit(c) || is_capital(c) || (c >= 'a' && c <= 'z'); };
  if (!std::all_of(word.begin(), word.end(), plain)) return false;
  return word.size() == 1 || std::any_of(word.begin(), word.end(), is_digit);
}

// Words between spaces, underscores and no-break spaces; "sp.1" and "cf.rhodani" are two words, "s.l." is
// one, and a question mark at either end of a word is a word.
std::vector<std::string> words_of(std::string_view verbatim) {
  std::vector<std::string> words;
  std::string word;
  const auto finish = [&] {
    if (word.empty()) return;
    std::string_view rest = word;
    if (rest.size() > 1 && rest.front() == '?') {
      words.emplace_back("?");
      rest.remove_prefix(1);
    }
    bool doubt = false;
    for (const std::string_view mark : {"(?)", "[?]", "?"})
      if (rest.size() > mark.size() && rest.ends_with(mark)) {
        doubt = true;
        rest.remove_suffix(mark.size());
        break;
      }
    const std::size_t point = rest.find('.');
    if (!is_qualifier(rest) && point != std::string_view::npos && point + 1 < rest.size() &&
        is_qualifier(rest.substr(0, point))) {
      words.emplace_back(rest.substr(0, point + 1));
      rest.remove_prefix(point + 1);
    }
    words.emplace_back(rest);
    if (doubt) words.emplace_back("?");
    word.clear();
  };
  for (std::size_t i = 0; i < verbatim.size(); ++i) {
    const char c = verbatim[i];
    if (c == ' ' || c == '_' || c == '\t' || c == '\r' || c == '\n' || c == '\f' || c == '\v') {
      finish();
    } else if (verbatim.substr(i, 2) == "\xC2\xA0") {
      finish();
      ++i;
    } else {
      word += c;
    }
  }
  finish();
  return words;
}

// English plurals as field sheets write them. One rule for listed names and names as written, so that both
// meet.
void make_singular(std::string& word) {
  using Ending = std::pair<std::string_view, std::string_view>;
  static constexpr std::array<Ending, 11> kEndings = {{{"ies", "y"},
                                                       {"men", "man"},
                                                       {"lice", "louse"},
                                                       {"ches", "ch"},
                                                       {"shes", "sh"},
                                                       {"xes", "x"},
                                                       {"sses", "ss"},
                                                       {"oes", "o"},
                                                       {"ss", "ss"},
                                                       {"us", "us"},
                                                       {"is", "is"}}};
  for (const auto& [plural, singular] : kEndings)
    if (word.size() > plural.size() && word.ends_with(plural)) {
      word.replace(word.size() - plural.size(), plural.size(), singular);
      return;
    }
  if (word == "lice") word = "louse";
  if (word.size() > 2 && word.back() == 's') word.pop_back();
}

}  // namespace

WrittenName read_written_name(std::string_view verbatim) {
  const std::vector<std::string> words = words_of(verbatim);
  WrittenName name;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (const LifeStage stage = stage_of_word(words[i]); stage != LifeStage::kUnknown) {
      if (name.stage != LifeStage::kUnknown && name.stage != stage) name.several_stages = true;
      name.stage = stage;
      continue;
    }
    if (!is_qualifier(words[i])) {
      const bool article = name.words.empty() && is_article(words[i]);
      if (!article) name.words.push_back(words[i]);
      continue;
    }
    if (!name.qualifier.empty()) name.qualifier += ' ';
    name.qualifier += words[i];
    if (const NameExtent extent = extent_of_word(words[i]); extent != NameExtent::kAsNamed)
      name.extent = extent;
    if (const NameDoubt doubt = doubt_of_word(words[i]); doubt != NameDoubt::kNone) {
      const std::size_t of =
          fold_name(words[i]) == "?" && !name.words.empty() ? name.words.size() - 1 : name.words.size();
      name.doubted_word = name.doubt == NameDoubt::kNone ? of : std::min(name.doubted_word, of);
      name.doubt = std::max(name.doubt, doubt);
    }
    const bool numbered = fold_name(words[i]) == "sp" && !name.words.empty() && i + 2 == words.size();
    if (numbered && is_species_tag(words[i + 1])) name.species_tag = words[++i];
  }
  if (name.several_stages) name.stage = LifeStage::kUnknown;
  // "mayfly, maybe": the comma belonged to what was taken off.
  if (!name.words.empty())
    while (!name.words.back().empty() && (name.words.back().back() == ',' || name.words.back().back() == ';'))
      name.words.back().pop_back();
  std::erase(name.words, std::string());
  // "Baetis rhodani, probably": nothing stands behind the doubt, so it is about all of it.
  if (name.doubted_word >= name.words.size())
    name.doubted_word = name.words.empty() ? 0 : name.words.size() - 1;
  return name;
}

std::vector<std::string> without_authority(const std::vector<std::string>& words) {
  for (std::size_t i = 1; i < words.size(); ++i)
    if (is_authority(std::span(words).subspan(i), true))
      return {words.begin(), words.begin() + static_cast<std::ptrdiff_t>(i)};
  return words;
}

std::string join_words(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    if (!text.empty()) text += ' ';
    text += word;
  }
  return text;
}

std::string common_form(std::string_view folded) {
  std::string plain;
  for (std::size_t i = 0; i < folded.size(); ++i) {
    const std::string_view mark = folded.substr(i, 3);
    if (mark == "\xE2\x80\x98" || mark == "\xE2\x80\x99") {  // typographic apostrophes
      i += 2;
    } else if (mark == "\xE2\x80\x90" || mark == "\xE2\x80\x91" ||
               mark == "\xE2\x80\x93") {  // hyphens, en dash
      plain += ' ';
      i += 2;
    } else if (folded[i] == '-') {
      plain += ' ';
    } else if (folded[i] != '\'') {
      plain += folded[i];
    }
  }
  std::vector<std::string> words = split(plain, ' ');
  std::erase(words, std::string());
  if (words.empty()) return {};
  make_singular(words.back());
  std::string form;
  for (const std::string& word : words) form += word;
  return form;
}

}  // namespace brookmark::core

#include <algorithm>
#include <iterator>
#include <vector>

#include "core/base/text.hpp"
#include "core/taxa/authority_internal.hpp"

namespace brookmark::core {

namespace {

constexpr int kFirstYear = 1758, kLastYear = 2099;
constexpr std::size_t kMostSurnames = 3;
constexpr std::string_view kJoints[] = {"&", "et", "and", "in", "ex", "und"};
constexpr std::string_view kParticles[] = {"de", "du", "van", "von", "der", "den",
                                           "la", "le", "zu",  "da",  "di",  "del"};

template <std::size_t N>
bool is_one_of(std::string_view word, const std::string_view (&list)[N]) {
  return std::find(std::begin(list), std::end(list), word) != std::end(list);
}

// A capital letter of Latin script, with or without an accent.
bool starts_with_capital(std::string_view word) {
  if (word.empty()) return false;
  const auto first = static_cast<unsigned char>(word[0]);
  if (first < 0x80) return first >= 'A' && first <= 'Z';
  if (word.size() < 2 || first < 0xC3 || first > 0xC5) return false;
  const unsigned code = (first & 0x1FU) << 6U | (static_cast<unsigned char>(word[1]) & 0x3FU);
  if (code < 0xDF) return code >= 0xC0 && code != 0xD7;
  if (code < 0x100) return false;
  const bool odd = (code & 1U) != 0;  // in this block capitals and small letters take turns
  return (code >= 0x139 && code <= 0x148) || code >= 0x179 ? odd : !odd;
}

bool is_surname(std::string_view word) {
  const auto may_stand = [](char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '-' || c == '\'' || c == '.' ||
           static_cast<unsigned char>(c) >= 0x80;
  };
  return starts_with_capital(word) && std::all_of(word.begin(), word.end(), may_stand);
}

// "O.", "J.E."; but "L." may be the whole author.
bool is_initial(std::string_view word) {
  return word.size() <= 4 && word.back() == '.' && word.find('.') == 1;
}

// 0 for what is no year.
int year_of(std::string_view word) {
  if (word.size() != 4) return 0;
  int year = 0;
  for (const char c : word) {
    if (c < '0' || c > '9') return 0;
    year = year * 10 + (c - '0');
  }
  return year;
}

// Words, with commas and ampersands as words of their own.
std::vector<std::string> parts_of(std::string_view text) {
  std::string spaced;
  for (const char c : text) {
    const bool mark = c == ',' || c == '&';
    if (mark) spaced += ' ';
    spaced += c;
    if (mark) spaced += ' ';
  }
  std::vector<std::string> parts = split(spaced, ' ');
  std::erase(parts, std::string());
  return parts;
}

}  // namespace

bool is_authority(std::span<const std::string> words, bool needs_year) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : " ") + word;
  if (text.size() > 2 && text.front() == '(' && text.back() == ')') text = text.substr(1, text.size() - 2);
  std::vector<std::string> parts = parts_of(text);
  bool has_year = false;
  if (!parts.empty() && year_of(parts.back()) > 0) {
    const int year = year_of(parts.back());
    if (year < kFirstYear || year > kLastYear) return false;
    has_year = true;
    parts.pop_back();
    if (!parts.empty() && parts.back() == ",") parts.pop_back();
  }
  if (needs_year && !has_year) return false;
  std::size_t surnames = 0, initials = 0;
  bool after_joint = true;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const std::string& part = parts[i];
    if (is_one_of(part, kJoints) || part == ",") {
      if (after_joint) return false;
      const bool and_others =
          part == "et" && i + 2 == parts.size() && (parts[i + 1] == "al." || parts[i + 1] == "al");
      if (and_others) return surnames > 0;
      after_joint = true;
    } else if (is_one_of(part, kParticles)) {
      continue;
    } else if (is_surname(part)) {
      ++(is_initial(part) ? initials : surnames);
      after_joint = false;
    } else {
      return false;
    }
  }
  const std::size_t people = surnames == 0 && initials == 1 ? 1 : surnames;
  return !after_joint && people >= 1 && people <= kMostSurnames;
}

bool starts_authority(std::string_view word) {
  return !word.empty() && (word.front() == '(' || starts_with_capital(word) || is_one_of(word, kParticles));
}

}  // namespace brookmark::core

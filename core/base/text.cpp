#include "core/base/text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace brookmark::core {

namespace {

bool is_space(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '\f' || c == '\v';
}

// Latin letters with marks, as code points, to ASCII. Latin-1 Supplement and Latin Extended-A.
std::string_view fold_letter(unsigned code) {
  struct Range {
    unsigned first, last;
    std::string_view to;
  };
  static constexpr Range kRanges[] = {
      {0x00C0, 0x00C5, "a"},  {0x00C6, 0x00C6, "ae"}, {0x00C7, 0x00C7, "c"},  {0x00C8, 0x00CB, "e"},
      {0x00CC, 0x00CF, "i"},  {0x00D0, 0x00D0, "d"},  {0x00D1, 0x00D1, "n"},  {0x00D2, 0x00D6, "o"},
      {0x00D8, 0x00D8, "o"},  {0x00D9, 0x00DC, "u"},  {0x00DD, 0x00DD, "y"},  {0x00DE, 0x00DE, "th"},
      {0x00DF, 0x00DF, "ss"}, {0x00E0, 0x00E5, "a"},  {0x00E6, 0x00E6, "ae"}, {0x00E7, 0x00E7, "c"},
      {0x00E8, 0x00EB, "e"},  {0x00EC, 0x00EF, "i"},  {0x00F0, 0x00F0, "d"},  {0x00F1, 0x00F1, "n"},
      {0x00F2, 0x00F6, "o"},  {0x00F8, 0x00F8, "o"},  {0x00F9, 0x00FC, "u"},  {0x00FD, 0x00FD, "y"},
      {0x00FE, 0x00FE, "th"}, {0x00FF, 0x00FF, "y"},  {0x0100, 0x0105, "a"},  {0x0106, 0x010D, "c"},
      {0x010E, 0x0111, "d"},  {0x0112, 0x011B, "e"},  {0x011C, 0x0123, "g"},  {0x0124, 0x0127, "h"},
      {0x0128, 0x0131, "i"},  {0x0134, 0x0135, "j"},  {0x0136, 0x0138, "k"},  {0x0139, 0x0142, "l"},
      {0x0143, 0x014B, "n"},  {0x014C, 0x0151, "o"},  {0x0152, 0x0153, "oe"}, {0x0154, 0x0159, "r"},
      {0x015A, 0x0161, "s"},  {0x0162, 0x0167, "t"},  {0x0168, 0x0173, "u"},  {0x0174, 0x0175, "w"},
      {0x0176, 0x0178, "y"},  {0x0179, 0x017E, "z"}};
  for (const Range& range : kRanges)
    if (code >= range.first && code <= range.last) return range.to;
  return {};
}

// Length of the UTF-8 sequence at `at` and its code point; length 0 when it is not valid.
std::pair<std::size_t, unsigned> decode_utf8(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned>(static_cast<unsigned char>(text[i])); };
  const unsigned lead = byte(at);
  if (lead < 0x80) return {1, lead};
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC2 ? 2 : 0;
  if (length == 0 || lead > 0xF4 || at + length > text.size()) return {0, 0};
  unsigned code = lead & (0x7Fu >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0u) != 0x80u) return {0, 0};
    code = (code << 6) | (byte(at + i) & 0x3Fu);
  }
  const unsigned least = length == 2 ? 0x80u : length == 3 ? 0x800u : 0x10000u;
  if (code < least || code > 0x10FFFFu || (code >= 0xD800u && code <= 0xDFFFu)) return {0, 0};
  return {length, code};
}

}  // namespace

std::string_view trim(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

std::string to_lower_ascii(std::string_view text) {
  std::string lower(text);
  for (char& c : lower)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return lower;
}

std::string fold_name(std::string_view text) {
  std::string folded;
  folded.reserve(text.size());
  bool gap = false;
  const auto add = [&](std::string_view piece) {
    if (gap && !folded.empty()) folded += ' ';
    gap = false;
    folded += piece;
  };
  for (std::size_t at = 0; at < text.size();) {
    const auto [length, code] = decode_utf8(text, at);
    const std::string_view piece = text.substr(at, std::max<std::size_t>(length, 1));
    at += piece.size();
    if (piece.size() == 1) {
      const char c = piece[0];
      if (is_space(c) || c == '_' || c == '.') {
        gap = true;
      } else {
        add(to_lower_ascii(piece));
      }
    } else if (code == 0x00A0) {  // no-break space
      gap = true;
    } else if (code < 0x0300 || code > 0x036F) {  // combining marks are dropped
      const std::string_view to = fold_letter(code);
      add(to.empty() ? piece : to);
    }
  }
  return folded;
}

bool is_valid_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = decode_utf8(text, at).first;
    if (length == 0) return false;
    at += length;
  }
  return true;
}

std::optional<double> parse_number(std::string_view text, char decimal) {
  std::string plain(trim(text));
  if (!plain.empty() && plain[0] == '+') plain.erase(0, 1);
  if (decimal != '.') {
    if (plain.find('.') != std::string::npos) return std::nullopt;
    std::replace(plain.begin(), plain.end(), decimal, '.');
  }
  if (plain.empty() || plain.find_first_not_of("0123456789.-+eE") != std::string::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), value);
  if (error != std::errc{} || end != plain.data() + plain.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

std::optional<std::int64_t> parse_integer(std::string_view text) {
  text = trim(text);
  if (!text.empty() && text[0] == '+') text.remove_prefix(1);
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string format_number(double value) {
  std::array<char, 32> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(), value == 0 ? 0.0 : value);
  return error == std::errc{} ? std::string(text.data(), end) : std::string{};
}

std::string format_fixed(double value, int decimals) {
  // Rounded as the shortest decimal text would be by hand, so that 2.675 gives 2.68 although its double lies
  // below.
  const double scale = std::pow(10.0, decimals);
  const double nudged = value * scale;
  const double rounded = std::round(nudged + std::copysign(std::abs(nudged) * 1e-13, nudged)) / scale;
  std::array<char, 400> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(),
                                          rounded == 0 ? 0.0 : rounded, std::chars_format::fixed, decimals);
  return error == std::errc{} ? std::string(text.data(), end) : std::string{};
}

std::vector<std::string> split(std::string_view text, char separator) {
  std::vector<std::string> parts;
  if (text.empty()) return parts;
  std::size_t begin = 0;
  for (;;) {
    const std::size_t end = text.find(separator, begin);
    parts.emplace_back(trim(text.substr(begin, end == std::string_view::npos ? end : end - begin)));
    if (end == std::string_view::npos) return parts;
    begin = end + 1;
  }
}

std::string in_quotes(std::string_view text) {
  std::string quoted(1, '"');
  return quoted.append(text).append(1, '"');
}

std::string joined(const std::vector<std::string>& words, std::string_view between) {
  std::string text;
  for (const std::string& word : words) text.append(&word == &words.front() ? "" : between).append(word);
  return text;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> two_back(b.size() + 1), back(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) back[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replace = back[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      now[j] = std::min({back[j] + 1, now[j - 1] + 1, replace});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = std::min(now[j], two_back[j - 2] + 1);
    }
    std::swap(two_back, back);
    std::swap(back, now);
  }
  return back[b.size()];
}

void append_note(std::string& note, std::string_view more) {
  if (more.empty()) return;
  if (!note.empty()) note += "; ";
  note += more;
}

}  // namespace brookmark::core

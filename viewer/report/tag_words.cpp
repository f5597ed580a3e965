#include "viewer/report/tag_words_internal.hpp"

#include <algorithm>
#include <string_view>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/report/document.hpp"

namespace brookmark::viewer {

namespace {

[[noreturn]] void refuse(const char* what) {
  throw Error(ErrorCode::kStorage, std::string("the pages could not be tagged: ") + what);
}

// A text string of ISO 32000-1, 7.9.2.2: UTF-16 with its mark, as hexadecimal digits.
std::string text_string(const std::string& utf8) {
  constexpr const char* kDigits = "0123456789ABCDEF";
  std::string digits = "<FEFF";
  const auto put = [&](unsigned unit) {
    for (int shift = 12; shift >= 0; shift -= 4) digits += kDigits[unit >> shift & 15U];
  };
  for (std::size_t at = 0; at < utf8.size();) {
    const auto first = static_cast<unsigned char>(utf8[at++]);
    const int more = first < 0x80 ? 0 : first < 0xE0 ? 1 : first < 0xF0 ? 2 : 3;
    unsigned code = more == 0 ? first : first & (0x3FU >> more);
    for (int i = 0; i < more && at < utf8.size(); ++i)
      code = code << 6 | (static_cast<unsigned char>(utf8[at++]) & 0x3FU);
    if (code < 0x10000) {
      put(code);
    } else {
      put(0xD800 + ((code - 0x10000) >> 10));
      put(0xDC00 + ((code - 0x10000) & 0x3FFU));
    }
  }
  return digits + ">";
}

struct Insertion {
  std::size_t at = 0;
  std::string text;
};

// The number that ends before `end`; of "17 0 obj" with `end` at " 0 obj".
std::int64_t number_before(const std::string& pdf, std::size_t end) {
  std::size_t begin = end;
  while (begin > 0 && pdf[begin - 1] >= '0' && pdf[begin - 1] <= '9') --begin;
  return core::parse_integer(std::string_view(pdf).substr(begin, end - begin)).value_or(-1);
}

// Behind "/S /NAME" of each element of that name, in the order of their numbers: that in which they were opened.
std::vector<std::size_t> elements(const std::string& pdf, const std::string& name) {
  const std::string begin = " 0 obj\n<< /Type /StructElem\n   /S /" + name + "\n";
  std::vector<std::pair<std::int64_t, std::size_t>> found;
  for (std::size_t at = pdf.find(begin); at != std::string::npos; at = pdf.find(begin, at + 1))
    found.emplace_back(number_before(pdf, at), at + begin.size());
  std::sort(found.begin(), found.end());
  std::vector<std::size_t> places;
  for (const auto& [number, place] : found) places.push_back(place);
  return places;
}

std::vector<Insertion> insertions(const std::string& pdf, const TagWords& words) {
  std::vector<Insertion> all;
  const std::vector<std::size_t> figures = elements(pdf, "Figure"), heads = elements(pdf, "TH");
  if (figures.size() != words.figures.size()) refuse("a figure is missing");
  if (heads.size() != words.row_heads.size()) refuse("a head of a table is missing");
  for (std::size_t i = 0; i < figures.size(); ++i)
    all.push_back({figures[i], "   /Alt " + text_string(words.figures[i]) + "\n"});
  for (std::size_t i = 0; i < heads.size(); ++i)
    all.push_back({heads[i], std::string("   /A << /O /Table /Scope ") +
                                 (words.row_heads[i] ? "/Row" : "/Column") + " >>\n"});
  const std::string catalog = " 0 obj\n<< /Type /Catalog\n";
  const std::size_t at = pdf.rfind(catalog);
  if (at == std::string::npos) refuse("it has no catalogue");
  all.push_back({at + catalog.size(), std::string("   /Lang (") + kDocumentLanguage +
                                          ")\n   /ViewerPreferences << /DisplayDocTitle true >>\n"});
  std::sort(all.begin(), all.end(), [](const Insertion& a, const Insertion& b) { return a.at < b.at; });
  return all;
}

}  // namespace

std::string with_tag_words(const std::string& pdf, const TagWords& words) {
  const std::vector<Insertion> all = insertions(pdf, words);
  const auto moved = [&](std::size_t place) {
    std::size_t to = place;
    for (const Insertion& insertion : all)
      if (insertion.at <= place) to += insertion.text.size();
    return to;
  };
  const std::size_t mark = pdf.rfind("startxref\n");
  if (mark == std::string::npos) refuse("it has no table of references");
  const std::size_t digits = mark + 10;
  const std::size_t table = static_cast<std::size_t>(
      core::parse_integer(std::string_view(pdf).substr(digits, pdf.find('\n', digits) - digits)).value_or(0));
  if (!std::string_view(pdf).substr(std::min(table, pdf.size())).starts_with("xref\n0 "))
    refuse("its table of references is of another form");
  const std::size_t rows = pdf.find('\n', table + 5) + 1;
  const std::size_t end = pdf.find("trailer", rows);
  constexpr std::size_t kRow = 20, kOffset = 10;  // bytes of an entry, and of the offset in it
  if (end == std::string::npos || (end - rows) % kRow != 0)
    refuse("its table of references is of another form");

  std::string tagged;
  std::size_t from = 0;
  for (const Insertion& insertion : all) {
    tagged += pdf.substr(from, insertion.at - from) + insertion.text;
    from = insertion.at;
  }
  tagged += pdf.substr(from, rows - from);
  for (std::size_t row = rows; row < end; row += kRow) {
    std::string entry = pdf.substr(row, kRow);
    if (entry[17] == 'n') {
      std::string offset = std::to_string(
          moved(static_cast<std::size_t>(core::parse_integer(entry.substr(0, kOffset)).value_or(0))));
      offset.insert(0, kOffset - std::min(kOffset, offset.size()), '0');
      entry.replace(0, kOffset, offset);
    }
    tagged += entry;
  }
  return tagged + pdf.substr(end, digits - end) + std::to_string(moved(table)) + "\n%%EOF\n";
}

}  // namespace brookmark::viewer

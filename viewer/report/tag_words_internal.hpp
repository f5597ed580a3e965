// Why: cairo 1.16 writes the structure of a PDF, but neither what a figure shows, nor which way a head of a table looks, nor
// the language. Those words are set into the finished file. Private to viewer/report.
// Use: return with_tag_words(bytes, words);
#pragma once

#include <string>
#include <vector>

namespace brookmark::viewer {

// In the order in which the tags were opened.
struct TagWords {
  std::vector<std::string> figures;  // what each shows; UTF-8
  std::vector<bool> row_heads;       // each head of a table: of its row; false: of its column
};

// `pdf` is as cairo writes it: its objects of structure in plain text, one table of cross-references (ISO 32000-1, 7.5.4).
// Throws Error(kStorage) where it is not, or where it has another number of figures or heads.
std::string with_tag_words(const std::string& pdf, const TagWords& words);

}  // namespace brookmark::viewer

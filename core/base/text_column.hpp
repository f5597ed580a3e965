// Why: half a million short strings cost half a million allocations; a column of text costs two.
// Use: TextColumn names; names.append("Baetidae"); std::string_view n = names[0];
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::core {

// Append-only column of strings. Views stay valid until the next append.
class TextColumn {
 public:
  void reserve(std::size_t rows, std::size_t bytes) {
    ends_.reserve(rows);
    text_.reserve(bytes);
  }
  void append(std::string_view value) {
    text_.append(value);
    ends_.push_back(text_.size());
  }
  std::size_t size() const { return ends_.size(); }
  bool empty() const { return ends_.empty(); }
  // A column that nobody filled reads as empty text.
  std::string_view operator[](std::size_t row) const {
    if (row >= ends_.size()) return {};
    const std::size_t begin = row == 0 ? 0 : ends_[row - 1];
    return std::string_view(text_).substr(begin, ends_[row] - begin);
  }

 private:
  std::string text_;
  std::vector<std::size_t> ends_;
};

}  // namespace brookmark::core

// Why: which of many names could be a misspelling of this one, without comparing it with all of them: those that share
// enough runs of three letters with it.
// Use: TrigramIndex index(names);  for (std::uint32_t i : index.candidates("gamarus", scratch)) ...
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::core {

// Built once over folded names, read by many threads; each brings its own scratch.
class TrigramIndex {
 public:
  struct Scratch {
    std::vector<std::uint16_t> shared;    // a name's count while it is being looked at; all 0 between calls
    std::vector<std::uint32_t> touched;   // names with a count
    std::vector<std::uint32_t> selected;  // the answer
  };

  TrigramIndex() = default;
  explicit TrigramIndex(const std::vector<std::string>& folded);

  // The names that share at least one run of three letters with the text; from 8 letters on two, from 12 on three.
  // Names are seen between two blanks, so that the first and the last letters count as runs too. In the order of the
  // names. The answer lies in `scratch` and holds until the next call.
  const std::vector<std::uint32_t>& candidates(std::string_view folded, Scratch& scratch) const;

 private:
  std::vector<std::uint32_t> keys_;    // trigrams, sorted
  std::vector<std::uint32_t> begins_;  // keys_.size() + 1; names of key k are names_[begins_[k]] on
  std::vector<std::uint32_t> names_;
  std::size_t count_ = 0;
};

}  // namespace brookmark::core

#include <algorithm>

#include "core/taxa/trigram_index_internal.hpp"

namespace brookmark::core {

namespace {

// Distinct runs of three bytes of "  text ", sorted.
void trigrams_of(std::string_view text, std::vector<std::uint32_t>& runs) {
  runs.clear();
  std::uint32_t run = (' ' << 8U) | ' ';
  const auto take = [&](char c) {
    run = (run << 8U | static_cast<unsigned char>(c)) & 0xFFFFFFU;
    runs.push_back(run);
  };
  for (const char c : text) take(c);
  take(' ');
  std::sort(runs.begin(), runs.end());
  runs.erase(std::unique(runs.begin(), runs.end()), runs.end());
}

std::size_t wanted_runs(std::size_t letters) {
  return letters < 8 ? 1 : letters < 12 ? 2 : 3;
}

}  // namespace

TrigramIndex::TrigramIndex(const std::vector<std::string>& folded) : count_(folded.size()) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  std::vector<std::uint32_t> runs;
  for (std::uint32_t i = 0; i < folded.size(); ++i) {
    trigrams_of(folded[i], runs);
    for (const std::uint32_t run : runs) pairs.emplace_back(run, i);
  }
  std::sort(pairs.begin(), pairs.end());
  for (const auto& [run, name] : pairs) {
    if (keys_.empty() || keys_.back() != run) {
      keys_.push_back(run);
      begins_.push_back(static_cast<std::uint32_t>(names_.size()));
    }
    names_.push_back(name);
  }
  begins_.push_back(static_cast<std::uint32_t>(names_.size()));
}

const std::vector<std::uint32_t>& TrigramIndex::candidates(std::string_view folded, Scratch& scratch) const {
  scratch.shared.resize(count_, 0);
  scratch.touched.clear();
  scratch.selected.clear();
  std::vector<std::uint32_t> runs;
  trigrams_of(folded, runs);
  for (const std::uint32_t run : runs) {
    const auto at = std::lower_bound(keys_.begin(), keys_.end(), run);
    if (at == keys_.end() || *at != run) continue;
    const auto key = static_cast<std::size_t>(at - keys_.begin());
    for (std::uint32_t n = begins_[key]; n < begins_[key + 1]; ++n)
      if (scratch.shared[names_[n]]++ == 0) scratch.touched.push_back(names_[n]);
  }
  const std::size_t wanted = wanted_runs(folded.size());
  for (const std::uint32_t name : scratch.touched) {
    if (scratch.shared[name] >= wanted) scratch.selected.push_back(name);
    scratch.shared[name] = 0;
  }
  std::sort(scratch.selected.begin(), scratch.selected.end());
  return scratch.selected;
}

}  // namespace brookmark::core

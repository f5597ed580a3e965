// Ten thousand names as a sheet writes them, resolved on one thread: half of them misspelt, half, shortened or common,
// half as they are listed. Beside it the same misspellings compared with every listed name.
// names_difflib.py does the same with Python's difflib over the names that BROOKMARK_BENCH_NAMES names a file for.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

#include "core/base/text.hpp"
#include "core/taxa/checklist.hpp"

namespace core = brookmark::core;

namespace {

struct Names {
  std::vector<std::string> listed, asked;  // asked: misspelt
};

// Every listed name that is long enough, with one letter left out, doubled, swapped or replaced, by turns.
const Names& names() {
  static const Names all = [] {
    Names made;
    for (const core::ChecklistEntry& entry : core::checklist().entries()) {
      made.listed.push_back(entry.name);
      for (const std::string& name : entry.synonyms) made.listed.push_back(name);
      for (const std::string& name : entry.common_names) made.listed.push_back(name);
    }
    std::uint64_t state = 20240601;
    for (std::size_t i = 0; made.asked.size() < 5'000; ++i) {
      std::string name = made.listed[i % made.listed.size()];
      state = state * 6364136223846793005ULL + 1442695040888963407ULL;
      const std::size_t at = 1 + (state >> 33U) % (name.size() > 3 ? name.size() - 2 : 1);
      if (name.size() < 5) continue;
      if (i % 4 == 0) name.erase(at, 1);
      if (i % 4 == 1) name.insert(at, 1, name[at]);
      if (i % 4 == 2) std::swap(name[at], name[at + 1]);
      if (i % 4 == 3) name[at] = static_cast<char>('a' + (state >> 50U) % 26);
      made.asked.push_back(std::move(name));
    }
    if (const char* file = std::getenv("BROOKMARK_BENCH_NAMES")) {
      std::ofstream out(file);
      for (const std::string& name : made.listed) out << "listed\t" << name << '\n';
      for (const std::string& name : made.asked) out << "asked\t" << name << '\n';
    }
    return made;
  }();
  return all;
}

void rate(benchmark::State& state, std::size_t each_time) {
  state.counters["names/s"] =
      benchmark::Counter(static_cast<double>(each_time * static_cast<std::size_t>(state.iterations())),
                         benchmark::Counter::kIsRate);
}

// 5,000 misspelt names and 5,000 listed ones, by turns.
void resolve_10000_names(benchmark::State& state) {
  const Names& all = names();
  for (auto _ : state)
    for (std::size_t i = 0; i < all.asked.size(); ++i) {
      benchmark::DoNotOptimize(core::checklist().match(all.asked[i]));
      benchmark::DoNotOptimize(core::checklist().match(all.listed[i % all.listed.size()]));
    }
  rate(state, 2 * all.asked.size());
}

// Only the misspelt ones: three ranked proposals each.
void propose_for_misspelt_names(benchmark::State& state) {
  const Names& all = names();
  for (auto _ : state)
    for (const std::string& name : all.asked) benchmark::DoNotOptimize(core::checklist().propose(name));
  rate(state, all.asked.size());
}

// The nearest name by edit distance, every listed name tried.
void compare_with_every_name(benchmark::State& state) {
  const Names& all = names();
  std::vector<std::string> folded;
  for (const std::string& name : all.listed) folded.push_back(core::fold_name(name));
  constexpr std::size_t kAsked = 200;
  for (auto _ : state)
    for (std::size_t i = 0; i < kAsked; ++i) {
      const std::string name = core::fold_name(all.asked[i]);
      std::size_t least = SIZE_MAX, nearest = 0;
      for (std::size_t f = 0; f < folded.size(); ++f)
        if (const std::size_t distance = core::edit_distance(name, folded[f]); distance < least)
          least = distance, nearest = f;
      benchmark::DoNotOptimize(nearest);
    }
  rate(state, kAsked);
}

}  // namespace

BENCHMARK(resolve_10000_names)->Unit(benchmark::kMillisecond);
BENCHMARK(propose_for_misspelt_names)->Unit(benchmark::kMillisecond);
BENCHMARK(compare_with_every_name)->Unit(benchmark::kMillisecond);

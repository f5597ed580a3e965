// Why: which animals an invented kick or sweep sample holds at each level of health, as plain data.
// The numbers are invented too: chosen so that they look like a tray on a bank, not taken from any survey.
#pragma once

#include <array>
#include <span>
#include <string_view>
#include <vector>

namespace brookmark::demo {

enum class Level { kExcellent, kGood, kFair, kPoor, kBad };
inline constexpr std::size_t kLevels = 5;

// One kind of animal. Five and more of it are found every time, fewer only now and then.
struct StreamAnimal {
  std::string_view name;                      // as mostly written
  std::array<int, kLevels> usual;             // animals in a sample: excellent, good, fair, poor, bad
  std::array<int, 4> season_percent;          // winter, spring, summer, autumn
  std::string_view stage;                     // life stage as written
  std::vector<std::string_view> other_names;  // old, common or finer names, written now and then
};

struct PondAnimal {
  std::string_view name;
  std::array<int, 3> usual;  // Heron, Kiln, Alder Pond
  std::string_view stage;
};

std::span<const StreamAnimal> stream_animals();
std::span<const PondAnimal> pond_animals();

}  // namespace brookmark::demo

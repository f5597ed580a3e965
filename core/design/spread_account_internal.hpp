// Why: what is drawn is only as good as what is said of it: which part the new spots can speak for, which they cannot, and how far a
// single draw may be off. In words, for channels and for waters apart.
// Use: SpreadAccount account(false);  account.add(stratum...);  account.tell(8, notes)
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "core/design/suggestion.hpp"

namespace brookmark::core {

std::string part_words(double size, bool waters);  // "840 m", "1.6 km", "3 waters"
std::string size_words(double size, bool waters);  // the same "of channel"
std::string count_words(std::size_t n, const char* one, const char* many);

// A part of a spread as it was drawn. Sizes are metres of channel or numbers of waters.
struct DrawnPart {
  std::string name;        // empty: the whole
  double size = 0;         // of all its spots
  double with_chance = 0;  // of the spots that could have been chosen
  double by_spots = 0;     // what the new ones stand for
  std::size_t spots = 0, sites = 0;
};

class SpreadAccount {
 public:
  explicit SpreadAccount(bool waters) : waters_(waters) {}
  void add(DrawnPart part) { parts_.push_back(std::move(part)); }
  // Sentences on what stands for what. `all_spots`: new spots on channels and waters together.
  void tell(std::size_t all_spots, std::vector<std::string>& notes) const;

 private:
  void tell_unheard(std::size_t all_spots, bool with_sites, std::vector<std::string>& notes) const;

  bool waters_;
  std::vector<DrawnPart> parts_;
};

// A sentence where, of three spots or more of one kind (channel or water), one has more than 40 % of the sum of their weights (of one or
// two spots one always has): of a single draw that is what a total leans on. Common practice, no source. Codes must be there.
void tell_heavy_weights(const std::vector<Suggestion>& list, std::vector<std::string>& notes);

}  // namespace brookmark::core

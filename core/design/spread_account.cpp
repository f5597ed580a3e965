#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/design/spread_account_internal.hpp"

namespace brookmark::core {
namespace {

constexpr double kHeavyShare = 0.4;
constexpr std::size_t kMostNamed = 20;

}  // namespace

std::string part_words(double size, bool waters) {
  if (waters) {
    const std::string number = format_number(std::round(size * 10) / 10);
    return number + (number == "1" ? " water" : " waters");
  }
  return size < 1000 ? format_fixed(size, 0) + " m" : format_fixed(size / 1000, 1) + " km";
}
std::string size_words(double size, bool waters) {
  return part_words(size, waters) + (waters ? "" : " of channel");
}

std::string count_words(std::size_t n, const char* one, const char* many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

// Parts without a new spot: their chance was 0, whatever is drawn.
void SpreadAccount::tell_unheard(std::size_t all_spots, bool with_sites,
                                 std::vector<std::string>& notes) const {
  std::vector<std::string> names;
  double size = 0;
  std::size_t more = 0;
  for (const DrawnPart& part : parts_) {
    if (part.spots > 0 || (part.sites > 0) != with_sites) continue;
    size += part.size;
    if (names.size() == kMostNamed)
      ++more;
    else
      names.push_back((part.name.empty() ? "what is looked at" : part.name) + " (" +
                      part_words(part.size, waters_) + ")");
  }
  if (names.empty()) return;
  if (more > 0) names.push_back(std::to_string(more) + " more");
  notes.push_back((all_spots == 1 ? "the one new spot does not fall"
                                  : "no spot of these " + std::to_string(all_spots) + " falls") +
                  " into " + joined(names, ", ") + (with_sites ? ": nothing new" : ": nothing") +
                  " speaks for " + size_words(size, waters_) +
                  (with_sites ? ", only the sites that are there" : ", and no site is there"));
}

void SpreadAccount::tell(std::size_t all_spots, std::vector<std::string>& notes) const {
  double whole = 0, heard = 0, with_chance = 0, by_spots = 0;
  std::size_t spots = 0, heard_sites = 0;
  for (const DrawnPart& part : parts_) {
    whole += part.size;
    if (part.spots == 0) continue;
    heard += part.size;
    with_chance += part.with_chance;
    by_spots += part.by_spots;
    spots += part.spots;
    heard_sites += part.sites;
  }
  if (heard_sites > 0)
    notes.push_back(
        "of " + size_words(heard, waters_) + (heard < whole * (1 - 1e-9) ? " in parts with new spots" : "") +
        " the " + count_words(spots, "new spot stands", "new spots stand") + " for " +
        part_words(by_spots, waters_) + " and the " +
        count_words(heard_sites, "site that is there", "sites that are there") + " for " +
        part_words(heard - by_spots, waters_) +
        "; near such a site the chance of a spot is lower, and where one stands nothing is drawn again");
  if (all_spots == 0) return;  // why nothing fits is told already
  for (const bool with_sites : {false, true}) tell_unheard(all_spots, with_sites, notes);
  if (spots > 0 && with_chance < whole * (1 - 1e-9))
    notes.push_back("the weights of the new spots weigh up, in the mean over many draws, to " +
                    part_words(with_chance, waters_) + " of " + size_words(whole, waters_) +
                    ": to all that had a chance");
}

void tell_heavy_weights(const std::vector<Suggestion>& list, std::vector<std::string>& notes) {
  for (const bool waters : {false, true}) {
    const Suggestion* heaviest = nullptr;
    double sum = 0;
    std::size_t count = 0;
    for (const Suggestion& one : list) {
      if (!one.weight || one.spot.water.has_value() != waters) continue;
      sum += *one.weight;
      ++count;
      if (heaviest == nullptr || *one.weight > *heaviest->weight) heaviest = &one;
    }
    if (count < 3 || *heaviest->weight <= kHeavyShare * sum) continue;
    notes.push_back(heaviest->code + " alone has " + format_fixed(100 * *heaviest->weight / sum, 0) +
                    " % of the sum of the weights" +
                    (waters ? " on waters: what is weighed up from this" : ": what is weighed up from this") +
                    " single draw leans on it; more spots, or fewer strata, even that out");
  }
}

}  // namespace brookmark::core

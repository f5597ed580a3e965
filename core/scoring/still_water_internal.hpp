// Why: each item of a reading is a small function over the animals of one sample; they share these words.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "core/scoring/still_water.hpp"
#include "core/taxa/traits.hpp"

namespace brookmark::core {

// One record of an animal that was there and is sure enough to use.
struct FoundAnimal {
  RecordIndex record;
  std::size_t taxon = 0;
  std::string name;   // the nearest name of the checklist; empty for a name of nowhere
  std::string shown;  // as the survey calls it
  std::string order;  // the order it belongs to, or its own name where it belongs to none
  LifeStage stage = LifeStage::kUnknown;
  std::int64_t low = 1, high = 1;  // how many it may stand for; high open for presence
  bool counted = false;
  bool stranger = false;  // lives in another kind of water as a rule
  bool finest = true;     // no finer name within it is in the sample
};

// A sample laid out for the items below.
struct PondSheet {
  std::vector<FoundAnimal> animals;
  std::size_t doubted = 0;  // records too uncertain to use
  std::size_t kinds = 0;    // distinct finest names
  std::int64_t least_animals = 0;
};

Belongs has_trait(const FoundAnimal& animal, std::string_view trait);

// The animals with a trait, strangers to this kind of water left out, with the sources of the rows that say so.
struct Those {
  std::vector<const FoundAnimal*> animals;
  std::vector<std::string> kinds;  // distinct finest names, in order of appearance
  std::int64_t low = 0, high = 0;
  bool counted = true;
};
Those with_trait(const PondSheet& sheet, std::string_view trait);

// Adds the records and, once each, the sources of the rows that give `trait` to `those`. Without animals: the sources
// of the trait's rows that a document confirmed, or that it is common practice.
void take_from(const Those& those, std::string_view trait, Evidence& evidence);

Evidence sensitive_groups(const PondSheet& sheet);
Evidence only_tolerant(const PondSheet& sheet);
Evidence gill_breathers(const PondSheet& sheet);
Evidence fair_oxygen(const PondSheet& sheet);
Evidence large_and_small_water_fleas(const PondSheet& sheet);
Evidence cyclopoids_and_calanoids(const PondSheet& sheet);
Evidence marsh_water_fleas(const PondSheet& sheet);

}  // namespace brookmark::core

// Why: one box for everything that has a name: sites, outfalls, animals, waters, pages and commands. The index is made
// once a survey is read; a search is a walk over folded names.
// Use: const FindIndex index(model);  for (const FindHit& hit : index.search("mill", 30)) ...
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/actions/actions.hpp"

namespace brookmark::viewer {

struct FindHit {
  enum class Kind : std::uint8_t { kSite, kOutfall, kTaxon, kWater, kCommand, kPlace };
  Kind kind = Kind::kCommand;
  std::string title, below;
  Actions actions;  // of a taxon: those that list its places
};

// Something that can be done, by its words.
struct FindCommand {
  std::string title, below;
  Actions actions;
};

class FindIndex {
 public:
  FindIndex() = default;
  // `commands` are offered beside what the survey names.
  FindIndex(const Model& model, std::vector<FindCommand> commands);

  // The best first: a whole code, then the beginning of one, then the beginning of a word, then anything that holds
  // the text; capital letters and accents make no difference. Common names and misspellings lead to the animals of the
  // survey that they may mean, behind all others. For an empty text the commands.
  std::vector<FindHit> search(std::string_view text, std::size_t most) const;
  // Where an animal, or one below its name, was found: sites, newest find first.
  std::vector<FindHit> places_of(const Model& model, core::TaxonIndex taxon, std::size_t most) const;

 private:
  // A stream, pond or other water by its name: where its sites, its drawn lines and its shape lie.
  struct WaterPlace {
    std::string name;
    PlaneBox box;
    std::size_t sites = 0, reaches = 0, shapes = 0;
  };
  void take_waters(const Model& model);
  void propose(std::string_view text, std::vector<FindHit>& hits, std::size_t most) const;
  struct Entry {
    FindHit::Kind kind;
    std::uint32_t index;
    std::string code, words;  // folded
  };
  FindHit hit_of(const Entry& entry) const;

  const Model* model_ = nullptr;
  std::vector<FindCommand> commands_;
  std::vector<Entry> entries_;
  std::vector<WaterPlace> waters_;
  std::vector<std::uint32_t> finds_;  // records of each taxon itself
};

}  // namespace brookmark::viewer

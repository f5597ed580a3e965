// Why: what is said about how animals live (how they breathe, what they bear) is needed by methods and by the reading
// of still waters alike, so it stands in one table, core/reference/traits.csv, each row with its source.
// Use: TraitAnswer a = traits().of("surface breather", "Dytiscus", LifeStage::kAdult);  a.has == Belongs::kYes
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/reference/reference.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// Whether an animal is one of those meant; kMaybe where its name is too coarse, or its stage is not said and matters.
enum class Belongs : std::uint8_t { kNo, kMaybe, kYes };

inline constexpr std::size_t kLifeStageCount = 5;  // values of LifeStage, kUnknown included

// One row of traits.csv: taxon,trait,has,life_stage,source_key,source_detail,confirmed. It holds for the taxon and all
// below it that no nearer row for the same trait speaks of.
struct TraitRow {
  std::string taxon, trait;
  bool has = true;          // false: an exception below a taxon that has the trait
  std::uint8_t stages = 0;  // bits 1 << LifeStage; of unknown stage too only where the row says so
  std::string source_key, source_detail;
  Confirmed confirmed = Confirmed::kMemory;

  bool any_stage() const { return stages == (1U << kLifeStageCount) - 1; }
};

struct TraitAnswer {
  Belongs has = Belongs::kNo;
  const TraitRow* row =
      nullptr;  // the row that decided; for kMaybe the one that leaves it open; may be null for kNo
};

class TraitTable {
 public:
  // Throws Error(kBadInput) with file, line and column for a taxon that the checklist lacks, an unknown stage, source
  // or word for how it was confirmed, and for a second row that says something else about the same taxon.
  static TraitTable from_csv(std::string_view csv, const std::string& file_name);

  std::span<const TraitRow> rows() const { return rows_; }
  std::vector<std::string> names() const;  // of the traits, sorted
  bool knows(std::string_view trait) const { return by_trait_.contains(trait); }
  // The taxa that rows give the trait to.
  std::vector<std::string> taxa_with(std::string_view trait) const;
  // Of an accepted name of the checklist. Any other name could be anything: kMaybe for a trait that is known.
  TraitAnswer of(std::string_view trait, std::string_view accepted_name, LifeStage stage) const;

 private:
  struct OfTrait {
    std::map<std::string, std::vector<std::size_t>, std::less<>> rows;  // by taxon, of rows_
    std::map<std::string, std::size_t, std::less<>> below;  // by a taxon above a row that has it: that row
  };
  std::vector<TraitRow> rows_;
  std::map<std::string, OfTrait, std::less<>> by_trait_;
};

// The table that comes with the program.
const TraitTable& traits();

// "surface breather" in "trait:surface breather"; empty where a part of a set names a taxon.
std::string_view trait_in_set(std::string_view part);

}  // namespace brookmark::core

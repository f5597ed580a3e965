#include "core/taxa/traits.hpp"

#include <algorithm>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kTraitsFile = "traits.csv";
constexpr std::string_view kPrefix = "trait:";

std::uint8_t bit_of(LifeStage stage) {
  return static_cast<std::uint8_t>(1U << static_cast<unsigned>(stage));
}

// One cell of the table, with a way to complain that says where.
struct Row {
  const Table& table;
  const TableRow& row;

  const std::string& cell(std::string_view column) const {
    const auto at = table.find(column);
    if (!at)
      throw Error(ErrorCode::kBadInput, "the column \"" + std::string(column) + "\" is missing", table.file);
    return row.cells[*at];
  }
  [[noreturn]] void fail(std::string_view column, const std::string& sentence) const {
    throw Error(ErrorCode::kBadInput, sentence,
                table.file + ", line " + std::to_string(row.line) + ", column " + std::string(column));
  }
};

std::uint8_t read_stages(const Row& row) {
  constexpr std::string_view kColumn = "life_stage";
  if (row.cell(kColumn).empty()) return (1U << kLifeStageCount) - 1;
  std::uint8_t stages = 0;
  for (const std::string& word : split(row.cell(kColumn), '|')) {
    const auto stage = word == "unknown" ? LifeStage::kUnknown : parse_life_stage(word);
    if (!stage)
      row.fail(kColumn, "unknown life stage \"" + word + "\"; write egg, larva, pupa, adult or unknown");
    stages |= bit_of(*stage);
  }
  return stages;
}

TraitRow read_row(const Row& row) {
  TraitRow read;
  read.taxon = row.cell("taxon");
  const ChecklistEntry* entry = checklist().find(read.taxon);
  if (entry == nullptr || entry->name != read.taxon)
    row.fail("taxon", "\"" + read.taxon + "\" is not an accepted name of the checklist");
  read.trait = row.cell("trait");
  if (read.trait.empty()) row.fail("trait", "the row names no trait");
  if (row.cell("has") != "yes" && row.cell("has") != "no") row.fail("has", "write \"yes\" or \"no\" here");
  read.has = row.cell("has") == "yes";
  read.stages = read_stages(row);
  read.source_key = row.cell("source_key");
  read.source_detail = row.cell("source_detail");
  try {
    citation(read.source_key);
  } catch (const Error&) {
    row.fail("source_key", "no source is known as \"" + read.source_key + "\"; write a key of sources.csv");
  }
  const auto confirmed = parse_confirmed(row.cell("confirmed"));
  if (!confirmed) row.fail("confirmed", "write document, secondary or memory");
  read.confirmed = *confirmed;
  return read;
}

}  // namespace

TraitTable TraitTable::from_csv(std::string_view csv, const std::string& file_name) {
  const Table table = read_csv(csv, file_name);
  TraitTable traits;
  for (const TableRow& line : table.rows) {
    const Row row{table, line};
    if (!line.issue.empty()) row.fail("taxon", line.issue);
    TraitRow read = read_row(row);
    OfTrait& of = traits.by_trait_[read.trait];
    std::vector<std::size_t>& same = of.rows[read.taxon];
    for (const std::size_t other : same)
      if ((traits.rows_[other].stages & read.stages) != 0)
        row.fail("taxon",
                 "\"" + read.taxon + "\" has another row for \"" + read.trait + "\" and the same stage");
    same.push_back(traits.rows_.size());
    if (read.has)
      for (const ChecklistEntry* at = checklist().find(read.taxon); !at->parent.empty();) {
        at = checklist().find(at->parent);
        of.below.emplace(at->name, traits.rows_.size());
      }
    traits.rows_.push_back(std::move(read));
  }
  return traits;
}

std::vector<std::string> TraitTable::names() const {
  std::vector<std::string> names;
  for (const auto& [name, of] : by_trait_) names.push_back(name);
  return names;
}

std::vector<std::string> TraitTable::taxa_with(std::string_view trait) const {
  std::vector<std::string> taxa;
  for (const TraitRow& row : rows_)
    if (row.has && row.trait == trait && std::find(taxa.begin(), taxa.end(), row.taxon) == taxa.end())
      taxa.push_back(row.taxon);
  return taxa;
}

TraitAnswer TraitTable::of(std::string_view trait, std::string_view accepted_name, LifeStage stage) const {
  const auto known = by_trait_.find(trait);
  if (known == by_trait_.end()) return {};
  const OfTrait& of = known->second;
  const ChecklistEntry* entry = checklist().find(accepted_name);
  if (entry == nullptr || entry->name != accepted_name) return {Belongs::kMaybe, nullptr};
  for (const ChecklistEntry* at = entry; at != nullptr;
       at = at->parent.empty() ? nullptr : checklist().find(at->parent)) {
    const auto rows = of.rows.find(at->name);
    if (rows == of.rows.end()) continue;
    const TraitRow* other_stage = nullptr;
    for (const std::size_t r : rows->second) {
      if ((rows_[r].stages & bit_of(stage)) != 0)
        return {rows_[r].has ? Belongs::kYes : Belongs::kNo, &rows_[r]};
      if (rows_[r].has) other_stage = &rows_[r];
    }
    if (stage == LifeStage::kUnknown && other_stage != nullptr) return {Belongs::kMaybe, other_stage};
    return {Belongs::kNo, other_stage};
  }
  if (const auto below = of.below.find(accepted_name); below != of.below.end())
    return {Belongs::kMaybe, &rows_[below->second]};
  return {};
}

const TraitTable& traits() {
  static const TraitTable shipped = TraitTable::from_csv(reference_file(kTraitsFile), kTraitsFile);
  return shipped;
}

std::string_view trait_in_set(std::string_view part) {
  return part.starts_with(kPrefix) ? trim(part.substr(kPrefix.size())) : std::string_view{};
}

}  // namespace brookmark::core

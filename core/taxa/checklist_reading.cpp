// Reading a checklist file and refusing one that would lead a name astray.
#include <algorithm>
#include <map>
#include <tuple>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/taxa/checklist.hpp"
#include "core/taxa/proposals_internal.hpp"
#include "core/taxa/written_name_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::string_view kFamilyEnding = "idae";

std::size_t column(const Table& table, std::string_view name) {
  if (const auto found = table.find(name)) return *found;
  throw Error(
      ErrorCode::kBadInput,
      "the column \"" + std::string(name) +
          "\" is missing; a checklist needs name, rank, parent, synonyms, common_names and source_key",
      table.file);
}

std::vector<std::string> list_of(std::string_view cell) {
  std::vector<std::string> parts = split(cell, '|');
  std::erase(parts, std::string());
  return parts;
}

}  // namespace

Checklist Checklist::from_csv(std::string_view csv, const std::string& file_name,
                              std::string_view species_csv, const std::string& species_file) {
  Checklist list;
  list.read_rows(csv, file_name);
  list.index_parents(file_name);
  list.index_names(file_name);
  list.index_common_words();
  if (!species_csv.empty()) list.index_species(species_csv, species_file);
  list.index_proposals({});
  return list;
}

Checklist Checklist::known_in(std::span<const NameUse> uses) const {
  Checklist list = *this;
  list.index_proposals(uses);
  return list;
}

void Checklist::read_rows(std::string_view csv, const std::string& file_name) {
  const Table table = read_csv(csv, file_name);
  const std::size_t name = column(table, "name");
  const std::size_t rank = column(table, "rank");
  const std::size_t parent = column(table, "parent");
  const std::size_t synonyms = column(table, "synonyms");
  const std::size_t common_names = column(table, "common_names");
  const std::size_t source = column(table, "source_key");
  for (const TableRow& row : table.rows) {
    const std::string where = file_name + ", line " + std::to_string(row.line);
    if (!row.issue.empty()) throw Error(ErrorCode::kBadInput, row.issue, where);
    if (row.cells[name].empty())
      throw Error(ErrorCode::kBadInput, "the taxon has no name; write one or take the line out", where);
    const auto known = parse_rank(row.cells[rank]);
    if (!known)
      throw Error(ErrorCode::kBadInput,
                  "\"" + row.cells[rank] + "\" is not a rank; write one such as family, genus or informal",
                  where);
    entries_.push_back({row.cells[name], *known, row.cells[parent], list_of(row.cells[synonyms]),
                        list_of(row.cells[common_names]), row.cells[source]});
    lines_.push_back(row.line);
  }
  if (entries_.empty())
    throw Error(ErrorCode::kBadInput, "the checklist has no taxa below its header", file_name);
}

std::string Checklist::place_of(std::uint32_t entry, const std::string& file_name) const {
  return file_name + ", line " + std::to_string(lines_[entry]);
}

void Checklist::index_parents(const std::string& file_name) {
  std::map<std::string_view, std::uint32_t> by_name;
  for (std::uint32_t i = 0; i < entries_.size(); ++i)
    if (const auto [first, fresh] = by_name.emplace(entries_[i].name, i); !fresh)
      throw Error(ErrorCode::kBadInput,
                  "\"" + entries_[i].name + "\" is listed twice, first in line " +
                      std::to_string(lines_[first->second]) + "; keep one of the two",
                  place_of(i, file_name));
  for (std::uint32_t i = 0; i < entries_.size(); ++i) {
    const std::string& parent = entries_[i].parent;
    const auto found = parent.empty() ? by_name.find(entries_[i].name) : by_name.find(parent);
    if (found == by_name.end())
      throw Error(ErrorCode::kBadInput,
                  "the parent \"" + parent + "\" of \"" + entries_[i].name +
                      "\" is not in the list; add it or correct the spelling",
                  place_of(i, file_name));
    if (!parent.empty() && found->second == i)
      throw Error(ErrorCode::kBadInput, "\"" + parent + "\" is named as its own parent",
                  place_of(i, file_name));
    parents_.push_back(found->second);
  }
  for (std::uint32_t i = 0; i < entries_.size(); ++i) {
    std::uint32_t at = i;
    for (std::size_t steps = 0; parents_[at] != at; at = parents_[at])
      if (++steps > entries_.size())
        throw Error(ErrorCode::kBadInput,
                    "the parents of \"" + entries_[i].name +
                        "\" run in a circle; one of them must lead up to a taxon without a parent",
                    place_of(i, file_name));
  }
}

void Checklist::index_names(const std::string& file_name) {
  const auto add = [&](std::uint32_t entry, const std::string& text, NameMatch how) {
    const std::string folded = fold_name(text);
    keys_.push_back({how == NameMatch::kCommonName ? common_form(folded) : folded, entry, how});
  };
  std::vector<Key> short_forms;
  for (std::uint32_t i = 0; i < entries_.size(); ++i) {
    const ChecklistEntry& entry = entries_[i];
    add(i, entry.name, NameMatch::kAccepted);
    for (const std::string& synonym : entry.synonyms) add(i, synonym, NameMatch::kSynonym);
    for (const std::string& common : entry.common_names) add(i, common, NameMatch::kCommonName);
    if (entry.rank == Rank::kFamily && entry.name.ends_with(kFamilyEnding)) {
      const std::string folded = fold_name(entry.name);
      short_forms.push_back({folded.substr(0, folded.size() - 2), i, NameMatch::kCommonName});
    }
  }
  const auto order = [](const Key& a, const Key& b) {
    return std::tie(a.folded, a.how, a.entry) < std::tie(b.folded, b.how, b.entry);
  };
  std::sort(keys_.begin(), keys_.end(), order);
  // A short form that the file itself gives to a taxon stays with that taxon.
  std::erase_if(short_forms, [&](const Key& key) { return find_key(key.folded) != nullptr; });
  keys_.insert(keys_.end(), short_forms.begin(), short_forms.end());
  std::sort(keys_.begin(), keys_.end(), order);
  for (std::size_t i = 0; i < keys_.size(); ++i) {
    if (keys_[i].folded.empty())
      throw Error(ErrorCode::kBadInput, "a name of \"" + entries_[keys_[i].entry].name + "\" has no letters",
                  place_of(keys_[i].entry, file_name));
    if (i == 0 || keys_[i].folded != keys_[i - 1].folded || keys_[i].entry == keys_[i - 1].entry) continue;
    throw Error(ErrorCode::kBadInput,
                "the name \"" + keys_[i].folded + "\" leads both to \"" + entries_[keys_[i - 1].entry].name +
                    "\" and to \"" + entries_[keys_[i].entry].name +
                    "\"; give it to one of them or to neither",
                place_of(keys_[i].entry, file_name));
  }
  const auto same = [](const Key& a, const Key& b) { return a.folded == b.folded && a.how == b.how; };
  keys_.erase(std::unique(keys_.begin(), keys_.end(), same), keys_.end());
}

void Checklist::index_common_words() {
  for (const ChecklistEntry& entry : entries_)
    for (const std::string& common : entry.common_names) {
      std::string plain = fold_name(common);
      std::replace_if(
          plain.begin(), plain.end(), [](char c) { return c == '-' || c == ','; }, ' ');
      for (const std::string& word : split(plain, ' ')) {
        const Key* key = find_key(word);  // "tubifex worm" does not make Tubifex a plain word
        if (!word.empty() && (key == nullptr || key->how == NameMatch::kCommonName))
          common_words_.push_back(common_form(word));
      }
    }
  std::sort(common_words_.begin(), common_words_.end());
  common_words_.erase(std::unique(common_words_.begin(), common_words_.end()), common_words_.end());
}

void Checklist::index_species(std::string_view csv, const std::string& file_name) {
  const Table table = read_csv(csv, file_name);
  const std::size_t name = column(table, "name");
  column(table, "source_key");
  for (const TableRow& row : table.rows) {
    const std::string where = file_name + ", line " + std::to_string(row.line);
    if (!row.issue.empty()) throw Error(ErrorCode::kBadInput, row.issue, where);
    const std::vector<std::string> words = split(row.cells[name], ' ');
    if (words.size() != 2 || find_genus(words[0]) == nullptr)
      throw Error(ErrorCode::kBadInput,
                  "\"" + row.cells[name] + "\" is no species of a listed genus; write genus and epithet",
                  where);
    species_.push_back(row.cells[name]);
  }
}

void Checklist::index_proposals(std::span<const NameUse> uses) {
  std::vector<Proposals::Form> forms;
  std::vector<std::size_t> records(entries_.size(), 0);
  for (std::uint32_t i = 0; i < entries_.size(); ++i) {
    forms.push_back({entries_[i].name, i, NameMatch::kAccepted});
    for (const std::string& name : entries_[i].synonyms) forms.push_back({name, i, NameMatch::kSynonym});
    for (const std::string& name : entries_[i].common_names)
      forms.push_back({name, i, NameMatch::kCommonName});
  }
  std::vector<std::string> species = species_;
  for (const NameUse& use : uses) {
    if (const Key* key = find_written(use.name)) {
      records[key->entry] += use.records;
    } else if (const std::vector<std::string> words = split(use.name, ' ');
               words.size() > 1 && find_genus(words[0]) != nullptr) {
      records[find_genus(words[0])->entry] += use.records;
      species.push_back(use.name);
    }
  }
  std::sort(species.begin(), species.end());
  species.erase(std::unique(species.begin(), species.end()), species.end());
  for (const std::string& name : species)
    forms.push_back({name, find_genus(split(name, ' ').front())->entry, NameMatch::kGenusOfBinomial});
  proposals_ = std::make_shared<const Proposals>(entries_, std::move(forms), std::move(records));
}

const Checklist& checklist() {
  static const Checklist shipped = Checklist::from_csv(
      reference_file("taxa.csv"), "taxa.csv", reference_file("common_species.csv"), "common_species.csv");
  return shipped;
}

}  // namespace brookmark::core

// Why: names on field sheets are common names, old synonyms, half names and misspellings. Exact ways of being
// the same name match; anything fuzzier is only proposed, with its distance, and a person decides.
// Use: NameResult r = checklist().match("Baetis rhodani");  // genus known: taxon row under Baetis
//
// What counts as the same name, in this order (each a fixed rule, none a likeness):
// 1. accepted name or synonym, whatever its case, accents, points, underscores and spacing;
// 2. a common name, also in the plural (leeches, mayflies, boatmen, lice) and with or without hyphens, apostrophes
//    and spaces (black-fly, blackfly); a family's English short form counts as one (Chironomidae: chironomid);
// 3. either of these after leading articles, qualifiers and life stages ("a", "sp.", "cf.", "?", "larvae") are taken
//    off; qualifiers and stage are kept;
// 4. an accepted name or synonym after an authority with its year is taken off ("Baetis Leach, 1815"), where what is
//    dropped has an authority's shape and holds no other name;
// 5. a listed genus and a species epithet, with or without authority.
// A name with a word such as none, missing, dead, shells or eggs is none of these unless rule 1 or 2 holds: it may
// say that the animal was not there, so it stays unlisted.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/survey/types.hpp"

namespace brookmark::core {

struct ChecklistEntry {
  std::string name;  // accepted
  Rank rank = Rank::kInformal;
  std::string parent;  // accepted name, empty at the top
  std::vector<std::string> synonyms;
  std::vector<std::string> common_names;
  std::string source_key;
};

struct NameProposal {
  std::string name;        // accepted name proposed
  std::string matched_on;  // the name, synonym or common name that came near
  std::size_t distance;    // edit distance between folded names
  double score;            // 1 - distance / longer length
};

// What became of one name as written. `lineage` holds the taxon first, then its parents up to the top, ready
// to store.
struct NameResult {
  NameMatch match = NameMatch::kNone;
  std::vector<Taxon>
      lineage;            // never empty; an unlisted name gives one unlisted Taxon (plus parents if placed)
  std::string qualifier;  // "sp.", "cf.", "maybe" as written, in their order
  LifeStage stage = LifeStage::kUnknown;  // "adult" in "adult beetle"
  bool several_stages = false;            // the name says more than one; `stage` is then unknown
  std::string absence_word;             // "none" in "Gammarus none": why the name stays unlisted; else empty
  std::vector<NameProposal> proposals;  // only for an unlisted name: nearest first, at most three
};

class Checklist {
 public:
  // Rows of taxa.csv: name,rank,parent,synonyms,common_names,source_key (lists separated by '|'); further
  // columns are for readers. Throws Error(kBadInput) on an unknown parent, a cycle, or a name that leads to
  // two taxa.
  static Checklist from_csv(std::string_view csv, const std::string& file_name);

  const std::vector<ChecklistEntry>& entries() const { return entries_; }
  const ChecklistEntry* find(std::string_view accepted_or_other_name) const;  // rules 1 and 2

  // `higher_taxa`: order, family, genus as the file gives them (Darwin Core columns), nearest rank first;
  // used only to place a name that is not listed itself. Throws Error(kBadInput) for a name without a single
  // letter or sign.
  NameResult match(std::string_view verbatim, std::span<const std::string> higher_taxa = {}) const;
  // True where both are listed and neither lies within the other: Baetis and "Heptageniidae".
  bool contradicts(const NameResult& result, std::string_view higher_taxon) const;
  // Listed names within an edit distance of a third of the name's length, nearest first, one a taxon.
  std::vector<NameProposal> propose(std::string_view verbatim, std::size_t most = 3) const;

 private:
  struct Key {
    std::string folded;  // a folded name, or for kCommonName its common form
    std::uint32_t entry;
    NameMatch how;
  };
  struct WrittenForm {
    std::string folded, text;
    std::uint32_t entry;
    NameMatch how;
  };

  void read_rows(std::string_view csv, const std::string& file_name);
  void index_names(const std::string& file_name);
  void index_parents(const std::string& file_name);
  std::string place_of(std::uint32_t entry, const std::string& file_name) const;
  const Key* find_key(std::string_view folded) const;
  const Key* find_written(std::string_view text) const;
  const Key* find_genus(std::string_view word) const;
  const Key* find_under_authority(const std::vector<std::string>& words) const;
  bool may_drop(std::span<const std::string> authority) const;
  bool is_common_word(std::string_view word) const;
  void index_common_words();
  void append_lineage(std::uint32_t entry, std::vector<Taxon>& lineage) const;
  std::optional<NameResult> match_species(const std::vector<std::string>& words,
                                          const std::string& tag) const;
  void propose_among(const std::string& folded, bool genera_only, std::vector<NameProposal>& found) const;

  std::vector<ChecklistEntry> entries_;
  std::vector<std::size_t> lines_;          // of entries_ in the file
  std::vector<std::uint32_t> parents_;      // of entries_; itself at the top
  std::vector<Key> keys_;                   // sorted by folded
  std::vector<std::string> common_words_;   // of common names, in the singular, sorted
  std::vector<WrittenForm> written_forms_;  // every name as the file writes it, for proposals
};

// True for a cell that names no animal but says that there was none: "none", "not found", "no animals", "n/a", "-".
bool says_nothing_found(std::string_view verbatim);

// The checklist that comes with the program (core/reference/taxa.csv).
const Checklist& checklist();

}  // namespace brookmark::core

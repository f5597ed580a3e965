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
#include <memory>
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

// Why a name is proposed; the first kinds stand before the later ones.
enum class ProposalKind : std::uint8_t {
  kSame,  // the same name by the rules above
  kStart,  // what was written is the start of it, from three letters on, or shortens it word by word ("Baet. rhod.")
  kWord,      // one word fits alone: "skater" of a common name, the genus of "Baet. ignotus"
  kSpelling,  // it is spelt nearly so
};
const char* proposal_kind_name(ProposalKind kind);  // "same", "start", "word", "spelling"

// Order: by kind. Starts and words: the name with more records in the survey first, then synonyms after all others, then
// scientific names before common ones and the higher rank before the lower, then fewer missing letters, then the
// alphabet. Spellings: by score, then by records, synonyms, distance and alphabet. Never more than one a taxon.
struct NameProposal {
  std::string name;  // accepted name proposed
  Rank rank = Rank::kInformal;
  std::string matched_on;  // the name, synonym, common name or species that came near
  ProposalKind kind = ProposalKind::kSpelling;
  // Spellings: letters put in, left out, replaced or swapped, at most a third of what was written. Starts and words:
  // letters that are missing.
  std::size_t distance = 0;
  // Spellings: 1 - slips / letters of the longer, where a slip that people make often (a letter doubled, y for i, f for
  // ph, two swapped, a key beside it) counts about a half of another. Starts and words: the share of the name that was
  // written. No probability.
  double score = 0;
  std::size_t records = 0;  // of the survey, in a checklist that knows one
};

// A name that a survey has already, with its records; see Checklist::known_in.
struct NameUse {
  std::string name;
  std::size_t records = 0;
};

// How sure the name is, by its words; without a number, since nobody gave one.
enum class NameDoubt : std::uint8_t {
  kNone,
  kCompare,   // cf.
  kAffinity,  // aff., nr.
  kUnsure     // ?, maybe, probably
};
const char* name_doubt_name(NameDoubt doubt);  // "", "compare with (cf.)", "near to (aff.)", "unsure"

// How far the name goes, by its words.
enum class NameExtent : std::uint8_t {
  kAsNamed,
  kOneSpecies,      // sp.
  kSeveralSpecies,  // spp.
  kUndetermined,    // indet.
  kSpeciesGroup     // agg., gr.
};
const char* name_extent_name(
    NameExtent extent);  // "", "one species", "several species", "not determined further", ...

// What became of one name as written. `lineage` holds the taxon first, then its parents up to the top, ready
// to store.
struct NameResult {
  NameMatch match = NameMatch::kNone;
  std::vector<Taxon>
      lineage;            // never empty; an unlisted name gives one unlisted Taxon (plus parents if placed)
  std::string qualifier;  // "sp.", "cf.", "maybe" as written, in their order
  NameDoubt doubt = NameDoubt::kNone;  // the gravest that the qualifier holds
  std::optional<Rank>
      doubted;  // from which rank down: species for "Baetis cf. rhodani", genus for "cf. Baetis"
  NameExtent extent = NameExtent::kAsNamed;
  LifeStage stage = LifeStage::kUnknown;  // "adult" in "adult beetle"
  bool several_stages = false;            // the name says more than one; `stage` is then unknown
  std::string absence_word;  // "none" in "Gammarus none": why the name stays unlisted; else empty
  // For an unlisted name, at most three; for a species of a listed genus, well-known species that are spelt nearly so.
  std::vector<NameProposal> proposals;
};

class Proposals;

class Checklist {
 public:
  // Rows of taxa.csv: name,rank,parent,synonyms,common_names,source_key (lists separated by '|'); further
  // columns are for readers. Throws Error(kBadInput) on an unknown parent, a cycle, or a name that leads to
  // two taxa.
  // `species_csv`: rows name,source_key of well-known species of listed genera; they are only proposed, never matched.
  static Checklist from_csv(std::string_view csv, const std::string& file_name,
                            std::string_view species_csv = {}, const std::string& species_file = {});
  // The same checklist, whose proposals know what a survey names already: its names come first where several fit, and
  // species of listed genera that it has are proposed as well. Other names are passed over.
  Checklist known_in(std::span<const NameUse> uses) const;

  const std::vector<ChecklistEntry>& entries() const { return entries_; }
  const ChecklistEntry* find(std::string_view accepted_or_other_name) const;  // rules 1 and 2

  // `higher_taxa`: order, family, genus as the file gives them (Darwin Core columns), nearest rank first;
  // used only to place a name that is not listed itself. Throws Error(kBadInput) for a name without a single
  // letter or sign.
  NameResult match(std::string_view verbatim, std::span<const std::string> higher_taxa = {}) const;
  // True where both are listed and neither lies within the other: Baetis and "Heptageniidae".
  bool contradicts(const NameResult& result, std::string_view higher_taxon) const;
  // What a half, shortened or misspelt name may mean, best first; nothing of it is ever taken by itself.
  std::vector<NameProposal> propose(std::string_view verbatim, std::size_t most = 3) const;

 private:
  struct Key {
    std::string folded;  // a folded name, or for kCommonName its common form
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
  std::vector<NameProposal> near_species(const std::string& species, const std::string& genus) const;
  void index_species(std::string_view csv, const std::string& file_name);
  void index_proposals(std::span<const NameUse> uses);

  std::vector<ChecklistEntry> entries_;
  std::vector<std::size_t> lines_;         // of entries_ in the file
  std::vector<std::uint32_t> parents_;     // of entries_; itself at the top
  std::vector<Key> keys_;                  // sorted by folded
  std::vector<std::string> common_words_;  // of common names, in the singular, sorted
  std::vector<std::string> species_;       // for proposals only
  std::shared_ptr<const Proposals> proposals_;
};

// True for a cell that names no animal but says that there was none: "none", "not found", "no animals", "n/a", "-".
bool says_nothing_found(std::string_view verbatim);

// The checklist that comes with the program (core/reference/taxa.csv).
const Checklist& checklist();

}  // namespace brookmark::core

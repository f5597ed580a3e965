// Why: what a half, shortened or misspelt name may mean, ranked. Held apart from the checklist's exact rules, so that
// nothing of it can ever match a name by itself. Private to core/taxa; others ask Checklist::propose.
// Use: const Proposals proposals(entries, forms, {});  proposals.of("Gamarus", 3);
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/taxa/checklist.hpp"
#include "core/taxa/trigram_index_internal.hpp"

namespace brookmark::core {

class Proposals {
 public:
  // A name under which an entry may be looked for, as written.
  struct Form {
    std::string text;
    std::uint32_t entry;
    NameMatch how;  // kGenusOfBinomial: a species of the entry's genus
  };

  // `records`: how often a survey names each entry; empty where there is no survey.
  Proposals(const std::vector<ChecklistEntry>& entries, std::vector<Form> forms,
            std::vector<std::size_t> records);

  std::vector<NameProposal> of(std::string_view verbatim, std::size_t most) const;

 private:
  struct Found;
  struct Asked;
  void find_starts(const Asked& asked, std::vector<Found>& found) const;
  void find_spellings(std::string_view folded, bool genera_only, std::vector<Found>& found) const;
  bool comes_first(const Found& a, const Found& b) const;

  struct Target {
    std::string name;
    Rank rank;
  };
  std::vector<Target> targets_;       // by entry
  std::vector<std::size_t> records_;  // by entry
  std::vector<Form> forms_;
  std::vector<std::string> folded_;  // of forms_
  std::vector<std::string>
      squeezed_;  // folded, without spaces and hyphens: how the start of a name is compared
  std::vector<std::string>
      compared_;        // how a spelling is compared: a common name in its common form, others folded
  TrigramIndex index_;  // of compared_
};

}  // namespace brookmark::core

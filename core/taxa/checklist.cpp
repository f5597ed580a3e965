// Matching one name as written. The rules are listed in the header.
#include "core/taxa/checklist.hpp"

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/taxa/authority_internal.hpp"
#include "core/taxa/name_words_internal.hpp"
#include "core/taxa/proposals_internal.hpp"
#include "core/taxa/written_name_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::size_t kMostProposals = 3;

Taxon own_taxon(const std::string& name, Rank rank, std::string parent_key) {
  return {"own:" + fold_name(name), name, rank, std::move(parent_key), false};
}

std::string listed_key(const ChecklistEntry& entry) {
  return "checklist:" + entry.name;
}

// A species epithet by form: three or more letters and hyphens, not without a vowel. Which words are epithets nobody
// can list.
bool has_epithet_form(std::string_view word) {
  const std::string folded = fold_name(word);
  return folded.size() > 2 && !is_no_epithet(folded) && folded.find_first_of("aeiou") != std::string::npos &&
         std::all_of(folded.begin(), folded.end(), [](char c) { return (c >= 'a' && c <= 'z') || c == '-'; });
}

std::string capitalised(std::string word) {
  word = to_lower_ascii(word);
  if (!word.empty() && word[0] >= 'a' && word[0] <= 'z') word[0] = static_cast<char>(word[0] - 'a' + 'A');
  return word;
}

}  // namespace

const Checklist::Key* Checklist::find_key(std::string_view folded) const {
  const auto found =
      std::lower_bound(keys_.begin(), keys_.end(), folded,
                       [](const Key& key, std::string_view text) { return key.folded < text; });
  return found != keys_.end() && found->folded == folded ? &*found : nullptr;
}

const Checklist::Key* Checklist::find_written(std::string_view text) const {
  const std::string folded = fold_name(text);
  if (folded.empty()) return nullptr;
  if (const Key* key = find_key(folded)) return key;
  const std::string form = common_form(folded);
  const Key* const end = keys_.data() + keys_.size();
  for (const Key* key = find_key(form); key != nullptr && key != end && key->folded == form; ++key)
    if (key->how == NameMatch::kCommonName) return key;
  return nullptr;
}

const Checklist::Key* Checklist::find_genus(std::string_view word) const {
  const Key* key = find_key(fold_name(word));
  const bool is_genus =
      key != nullptr && key->how != NameMatch::kCommonName && entries_[key->entry].rank == Rank::kGenus;
  return is_genus ? key : nullptr;
}

bool Checklist::is_common_word(std::string_view word) const {
  return std::binary_search(common_words_.begin(), common_words_.end(),
                            common_form(fold_name(bare_word(word))));
}

// No word of it may name an animal of its own, listed or by its ending.
bool Checklist::may_drop(std::span<const std::string> authority) const {
  return std::none_of(authority.begin(), authority.end(), [&](const std::string& word) {
    const std::string folded = fold_name(bare_word(word));
    return find_written(folded) != nullptr || is_common_word(folded) || folded.ends_with("idae") ||
           folded.ends_with("inae") || folded.ends_with("ptera");
  });
}

const Checklist::Key* Checklist::find_under_authority(const std::vector<std::string>& words) const {
  for (std::size_t i = 1; i < words.size(); ++i) {
    const auto rest = std::span(words).subspan(i);
    if (!is_authority(rest, true) || !may_drop(rest)) continue;
    const Key* key =
        find_key(fold_name(join_words({words.begin(), words.begin() + static_cast<std::ptrdiff_t>(i)})));
    if (key != nullptr && key->how != NameMatch::kCommonName) return key;
  }
  return nullptr;
}

bool Checklist::contradicts(const NameResult& result, std::string_view higher_taxon) const {
  const Key* higher = find_key(fold_name(higher_taxon));
  if (higher == nullptr || higher->how == NameMatch::kCommonName) return false;
  const auto is_in = [](const std::string& key, const std::vector<Taxon>& lineage) {
    return std::any_of(lineage.begin(), lineage.end(), [&](const Taxon& taxon) { return taxon.key == key; });
  };
  const auto nearest = std::find_if(result.lineage.begin(), result.lineage.end(),
                                    [](const Taxon& taxon) { return taxon.listed; });
  if (nearest == result.lineage.end()) return false;
  std::vector<Taxon> above;
  append_lineage(higher->entry, above);
  return !is_in(listed_key(entries_[higher->entry]), result.lineage) && !is_in(nearest->key, above);
}

const ChecklistEntry* Checklist::find(std::string_view accepted_or_other_name) const {
  const Key* key = find_written(accepted_or_other_name);
  return key == nullptr ? nullptr : &entries_[key->entry];
}

void Checklist::append_lineage(std::uint32_t entry, std::vector<Taxon>& lineage) const {
  for (;; entry = parents_[entry]) {
    const ChecklistEntry& taxon = entries_[entry];
    const bool top = parents_[entry] == entry;
    lineage.push_back({listed_key(taxon), taxon.name, taxon.rank,
                       top ? std::string() : listed_key(entries_[parents_[entry]]), true});
    if (top) return;
  }
}

// "Baetis rhodani", "Baetis (Baetis) rhodani", "BAETIS RHODANI", "Baetis rhodani Pictet", "Baetis sp. A".
std::optional<NameResult> Checklist::match_species(const std::vector<std::string>& words,
                                                   const std::string& tag) const {
  if (words.empty()) return std::nullopt;
  NameResult result;
  if (!tag.empty()) {
    const Key* key = words.size() == 1 ? find_key(fold_name(words[0])) : nullptr;
    if (key == nullptr || key->how == NameMatch::kCommonName) return std::nullopt;
    const ChecklistEntry& above = entries_[key->entry];
    result.match = above.rank == Rank::kGenus ? NameMatch::kGenusOfBinomial : NameMatch::kHigherTaxon;
    result.lineage.push_back(
        own_taxon(capitalised(words[0]) + " sp. " + tag, Rank::kSpecies, listed_key(above)));
    append_lineage(key->entry, result.lineage);
    return result;
  }
  const Key* genus = find_genus(words[0]);
  if (genus == nullptr) return std::nullopt;
  std::size_t at = 1;
  if (at + 1 < words.size() && words[at].front() == '(' && words[at].back() == ')') ++at;  // subgenus
  if (at >= words.size() || !has_epithet_form(words[at])) return std::nullopt;
  std::string name = capitalised(words[0]) + " " + to_lower_ascii(words[at]);
  // "Gammarus freshwater shrimp" and "Baetis Caenis" are no species.
  const auto is_another_name = [&](const std::string& word) {
    const Key* key = find_written(word);
    return is_common_word(word) || (key != nullptr && key->entry != genus->entry);
  };
  const std::vector<std::string> rest(words.begin() + static_cast<std::ptrdiff_t>(at), words.end());
  if (is_another_name(words[at]) || is_another_name(join_words(rest))) return std::nullopt;
  const std::size_t first_epithet = at;
  for (++at; at < words.size() && !starts_authority(words[at]); ++at) {
    const bool subspecies =
        at == first_epithet + 1 && has_epithet_form(words[at]) && !is_another_name(words[at]);
    if (!subspecies) return std::nullopt;
    name += " " + to_lower_ascii(words[at]);
  }
  const auto authority = std::span(words).subspan(at);
  if (!authority.empty() && (!is_authority(authority, false) || !may_drop(authority))) return std::nullopt;
  result.match = NameMatch::kGenusOfBinomial;
  result.lineage.push_back(own_taxon(name, Rank::kSpecies, listed_key(entries_[genus->entry])));
  append_lineage(genus->entry, result.lineage);
  return result;
}

NameResult Checklist::match(std::string_view verbatim, std::span<const std::string> higher_taxa) const {
  if (fold_name(verbatim).empty())
    throw Error(ErrorCode::kBadInput,
                "the name of the animal is empty; write what was found, or take the record out");
  NameResult result;
  const auto listed = [&](const Key& key) {
    result.match = key.how;
    append_lineage(key.entry, result.lineage);
    if (result.doubt != NameDoubt::kNone) result.doubted = result.lineage.front().rank;
    return result;
  };
  if (const Key* key = find_written(verbatim)) return listed(*key);
  const WrittenName written = read_written_name(verbatim);
  result.qualifier = written.qualifier;
  result.stage = written.stage;
  result.several_stages = written.several_stages;
  result.doubt = written.doubt;
  result.extent = written.extent;
  if (written.species_tag.empty())
    if (const Key* key = find_written(join_words(written.words))) return listed(*key);
  const std::vector<std::string> plain = plain_words(join_words(written.words));
  if (const auto absence = std::find_if(plain.begin(), plain.end(), is_absence_word);
      absence != plain.end()) {
    result.absence_word = *absence;
    result.lineage.push_back(own_taxon(std::string(trim(verbatim)), Rank::kInformal, {}));
    result.proposals = propose(verbatim, kMostProposals);
    std::erase_if(result.proposals, [](const NameProposal& proposal) { return proposal.distance == 0; });
    return result;
  }
  if (written.species_tag.empty())
    if (const Key* key = find_under_authority(written.words)) return listed(*key);
  if (auto species = match_species(written.words, written.species_tag)) {
    result.match = species->match;
    result.lineage = std::move(species->lineage);
    if (result.doubt != NameDoubt::kNone)
      result.doubted = written.doubted_word == 0 ? result.lineage[1].rank : result.lineage[0].rank;
    if (written.species_tag.empty())
      result.proposals = near_species(result.lineage[0].name, result.lineage[1].name);
    return result;
  }
  std::string name = join_words(written.words);
  if (!written.species_tag.empty()) name += " sp. " + written.species_tag;
  if (fold_name(name).empty()) name = trim(verbatim);  // nothing but qualifiers: "larvae", "indet."
  result.lineage.push_back(own_taxon(name, Rank::kInformal, {}));
  for (const std::string& higher : higher_taxa) {
    const Key* key = find_key(fold_name(higher));
    if (key == nullptr || key->how == NameMatch::kCommonName) continue;
    result.match = NameMatch::kHigherTaxon;
    result.lineage.front().parent_key = listed_key(entries_[key->entry]);
    append_lineage(key->entry, result.lineage);
    break;
  }
  result.proposals = propose(verbatim, kMostProposals);
  return result;
}

// "Baetis rodhani" is taken as it is; that Baetis rhodani may be meant is said.
std::vector<NameProposal> Checklist::near_species(const std::string& species,
                                                  const std::string& genus) const {
  std::vector<NameProposal> near = propose(species, kMostProposals);
  const bool known = !near.empty() && near.front().kind == ProposalKind::kSame;
  std::erase_if(near, [&](const NameProposal& proposal) {
    return known || proposal.kind != ProposalKind::kSpelling || proposal.name != genus ||
           proposal.matched_on.find(' ') == std::string::npos;
  });
  return near;
}

std::vector<NameProposal> Checklist::propose(std::string_view verbatim, std::size_t most) const {
  return proposals_->of(verbatim, most);
}

}  // namespace brookmark::core

#include <algorithm>
#include <tuple>

#include "core/base/text.hpp"
#include "core/taxa/name_likeness_internal.hpp"
#include "core/taxa/proposals_internal.hpp"
#include "core/taxa/written_name_internal.hpp"

namespace brookmark::core {

namespace {

constexpr std::size_t kFewestLetters = 3;  // from which the start of a name is looked up

std::string squeezed(std::string_view folded) {
  std::string text;
  for (const char c : folded)
    if (c != ' ' && c != '-' && c != '\'') text += c;
  return text;
}

// "baet rhod" of "baetis rhodani": as many words, each the start of its fellow.
bool abbreviates(const std::vector<std::string>& words, std::string_view folded) {
  std::size_t at = 0;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (at > folded.size()) return false;
    const std::size_t end = std::min(folded.find(' ', at), folded.size());
    if (!folded.substr(at, end - at).starts_with(words[i])) return false;
    at = end + 1;
  }
  return at == folded.size() + 1;
}

double share(std::size_t part, std::size_t whole) {
  return static_cast<double>(part) / static_cast<double>(whole);
}

}  // namespace

struct Proposals::Asked {
  std::vector<std::string> words;  // folded, one a word
  std::string folded, squeezed, compared;
  bool first_is_cut = false;  // "Baet." before another word
};

struct Proposals::Found {
  std::uint32_t form;
  ProposalKind kind;
  std::size_t distance;
  double score;
};

Proposals::Proposals(const std::vector<ChecklistEntry>& entries, std::vector<Form> forms,
                     std::vector<std::size_t> records)
    : records_(std::move(records)), forms_(std::move(forms)) {
  records_.resize(entries.size(), 0);
  for (const ChecklistEntry& entry : entries) targets_.push_back({entry.name, entry.rank});
  for (const Form& form : forms_) {
    folded_.push_back(fold_name(form.text));
    squeezed_.push_back(squeezed(folded_.back()));
    compared_.push_back(form.how == NameMatch::kCommonName ? common_form(folded_.back()) : folded_.back());
  }
  index_ = TrigramIndex(compared_);
}

// The order that NameProposal describes.
bool Proposals::comes_first(const Found& a, const Found& b) const {
  const Form &form_a = forms_[a.form], &form_b = forms_[b.form];
  if (a.kind != b.kind) return a.kind < b.kind;
  if (a.kind == ProposalKind::kSpelling && a.score != b.score) return a.score > b.score;
  const std::size_t records_a = records_[form_a.entry], records_b = records_[form_b.entry];
  if (records_a != records_b) return records_a > records_b;
  const bool synonym_a = form_a.how == NameMatch::kSynonym, synonym_b = form_b.how == NameMatch::kSynonym;
  if (synonym_a != synonym_b) return synonym_b;
  // A common name's rank says little: "dragonflies and damselflies" is not what "dragonf" begins.
  const auto rank_of = [&](const Form& form) {
    const bool ranked = form.how != NameMatch::kCommonName && form.how != NameMatch::kGenusOfBinomial;
    return ranked ? targets_[form.entry].rank : Rank::kInformal;
  };
  const Target &target_a = targets_[form_a.entry], &target_b = targets_[form_b.entry];
  if (a.kind != ProposalKind::kSpelling && rank_of(form_a) != rank_of(form_b))
    return rank_of(form_a) > rank_of(form_b);
  return std::tie(a.distance, target_a.name, form_a.text) < std::tie(b.distance, target_b.name, form_b.text);
}

void Proposals::find_starts(const Asked& asked, std::vector<Found>& found) const {
  const bool long_enough = asked.squeezed.size() >= kFewestLetters;
  const bool several = asked.words.size() > 1;
  const bool cut_genus = several && asked.first_is_cut && asked.words[0].size() >= kFewestLetters;
  const std::string inside = " " + asked.folded;
  for (std::uint32_t f = 0; f < forms_.size(); ++f) {
    const std::string& folded = folded_[f];
    const bool common = forms_[f].how == NameMatch::kCommonName;
    const auto take = [&](ProposalKind kind, std::size_t letters) {
      const std::size_t whole = squeezed_[f].size();
      found.push_back({f, kind, whole - letters, share(letters, whole)});
    };
    if (folded == asked.folded || (common && compared_[f] == asked.compared)) {
      found.push_back({f, ProposalKind::kSame, 0, 1.0});
    } else if (long_enough && squeezed_[f].starts_with(asked.squeezed)) {
      take(ProposalKind::kStart, asked.squeezed.size());
    } else if (several && !asked.words[0].empty() && folded[0] == asked.words[0][0] &&
               abbreviates(asked.words, folded)) {
      take(ProposalKind::kStart, asked.squeezed.size());
    } else if (cut_genus && !common && targets_[forms_[f].entry].rank == Rank::kGenus &&
               folded.find(' ') == std::string::npos && folded.starts_with(asked.words[0])) {
      take(ProposalKind::kWord, asked.words[0].size());
    } else if (long_enough && common && folded.find(inside) != std::string::npos) {
      take(ProposalKind::kWord, asked.squeezed.size());
    }
  }
}

void Proposals::find_spellings(std::string_view text, bool genera_only, std::vector<Found>& found) const {
  const std::size_t limit = text.size() / 3;
  if (limit == 0 || text.size() > kLongestCompared) return;
  TrigramIndex::Scratch scratch;
  for (const std::uint32_t f : index_.candidates(text, scratch)) {
    if (genera_only &&
        (targets_[forms_[f].entry].rank != Rank::kGenus || forms_[f].how == NameMatch::kCommonName))
      continue;
    const std::string& name = compared_[f];
    // A genus spelt well is no misspelling of itself; its species may be one.
    if (const auto near = likeness(text, name, limit); near && !(genera_only && near->distance == 0))
      found.push_back(
          {f, ProposalKind::kSpelling, near->distance,
           std::max(0.0, 1.0 - near->slips / static_cast<double>(std::max(text.size(), name.size())))});
  }
}

std::vector<NameProposal> Proposals::of(std::string_view verbatim, std::size_t most) const {
  const std::vector<std::string> written = without_authority(read_written_name(verbatim).words);
  if (written.empty()) return {};
  Asked asked;
  asked.folded = fold_name(join_words(written));
  asked.squeezed = squeezed(asked.folded);
  asked.compared = common_form(asked.folded);
  asked.words = split(asked.folded, ' ');
  asked.first_is_cut = written.front().ends_with('.');
  std::vector<Found> found;
  find_starts(asked, found);
  find_spellings(asked.folded, false, found);
  if (asked.compared != asked.folded) find_spellings(asked.compared, false, found);
  // "Ecdyonorus venosus": no listed name may be near the whole, and one be near the genus.
  if (asked.words.size() > 1) find_spellings(asked.words[0], true, found);
  std::sort(found.begin(), found.end(), [this](const Found& a, const Found& b) { return comes_first(a, b); });
  std::vector<NameProposal> proposals;
  std::vector<std::uint32_t> taken;
  for (const Found& one : found) {
    if (proposals.size() == most) break;
    const Form& form = forms_[one.form];
    if (std::find(taken.begin(), taken.end(), form.entry) != taken.end()) continue;
    taken.push_back(form.entry);
    proposals.push_back({targets_[form.entry].name, targets_[form.entry].rank, form.text, one.kind,
                         one.distance, one.score, records_[form.entry]});
  }
  return proposals;
}

}  // namespace brookmark::core

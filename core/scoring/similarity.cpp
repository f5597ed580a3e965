#include "core/scoring/similarity.hpp"

#include <algorithm>
#include <map>

#include "core/scoring/diversity_words_internal.hpp"

namespace brookmark::core {

namespace {

struct Amount {
  TaxonIndex taxon;
  double animals = 0;  // of the whole catch
};

struct Catch {
  CountsGap gap = CountsGap::kNone;
  std::vector<Amount> amounts;
};

class Comparer {
 public:
  Comparer(const Snapshot& snapshot, std::optional<Rank> rank)
      : snapshot_(snapshot),
        level_(snapshot.taxa, rank),
        counter_(snapshot, level_),
        named_(snapshot.taxa.size()) {}

  SampleSimilarity compare(SampleIndex a, SampleIndex b) {
    const Catch& first = catch_of(a);
    const Catch& second = catch_of(b);
    SampleSimilarity pair{a, b, 0, 0, 0, std::nullopt, std::nullopt, ""};
    align(first, second);
    for (std::size_t i = 0; i < in_a_.size(); ++i) {
      const bool one = in_a_[i], other = in_b_[i];
      if (one) ++pair.taxa_a;
      if (other) ++pair.taxa_b;
      if (one && other) ++pair.shared;
    }
    const auto say = [&](const std::string& words) {
      pair.note.append(pair.note.empty() ? "" : "; ").append(words);
    };
    const auto judge = [&](SampleIndex sample, const Catch& what) {
      const std::string who(snapshot_.samples.code[sample.value()]);
      if (!gap_leaves_richness(what.gap)) {
        say("no value: " + who + ": " + gap_words(what.gap));
        return false;
      }
      if (what.gap != CountsGap::kNone) say("no Bray-Curtis: " + who + ": " + gap_words(what.gap));
      return true;
    };
    const bool a_known = judge(a, first);
    const bool b_known = a == b ? a_known : judge(b, second);
    if (!a_known || !b_known) return pair;
    pair.sorensen = sorensen_similarity(pair.taxa_a, pair.taxa_b, pair.shared);
    if (first.gap == CountsGap::kNone && second.gap == CountsGap::kNone)
      pair.bray_curtis = bray_curtis_similarity(amounts_a_, amounts_b_);
    if (coarsened_ != 0)
      say(std::to_string(coarsened_) + (coarsened_ == 1 ? " name" : " names") +
          " counted under a coarser one of the other sample");
    return pair;
  }

 private:
  const Catch& catch_of(SampleIndex sample) {
    const auto [at, is_new] = catches_.try_emplace(sample);
    if (!is_new) return at->second;
    counter_.read(sample.value());
    at->second.gap = counter_.gap();
    const double share = snapshot_.samples.subsample_share[sample.value()].value_or(1);
    for (std::size_t i = 0; i < counter_.taxa().size(); ++i)
      at->second.amounts.push_back({counter_.taxa()[i], static_cast<double>(counter_.counts()[i]) / share});
    // One order for all, so that sums do not depend on that of the records.
    std::sort(at->second.amounts.begin(), at->second.amounts.end(),
              [](const Amount& x, const Amount& y) { return x.taxon < y.taxon; });
    return at->second;
  }

  // The coarsest name of the pair that a taxon lies within, itself included.
  TaxonIndex counted_as(TaxonIndex taxon) const {
    if (level_.rank) return taxon;
    TaxonIndex as = taxon;
    for (TaxonIndex up = snapshot_.taxa.parent[taxon.value()]; up.has_value();
         up = snapshot_.taxa.parent[up.value()])
      if (named_[up.value()] == stamp_) as = up;
    return as;
  }

  void align(const Catch& first, const Catch& second) {
    ++stamp_;
    for (const Catch* what : {&first, &second})
      for (const Amount& amount : what->amounts) named_[amount.taxon.value()] = stamp_;
    std::map<TaxonIndex, std::size_t> slots;
    amounts_a_.clear(), amounts_b_.clear(), in_a_.clear(), in_b_.clear();
    coarsened_ = 0;
    const auto put = [&](const Catch& what, std::vector<double>& amounts, std::vector<bool>& present) {
      for (const Amount& amount : what.amounts) {
        const TaxonIndex as = counted_as(amount.taxon);
        if (as != amount.taxon) ++coarsened_;
        const auto [slot, is_new] = slots.try_emplace(as, amounts_a_.size());
        if (is_new) {
          amounts_a_.push_back(0), amounts_b_.push_back(0);
          in_a_.push_back(false), in_b_.push_back(false);
        }
        amounts[slot->second] += amount.animals;
        present[slot->second] = true;
      }
    };
    put(first, amounts_a_, in_a_);
    put(second, amounts_b_, in_b_);
  }

  const Snapshot& snapshot_;
  TaxonLevel level_;
  TaxonCounter counter_;
  std::map<SampleIndex, Catch> catches_;
  std::uint32_t stamp_ = 0;
  std::vector<std::uint32_t> named_;
  std::vector<double> amounts_a_, amounts_b_;
  std::vector<bool> in_a_, in_b_;
  std::size_t coarsened_ = 0;
};

}  // namespace

std::optional<double> bray_curtis_similarity(std::span<const double> a, std::span<const double> b) {
  double common = 0, all = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    common += std::min(a[i], b[i]);
    all += a[i] + b[i];
  }
  if (all == 0) return std::nullopt;
  return std::min(1.0, 2 * common / all);
}

std::optional<double> sorensen_similarity(std::size_t taxa_a, std::size_t taxa_b, std::size_t shared) {
  if (taxa_a + taxa_b == 0) return std::nullopt;
  return 2 * static_cast<double>(shared) / static_cast<double>(taxa_a + taxa_b);
}

std::vector<SampleSimilarity> similarity_of(const Snapshot& snapshot,
                                            std::span<const std::pair<SampleIndex, SampleIndex>> pairs,
                                            std::optional<Rank> rank) {
  Comparer comparer(snapshot, rank);
  std::vector<SampleSimilarity> answers;
  answers.reserve(pairs.size());
  for (const auto& [a, b] : pairs) answers.push_back(comparer.compare(a, b));
  return answers;
}

std::vector<std::pair<SampleIndex, SampleIndex>> sample_pairs(const Snapshot& snapshot,
                                                              std::optional<SiteIndex> site, Date until) {
  std::vector<SampleIndex> samples;
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i)
    if (snapshot.samples.kind[i] != SampleKind::kBlank && snapshot.samples.date[i] <= until &&
        (!site || snapshot.samples.site[i] == *site))
      samples.emplace_back(i);
  std::vector<std::pair<SampleIndex, SampleIndex>> pairs;
  for (std::size_t i = 0; i < samples.size(); ++i)
    for (std::size_t j = i + 1; j < samples.size(); ++j) pairs.emplace_back(samples[i], samples[j]);
  return pairs;
}

}  // namespace brookmark::core

// Shares: how much of what was found lies inside a set, by taxa or by animals, and how much is of one taxon.
// A name too coarse to say whether it belongs is left out on both sides; a share of nought is given only where every
// name says that it does not belong, as for a richness of nought.
#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

struct SampleScorer::Share {
  double in = 0, all = 0;  // taxa or animals, of what could be told
  std::size_t taxa = 0;    // distinct names that could be told
  bool left_out = false;   // some could not
  bool uncounted = false;  // a record that matters has no count
};

namespace {

// Whether an animal is part of what the share is of, and if so whether it is inside: kMaybe where either is open.
Belongs inside(Belongs base, Belongs set) {
  return base == Belongs::kYes ? set : Belongs::kMaybe;
}

}  // namespace

void SampleScorer::share_of_taxa(const SetPlan& plan, Share& share) {
  if (plan.as_named)
    for (std::size_t i = 0; i < distinct_; ++i) mark_names_above(touched_taxa_[i]);
  // At a level, a family with members on both sides is inside, and one that may have a member inside is left out.
  for (const Belongs wanted : {Belongs::kYes, Belongs::kMaybe, Belongs::kNo})
    for (std::size_t i = 0; i < distinct_; ++i) {
      const std::size_t t = touched_taxa_[i];
      const Belongs base = best_of(plan.in_base, t, taxa_[t].stages);
      if (base == Belongs::kNo || covered_[t] == set_stamp_) continue;
      const TaxonIndex as = plan.counted_as[t];
      const Belongs side =
          as.has_value() ? inside(base, best_of(plan.in_set, t, taxa_[t].stages)) : Belongs::kMaybe;
      if (side != wanted) continue;
      const bool is_new = !as.has_value() || counted_[as.value()] != set_stamp_;
      if (as.has_value()) counted_[as.value()] = set_stamp_;
      if (side == Belongs::kMaybe) {
        share.left_out = share.left_out || is_new;
        continue;
      }
      ++share.taxa;
      if (!is_new) continue;
      ++share.all;
      if (side == Belongs::kYes) ++share.in;
    }
}

void SampleScorer::share_of_animals(const SetPlan& plan, Share& share) const {
  for (std::size_t i = 0; i < distinct_; ++i) {
    const std::size_t t = touched_taxa_[i];
    bool told = false;
    for (std::size_t stage = 0; stage < kLifeStageCount; ++stage) {
      const std::size_t at = t * kLifeStageCount + stage;
      if ((taxa_[t].stages >> stage & 1U) == 0 || plan.in_base[at] == Belongs::kNo) continue;
      const Belongs side = inside(plan.in_base[at], plan.in_set[at]);
      if (side == Belongs::kMaybe) {
        share.left_out = true;
        continue;
      }
      told = true;
      if ((taxa_[t].uncounted >> stage & 1U) != 0) share.uncounted = true;
      share.all += animals_[at];
      if (side == Belongs::kYes) share.in += animals_[at];
    }
    if (told) ++share.taxa;
  }
}

// Here the set is what the share is of. A name coarser than the level stands for itself.
void SampleScorer::share_of_commonest(const SetPlan& plan, Share& share) {
  for (std::size_t i = 0; i < distinct_; ++i) {
    const std::size_t t = touched_taxa_[i];
    const std::size_t as = plan.counted_as[t].has_value() ? plan.counted_as[t].value() : t;
    bool told = false;
    for (std::size_t stage = 0; stage < kLifeStageCount; ++stage) {
      const std::size_t at = t * kLifeStageCount + stage;
      if ((taxa_[t].stages >> stage & 1U) == 0 || plan.in_set[at] == Belongs::kNo) continue;
      if (plan.in_set[at] == Belongs::kMaybe) {
        share.left_out = true;
        continue;
      }
      told = true;
      if ((taxa_[t].uncounted >> stage & 1U) != 0) share.uncounted = true;
      if (counted_[as] != set_stamp_) {
        counted_[as] = set_stamp_;
        group_animals_[as] = 0;
      }
      group_animals_[as] += animals_[at];
      share.all += animals_[at];
      share.in = std::max(share.in, group_animals_[as]);
    }
    if (told) ++share.taxa;
  }
}

void SampleScorer::score_share(const Metric& metric, const SetPlan& plan, SampleScore& score) {
  ++set_stamp_;
  Share share;
  if (metric.formula == FormulaKind::kTaxaShare)
    share_of_taxa(plan, share);
  else if (metric.formula == FormulaKind::kAnimalShare)
    share_of_animals(plan, share);
  else
    share_of_commonest(plan, share);

  score.scoring_taxa = static_cast<std::uint16_t>(std::min<std::size_t>(share.taxa, UINT16_MAX));
  score.unscored_taxa =
      static_cast<std::uint16_t>(std::min<std::size_t>(distinct_ - share.taxa + doubted_, UINT16_MAX));
  if ((score.reasons & kNothingToScore) != 0) return;
  bool doubt = false;
  for (std::size_t i = 0; i < doubted_; ++i) {
    const std::size_t t = doubted_taxa_[i];
    const std::uint8_t stages = taxa_[t].doubted_stages;
    doubt = doubt || (best_of(plan.in_base, t, stages) != Belongs::kNo &&
                      best_of(plan.in_set, t, stages) != Belongs::kNo);
  }
  if (share.all == 0 || (share.in == 0 && (share.left_out || doubt))) {
    score.reasons |= share.uncounted ? bit(ScopeReason::kNeedsCounts)
                     : doubt         ? bit(ScopeReason::kTooUncertain)
                                     : bit(ScopeReason::kNoScoringTaxa);
    return;
  }
  if (share.uncounted) {
    score.reasons |= bit(ScopeReason::kNeedsCounts);
    return;
  }
  if (share.left_out) score.reasons |= bit(ScopeReason::kSomeLeftOut);
  score.value = 100 * share.in / share.all;
  score.has_value = true;
}

}  // namespace brookmark::core

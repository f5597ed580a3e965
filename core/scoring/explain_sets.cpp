// The story of records under a metric over a set: a richness, a share, the commonest taxon.
#include <algorithm>

#include "core/scoring/explain_internal.hpp"

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

std::string plural(Rank rank) {
  switch (rank) {
    case Rank::kFamily:
      return "families";
    case Rank::kGenus:
      return "genera";
    case Rank::kSpecies:
      return "species";
    case Rank::kClass:
      return "classes";
    case Rank::kPhylum:
      return "phyla";
    default:
      return std::string(rank_name(rank)) + "s";
  }
}

// A set in words: "Ephemeroptera, Plecoptera or those marked sensitive".
std::string set_words(const std::vector<std::string>& set) {
  std::vector<std::string> parts;
  for (const std::string& part : set) {
    const std::string_view trait = trait_in_set(part);
    parts.push_back(trait.empty() ? part : "those marked " + in_quotes(trait));
  }
  return listed(parts, "or");
}

}  // namespace

SetExplainer::SetExplainer(const SampleStory& story)
    : story_(story), plan_(story.compiled.sets[story.metric_index]) {
  if (story.metric.formula != FormulaKind::kDominance) return;
  std::vector<std::size_t> in_order;
  for (std::size_t r = story.begin(); r < story.end(); ++r) {
    if (!story.is_there(r) || side(r) != Belongs::kYes) continue;
    const std::size_t t = story.taxon(r);
    const std::size_t as = plan_.counted_as[t].has_value() ? plan_.counted_as[t].value() : t;
    const auto [at, is_new] = animals_of_.try_emplace(as, 0);
    if (is_new) in_order.push_back(as);
    if (story.snapshot.records.quantity[r] == QuantityKind::kCount)
      at->second = add_capped(at->second, story.snapshot.records.count_min[r]);
  }
  for (const std::size_t as : in_order)
    if (!commonest_ || animals_of_[as] > animals_of_[*commonest_]) commonest_ = as;
}

void SetExplainer::explain(std::size_t r, RecordPart& part) {
  switch (story_.metric.formula) {
    case FormulaKind::kTaxaShare:
      return explain_taxa_share(r, part);
    case FormulaKind::kAnimalShare:
      return explain_animal_share(r, part);
    case FormulaKind::kDominance:
      return explain_dominance(r, part);
    default:
      return explain_richness(r, part);
  }
}

// Of the record by itself, at the stage that it gives.
Belongs SetExplainer::side(std::size_t r) const {
  return plan_
      .in_set[story_.taxon(r) * kLifeStageCount + static_cast<std::size_t>(story_.snapshot.records.stage[r])];
}

// The method's source, and that of the trait that put the animal inside.
void SetExplainer::take_source(std::size_t r, RecordPart& part) const {
  part.confirmed = story_.method.confirmed;
  part.source = source_text(story_.method.source_key, story_.method.source_detail);
  const TaxonColumns& taxa = story_.snapshot.taxa;
  TaxonIndex at(story_.taxon(r));
  while (at.has_value() && !taxa.listed[at.value()]) at = taxa.parent[at.value()];
  if (!at.has_value()) return;
  for (const std::string& part_of_set : story_.metric.set) {
    const std::string_view trait = trait_in_set(part_of_set);
    if (trait.empty()) continue;
    const TraitAnswer answer = traits().of(trait, taxa.name[at.value()], story_.snapshot.records.stage[r]);
    if (answer.row == nullptr || answer.has == Belongs::kNo) continue;
    part.confirmed = std::max(part.confirmed, answer.row->confirmed);
    part.source +=
        "; " + in_quotes(trait) + ": " + source_text(answer.row->source_key, answer.row->source_detail);
  }
}

bool SetExplainer::count_once(std::size_t r, std::size_t as, RecordPart& part) {
  part.unit = story_.name(as);
  take_source(r, part);
  if (plan_.as_named)
    if (const std::optional<std::size_t> finer = finer_record(story_.taxon(r))) {
      part.why = "A finer name within it, " + in_quotes(story_.verbatim(*finer)) +
                 ", is in the sample and counts instead.";
      return false;
    }
  const auto [first, is_first] = first_of_taxon_.try_emplace(as, r);
  if (is_first) return true;
  part.why = "Already counted: " + part.unit + " counts once in a sample, here through " +
             in_quotes(story_.verbatim(first->second)) + ".";
  return false;
}

void SetExplainer::explain_richness(std::size_t r, RecordPart& part) {
  const TaxonIndex as = plan_.counted_as[story_.taxon(r)];
  if (side(r) != Belongs::kYes || !as.has_value()) {
    part.why = story_.metric.level ? too_coarse_for_level(r) : outside_set(r);
    return;
  }
  if (!count_once(r, as.value(), part)) return;
  part.value = 1;
  part.weight = 1;
  part.contributes = true;
  part.why = story_.metric.level
                 ? "Counts as the " + std::string(rank_name(*story_.metric.level)) + " " + part.unit + "."
                 : "Counts as a taxon of its own.";
}

void SetExplainer::leave_out(std::size_t r, RecordPart& part) const {
  part.why = in_quotes(story_.verbatim(r)) + " does not say whether it belongs to " +
             set_words(story_.metric.set) + "; it is left out of the share, on both sides.";
}

// Of a taxon at all the stages at which it was found: kNo in `base` where it is not part of what the share is of.
SetExplainer::Side SetExplainer::side_of_taxon(std::size_t t) const {
  std::uint8_t stages = 0;
  for (std::size_t r = story_.begin(); r < story_.end(); ++r)
    if (story_.is_there(r) && story_.taxon(r) == t)
      stages |= static_cast<std::uint8_t>(1U << static_cast<unsigned>(story_.snapshot.records.stage[r]));
  const Belongs base = best_of(plan_.in_base, t, stages);
  return {base, base == Belongs::kYes ? best_of(plan_.in_set, t, stages) : Belongs::kMaybe};
}

void SetExplainer::explain_taxa_share(std::size_t r, RecordPart& part) {
  const std::size_t t = story_.taxon(r);
  if (side_of_taxon(t).base == Belongs::kNo) {
    part.why =
        story_.name(t) + " is none of " + set_words(story_.metric.base) + ", of which this is a share.";
    return;
  }
  const TaxonIndex as = plan_.counted_as[t];
  if (!as.has_value()) {
    part.why = too_coarse_for_level(r);
    return;
  }
  // What counts as one taxon is inside if any part of it is.
  Belongs inside = Belongs::kNo;
  for (std::size_t other = story_.begin(); other < story_.end(); ++other) {
    if (!story_.is_there(other) || plan_.counted_as[story_.taxon(other)] != as) continue;
    if (const Side side = side_of_taxon(story_.taxon(other)); side.base != Belongs::kNo)
      inside = std::max(inside, side.set);
  }
  if (inside == Belongs::kMaybe) {
    leave_out(r, part);
    return;
  }
  if (!count_once(r, as.value(), part)) return;
  part.value = inside == Belongs::kYes ? 1 : 0;
  part.weight = 1;
  part.contributes = true;
  part.why = inside == Belongs::kYes ? "Is one of " + set_words(story_.metric.set) + "."
                                     : "Is none of " + set_words(story_.metric.set) +
                                           "; it counts among the taxa of which this is a share.";
}

void SetExplainer::explain_animal_share(std::size_t r, RecordPart& part) {
  const std::size_t at =
      story_.taxon(r) * kLifeStageCount + static_cast<std::size_t>(story_.snapshot.records.stage[r]);
  if (plan_.in_base[at] == Belongs::kNo) {
    part.why = story_.name(story_.taxon(r)) + " is none of " + set_words(story_.metric.base) +
               ", of which this is a share.";
    return;
  }
  if (plan_.in_base[at] == Belongs::kMaybe || side(r) == Belongs::kMaybe) {
    leave_out(r, part);
    return;
  }
  part.unit = story_.name(story_.taxon(r));
  take_source(r, part);
  const bool inside = side(r) == Belongs::kYes;
  part.value = inside ? 1 : 0;
  const std::string where =
      inside ? "Is one of " + set_words(story_.metric.set) : "Is none of " + set_words(story_.metric.set);
  if (story_.snapshot.records.quantity[r] != QuantityKind::kCount) {
    part.why = where + ", but the record gives no count, and this is a share of animals.";
    return;
  }
  part.weight = static_cast<double>(story_.snapshot.records.count_min[r]);
  part.contributes = true;
  part.why = where + "; its count of " + std::to_string(story_.snapshot.records.count_min[r]) +
             (inside ? " is part of the share." : " is part of the whole only.");
}

void SetExplainer::explain_dominance(std::size_t r, RecordPart& part) {
  if (side(r) == Belongs::kNo) {
    part.why = outside_set(r);
    return;
  }
  if (side(r) == Belongs::kMaybe) {
    leave_out(r, part);
    return;
  }
  const std::size_t t = story_.taxon(r);
  const std::size_t as = plan_.counted_as[t].has_value() ? plan_.counted_as[t].value() : t;
  part.unit = story_.name(as);
  take_source(r, part);
  part.value = commonest_ == as ? 1 : 0;
  if (story_.snapshot.records.quantity[r] != QuantityKind::kCount) {
    part.why = "The record gives no count, and this is a share of animals.";
    return;
  }
  part.weight = static_cast<double>(story_.snapshot.records.count_min[r]);
  part.contributes = true;
  const std::int64_t most = animals_of_.at(*commonest_), here = animals_of_.at(as);
  part.why = as == *commonest_
                 ? part.unit + " is the commonest taxon, with " + std::to_string(most) + " animals."
             : here == most ? part.unit + " is as common as " + story_.name(*commonest_) + ", with " +
                                  std::to_string(most) + " animals; one of them is the share."
                            : "One of the others: " + std::to_string(here) + " animals of " + part.unit + ".";
}

std::optional<std::size_t> SetExplainer::finer_record(std::size_t t) const {
  const TaxonColumns& taxa = story_.snapshot.taxa;
  for (std::size_t r = story_.begin(); r < story_.end(); ++r) {
    if (!story_.is_there(r)) continue;
    for (TaxonIndex up = taxa.parent[story_.taxon(r)]; up.has_value(); up = taxa.parent[up.value()])
      if (up.value() == t) return r;
  }
  return std::nullopt;
}

std::string SetExplainer::outside_set(std::size_t r) const {
  const std::size_t t = story_.taxon(r);
  if (side(r) == Belongs::kNo) return story_.name(t) + " is none of " + set_words(story_.metric.set) + ".";
  const std::string text = story_.not_taken(r);
  return story_.above.contains(story_.snapshot.taxa.name[t]) ? text + " It may or may not be one of the set."
                                                             : text;
}

std::string SetExplainer::too_coarse_for_level(std::size_t r) const {
  const std::size_t t = story_.taxon(r);
  if (side(r) == Belongs::kNo) return outside_set(r);
  if (!story_.snapshot.taxa.listed[t])
    return in_quotes(story_.verbatim(r)) + " is not in the checklist and not placed in a " +
           rank_name(*story_.metric.level) + "; it is kept as a taxon and does not count here.";
  return "Identified to " + std::string(rank_name(story_.snapshot.taxa.rank[t])) + " (" + story_.name(t) +
         "); this metric counts " + plural(*story_.metric.level) + ".";
}

}  // namespace brookmark::core

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/explain_internal.hpp"

namespace brookmark::core {

namespace {

// Words that say that the name may be wrong, as they stand folded; "sp." or "larvae" say no such thing.
constexpr std::string_view kDoubts[] = {"cf",        "aff",      "nr",        "prob",       "probably",
                                        "probable",  "poss",     "possibly",  "possible",   "maybe",
                                        "perhaps",   "unsure",   "presumed",  "presumably", "likely",
                                        "uncertain", "doubtful", "tentative", "tentatively"};

}  // namespace

std::string doubt_in(std::string_view qualifier) {
  for (const std::string& part : split(qualifier, ' ')) {
    std::string_view word = part;
    while (!word.empty() && std::string_view("(),;").find(word.front()) != std::string_view::npos)
      word.remove_prefix(1);
    while (!word.empty() && std::string_view("(),;").find(word.back()) != std::string_view::npos)
      word.remove_suffix(1);
    const std::string folded = fold_name(word);
    if (word.find('?') != std::string_view::npos ||
        std::find(std::begin(kDoubts), std::end(kDoubts), folded) != std::end(kDoubts))
      return std::string(word);
  }
  return {};
}

namespace {

std::string both(const std::string& first, const std::string& second) {
  if (first.empty() || first == second) return second;
  return second.empty() ? first : first + "; " + second;
}

// The metric's place in its method, found by its id: the caller may hold a copy.
std::size_t index_of(const Method& method, const Metric& metric) {
  for (std::size_t i = 0; i < method.metrics.size(); ++i)
    if (method.metrics[i].id == metric.id) return i;
  throw Error(ErrorCode::kBadUse, "method " + method.id + " has no metric \"" + metric.id + "\"");
}

}  // namespace

SampleStory::SampleStory(const Snapshot& of, const Method& by, const Metric& under, SampleIndex which)
    : snapshot(of),
      method(by),
      metric(under),
      sample(which.value()),
      compiled(of.taxa, by),
      metric_index(index_of(by, under)),
      scorer(of, compiled) {
  scorer.read(sample);
  score = scorer.score(metric_index);
  std::vector<std::string> members;
  if (uses_set(metric.formula)) {
    members = taxa_of_set(metric.set);
  } else {
    for (const ScoreUnit& unit : method.units)
      members.insert(members.end(), unit.members.begin(), unit.members.end());
  }
  above = names_above(members);
}

std::string SampleStory::verbatim(std::size_t r) const {
  const std::string_view text = snapshot.records.verbatim_name[r];
  return text.empty() ? name(taxon(r)) : std::string(text);
}

std::string SampleStory::not_taken(std::size_t r) const {
  const std::size_t t = taxon(r);
  std::size_t at = t;  // the nearest name that the checklist knows
  while (!snapshot.taxa.listed[at]) {
    if (!snapshot.taxa.parent[at].has_value())
      return in_quotes(verbatim(r)) + " is not in the checklist; it is kept as a taxon and does not score.";
    at = snapshot.taxa.parent[at].value();
  }
  const std::string rank = rank_name(snapshot.taxa.rank[at]);
  if (above.contains(snapshot.taxa.name[at])) {
    const std::string needs = method.level ? rank_name(*method.level) : "a finer name";
    return "Identified to " + rank + " (" + name(at) + "); this method needs " + needs + ".";
  }
  return name(t) + " is not in the method's table.";
}

namespace {

// Tells the story of one sample's records under one metric.
class Explainer {
 public:
  Explainer(const Snapshot& snapshot, const Method& method, const Metric& metric, SampleIndex sample)
      : story_(snapshot, method, metric, sample),
        snapshot_(snapshot),
        method_(method),
        metric_(metric),
        compiled_(story_.compiled),
        score_(story_.score),
        sets_(story_) {}

  std::vector<RecordPart> explain() {
    std::vector<RecordPart> parts;
    for (std::size_t r = story_.begin(); r < story_.end(); ++r) {
      RecordPart part;
      part.record = RecordIndex(r);
      if (is_absence(snapshot_.records, r))
        explain_absence(r, part);
      else if (!is_usable(snapshot_.records, r))
        part.why = in_quotes(verbatim(r)) + " is too uncertain to use (certainty " +
                   certainty_text(snapshot_.records.certainty[r]) + ").";
      else if (uses_set(metric_.formula))
        sets_.explain(r, part);
      else
        explain_unit(r, part);
      if (part.contributes && !score_.has_value) {
        part.contributes = false;
        part.why +=
            " The sample has no value, though: " + reasons_text(score_.reasons, method_, kind()) + ".";
      }
      if (const std::string doubt = doubt_in(snapshot_.records.qualifier[r]);
          !doubt.empty() && !part.unit.empty())
        part.why += " It is marked " + in_quotes(doubt) + " by the surveyor.";
      parts.push_back(std::move(part));
    }
    return parts;
  }

 private:
  std::size_t taxon(std::size_t r) const { return story_.taxon(r); }
  std::string name(std::size_t t) const { return story_.name(t); }
  std::string verbatim(std::size_t r) const { return story_.verbatim(r); }

  WaterKind kind() const { return snapshot_.sites.kind[snapshot_.samples.site[story_.sample].value()]; }
  static std::string certainty_text(double certainty) {
    return format_number(std::round(certainty * 1000) / 1000);
  }

  void explain_absence(std::size_t r, RecordPart& part) const {
    part.why = in_quotes(verbatim(r)) + " was looked for and not found; ";
    const bool part_of_none = metric_.formula == FormulaKind::kRichness && score_.has_value &&
                              score_.value == 0 && is_usable(snapshot_.records, r) &&
                              !compiled_.sets[story_.metric_index].covers[taxon(r)].empty();
    part.why += part_of_none ? "that is part of finding none of the set." : "an absence scores nothing.";
  }

  // Whether the record's taxon is what the line is named after, or lies within it.
  bool is_named(std::size_t r, const ScoreUnit& unit) const {
    for (TaxonIndex at = snapshot_.records.taxon[r]; at.has_value(); at = snapshot_.taxa.parent[at.value()]) {
      if (!snapshot_.taxa.listed[at.value()]) continue;
      const std::string_view here = snapshot_.taxa.name[at.value()];
      if (here == unit.name) return true;
      if (std::find(unit.members.begin(), unit.members.end(), here) != unit.members.end()) return false;
    }
    return false;
  }

  void explain_unit(std::size_t r, RecordPart& part) {
    const std::uint16_t u = compiled_.unit_of_taxon[taxon(r)];
    if (u == kNoUnit) {
      part.why = story_.not_taken(r);
      return;
    }
    const ScoreUnit& unit = method_.units[u];
    part.unit = unit.name;
    part.group = unit.group;
    part.confirmed = unit.confirmed;
    if (unit.members_confirmed && !is_named(r, unit))
      part.confirmed = std::max(part.confirmed, *unit.members_confirmed);
    part.source = source_text(unit.source_key, unit.source_detail);
    const LifeStage stage = snapshot_.records.stage[r];
    if (!stage_fits(compiled_.stage_of_unit[u], stage)) {
      part.why = "Recorded as " + std::string(life_stage_name(stage)) + "; the line " + in_quotes(unit.name) +
                 " counts only " + life_stage_name(*unit.stage) + ".";
      return;
    }
    const auto [first, is_first] = first_of_unit_.try_emplace(u, r);
    switch (metric_.formula) {
      case FormulaKind::kSumOfScores:
      case FormulaKind::kMeanScore:
        score_once(r, unit, unit.score, is_first, first->second, part);
        break;
      case FormulaKind::kWeightedMean:
        weigh(r, unit, part);
        break;
      case FormulaKind::kGroupWeights:
        weigh_group(r, unit, "", is_first, first->second, part);
        break;
      case FormulaKind::kGroupCodeWeights:
      case FormulaKind::kMeanCodeWeight: {
        const std::size_t code = story_.scorer.code_of_unit(u);
        if (code == compiled_.codes.size()) {
          part.why = "Belongs to " + in_quotes(unit.name) +
                     ", but how many there were fits no single abundance code of " +
                     in_quotes(method_.abundance_scheme) + "; a count is needed.";
        } else {
          weigh_group(r, unit, code_name(code), is_first, first->second, part);
        }
        if (is_first) part.why += share_words(u);
        break;
      }
      case FormulaKind::kRichness:
      case FormulaKind::kTaxaShare:
      case FormulaKind::kAnimalShare:
      case FormulaKind::kDominance:
        break;
    }
    if (part.contributes && !unit.note.empty()) part.why += " Note: " + unit.note + ".";
  }

  // Said where the code rests on more animals than were counted.
  std::string share_words(std::size_t unit) const {
    const std::int64_t counted = story_.scorer.total(unit).counted,
                       whole = story_.scorer.whole_catch(counted);
    if (counted == whole) return {};
    return " A count of " + std::to_string(counted) + " in the sorted share of " +
           format_number(story_.scorer.share()) + " stands for " + std::to_string(whole) +
           " in the whole catch.";
  }

  std::string once(const ScoreUnit& unit, std::size_t first) const {
    return "Already counted: " + in_quotes(unit.name) + " counts once in a sample, here through " +
           in_quotes(verbatim(first)) + ".";
  }

  std::string through(std::size_t r, const ScoreUnit& unit) const {
    return name(taxon(r)) == unit.name ? "" : " through " + in_quotes(name(taxon(r)));
  }

  void score_once(std::size_t r, const ScoreUnit& unit, double value, bool is_first, std::size_t first,
                  RecordPart& part) const {
    part.value = value;
    if (!is_first) {
      part.why = once(unit, first);
      return;
    }
    part.weight = 1;
    part.contributes = true;
    part.why = "Scores " + format_number(value) + " as " + in_quotes(unit.name) + through(r, unit) + ".";
  }

  void weigh(std::size_t r, const ScoreUnit& unit, RecordPart& part) const {
    part.value = unit.score;
    if (snapshot_.records.quantity[r] != QuantityKind::kCount) {
      part.why = "Has the value " + format_number(unit.score) + " as " + in_quotes(unit.name) +
                 ", but the record gives no count, and this method weighs by counts.";
      return;
    }
    part.weight = static_cast<double>(snapshot_.records.count_min[r]);
    part.contributes = true;
    part.why = "Has the value " + format_number(unit.score) + " as " + in_quotes(unit.name) +
               through(r, unit) + ", weighted by its count of " +
               std::to_string(snapshot_.records.count_min[r]) + ".";
  }

  std::string code_name(std::size_t wanted) const {
    std::size_t code = 0;
    for (const AbundanceClass& c : abundance_classes())
      if (c.scheme == method_.abundance_scheme && code++ == wanted) return c.code;
    return {};
  }

  void weigh_group(std::size_t r, const ScoreUnit& unit, const std::string& code, bool is_first,
                   std::size_t first, RecordPart& part) const {
    for (const GroupWeight& weight : method_.weights) {
      if (weight.group != unit.group || weight.code != code) continue;
      part.value = weight.weight;
      part.confirmed = std::max(part.confirmed, weight.confirmed);
      part.source = both(part.source, source_text(weight.source_key, weight.source_detail));
    }
    if (!is_first) {
      part.why = once(unit, first);
      if (!code.empty()) part.why += " Its animals are added to the number behind the code " + code + ".";
      return;
    }
    part.weight = 1;
    part.contributes = true;
    part.why = "Adds " + format_number(part.value.value_or(0)) + " as " + in_quotes(unit.name) +
               through(r, unit) + ", group " + in_quotes(unit.group) +
               (code.empty() ? "" : ", abundance code " + code) + ".";
  }

  SampleStory story_;
  const Snapshot& snapshot_;
  const Method& method_;
  const Metric& metric_;
  const CompiledMethod& compiled_;
  const SampleScore& score_;
  SetExplainer sets_;
  std::map<std::uint16_t, std::size_t> first_of_unit_;
};

}  // namespace

std::vector<RecordPart> explain_sample(const Snapshot& snapshot, const Method& method, const Metric& metric,
                                       SampleIndex sample) {
  return Explainer(snapshot, method, metric, sample).explain();
}

}  // namespace brookmark::core

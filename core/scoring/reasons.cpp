// The sentences for why a value is missing or does not hold.
#include <algorithm>

#include "core/scoring/score_internal.hpp"
#include "core/scoring/score_note.hpp"

namespace brookmark::core {

namespace {

std::string with_article(WaterKind kind) {
  const std::string name = water_kind_name(kind);
  return (name.find_first_of("aeiou") == 0 ? "an " : "a ") + name;
}

// What is known of the water, for a reader who knows it.
std::string water_words(WaterKind kind) {
  if (kind == WaterKind::kUnknown) return "the kind of water is not known";
  switch (flow_of(kind)) {
    case Flow::kRunning:
      return "this is " + with_article(kind) + ", a running water";
    case Flow::kStill:
      return "this is " + with_article(kind) + ", a still water";
    case Flow::kUncertain:
      break;
  }
  return with_article(kind) + " may stand or run";
}

std::string text_of(std::uint16_t reasons, const Method& method, const std::string& water_is) {
  std::string text;
  const auto say = [&](ScopeReason reason, const std::string& sentence) {
    if ((reasons & bit(reason)) != 0) text.append(text.empty() ? "" : "; ").append(sentence);
  };
  const std::string least = std::to_string(method.minimum_count.value_or(0));
  const std::string of_table = method.units.empty() ? "" : " of the kinds that it scores";
  const std::string out = "outside the method's scope: ", none = "no value: ";
  say(ScopeReason::kWaterKind, out + "it is made for " + (method.flow == Flow::kStill ? "still" : "running") +
                                   " water, and " + water_is);
  const std::string asks = out + "it asks for " + least + " animals" + of_table;
  say(ScopeReason::kBelowMinimumCount, asks + ", and the sample has fewer");
  say(ScopeReason::kCountUnknown, asks + ", and not every record of them has a count");
  std::vector<std::string> seasons;
  for (const Season season : method.excluded_seasons) seasons.emplace_back(season_name(season));
  say(ScopeReason::kSeason, out + "it excludes samples taken in " + listed(seasons, "and"));
  say(ScopeReason::kBlankSample, none + "a blank sample is never scored");
  say(ScopeReason::kNothingRecorded, none + "no record: it is not known whether anything was found");
  say(ScopeReason::kNothingFound, none + "nothing was found, which is not a value of zero");
  say(ScopeReason::kTooUncertain, none + "what this method could score is too uncertain to use");
  // Shares, and richness beside them, have this reason also where a name leaves it open whether it belongs.
  const bool shares = std::any_of(method.metrics.begin(), method.metrics.end(), [](const Metric& metric) {
    return metric.formula == FormulaKind::kTaxaShare || metric.formula == FormulaKind::kAnimalShare ||
           metric.formula == FormulaKind::kDominance;
  });
  say(ScopeReason::kNoScoringTaxa, none + (shares ? "names too coarse or not listed leave it open whether "
                                                    "anything belongs, or nothing was found that does"
                                                  : "nothing that was found can be scored by this method"));
  say(ScopeReason::kNeedsCounts, none + "the method needs counts, and some scoring records have none");
  say(ScopeReason::kNeedsAbundance,
      none + "the method needs an abundance code for each kind, and some records fit none");
  say(ScopeReason::kSomeLeftOut,
      "note: what is named too coarsely to say whether it belongs is left out of the share");
  return text;
}

}  // namespace

std::string listed(const std::vector<std::string>& names, const char* last) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i)
    text.append(i == 0 ? "" : i + 1 == names.size() ? std::string(" ") + last + " " : ", ").append(names[i]);
  return text;
}

std::string reasons_text(std::uint16_t reasons, const Method& method) {
  return text_of(
      reasons, method,
      std::string("this water is not known to be ") + (method.flow == Flow::kStill ? "still" : "running"));
}

std::string reasons_text(std::uint16_t reasons, const Method& method, WaterKind kind) {
  return text_of(reasons, method, water_words(kind));
}

std::string score_note(const SampleScore& score, const Method& method, WaterKind kind) {
  std::string text = reasons_text(score.reasons, method, kind);
  if (!score.has_value || method.units.empty() || method.minimum_count ||
      score.scoring_taxa >= kFewScoringTaxa)
    return text;
  return text.append(text.empty() ? "" : "; ")
      .append("note: few animals or kinds: ")
      .append(std::to_string(score.scoring_taxa))
      .append(score.scoring_taxa == 1 ? " scoring taxon" : " scoring taxa");
}

}  // namespace brookmark::core

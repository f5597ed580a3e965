#include "viewer/report/report_words.hpp"

#include <algorithm>

#include "core/analysis/clear_fall.hpp"
#include "core/analysis/outfalls.hpp"
#include "core/base/text.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

namespace {

constexpr std::size_t kMostNames = 14;

// "a, b and 3 more"
std::string listed(const std::vector<std::string>& words) {
  if (words.size() <= kMostNames) return core::joined(words, ", ");
  const std::vector<std::string> some(words.begin(), words.begin() + kMostNames);
  return core::joined(some, ", ") + " and " + std::to_string(words.size() - kMostNames) + " more";
}

// What scored in a sample, with the value of the method's table.
std::vector<std::string> scoring_units(const ReportFacts& facts, core::SampleIndex sample) {
  std::vector<std::string> units;
  for (const core::RecordPart& part :
       core::explain_sample(facts.snapshot, *facts.handed.method, facts.metric, sample)) {
    if (!part.contributes || part.unit.empty()) continue;
    std::string words = part.unit;
    if (part.value && !core::uses_set(facts.metric.formula))
      words += " (" + core::format_number(*part.value) + ")";
    if (std::find(units.begin(), units.end(), words) == units.end()) units.push_back(words);
  }
  std::sort(units.begin(), units.end());
  return units;
}

std::string trend_names(const ReportFacts& facts, bool better) {
  std::vector<std::string> names;
  const core::TrendAnswer wanted =
      facts.metric.higher_is_better == better ? core::TrendAnswer::kRising : core::TrendAnswer::kFalling;
  for (const core::TrendRow& row : facts.trends)
    if (row.answer == wanted && std::find(names.begin(), names.end(), row.place) == names.end())
      names.push_back(row.place);
  return listed(names);
}

std::string class_sentence(const ReportFacts& facts) {
  const Standings standing = standings_of(facts);
  std::vector<std::string> words;
  for (const core::ClassBand& band : facts.metric.bands)
    if (const std::size_t count = standing.by_rank[static_cast<std::size_t>(band.rank - 1)]; count > 0)
      words.push_back(std::to_string(count) + " " + band.name);
  if (standing.value_only > 0)
    words.push_back(std::to_string(standing.value_only) + " with a value (no classes)");
  std::string sentence = "By the " + facts.metric.title + ", " + known_in_words(facts) + ": " +
                         (words.empty() ? "no site has a class" : core::joined(words, ", ")) + ".";
  std::vector<std::string> without;
  if (standing.outside_scope > 0)
    without.push_back(std::to_string(standing.outside_scope) + " outside the method's scope");
  if (standing.no_value > 0) without.push_back(std::to_string(standing.no_value) + " without a value");
  if (standing.not_sampled > 0)
    without.push_back(std::to_string(standing.not_sampled) + (facts.handed.shared.rules().narrowed()
                                                                  ? " without a sample that counts here"
                                                                  : " not sampled"));
  if (!without.empty()) sentence += " Without a class: " + core::joined(without, ", ") + ".";
  return sentence;
}

}  // namespace

std::string site_title(const core::Snapshot& snapshot, core::SiteIndex site) {
  const std::string code(snapshot.sites.code[site.value()]), name(snapshot.sites.name[site.value()]);
  return name.empty() ? code : code + " " + name;
}

std::string catchment_title(const core::Snapshot& snapshot, core::CatchmentIndex which) {
  const core::Catchment& catchment = snapshot.catchments[which.value()];
  return catchment.name.empty() ? catchment.code : catchment.name + " (" + catchment.code + ")";
}

std::string known_in_words(const ReportFacts& facts) {
  const core::Period period = facts.handed.period();
  std::string words = "as known on " + date_in_words(period.until);
  if (period.from) words += ", from samples since " + date_in_words(*period.from);
  if (!period.seasons.all())
    words += std::string(period.from ? "," : ", from samples") + " of " +
             core::season_set_words(period.seasons) + " only";
  return words;
}

std::string value_and_class(const ReportFacts& facts, core::SampleIndex sample) {
  const core::SampleScore& score = facts.handed.scores.metrics[facts.assessment.metric][sample.value()];
  if (!score.has_value) return "no value";
  const std::string words = value_in_words(facts.metric, score.value);
  if (!score.in_scope) return words + " (outside the method's scope)";
  if (score.class_rank == 0) return words;
  return words + " (" + std::string(core::class_name(facts.metric, score.class_rank)) + ")";
}

std::string confirmed_in_words(core::Confirmed confirmed) {
  switch (confirmed) {
    case core::Confirmed::kDocument:
      return "read in the publication";
    case core::Confirmed::kSecondary:
      return "read in a text that quotes it";
    case core::Confirmed::kMemory:
      break;
  }
  return "recalled from memory";
}

std::string limits_in_words(const core::ClassBand& band) {
  const std::string lower = band.lower ? core::format_number(*band.lower) : "";
  const std::string upper = band.upper ? core::format_number(*band.upper) : "";
  if (band.lower && band.upper)
    return (band.lower_open ? "above " : "") + lower + " to " + (band.upper_open ? "below " : "") + upper;
  if (band.lower) return band.lower_open ? "above " + lower : lower + " and above";
  if (band.upper) return band.upper_open ? "below " + upper : upper + " and below";
  return "any";
}

std::string interval_words(const ReportFacts& facts, const core::SampleConfidence& confidence) {
  if (!confidence.has_interval) return {};
  return value_in_words(facts.metric, confidence.low) + " to " +
         value_in_words(facts.metric, confidence.high);
}

std::string probability_words(double probability) {
  if (probability >= 0.9995) return "above 0.999";
  if (probability < 0.0005) return "below 0.001";
  return core::format_fixed(probability, 3);
}

std::string class_probability_words(const core::SampleConfidence& confidence, int rank) {
  const double share = confidence.probability_of(rank);
  const bool capped = (confidence.notes & static_cast<std::uint32_t>(core::ConfidenceNote::kCapped)) != 0;
  if (capped && share >= core::kMostOfTaxa) return "at most " + core::format_fixed(core::kMostOfTaxa, 2);
  return probability_words(share);
}

std::string outfall_above_words(const ReportFacts& facts, const core::UpstreamOutfall& above,
                                core::Date day) {
  const core::Outfall& outfall = facts.snapshot.outfalls[above.outfall.value()];
  std::string words = outfall.code + " " + core::outfall_kind_name(outfall.kind) + ", " +
                      distance_in_words(above.distance_m) + " above: ";
  if (outfall.since && outfall.until)
    words += "in use from " + date_in_words(*outfall.since) + " to " + date_in_words(*outfall.until);
  else if (outfall.since)
    words += "in use since " + date_in_words(*outfall.since);
  else if (outfall.until)
    words += "in use until " + date_in_words(*outfall.until);
  else
    words += "in use";
  if (outfall.since && !outfall.until && *outfall.since < facts.first) words += ", before the first sample";
  if (!outfall.since) words += "; no day of its beginning is noted";
  if (!core::in_use(outfall, day)) words += "; not in use on " + date_in_words(day);
  return words;
}

std::string since_sentence(const ReportFacts& facts, const core::Drop& fall) {
  if (!fall.since) return {};
  if (fall.pairs.size() == 1)
    return "Clearly worse below at the one comparison that there is, " +
           date_in_words(facts.snapshot.samples.date[fall.newest()->down.value()]) + ". A rule, not a test.";
  const std::string of_all = ", of " + std::to_string(fall.pairs.size()) + " in all";
  if (fall.worse_in_a_row == 1)
    return "Clearly worse below at the last comparison, " +
           date_in_words(facts.snapshot.samples.date[fall.newest()->down.value()]) + of_all +
           ". A rule, not a test.";
  return "Clearly worse below since " + date_in_words(*fall.since) + ": in each of the last " +
         count_of(fall.worse_in_a_row, "comparison", "comparisons") + of_all + ". A rule, not a test.";
}

std::string falls_count(const ReportFacts& facts) {
  const std::size_t unclear = facts.falls.size() - facts.clear;
  std::string words = "Of " + count_of(facts.compared, "stretch", "stretches") +
                      " between neighbours that can be compared, " +
                      (facts.clear == 0   ? "none is"
                       : facts.clear == 1 ? "1 is"
                                          : std::to_string(facts.clear) + " are") +
                      " clearly worse below";
  if (unclear > 0)
    words += "; " + std::to_string(unclear) + (unclear == 1 ? " has" : " have") +
             " a worse value below that is " + core::kNotClear + ", so it may be chance";
  words += ".";
  if (facts.falls.size() > 1)
    words += std::string(facts.clear > 0 && unclear > 0
                             ? " The clear ones stand first, however large the others are; of "
                               "each the worst first"
                             : " The worst stands first") +
             ": by the classes lost, then by how far the value falls.";
  return words;
}

std::string fall_sentence(const ReportFacts& facts, const core::Drop& fall) {
  const core::SamplePair& pair = *fall.newest();
  const core::SampleColumns& samples = facts.snapshot.samples;
  std::string words = "Between " + site_title(facts.snapshot, fall.up) + " and, " +
                      distance_in_words(fall.stretch.length_m) + " down the channel, " +
                      site_title(facts.snapshot, fall.down) + ", ";
  if (pair.collapse_down)
    words += "nothing that the method scores was left: " + value_and_class(facts, pair.up) + " above";
  else
    words += "the " + facts.metric.title + " goes from " + value_and_class(facts, pair.up) + " to " +
             value_and_class(facts, pair.down);
  words += " (samples of " + date_in_words(samples.date[pair.down.value()]) + ").";
  const std::string outfalls = core::outfalls_text(facts.snapshot, fall);
  if (!outfalls.empty()) words += " What enters between the two: " + outfalls + ".";
  if (const std::string side = core::tributaries_text(facts.snapshot, fall); !side.empty())
    words += " Side waters: " + side + ".";
  if (!fall.since && !fall.note.empty()) words += " " + as_sentence(fall.note);  // that it is not a clear one
  return words;
}

std::vector<std::string> fall_details(const ReportFacts& facts, const core::Drop& fall) {
  std::vector<std::string> details;
  if (fall.since) details.push_back(since_sentence(facts, fall));
  if (fall.confidence) {
    const int decimals = core::shown_decimals(facts.metric) + 1;
    details.push_back("The fall is " + value_in_words(facts.metric, *fall.newest()->fall) +
                      "; 95 % interval " + core::format_fixed(fall.confidence->low, decimals) + " to " +
                      core::format_fixed(fall.confidence->high, decimals) +
                      "; probability that it is worse below " +
                      probability_words(fall.confidence->probability) + ".");
  }
  // Of the one comparison it was said already.
  if (fall.since && !fall.note.empty() && fall.pairs.size() > 1) details.push_back(as_sentence(fall.note));
  return details;
}

std::vector<std::string> fall_reasons(const ReportFacts& facts, const core::Drop& fall) {
  const std::vector<std::string> up = scoring_units(facts, fall.newest()->up),
                                 down = scoring_units(facts, fall.newest()->down);
  std::vector<std::string> only_up, only_down, both, reasons;
  std::set_difference(up.begin(), up.end(), down.begin(), down.end(), std::back_inserter(only_up));
  std::set_difference(down.begin(), down.end(), up.begin(), up.end(), std::back_inserter(only_down));
  std::set_intersection(up.begin(), up.end(), down.begin(), down.end(), std::back_inserter(both));
  if (up.empty() && down.empty()) return reasons;
  const auto say = [&](const char* where, const std::vector<std::string>& names) {
    reasons.push_back(std::string(where) + (names.empty() ? "none." : listed(names) + "."));
  };
  say(core::uses_set(facts.metric.formula) ? "Counted above only: "
                                           : "Scored above only, with their values in the method's table: ",
      only_up);
  say(core::uses_set(facts.metric.formula) ? "Counted below only: " : "Scored below only: ", only_down);
  say(core::uses_set(facts.metric.formula) ? "Counted at both: " : "Scored at both: ", both);
  return reasons;
}

Standings standings_of(const ReportFacts& facts) {
  Standings standing;
  standing.by_rank.assign(facts.metric.bands.size(), 0);
  for (const core::SiteIndex site : facts.sites) {
    const core::SiteAssessment& known = facts.known(site);
    switch (standing_of(known, facts.metric)) {
      case Standing::kClass:
        ++standing.by_rank[static_cast<std::size_t>(known.class_rank - 1)];
        break;
      case Standing::kValue:
        ++standing.value_only;
        break;
      case Standing::kOutsideScope:
        ++standing.outside_scope;
        break;
      case Standing::kNoValue:
        ++standing.no_value;
        break;
      case Standing::kNotSampled:
        ++standing.not_sampled;
        break;
    }
  }
  return standing;
}

std::vector<std::string> in_short(const ReportFacts& facts) {
  std::vector<std::string> said;
  std::size_t sampled = 0, blurred = 0;
  for (const core::SiteIndex site : facts.sites) {
    if (facts.known(site).newest_sample.has_value()) ++sampled;
    if (facts.handed.shared.places()[site.value()].blurred) ++blurred;
  }
  const std::vector<core::SampleIndex> samples = facts.samples();
  std::string looked =
      std::to_string(sampled) + " of " + count_of(facts.sites.size(), "site", "sites") +
      (sampled == 1 ? " has" : " have") +
      (facts.handed.shared.rules().narrowed() ? " samples that count here: " : " been sampled: ") +
      count_of(samples.size(), "sample", "samples");
  core::Date first = facts.last, last = facts.first;
  for (const core::SampleIndex sample : samples) {
    first = std::min(first, facts.snapshot.samples.date[sample.value()]);
    last = std::max(last, facts.snapshot.samples.date[sample.value()]);
  }
  if (!samples.empty())
    looked += ", the first on " + date_in_words(first) + ", the last on " + date_in_words(last);
  said.push_back(looked + ".");
  if (blurred > 0)
    said.push_back(count_of(blurred, "place is", "places are") +
                   " told only roughly, by the survey's own rules.");
  const std::vector<core::HiddenItem>& hidden = facts.handed.shared.hidden();
  const auto outlines = std::count_if(hidden.begin(), hidden.end(), [](const core::HiddenItem& item) {
    return item.layer == "catchments" && item.what == "left out";
  });
  if (outlines > 0 && !facts.scope.site && !facts.scope.catchment)
    said.push_back(count_of(static_cast<std::size_t>(outlines), "catchment is", "catchments are") +
                   " left out: the outlines would show where a site lies whose place is not told.");
  said.push_back(class_sentence(facts));
  if (facts.compared > 0) said.push_back(falls_count(facts));
  if (facts.clear > 0) {
    std::string worst = fall_sentence(facts, facts.falls.front());
    worst.replace(0, 1, "b");
    said.push_back("The worst of them: " + worst);
  }
  for (std::size_t i = 0; i < facts.parts.size(); ++i) {
    const core::CatchmentIndex part = facts.parts[i];
    // The whole says no more than its worst part.
    const bool whole = facts.scope.catchment == part ||
                       std::any_of(facts.parts.begin(), facts.parts.end(), [&](core::CatchmentIndex other) {
                         return facts.handed.nesting.parent[other.value()] == part;
                       });
    if (whole || facts.assessment.catchments[part.value()].assessed_sites == 0) continue;
    said.push_back("Poorest sub-catchment by its worst site: " + catchment_title(facts.snapshot, part) +
                   ". " + as_sentence(facts.why[i]));
    break;
  }
  if (const std::string worse = trend_names(facts, false); !worse.empty())
    said.push_back("Worse over the years, more steadily than chance would have it: " + worse + ".");
  if (const std::string better = trend_names(facts, true); !better.empty())
    said.push_back("Better over the years, more steadily than chance would have it: " + better + ".");
  if (!facts.scope.catchment && !facts.reaches.pieces.empty()) {
    const core::ReachAssessment& r = facts.reaches;
    const auto km = [](double metres) { return core::format_fixed(metres / 1000, 1) + " km"; };
    said.push_back("Of " + km(r.measured_m + r.inferred_m + r.unknown_m) + " of channel, " +
                   km(r.measured_m) + " lie near a sampled site, " + km(r.inferred_m) +
                   " between two sites that agree, and " + km(r.unknown_m) + " are not known.");
  }
  return said;
}

}  // namespace brookmark::viewer

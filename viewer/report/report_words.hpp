// Why: a landowner reads sentences. What core found, in plain words; the same sentence wherever it is said.
// Use: fall_sentence(facts, facts.falls[0])
#pragma once

#include <string>
#include <vector>

#include "viewer/report/report_facts.hpp"

namespace brookmark::viewer {

std::string site_title(const core::Snapshot& snapshot,
                       core::SiteIndex site);  // "Q04 Below the pumping station"
std::string catchment_title(const core::Snapshot& snapshot,
                            core::CatchmentIndex which);  // "Middle Quarrendel (C4)"
// "as known on 7 October 2025"; ", from samples of spring only" where not all of them count.
std::string known_in_words(const ReportFacts& facts);
// "12 (Seriously polluted)"; "no value".
std::string value_and_class(const ReportFacts& facts, core::SampleIndex sample);
// "memory" as a reader takes it: "recalled from memory".
std::string confirmed_in_words(core::Confirmed confirmed);
// "85 and above", "70 to 84", "above 4.25".
std::string limits_in_words(const core::ClassBand& band);
// "95 % interval 9 to 12"; empty without one.
std::string interval_words(const ReportFacts& facts, const core::SampleConfidence& confidence);

// "0.714", "above 0.999", "below 0.001"; "at most 0.95" of a class whose share of draws was brought down to that.
std::string probability_words(double probability);
std::string class_probability_words(const core::SampleConfidence& confidence, int rank);

// "OUT-2 storm sewage, 117 m above: in use; no day of its beginning is noted".
std::string outfall_above_words(const ReportFacts& facts, const core::UpstreamOutfall& above, core::Date day);

// "Clearly worse below since 25 April 2022: ..." or "... at the last comparison, ..."; nothing where it is not clear.
std::string since_sentence(const ReportFacts& facts, const core::Drop& fall);
std::string fall_sentence(const ReportFacts& facts, const core::Drop& fall);
// How sure it is, since when, and what else must be known.
std::vector<std::string> fall_details(const ReportFacts& facts, const core::Drop& fall);
// What scored above and is missing below, and the other way round.
std::vector<std::string> fall_reasons(const ReportFacts& facts, const core::Drop& fall);

// How many stretches are clearly worse below, and how many have a worse value that is not clearly different.
std::string falls_count(const ReportFacts& facts);

// What was found, most important first.
std::vector<std::string> in_short(const ReportFacts& facts);
// One entry a class and one for what has none, for bars.
struct Standings {
  std::vector<std::size_t> by_rank;  // [rank - 1]
  std::size_t outside_scope = 0, no_value = 0, value_only = 0, not_sampled = 0;
  std::size_t without_class() const { return outside_scope + no_value + not_sampled; }
};
Standings standings_of(const ReportFacts& facts);

}  // namespace brookmark::viewer

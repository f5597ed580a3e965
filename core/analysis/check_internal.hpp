// Why: what all parts of a check share: the survey, the words for its places, and one list to write to.
// Use: void check_x(Check& check) { check.find(Severity::kNote, "what", check.site(0), "A sentence."); }
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "core/analysis/check.hpp"

namespace brookmark::core {

struct Check {
  const Snapshot& survey;
  const ChannelNetwork& network;
  Date today;
  std::vector<Finding> findings;

  void find(Severity severity, std::string what, std::string where, std::string text) {
    findings.push_back({severity, std::move(what), std::move(where), std::move(text)});
  }
  std::string site(std::size_t i) const { return "site " + std::string(survey.sites.code[i]); }
  std::string sample(std::size_t i) const { return "sample " + std::string(survey.samples.code[i]); }
  std::string visit(std::size_t i) const;
  std::string reach(std::size_t i) const;      // its name, and its number where it has none
  std::string catchment(std::size_t i) const;  // its code, else its name, else its number
};

// "C1", "C1 and C2", "C1, C2 and C3"; of more than `most` the first ones "and 7 more".
std::string listed(const std::vector<std::string>& words, std::size_t most = SIZE_MAX);

void check_measurements(Check& check);
void check_samples(Check& check);         // blanks, samples without records, the same taxon twice
void check_communities(Check& check);     // samples in which only one group was recorded
void check_counts(Check& check);          // counts that are improbable, or rounded guesses
void check_kinds_of_water(Check& check);  // animals of running water in ponds, of still water in streams
void check_classes(Check& check);         // a class that jumps for one visit
void check_replicates(Check& check);      // samples of one visit that tell different stories
void check_names(Check& check);
void check_sites(Check& check);  // positions, and when they were last sampled
void check_catchments(Check& check);
void check_channels(Check& check);  // places off every channel; what joining and review found in reaches

}  // namespace brookmark::core

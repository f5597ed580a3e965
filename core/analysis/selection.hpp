// Why: a surveyor points at some sites by drawing round them and wants to know: which are they, and how do they stand
// together.
// Use: auto sites = sites_within(snapshot, ring);  Selection s = summarise(snapshot, assessment, sites);
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/scoring/assessment.hpp"

namespace brookmark::core {

// The placed sites inside a ring (straight in degrees between its points, closed by itself), in order. Fewer than three
// points hold nothing.
std::vector<SiteIndex> sites_within(const Snapshot& snapshot, std::span<const LonLat> ring);

struct Selection {
  CatchmentAssessment known;           // as if the sites were those of a catchment, each of them once
  std::vector<std::uint32_t> by_rank;  // sites of each class, [rank - 1]; as many as the metric has
  std::uint32_t without_class = 0;     // of a metric without classes: without a value in scope
  std::size_t samples = 0;             // of the assessment's period, blanks left out
};
Selection summarise(const Snapshot& snapshot, const Assessment& assessment, std::span<const SiteIndex> sites);

}  // namespace brookmark::core

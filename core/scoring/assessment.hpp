// Why: the one answer that map, tables, exports, reports and C ABI all read: for a snapshot, one method's
// metric and a date, what is known per sample, site and catchment. Use: Assessment a = assess(snapshot,
// scores, 0, nesting, until);
#pragma once

#include <optional>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/scoring/score.hpp"

namespace brookmark::core {

// The newest sample of a site on or before the date that has a value in the method's scope; failing that, the
// newest with a value, marked out of scope; failing that, none. Blanks never count. Of one day's samples a
// routine one goes before a replicate.
struct SiteAssessment {
  SampleIndex sample;         // none(): no sample with a value
  SampleIndex newest_sample;  // newest of any kind but blank, with or without a value; none(): never sampled
  double value = 0;
  std::uint8_t class_rank = 0;  // 0: no class to paint (no value, out of scope, or a metric without classes)
  bool in_scope = false;
};

// From the sites inside a catchment (its sub-catchments included).
struct CatchmentAssessment {
  std::uint32_t sites = 0;           // inside
  std::uint32_t assessed_sites = 0;  // with an in-scope class (or value, for a metric without classes)
  std::uint8_t worst_rank = 0;       // 0: none
  std::uint8_t median_rank = 0;  // of the sites' classes; an even number takes the worse of the middle two
  std::optional<double> median_value;
  std::optional<Date> first, last;  // dates of the samples behind it
};

struct Assessment {
  const Method* method = nullptr;
  std::size_t metric = 0;  // index into method->metrics
  Date until;
  std::vector<SiteAssessment> sites;
  std::vector<CatchmentAssessment> catchments;

  const Metric& metric_info() const { return method->metrics[metric]; }
};

Assessment assess(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                  const CatchmentNesting& nesting, Date until);

}  // namespace brookmark::core

// Why: the one answer that map, tables, exports, reports and C ABI all read: for a snapshot, one method's
// metric and a date, what is known per sample, site and catchment.
// Use: Assessment a = assess(snapshot, scores, 0, nesting, until);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/scoring/confidence.hpp"
#include "core/scoring/score.hpp"

namespace brookmark::core {

// What the newest sample that can say something on or before the date says: one with a value in the method's
// scope gives its value and class. A collapse gives none, and hides what was good before: a routine sample, in
// the method's kind of water and season, with absences only, or with animals of which the method scores none.
// A newer sample that is merely out of scope, lacks counts, holds no record or is too uncertain does not
// replace an older class; `superseded` then says that there is one. Where no sample decides, the newest with
// a value is shown, out of scope; failing that, none. Blanks never count. Of one day's samples a routine one
// goes before a replicate, and one with a value before a collapse.
struct SiteAssessment {
  SampleIndex sample;         // behind what is said here; none(): no sample with a value, and no collapse
  SampleIndex newest_sample;  // newest of any kind but blank, with or without a value; none(): never sampled
  bool has_value = false;     // false with a sample: a collapse
  bool superseded = false;    // newest_sample is of a later day than sample: it has no class, see its reasons
  double value = 0;           // only when has_value
  std::uint8_t class_rank = 0;  // 0: no class to paint (no value, out of scope, or a metric without classes)
  bool in_scope = false;
};

// From the sites inside a catchment (its sub-catchments included).
struct CatchmentAssessment {
  std::uint32_t sites = 0;  // inside
  std::uint32_t assessed_sites =
      0;                         // with a current, in-scope class (or value, for a metric without classes)
  std::uint8_t worst_rank = 0;   // 0: none
  std::uint8_t median_rank = 0;  // of the sites' classes; an even number takes the worse of the middle two
  std::optional<double> median_value;  // of an even number the mean of the middle two
  std::optional<Date> first, last;     // dates of the samples behind it
};

struct Assessment {
  const Method* method = nullptr;
  std::size_t metric = 0;  // index into method->metrics
  Date until;
  std::vector<SiteAssessment> sites;
  std::vector<CatchmentAssessment> catchments;
  std::vector<SampleConfidence> confidence;  // per site, of the sample behind it; empty until add_confidence

  const Metric& metric_info() const { return method->metrics[metric]; }
};

Assessment assess(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                  const CatchmentNesting& nesting, Date until);

// How sure each site's class is: of the sample behind it alone, so that time goes only to what is shown. A site without
// a sample, or whose sample is a collapse, has none.
void add_confidence(Assessment& assessment, const Snapshot& snapshot, const ConfidenceOptions& options = {});

// Why a site's class is missing or does not hold, or that a newer sample has none: a sentence without its full stop.
// Empty where the class holds and nothing is newer.
std::string assessment_note(const Snapshot& snapshot, const ScoreTable& scores, const Assessment& assessment,
                            SiteIndex site);

// Catchments by their worst class, then the median class, then the median value; those without any come last.
std::vector<CatchmentIndex> worst_first(const Assessment& assessment);

}  // namespace brookmark::core

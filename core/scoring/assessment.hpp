// Why: the one answer that map, tables, exports, reports and C ABI all read: for a snapshot, one method's
// metric and a period (a day alone, or a stretch of days and some seasons), what is known per sample, site and
// catchment.
// Use: Assessment a = assess(snapshot, scores, 0, nesting, until);
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/scoring/confidence.hpp"
#include "core/scoring/score.hpp"
#include "core/survey/period.hpp"

namespace brookmark::core {

// What the newest sample of the period that can say something says: one with a value in the method's
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

// How much of the channel inside a catchment is known, and what it says: see analysis/reach_assessment.hpp, which fills
// this. Channels are cut where they cross the border.
struct ChannelShares {
  double measured_m = 0, inferred_m = 0, unknown_m = 0;
  // The class in the middle of the known length, measured and inferred: half of it is of this class or a better one,
  // half of it of this class or a worse one; of two the worse. 0: nothing known, or no classes.
  std::uint8_t middle_rank = 0;
  // Of a metric without classes: the mean of the values over the measured length.
  std::optional<double> mean_value;
  double total_m() const { return measured_m + inferred_m + unknown_m; }
};

// From the sites inside a catchment (its sub-catchments included).
struct CatchmentAssessment {
  std::uint32_t sites = 0;  // inside
  std::uint32_t assessed_sites =
      0;                        // with a current, in-scope class (or value, for a metric without classes)
  std::uint8_t worst_rank = 0;  // 0: none
  // The site in the middle of the assessed ones, worst first by class and then by value; of an even number the worse of
  // the middle two, since there is no class between two classes. The class and the value are that site's.
  SiteIndex median_site;  // none(): none is assessed
  std::uint8_t median_rank = 0;
  std::optional<double> median_value;
  std::optional<Date> first, last;       // dates of the samples behind it
  std::optional<ChannelShares> channel;  // only after add_channel_shares
};

struct Assessment {
  const Method* method = nullptr;
  std::size_t metric = 0;  // index into method->metrics
  Period period;           // of the samples behind it
  std::vector<SiteAssessment> sites;
  std::vector<CatchmentAssessment> catchments;
  std::vector<SampleConfidence> confidence;  // per site, of the sample behind it; empty until add_confidence

  const Metric& metric_info() const { return method->metrics[metric]; }
  Date until() const { return period.until; }
};

Assessment assess(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                  const CatchmentNesting& nesting, const Period& period);

// One site alone, as assess() gives it.
SiteAssessment assess_site(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                           SiteIndex site, const Period& period);
// One catchment from the assessments of the sites inside it, in any order; `assessed` holds one for each of `inside`. As
// assess() gives it.
CatchmentAssessment assess_catchment(const Snapshot& snapshot, const Metric& metric,
                                     std::span<const SiteIndex> inside,
                                     std::span<const SiteAssessment> assessed);

// How sure each site's class is: of the sample behind it alone, so that time goes only to what is shown. A site without
// a sample, or whose sample is a collapse, has none.
void add_confidence(Assessment& assessment, const Snapshot& snapshot, const ConfidenceOptions& options = {});

// Why a site's class is missing or does not hold, or that a newer sample has none: a sentence without its full stop.
// Empty where the class holds and nothing is newer.
std::string assessment_note(const Snapshot& snapshot, const ScoreTable& scores, const Assessment& assessment,
                            SiteIndex site);

// By what catchments are ranked: the worst class of their sites, the class in the middle of their sites, or the class
// in the middle of the known length of their channels.
enum class CatchmentRule : std::uint8_t { kWorst, kMedian, kLength };
const char* catchment_rule_name(CatchmentRule rule);  // "worst", "median", "length"
std::optional<CatchmentRule> parse_catchment_rule(std::string_view word);

// Worst first by the rule, then by the other two; by value where there are no classes. Those without any come last.
std::vector<CatchmentIndex> worst_first(const Assessment& assessment,
                                        CatchmentRule rule = CatchmentRule::kWorst);

}  // namespace brookmark::core

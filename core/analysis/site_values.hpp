// Why: a trend or a comparison may be asked of any metric of any method, or of anything that was measured. Here both
// become the same thing: dated values of sites, each with how it was taken, and a list of what was left out and why.
// Use: SiteValues v = metric_values(snapshot, scores, 0, period);  // a Date is a period too
//      SiteValues m = measured_values(snapshot, "ammonia", BelowDetection::kBound, period);
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/chemistry/chemistry.hpp"
#include "core/scoring/sample_diversity.hpp"
#include "core/scoring/score.hpp"
#include "core/survey/period.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct SiteValue {
  SiteIndex site;
  Date date;
  double value = 0;
  std::string
      way;  // how it was taken: the sampling protocol of a metric, the unit of a measurement; may be empty
};

struct LeftOut {
  SiteIndex site;
  Date date;
  std::string why;
  bool below_detection = false;  // known to be small, not how small
};

struct SiteValues {
  std::string of, title, unit;
  std::string way_word;                  // what `way` is: "sampling protocol" or "unit"
  int decimals = -1;                     // a value is shown with; -1: as many as it has
  std::optional<bool> higher_is_better;  // unknown for measurements
  std::vector<SiteValue> values;         // by site, then date
  std::vector<LeftOut> left_out;         // by site, then date
};

// Values of one metric from routine and replicate samples of a period, inside the method's scope; blanks never, and
// what is outside the scope or has no value is left out with its reason. What is not of the period is not told of.
// Of one site alone where one is given.
SiteValues metric_values(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                         const Period& period, SiteIndex only = SiteIndex::none());

// The same for a number of diversity, as diversity_of_samples() gives it; whether more is better is not said. A rarefied
// richness is that at the smallest count of the period.
SiteValues diversity_values(const Snapshot& snapshot, DiversityMetric metric, const Period& period);

// Values of one quantity, by any name that core/reference/quantities.csv knows for it, else by the name as written.
// They are brought to one unit where units allow it; values that cannot be (in % and in mg/l, as N and unsaid) stay apart by
// `way`. Impossible values and unknown units are left out. Values below detection are left out as such, unless a number
// stands in for them. Throws Error(kNotFound), listing what was measured, where nothing goes by that name.
SiteValues measured_values(const Snapshot& snapshot, std::string_view quantity,
                           BelowDetection below_detection, const Period& period);

// Seasons counted through the years, four a year: divided by 4 the year, and the rest 0 for December to February, which belong
// to the year of the January.
int season_number(Date date);

}  // namespace brookmark::core

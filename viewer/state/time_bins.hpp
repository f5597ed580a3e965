// Why: under the slider stands how many samples each stretch of time holds, in whole days, weeks, months, quarters or
// years, so that a full year is told from an empty one at any width.
// Use: for (const TimeBin& bin : time_bins(model.sampling_dates(), model.samples_a_day(), {}, false, 60)) ...
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "core/survey/period.hpp"

namespace brookmark::viewer {

struct TimeBin {
  core::Date first, last;     // both within it; cut to the days of the survey
  std::size_t samples = 0;    // of all seasons
  std::size_t in_season = 0;  // of those asked for
};

enum class BinUnit : std::uint8_t { kDay, kWeek, kMonth, kQuarter, kYear };
// The smallest unit of which `most` (at least 1) are enough for the days; years where none is.
BinUnit bin_unit(core::Date first, core::Date last, std::size_t most);

// One bin after the other from the first day to the last, none left out; nothing without days. `days` ascend, with the
// number of samples of each. Weeks begin on Monday; quarters with the seasons, in December, March, June, September.
std::vector<TimeBin> time_bins(std::span<const core::Date> days, std::span<const std::size_t> samples,
                               core::SeasonSet seasons, bool southern, std::size_t most);

}  // namespace brookmark::viewer

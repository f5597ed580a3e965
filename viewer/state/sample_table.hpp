// Why: all samples in one table, in any order and narrowed to what is looked for; half a million rows are ordered once and
// not once a frame.
// Use: const SampleOrder order = order_samples(...);  row r is sample order.rows[r]
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/scoring/score.hpp"
#include "core/survey/period.hpp"
#include "core/survey/snapshot.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

struct SampleQuestion {
  TableChoice choice;
  std::size_t metric = 0;
  std::optional<core::Period> period;  // used where choice.in_period
  // In order; used where choice.selection_only. Nothing: nobody drew; empty: no site lies inside what was drawn.
  std::optional<std::vector<core::SiteIndex>> selection;
  bool operator==(const SampleQuestion&) const = default;
};

// The samples that pass, in the order asked for. Equals keep the order of the snapshot; what has no value (class) stands last
// either way. The filter looks, accents and case apart, into code, site, name, water, protocol, and the day as 2024-05-03 or 3 May 2024.
std::vector<core::SampleIndex> order_samples(const core::Snapshot& snapshot, const core::ScoreTable& scores,
                                             const SampleQuestion& question);

const char* table_column_name(TableColumn column);  // as the head of the CSV has it: "sample", "class"
// One cell as it is shown and copied; empty where there is nothing.
std::string sample_cell(const core::Snapshot& snapshot, const core::ScoreTable& scores, std::size_t metric,
                        core::SampleIndex sample, TableColumn column);
// As on the page: the day as "7 Oct 2025", and where a class would stand, that the value is outside the method's scope.
std::string shown_cell(const core::Snapshot& snapshot, const core::ScoreTable& scores, std::size_t metric,
                       core::SampleIndex sample, TableColumn column);
// RFC 4180, with a head, whether the value is in scope, and method and metric in columns of their own, lines ended by CR
// LF.
std::string samples_as_csv(const core::Snapshot& snapshot, const core::ScoreTable& scores, std::size_t metric,
                           std::span<const core::SampleIndex> rows);

}  // namespace brookmark::viewer

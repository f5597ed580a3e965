// Why: a chart shows how a site or a catchment came to be what it is: the index sample by sample, the animals by group,
// what was measured, and when outfalls above came into use or were closed.
// Use: for (const IndexPoint& p : index_history(snapshot, scores, 0, site)) ...
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/analysis/upstream.hpp"
#include "core/scoring/assessment.hpp"

namespace brookmark::core {

struct IndexPoint {
  SampleIndex sample;
  Date date;
  std::optional<double> value;
  bool in_scope = true;
  std::uint8_t class_rank = 0;  // 0 also outside the scope
};
// Every sample of the site but blanks, oldest first, also those without a value.
std::vector<IndexPoint> index_history(const Snapshot& snapshot, const ScoreTable& scores, std::size_t metric,
                                      SiteIndex site, SeasonSet seasons = {});

struct CatchmentPoint {
  Date date;
  CatchmentAssessment known;  // as assess() gives it for that day, without channel shares
};
// One a day on which a site inside was sampled, oldest first.
std::vector<CatchmentPoint> catchment_history(const Snapshot& snapshot, const ScoreTable& scores,
                                              std::size_t metric, const CatchmentNesting& nesting,
                                              CatchmentIndex catchment, SeasonSet seasons = {});

// How many animals of one group a sample has.
struct GroupCount {
  std::int64_t animals = 0;  // those that were counted
  bool more = false;  // some of it was noted as a class or as present: there are more, nobody knows how many
};
struct GroupHistory {
  std::vector<SampleIndex> samples;             // of the site but blanks, oldest first
  std::vector<std::string> groups;              // most animals first, the rest together as kOtherGroups
  std::vector<std::vector<GroupCount>> counts;  // [group][sample]
};
inline constexpr const char* kOtherGroups = "other";
// By order; what belongs to no order by the nearest rank above that it has (class, phylum), else by its own name. Records
// too uncertain to use (kUsableCertainty) and absences are left out. `most` groups have their own row, at least 1. Animals are
// those sorted, not scaled up.
GroupHistory group_history(const Snapshot& snapshot, SiteIndex site, std::size_t most = 6,
                           SeasonSet seasons = {});

struct MeasuredPoint {
  Date date;
  double value = 0;    // or the limit
  bool below = false;  // the true value is below it
};
// One quantity in one unit, as written: what was measured in another unit is another series.
struct MeasuredSeries {
  std::string quantity, unit;
  std::vector<MeasuredPoint> points;  // oldest first
};
// By quantity, then unit. A value below a detection limit that nobody noted is left out.
std::vector<MeasuredSeries> measured_history(const Snapshot& snapshot, SiteIndex site,
                                             SeasonSet seasons = {});

// An outfall came into use, or was closed: what happened at the water. Edits of the survey are no events.
struct OutfallEvent {
  Date date;  // the first day in use; the last day
  OutfallIndex outfall;
  bool begins = true;
};
// Oldest first; outfalls of which no day is known have none.
std::vector<OutfallEvent> outfall_events(const Snapshot& snapshot, std::span<const OutfallIndex> outfalls);
std::vector<OutfallIndex> outfalls_inside(const Snapshot& snapshot, CatchmentIndex catchment);

}  // namespace brookmark::core

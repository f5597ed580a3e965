// Why: where to sample next is best told on a drawn river, with ground, waters and catchments laid over it.
// Use: DesignSurvey d(drawing);  d.snapshot.grounds.push_back(...);  suggest_spread(d.source(), {.count = 3})
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "core/design/suggestion.hpp"
#include "tests/core/analysis/drawn_survey.hpp"

namespace brookmark::test {

// Two arms that meet, and a mouth below.
inline constexpr const char* kFork = R"(
    A       B
     \     /
      \   /
       \ /
        C
        |
        |
        |
        |
        D
)";

struct DesignSurvey {
  explicit DesignSurvey(const std::string& drawing) : drawn(drawing) { refresh(); }

  // After anything was added to `drawn`.
  void refresh() {
    snapshot = drawn.builder.snapshot();
    nesting = core::nest_catchments(snapshot);
  }
  core::DesignSource source() const {
    return {snapshot, drawn.network, nesting, core::parse_date("2024-12-31").value()};
  }

  // So many metres around a letter.
  core::MultiPolygon square(char letter, double around_m) const {
    const auto at = [&](double x, double y) {
      return drawn.river.beside(letter, x * around_m, y * around_m);
    };
    return {core::Polygon{{{at(-1, -1), at(1, -1), at(1, 1), at(-1, 1), at(-1, -1)}}}};
  }
  void ground(core::GroundKind kind, std::variant<core::LonLat, core::Line, core::MultiPolygon> shape) {
    snapshot.grounds.push_back({"ground", "", "", kind, std::move(shape)});
  }

  double metres_from(char letter, const core::Suggestion& suggestion) const {
    return core::geodesic_m(drawn.river.at(letter), suggestion.spot.position);
  }

  DrawnSurvey drawn;
  core::Snapshot snapshot;
  core::CatchmentNesting nesting;
};

inline bool says(const std::vector<std::string>& notes, const std::string& words) {
  return std::any_of(notes.begin(), notes.end(),
                     [&](const std::string& note) { return note.find(words) != std::string::npos; });
}

}  // namespace brookmark::test

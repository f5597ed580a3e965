// Why: rows have other places in the columns after a survey was read anew; what a person has chosen is found again by
// its key. Whoever puts an index into the State puts its key here.
// Use: const Anchors kept = anchors_of(state, model);  model.reread(...);  find_again(kept, state, model);
#pragma once

#include <optional>
#include <string>

#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

struct Anchors {
  std::optional<std::string> site, outfall, sample, query_site;  // keys
  std::optional<core::LonLat> middle;                            // of the map
  bool newest_day = false;                                       // the day shown was the newest one
};

Anchors anchors_of(const State& state, const Model& model);
// What is no longer there is let go; the query is asked anew.
void find_again(const Anchors& anchors, State& state, const Model& model);

}  // namespace brookmark::viewer

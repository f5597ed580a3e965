// Why: the map of a report: watercourses with the class carried along them, sites with their rank, outfalls, falls. Drawn from
// the survey that may leave alone; a blurred site is a circle as wide as its uncertainty.
// Use: MapFigure map = map_figure({handed, reaches, falls, {}, {}, 330, 460});  map.figure, map.key
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "core/sharing/hand_over.hpp"
#include "viewer/report/document.hpp"

namespace brookmark::viewer {

struct MapWish {
  const core::HandOver& handed;
  const core::ReachAssessment& reaches;
  std::span<const core::Drop> falls;                   // to be brought out, with their number; worst first
  std::optional<core::CatchmentIndex> catchment = {};  // it alone is shown; nothing: the whole survey
  std::optional<core::SiteIndex> site = {};            // it and what lies around it
  double width = 330, most_height = 460;               // points
};

struct MapFigure {
  bool empty = true;  // no place is known: nothing is drawn
  Figure figure;
  std::vector<KeyEntry> key;  // of what is on it
};

MapFigure map_figure(const MapWish& wish);

}  // namespace brookmark::viewer

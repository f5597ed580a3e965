// Why: charts are drawn one way everywhere: bands of the classes behind, intervals, points, events, and below them the
// words of the point that is read by pointer or finger.
// Use: draw_chart(ui, "index", index_chart(...), 9);
#pragma once

#include "viewer/panels/panels_internal.hpp"
#include "viewer/state/chart.hpp"

namespace brookmark::viewer {

// As wide as the panel, `ems` high without its words. A tap on a point opens its sample and shows its day on the map.
void draw_chart(const Ui& ui, const char* id, const Chart& chart, float ems);

}  // namespace brookmark::viewer

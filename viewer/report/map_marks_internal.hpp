// Why: a mark looks the same on the map, in its key and in the text of a report. Private to viewer/report.
#pragma once

#include "viewer/map/marks.hpp"
#include "viewer/report/document.hpp"

namespace brookmark::viewer {

inline constexpr double kMarkRadius = 6.3;

void draw_mark(Canvas& canvas, Pixel middle, double radius, const Mark& mark, const MarkColours& colours);

// For keys.
KeyEntry mark_key(const Mark& mark, const MarkColours& colours, const std::string& text);
KeyEntry line_key(const Pen& under, const Pen& over, const std::string& text);

}  // namespace brookmark::viewer

// Why: a group of animals has one colour on every chart of the window and on paper, however many were found of it.
// Use: const std::vector<Colour> colours = stack_colours(chart.stacks);
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "viewer/map/palette.hpp"
#include "viewer/state/chart.hpp"

namespace brookmark::viewer {

// Of a group by its name, as core::group_history tells it. A group without a colour of its own takes one that
// follows from its name alone; two such groups may have the same.
Colour group_colour(std::string_view group);

// Beside the groups of one chart: each its own, but where two could not be told apart the one without a colour of its own (of
// two such, the later by name) takes the next that stands clear of all others.
std::vector<Colour> stack_colours(std::span<const ChartStack> stacks);

}  // namespace brookmark::viewer

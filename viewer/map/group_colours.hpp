// Why: a group of animals has one colour on every chart of the window and on paper, however many were found of it.
// Use: const Colour colour = group_colour("Trichoptera");
#pragma once

#include <string_view>

#include "viewer/map/palette.hpp"

namespace brookmark::viewer {

// Of a group by its name, as core::group_history tells it. A group without a colour of its own takes one that
// follows from its name alone; two such groups may share one, and their names tell them apart in the key.
Colour group_colour(std::string_view group);

}  // namespace brookmark::viewer

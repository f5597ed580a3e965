// Why: who digitised a stream often cut it where a sample was taken. Such a cut inside the cell of a hidden site would tell
// the place to the metre.
#pragma once

#include <span>
#include <vector>

#include "core/sharing/blur_grid.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// Reaches that go on as exactly one other at a point inside one of the boxes, under the same name and both or neither
// two-way, made into one, again and again; the upper one's key and the notes of both stay. The point where they met is dropped
// where the line runs straight over it (within 5 m). Their order stays.
std::vector<Reach> close_ends(std::vector<Reach> reaches, std::span<const BoundingBox> boxes);

}  // namespace brookmark::core

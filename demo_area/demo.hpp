// Why: an invented catchment with a story that a newcomer can find in two minutes; the same data every time.
// Everything here is invented. The coordinates lie in the open ocean, so they are on nobody's land or river.
#pragma once

#include <filesystem>

namespace brookmark::demo {

// Writes the demo survey, and a drawn picture into the folder demo-photos beside it. Throws core Error (kBadUse when something is already there).
void make_demo_survey(const std::filesystem::path& target);

}  // namespace brookmark::demo

// Why: the page "Where" in its parts: what is asked, above what was answered.
#pragma once

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

// Everything that `brookmark suggest` takes, save the terrain model: what is asked most at once, the rest behind one button.
void draw_suggest_question(const Ui& ui);

}  // namespace brookmark::viewer

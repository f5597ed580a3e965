// Why: the page of a site shows photos; an invented survey has an invented one. Drawn from whole numbers, so that it is the
// same bytes every time.
#pragma once

#include "viewer/platform/picture.hpp"

namespace brookmark::demo {

// A brook between banks, a pipe in the left one, what comes out of it.
viewer::Picture draw_photo();

}  // namespace brookmark::demo

// Why: a system may be made for the area and still draw a kilometre as 1.4; who measures in the file has to know.
// Use: console.err << crs_caution("EPSG:3857", snapshot);
#pragma once

#include <string>

#include "core/survey/snapshot.hpp"

namespace brookmark::geodata {

// A sentence where lengths in this system, at the middle of the survey, differ from those on the ground by more than 1 % (a
// national grid keeps within 0.1 to 0.4 %, common practice, no source); empty where they do not, for systems in degrees, and
// where nothing has a place. `crs` is one that an export took.
std::string crs_caution(const std::string& crs, const core::Snapshot& snapshot);

}  // namespace brookmark::geodata

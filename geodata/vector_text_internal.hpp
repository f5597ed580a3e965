// Why: an import sees text. Numbers, dates and flags of a layer are written the one way core reads them.
#pragma once

#include <string>

class OGRFeature;

namespace brookmark::geodata {

// Unset, NULL and not-a-number give "". Numbers in their shortest form with a point, dates as 2024-05-03,
// times with their offset from UTC where the layer gives one, flags as true or false, lists joined by ";".
std::string field_text(const OGRFeature& feature, int field);

}  // namespace brookmark::geodata

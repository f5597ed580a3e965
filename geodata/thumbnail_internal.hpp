// Why: somebody who gets many files sees at a glance which survey this is.
// Use: const std::string png = thumbnail_png(source);
#pragma once

#include <string>

#include "geodata/export.hpp"

namespace brookmark::geodata {

inline constexpr int kThumbnailWidth = 320, kThumbnailHeight = 240;  // pixels

// A PNG: outlines of catchments, channels, and the sites in the colours of their classes, at the places that may be told.
// The same bytes for the same source.
std::string thumbnail_png(const ExportSource& source);

}  // namespace brookmark::geodata

// Why: a GeoPackage that was handed over and edited elsewhere comes back from a stranger's hands. It is read as plain tables,
// without running anything that is in it.
// Use: const Returned back = read_returned("theirs.gpkg", snapshot);
//      core::compare_returned(snapshot, core::share(snapshot, back.file.rules), back.file, back.place_text);
#pragma once

#include <filesystem>
#include <functional>

#include "core/intake/changes.hpp"

namespace brookmark::geodata {

struct Returned {
  core::ReturnedFile file;
  std::function<std::string(const core::Shape&)>
      place_text;  // of shapes in WGS 84, as the file writes places
};

// Opened read-only and untouched by journals beside it; views, virtual tables and computed columns are refused, triggers never
// run. Throws Error: kNotFound, kForeignFile (no GeoPackage, or a damaged one), kLocked (another program has it open, with
// changes not yet in the file), kBadInput (not one that was exported from here; a layer in another coordinate system than
// it left in; something in place of a table).
Returned read_returned(const std::filesystem::path& file, const core::Snapshot& snapshot);

}  // namespace brookmark::geodata

// Why: a file is opened by formats that stay on this machine only. What could answer a description by going to a network,
// to a database server or to another program is never asked.
// Use: DatasetPointer data = open_local(file, kVectorFormats, GDAL_OF_VECTOR, "a vector file");
#pragma once

#include <filesystem>
#include <span>

#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

// `kind` is GDAL_OF_VECTOR or GDAL_OF_RASTER, `what` the words for messages. Read-only. Throws Error: kNotFound, kStorage
// (the file cannot be looked at), kBadInput (none of the formats reads it).
DatasetPointer open_local(const std::filesystem::path& file, std::span<const char* const> formats,
                          unsigned kind, const char* what);

}  // namespace brookmark::geodata

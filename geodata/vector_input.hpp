// Why: places come in any vector format that GDAL reads; an import sees a core::Table with shapes in WGS 84.
// Use: core::Table t = geodata::read_layer("reaches.gpkg", {});
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/table.hpp"

namespace brookmark::geodata {

struct LayerOptions {
  std::string layer = {};  // empty: the only layer; with several, the error lists them
  std::string crs = {};    // for layers that do not say their own; empty: refuse them
};

// Multi-part lines stay one row with several lines; curves are drawn as lines; Z and M are dropped.
// Throws core Error: kNotFound, kBadInput (unreadable, no such layer, no CRS, empty layer) with a sentence.
core::Table read_layer(const std::filesystem::path& file, const LayerOptions& options);
// True where the file is better read as plain CSV text by core (".csv", ".tsv", ".txt").
bool is_plain_table(const std::filesystem::path& file);

// Registers GDAL's drivers once, network off, its messages captured for Error texts.
void start_geodata();
std::string geodata_versions();  // "GDAL 3.6.2"

}  // namespace brookmark::geodata

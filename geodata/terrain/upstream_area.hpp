// Why: how much land drains to a spot says how large a water is, and what may come down it. A terrain model knows.
// Use: for (const UpstreamArea& a : upstream_areas("dem.tif", places, 500, {})) a.km2
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/geometry.hpp"
#include "geodata/terrain/progress.hpp"

namespace brookmark::geodata {

struct UpstreamArea {
  std::optional<double> km2;  // that drains to the nearest channel cell
  std::string note;           // why there is none
};

// A spot is taken to the nearest cell through which `threshold` cells drain, within kOutletSnapM. One a place. Reads the whole model;
// throws as DemFile, DemFile::read and route_flow do.
inline constexpr double kOutletSnapM = 100;  // common practice, no source
std::vector<UpstreamArea> upstream_areas(const std::filesystem::path& terrain,
                                         std::span<const core::LonLat> places, std::uint32_t threshold,
                                         const Progress& progress);

}  // namespace brookmark::geodata

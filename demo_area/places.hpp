// Why: the demo's sites, outfalls and ponds as plain data, placed along the watercourses of landscape.cpp.
// A place is given by course and bend (7.5 lies halfway from bend 7 to bend 8) and by how many metres it is
// off to the left looking downstream: no position taken on a bank falls on the line that somebody drew.
#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "core/base/geometry.hpp"

namespace brookmark::demo {

inline constexpr std::string_view kStem = "Quarrendel Brook", kEllow = "Ellow Gill", kTarrow = "Tarrow Beck",
                                  kPellow = "Pellow Drain", kOrwick = "Orwick Brook", kMossop = "Mossop Syke",
                                  kSennet = "Little Sennet";

struct PlacedSite {
  std::string_view code, name, water, kind;
  double bend = 0, left_m = 0;
  std::optional<core::PlanePoint> on_land;  // away from every course: metres on the plane
  int accuracy_m = 5;
  std::string_view habitat, note;
  std::string_view status = "active";
};

struct PlacedOutfall {
  std::string_view code, name, kind, course;
  double bend = 0, left_m = 0;
  std::string_view since, until, note;
};

struct Pond {
  std::string_view name;
  core::PlanePoint middle;
  std::vector<core::PlanePoint> shore;  // metres from the middle
};

std::span<const PlacedSite> placed_sites();
std::span<const PlacedOutfall> placed_outfalls();
std::span<const Pond> ponds();

}  // namespace brookmark::demo

// Why: the demo's sites, outfalls, ponds and ground as plain data, placed along the watercourses of landscape.cpp.
// A place is given by course and bend (7.5 lies halfway from bend 7 to bend 8) and by how many metres it is
// off to the left looking downstream: no position taken on a bank falls on the line that somebody drew.
#pragma once

#include <cstdint>
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

// The ground between the waters: a point, a line, or (closed by itself) the border of an area, in metres on the plane; else along a
// watercourse, from one bend to another.
struct PieceOfGround {
  enum class Form : std::uint8_t { kPoint, kLine, kArea };
  std::string_view name, kind, note;
  Form form = Form::kPoint;
  std::vector<core::PlanePoint> points;
  std::string_view course = {};
  double from_bend = 0, to_bend = 0;
};

std::span<const PlacedSite> placed_sites();
std::span<const PlacedOutfall> placed_outfalls();
std::span<const Pond> ponds();
std::span<const PieceOfGround> pieces_of_ground();

}  // namespace brookmark::demo

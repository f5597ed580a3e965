// Why: the invented ground of the demo survey, as tables such as a surveyor would import: lines, shapes,
// points. It is drawn in metres on a plane whose middle lies in the open North Atlantic (30 W, 45 N), so that
// it is on nobody's land or river; everything leaves here as longitude and latitude.
// Use: Landscape land;  core::Table lines = land.watercourses();
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/base/table.hpp"

namespace brookmark::demo {

class Landscape {
 public:
  Landscape();

  core::Table watercourses() const;  // one row a reach, drawn downstream
  core::Table catchments() const;    // the whole, its sub-catchments, and two nested in one of them
  core::Table waters() const;        // the three ponds
  core::Table outfalls() const;      // five, of five kinds
  core::Table sites() const;
  core::Table ground() const;  // private, unsafe, a road with its bridge, places of access

 private:
  struct Course {
    std::string_view name;
    core::Line line;                      // in WGS 84
    std::vector<core::PlanePoint> plane;  // the same, in metres
    std::vector<std::size_t> cuts;        // vertices at which one reach ends and the next begins
  };

  const Course& course(std::string_view name) const;
  core::LonLat place(core::PlanePoint point) const;
  core::PlanePoint on_course(std::string_view name, double bend) const;
  core::PlanePoint beside_course(std::string_view name, double bend, double left_m) const;

  core::LocalFrame frame_;
  std::vector<Course> courses_;
};

}  // namespace brookmark::demo

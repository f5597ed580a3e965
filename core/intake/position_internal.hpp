// Why: a position is the easiest thing to get wrong (exchanged, zero, in another system) and the hardest to
// see later. Reads it from a shape, from latitude and longitude or from x and y, keeps it as written, and
// doubts it where it can. Private to core/intake.
// Use: PositionReader reader(plan);
//      if (auto placed = reader.read("site")) site.position = placed->position;
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/base/crs.hpp"
#include "core/intake/plan_internal.hpp"

namespace brookmark::core {

struct PlacedPosition {
  LonLat position;
  RawPosition raw;
};

class PositionReader {
 public:
  // Throws Error(kBadInput) where the table has half a position, or its coordinate system is not known.
  explicit PositionReader(Plan& plan);
  // True where the row at hand says nothing about its position: no columns for it, or both cells empty.
  bool says_nothing() const;
  // Throws Error(kBadInput) that names the columns, where the table has none for a position.
  void require_columns() const;
  // The position of the row at hand; nothing, and an error on the row, where it cannot be right.
  std::optional<PlacedPosition> read(const std::string& what);

 private:
  std::optional<PlacedPosition> from_shape(const std::string& what);
  std::optional<PlacedPosition> from_columns();
  void gather_places();
  std::optional<LonLat> rough_position(const TableRow& row) const;
  bool looks_exchanged(LonLat position);
  bool is_far_from_the_file(LonLat position);
  double distance_to_places_m(LonLat position) const;

  Plan& plan_;
  Field x_ = Field::kLongitude, y_ = Field::kLatitude;
  std::optional<CrsConverter> converter_;  // for x and y
  std::string crs_ = "EPSG:4326";
  bool geographic_ = true;
  bool has_columns_ = true;     // false: a table without any position
  std::vector<LonLat> places_;  // of the survey, thinned to about a kilometre; else the middle of this file
  bool places_of_survey_ = true;
  // Of a first file: its different places by cells of a degree, to find those that lie far from the others.
  using CellKey = std::pair<long, long>;
  struct FileCell {
    LonLat place;
    std::size_t places = 0;
    std::optional<bool> is_far;  // worked out when asked
  };
  static CellKey cell_of(LonLat position);
  std::map<CellKey, FileCell> file_cells_;
  std::size_t file_places_ = 0;
  std::vector<std::optional<BoundingBox>> catchment_bounds_;
};

}  // namespace brookmark::core

#include <algorithm>
#include <cmath>
#include <set>

#include "core/base/text.hpp"
#include "core/intake/position_internal.hpp"

namespace brookmark::core {

namespace {

// A survey looks after one small catchment. Common practice, no source.
constexpr double kFar_m = 100'000;
// No survey of one catchment is that wide, whatever it is compared with. Common practice, no source.
constexpr double kVeryFar_m = 1'000'000;

std::string metres_text(double distance_m) {
  return std::to_string(std::llround(distance_m / 1000)) + " km";
}

}  // namespace

PositionReader::PositionReader(Plan& plan) : plan_(plan) {
  if (!plan.table().has_shapes) {
    const bool degrees = plan.has(Field::kLatitude) && plan.has(Field::kLongitude);
    const bool plane = plan.has(Field::kX) && plan.has(Field::kY);
    if (!degrees && !plane && !plan.has(Field::kLatitude) && !plan.has(Field::kLongitude) &&
        !plan.has(Field::kX) && !plan.has(Field::kY)) {
      has_columns_ = false;
    } else if (!degrees && !plane) {
      // Name the half that is there, or else the usual pair.
      plan.require(plan.has(Field::kLatitude) ? Field::kLongitude : Field::kLatitude);
      plan.require(Field::kLongitude);
    }
    if (degrees || !has_columns_) {
      plan.columns().forget(Field::kX);
      plan.columns().forget(Field::kY);
    } else {
      plan.columns().forget(Field::kLatitude);
      plan.columns().forget(Field::kLongitude);
      x_ = Field::kX;
      y_ = Field::kY;
      crs_ = plan.options().crs;
      converter_.emplace(crs_);
      geographic_ = converter_->is_geographic();
    }
  }
  gather_places();
  for (const Catchment& catchment : plan.snapshot().catchments)
    catchment_bounds_.push_back(bounds_of(catchment.shape));
}

bool PositionReader::says_nothing() const {
  if (plan_.table().has_shapes) return std::holds_alternative<std::monostate>(plan_.row().shape);
  return !has_columns_ || (plan_.cell(x_).empty() && plan_.cell(y_).empty());
}

void PositionReader::require_columns() const {
  if (plan_.table().has_shapes || has_columns_) return;
  plan_.require(Field::kLatitude);
  plan_.require(Field::kLongitude);
}

void PositionReader::gather_places() {
  std::set<std::pair<long, long>> taken;
  const auto add = [&](LonLat place) {
    if (is_valid(place) && taken.insert({std::lround(place.lon * 100), std::lround(place.lat * 100)}).second)
      places_.push_back(place);
  };
  const Snapshot& survey = plan_.snapshot();
  for (const LonLat site : survey.sites.position) add(site);
  for (const Outfall& outfall : survey.outfalls) add(outfall.position);
  for (const Reach& reach : survey.reaches)
    for (const LonLat point : reach.line) add(point);
  for (const Catchment& catchment : survey.catchments)
    for (const Polygon& part : catchment.shape)
      for (const Line& ring : part.rings)
        for (const LonLat point : ring) add(point);
  if (!places_.empty()) return;

  // Nothing to compare with yet: the file itself shows up single rows that are exchanged.
  places_of_survey_ = false;
  std::set<std::pair<double, double>> different;
  std::vector<double> lon, lat;
  for (const TableRow& row : plan_.table().rows)
    if (const auto position = rough_position(row); position && *position != LonLat{0, 0}) {
      lon.push_back(position->lon);
      lat.push_back(position->lat);
      if (different.insert({position->lon, position->lat}).second)
        ++file_cells_.try_emplace(cell_of(*position), FileCell{*position, 0, {}}).first->second.places;
    }
  file_places_ = different.size();
  if (lon.size() < 3) return;
  const auto middle = [](std::vector<double>& values) {
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), at, values.end());
    return *at;
  };
  places_.push_back({middle(lon), middle(lat)});
}

PositionReader::CellKey PositionReader::cell_of(LonLat position) {
  return {std::lround(position.lon), std::lround(position.lat)};
}

// True where most of the file's other places are more than kVeryFar_m away. Places are counted by cells of a degree.
bool PositionReader::is_far_from_the_file(LonLat position) {
  const auto found = file_cells_.find(cell_of(position));
  if (found == file_cells_.end()) return false;
  FileCell& cell = found->second;
  if (!cell.is_far) {
    std::size_t far = 0;
    for (const auto& [key, other] : file_cells_)
      if (geodesic_m(cell.place, other.place) > kVeryFar_m) far += other.places;
    cell.is_far = far * 2 > file_places_ - 1;
  }
  return *cell.is_far;
}

std::optional<LonLat> PositionReader::rough_position(const TableRow& row) const {
  if (const auto* point = std::get_if<LonLat>(&row.shape)) return *point;
  if (plan_.table().has_shapes) return std::nullopt;
  const auto value = [&](Field field) -> std::optional<double> {
    const auto column = plan_.columns().at(field);
    if (!column || *column >= row.cells.size()) return std::nullopt;
    return parse_number(row.cells[*column], plan_.table().decimal);
  };
  const auto x = value(x_), y = value(y_);
  if (!x || !y) return std::nullopt;
  if (!geographic_) return converter_->to_lonlat({*x, *y});
  if (!is_valid({*x, *y})) return std::nullopt;
  return LonLat{*x, *y};
}

double PositionReader::distance_to_places_m(LonLat position) const {
  double nearest = std::numeric_limits<double>::infinity();
  for (const LonLat place : places_) {
    nearest = std::min(nearest, geodesic_m(position, place));
    if (nearest <= kFar_m) break;  // near enough; how near does not matter
  }
  return nearest;
}

std::optional<PlacedPosition> PositionReader::from_shape(const std::string& what) {
  const Shape& shape = plan_.row().shape;
  if (std::holds_alternative<std::monostate>(shape)) {
    plan_.error("This feature has no shape; a " + what + " needs a point.");
    return std::nullopt;
  }
  const auto* point = std::get_if<LonLat>(&shape);
  if (point == nullptr) {
    plan_.error("This feature is a line or an area; a " + what + " needs a point.");
    return std::nullopt;
  }
  return PlacedPosition{*point,
                        {format_number(point->lon), format_number(point->lat), crs_, plan_.table().crs_note}};
}

std::optional<PlacedPosition> PositionReader::from_columns() {
  const std::string raw_x = plan_.need(x_, geographic_ ? "longitude" : "easting");
  const std::string raw_y = plan_.need(y_, geographic_ ? "latitude" : "northing");
  const auto x = plan_.number(x_, geographic_ ? "the longitude in degrees" : "the easting in metres");
  const auto y = plan_.number(y_, geographic_ ? "the latitude in degrees" : "the northing in metres");
  if (!x || !y) return std::nullopt;
  if (geographic_ && !is_valid({*x, *y})) {
    if (std::abs(*x) > 360 || std::abs(*y) > 360)
      plan_.error(y_, "x " + raw_x + " and y " + raw_y +
                          " are not degrees; say their coordinate system with --crs EPSG:number" +
                          (x_ == Field::kX ? "." : " and map the columns to x and y."));
    else if (is_valid({*y, *x}))
      plan_.error(y_, "A latitude of " + raw_y +
                          " does not exist (-90 to 90), but it would be a longitude: latitude and longitude "
                          "look exchanged. Exchange them in the file or with --column.");
    else if (std::abs(*y) > 90)
      plan_.error(y_, "A latitude of " + raw_y + " does not exist; it lies between -90 and 90.");
    else
      plan_.error(x_, "A longitude of " + raw_x + " does not exist; it lies between -180 and 180.");
    return std::nullopt;
  }
  PlacedPosition placed{{*x, *y}, {raw_x, raw_y, crs_, ""}};
  if (converter_) {
    const auto position = converter_->to_lonlat({*x, *y});
    if (!position) {
      plan_.error(x_, "x " + raw_x + " and y " + raw_y + " are not a place in " + crs_ +
                          "; check the numbers and the coordinate system.");
      return std::nullopt;
    }
    placed.position = *position;
    placed.raw.note = converter_->note();
  }
  return placed;
}

// Reports, and gives true, where exchanging the two would bring the place home.
bool PositionReader::looks_exchanged(LonLat position) {
  const double distance_m = distance_to_places_m(position);
  if (!places_.empty() && distance_m <= kFar_m) return false;
  const LonLat exchanged{position.lat, position.lon};
  const std::string others =
      places_of_survey_ ? "the other places of this survey" : "the other rows of this file";
  if (!places_.empty() && is_valid(exchanged) && distance_to_places_m(exchanged) <= kFar_m) {
    plan_.error(y_,
                "This position is " + metres_text(distance_m) + " from " + others +
                    ", but with latitude and longitude exchanged it lies among them. Exchange them in the "
                    "file or with --column.");
    return true;
  }
  if (places_of_survey_)
    plan_.warn(y_, "This position is " + metres_text(distance_m) + " from " + others + "; check it.");
  else if (is_far_from_the_file(position))
    plan_.warn(
        y_,
        "This position and others of this file lie more than 1000 km apart; check which of them are right, "
        "and that latitude and longitude are not exchanged.");
  return false;
}

std::optional<PlacedPosition> PositionReader::read(const std::string& what) {
  auto placed = plan_.table().has_shapes ? from_shape(what) : from_columns();
  if (!placed) return std::nullopt;
  if (!is_valid(placed->position)) {
    plan_.error("This point is no place on earth; check it and its coordinate system.");
    return std::nullopt;
  }
  if (placed->position == LonLat{0, 0}) {
    plan_.error(y_,
                "The position 0, 0 lies in the sea off Africa and usually means that none was noted; "
                "fill in the real one.");
    return std::nullopt;
  }
  const auto& catchments = plan_.snapshot().catchments;
  const LonLat p = placed->position;
  for (std::size_t i = 0; i < catchments.size(); ++i) {
    const auto& box = catchment_bounds_[i];
    if (box && p.lon >= box->min_lon && p.lon <= box->max_lon && p.lat >= box->min_lat &&
        p.lat <= box->max_lat && contains(catchments[i].shape, p))
      return placed;
  }
  if (looks_exchanged(p)) return std::nullopt;
  if (!catchments.empty())
    plan_.warn(y_, "This " + what + " lies outside every catchment of the survey; check its position.");
  return placed;
}

}  // namespace brookmark::core

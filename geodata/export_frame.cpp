#include "geodata/export_frame_internal.hpp"

#include <ogr_spatialref.h>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/sharing/blur_grid.hpp"

namespace brookmark::geodata {

namespace {

core::BoundingBox area_of(const core::Snapshot& snapshot) {
  core::BoundingBox box{180, 90, -180, -90};
  const auto add = [&](core::LonLat p) {
    if (!core::is_placed(p)) return;
    box = {std::min(box.min_lon, p.lon), std::min(box.min_lat, p.lat), std::max(box.max_lon, p.lon),
           std::max(box.max_lat, p.lat)};
  };
  for (const core::LonLat p : snapshot.sites.position) add(p);
  for (const core::Outfall& outfall : snapshot.outfalls) add(outfall.position);
  for (const core::Reach& reach : snapshot.reaches)
    for (const core::LonLat p : reach.line) add(p);
  return box;
}

std::string degrees(double value) {
  return core::format_fixed(value, 1);
}

}  // namespace

ExportFrame::ExportFrame(const std::string& crs, const core::Snapshot& snapshot,
                         const std::filesystem::path& target)
    : name_(crs), system_(std::make_unique<OGRSpatialReference>()) {
  const auto number = crs.starts_with("EPSG:") ? core::parse_integer(crs.substr(5)) : std::nullopt;
  if (!number || *number <= 0 || *number > INT32_MAX)
    throw Error(ErrorCode::kBadUse,
                "\"" + crs + "\" is not the number of a coordinate system; write EPSG:number",
                target.string());
  if (*number != 4326) converter_ = std::make_unique<core::CrsConverter>(crs);
  if (system_->importFromEPSG(static_cast<int>(*number)) != OGRERR_NONE)
    throw Error(ErrorCode::kBadInput, crs + " is not known here", target.string());
  if (system_->GetAxesCount() != 2 || (system_->IsGeographic() == 0 && system_->IsProjected() == 0))
    throw Error(
        ErrorCode::kBadUse,
        crs + " (" + system_->GetName() +
            ") is no system of two coordinates on a map; choose a two-dimensional one, or leave it out "
            "for WGS 84",
        target.string());
  system_->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  if (converter_ == nullptr) return;
  double west = 0, south = 0, east = 0, north = 0;
  const char* region = nullptr;
  if (!system_->GetAreaOfUse(&west, &south, &east, &north, &region)) return;
  const core::BoundingBox here = area_of(snapshot);
  if (here.min_lon > here.max_lon) return;  // nothing has a place
  const bool across_180 = west > east;
  const bool lon_fits = across_180 ? here.min_lon >= west || here.max_lon <= east
                                   : here.min_lon >= west && here.max_lon <= east;
  if (lon_fits && here.min_lat >= south && here.max_lat <= north) return;
  throw Error(ErrorCode::kBadUse,
              crs + " (" + system_->GetName() + ") is made for longitudes " + degrees(west) + " to " +
                  degrees(east) + " and latitudes " + degrees(south) + " to " + degrees(north) +
                  ", and the survey reaches from " + degrees(here.min_lon) + ", " + degrees(here.min_lat) +
                  " to " + degrees(here.max_lon) + ", " + degrees(here.max_lat) +
                  "; choose a system for that area, or leave it out for WGS 84",
              target.string());
}

ExportFrame::~ExportFrame() = default;

core::PlanePoint ExportFrame::project(core::LonLat position) const {
  if (converter_ == nullptr) return {position.lon, position.lat};
  const auto point = converter_->from_lonlat(position);
  if (!point)
    throw Error(ErrorCode::kBadInput, "the place " + core::format_number(position.lon) + ", " +
                                          core::format_number(position.lat) + " cannot be told in " + name_ +
                                          "; choose another coordinate system");
  return *point;
}

std::string ExportFrame::note() const {
  return converter_ == nullptr ? std::string() : converter_->note();
}

}  // namespace brookmark::geodata

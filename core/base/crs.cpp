#include "core/base/crs.hpp"

#include <proj.h>

#include <cmath>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {

struct CrsConverter::Impl {
  std::string name;
  PJ_CONTEXT* context = nullptr;
  PJ* to_wgs84 = nullptr;
  bool geographic = false;
  std::optional<BoundingBox> area;
  ~Impl() {
    proj_destroy(to_wgs84);
    proj_context_destroy(context);
  }
};

CrsConverter::CrsConverter(const std::string& crs) : impl_(std::make_unique<Impl>()) {
  impl_->context = proj_context_create();
  proj_context_set_enable_network(impl_->context, 0);
  proj_log_func(impl_->context, nullptr, [](void*, int, const char*) {});
  PJ* source = proj_create(impl_->context, crs.c_str());
  if (source == nullptr || proj_is_crs(source) == 0) {
    proj_destroy(source);
    throw Error(ErrorCode::kBadInput,
                "\"" + crs + "\" is not a coordinate system known here; give it as EPSG:number");
  }
  const PJ_TYPE type = proj_get_type(source);
  impl_->geographic = type == PJ_TYPE_GEOGRAPHIC_2D_CRS || type == PJ_TYPE_GEOGRAPHIC_3D_CRS;
  impl_->name = proj_get_name(source);
  BoundingBox area;
  // -1000 stands for what is not told.
  if (proj_get_area_of_use(impl_->context, source, &area.min_lon, &area.min_lat, &area.max_lon, &area.max_lat,
                           nullptr) != 0 &&
      is_valid({area.min_lon, area.min_lat}) && is_valid({area.max_lon, area.max_lat}) &&
      area.min_lon < area.max_lon && area.min_lat < area.max_lat && area.max_lon - area.min_lon < 359)
    impl_->area = area;
  PJ* target = proj_create(impl_->context, "EPSG:4326");
  PJ* raw = target == nullptr
                ? nullptr
                : proj_create_crs_to_crs_from_pj(impl_->context, source, target, nullptr, nullptr);
  proj_destroy(source);
  proj_destroy(target);
  if (raw != nullptr) {
    impl_->to_wgs84 = proj_normalize_for_visualization(impl_->context, raw);
    proj_destroy(raw);
  }
  if (impl_->to_wgs84 == nullptr)
    throw Error(ErrorCode::kBadInput,
                "positions in \"" + crs + "\" cannot be brought to longitude and latitude here");
}

CrsConverter::~CrsConverter() = default;
CrsConverter::CrsConverter(CrsConverter&&) noexcept = default;
CrsConverter& CrsConverter::operator=(CrsConverter&&) noexcept = default;

std::optional<LonLat> CrsConverter::to_lonlat(PlanePoint point) const {
  const PJ_COORD at = proj_trans(impl_->to_wgs84, PJ_FWD, proj_coord(point.x, point.y, 0, HUGE_VAL));
  const LonLat position{at.xy.x, at.xy.y};
  if (!is_valid(position)) return std::nullopt;
  return position;
}

std::optional<PlanePoint> CrsConverter::from_lonlat(LonLat position) const {
  const PJ_COORD at =
      proj_trans(impl_->to_wgs84, PJ_INV, proj_coord(position.lon, position.lat, 0, HUGE_VAL));
  if (!std::isfinite(at.xy.x) || !std::isfinite(at.xy.y)) return std::nullopt;
  return PlanePoint{at.xy.x, at.xy.y};
}

bool CrsConverter::is_geographic() const {
  return impl_->geographic;
}

std::optional<BoundingBox> CrsConverter::area_of_use() const {
  return impl_->area;
}

std::string CrsConverter::note() const {
  PJ* operation = proj_trans_get_last_used_operation(impl_->to_wgs84);
  const PJ* used = operation != nullptr ? operation : impl_->to_wgs84;
  const double accuracy_m = proj_coordoperation_get_accuracy(impl_->context, used);
  const bool ballpark = proj_coordoperation_has_ballpark_transformation(impl_->context, used) != 0;
  proj_destroy(operation);
  if (ballpark || accuracy_m < 0) return impl_->name + ", accuracy unknown";
  return impl_->name + ", accuracy " + format_number(accuracy_m) + " m";
}

}  // namespace brookmark::core

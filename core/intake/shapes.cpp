#include <string>
#include <unordered_map>
#include <unordered_set>

#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"
#include "core/intake/shape_checks.hpp"

namespace brookmark::core {

namespace {

void require_shapes(const Plan& plan, const char* what) {
  if (!plan.table().has_shapes)
    plan.refuse(std::string("a table of text has no shapes; ") + what +
                " come from a vector layer, such as a GeoPackage, a shapefile or GeoJSON");
}

const MultiPolygon* read_area(Plan& plan, const std::string& what) {
  const Shape& shape = plan.row().shape;
  if (std::holds_alternative<std::monostate>(shape)) {
    plan.error("This feature has no shape; " + what + " needs an area.");
    return nullptr;
  }
  const auto* area = std::get_if<MultiPolygon>(&shape);
  if (area == nullptr) {
    plan.error("This feature is a point or a line; " + what + " needs an area.");
    return nullptr;
  }
  if (std::string fault = polygon_fault(*area); !fault.empty()) plan.error(std::move(fault));
  return area;
}

std::string coordinates(const Line& line) {
  std::string all;
  for (const LonLat point : line) all += format_number(point.lon) + ' ' + format_number(point.lat) + ',';
  return all;
}

}  // namespace

void plan_watercourses(Plan& plan) {
  require_shapes(plan, "watercourses");
  std::unordered_set<std::string> known;
  for (const Reach& reach : plan.snapshot().reaches) known.insert(coordinates(reach.line));
  plan.each_row([&] {
    const Shape& shape = plan.row().shape;
    if (std::holds_alternative<std::monostate>(shape)) {
      plan.error("This feature has no shape; a watercourse needs a line.");
      return;
    }
    const auto* lines = std::get_if<std::vector<Line>>(&shape);
    if (lines == nullptr) {
      plan.error("This feature is a point or an area; a watercourse needs a line, drawn downstream.");
      return;
    }
    if (lines->empty()) plan.error("This feature has no shape; a watercourse needs a line.");
    const bool two_way = plan.yes_or_no(Field::kTwoWay).value_or(false);
    for (const Line& line : *lines) {
      if (std::string fault = line_fault(line); !fault.empty()) {
        plan.error(std::move(fault));
        continue;
      }
      if (known.contains(coordinates(line)))
        plan.error("The survey already has a reach with this very line; leave the feature out.");
      if (const auto at = self_crossing(line))
        plan.warn("This line crosses itself near " + format_fixed(at->lon, 5) + " " +
                  format_fixed(at->lat, 5) +
                  " (longitude, latitude); it is kept as drawn, and water is not led across.");
      plan.add(AddReach{
          {plan.new_key(), plan.text(Field::kReachName), line, two_way, plan.text(Field::kReachNote)}});
    }
  });
}

void plan_catchments(Plan& plan) {
  require_shapes(plan, "catchments");
  plan.require(Field::kCatchmentCode);
  std::unordered_map<std::string, std::size_t> seen;
  std::unordered_set<std::string> known;
  for (const Catchment& catchment : plan.snapshot().catchments) known.insert(catchment.code);
  plan.each_row([&] {
    const std::string code = plan.need(Field::kCatchmentCode, "code for the catchment");
    if (known.contains(code))
      plan.error(Field::kCatchmentCode, "The survey already has catchment " + quoted(code) +
                                            "; give this one another code, or leave it out.");
    if (const auto before = seen.find(code); !code.empty() && before != seen.end())
      plan.error(Field::kCatchmentCode, "The code " + quoted(code) + " stands in feature " +
                                            std::to_string(before->second) +
                                            " too; give each catchment its own code.");
    const MultiPolygon* area = read_area(plan, "a catchment");
    if (area == nullptr || !plan.row_is_good()) return;
    seen.emplace(code, plan.row().line);
    plan.add(AddCatchment{{plan.new_key(), code, plan.text(Field::kCatchmentName), *area}});
  });
}

void plan_waters(Plan& plan) {
  require_shapes(plan, "waters");
  const auto outline = [](const std::string& name, const MultiPolygon& shape) {
    return name + '\x1f' + (shape.empty() || shape[0].rings.empty() ? "" : coordinates(shape[0].rings[0]));
  };
  std::unordered_set<std::string> known;
  for (const Water& water : plan.snapshot().waters) known.insert(outline(water.name, water.shape));
  plan.each_row([&] {
    Water water;
    water.name = plan.text(Field::kWaterName);
    water.kind = plan.word(Field::kWaterKind, parse_water_kind, water_kind_name, WaterKind::kLakeMargin)
                     .value_or(WaterKind::kUnknown);
    const MultiPolygon* area = read_area(plan, "a water");
    if (area == nullptr || !plan.row_is_good()) return;
    if (known.contains(outline(water.name, *area))) {
      plan.error("The survey already has a water with this name and outline; leave the feature out.");
      return;
    }
    water.shape = *area;
    water.key = plan.new_key();
    plan.add(AddWater{std::move(water)});
  });
}

}  // namespace brookmark::core

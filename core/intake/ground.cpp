#include <string>
#include <unordered_set>

#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"
#include "core/intake/shape_checks.hpp"

namespace brookmark::core {

namespace {

std::string coordinates(const Line& line) {
  std::string all;
  for (const LonLat point : line) all += format_number(point.lon) + ' ' + format_number(point.lat) + ',';
  return all;
}

// What makes two pieces of ground the same: kind, name and shape.
std::string identity(const Ground& ground) {
  std::string all = std::string(ground_kind_name(ground.kind)) + '\x1f' + ground.name + '\x1f';
  if (const auto* point = std::get_if<LonLat>(&ground.shape)) all += coordinates({*point});
  if (const auto* line = std::get_if<Line>(&ground.shape)) all += coordinates(*line);
  if (const auto* area = std::get_if<MultiPolygon>(&ground.shape))
    for (const Polygon& polygon : *area)
      for (const Line& ring : polygon.rings) all += coordinates(ring) + ';';
  return all;
}

}  // namespace

void plan_ground(Plan& plan) {
  if (!plan.table().has_shapes)
    plan.refuse(
        "a table of text has no shapes; ground comes from a vector layer, such as a GeoPackage, a shapefile "
        "or GeoJSON");
  const std::optional<GroundKind> all = plan.options().ground_kind;
  if (!all) plan.require(Field::kGroundKind);
  std::unordered_set<std::string> known;
  for (const Ground& ground : plan.snapshot().grounds) known.insert(identity(ground));
  plan.each_row([&] {
    Ground ground;
    ground.name = plan.text(Field::kGroundName);
    ground.note = plan.text(Field::kGroundNote);
    const auto kind =
        all ? all : plan.word(Field::kGroundKind, parse_ground_kind, ground_kind_name, GroundKind::kRefused);
    if (!kind) {
      if (plan.row_is_good())
        plan.error(
            "This feature does not say what kind of ground it is: private, unsafe, road, bridge, access or "
            "refused.");
      return;
    }
    ground.kind = *kind;
    const auto add = [&](auto shape) {
      ground.shape = std::move(shape);
      if (!known.insert(identity(ground)).second) {
        plan.error("The survey (or this file) already has this very piece of ground; leave the feature out.");
        return;
      }
      ground.key = plan.new_key();
      plan.add(AddGround{ground});
    };
    const Shape& shape = plan.row().shape;
    if (const auto* point = std::get_if<LonLat>(&shape)) {
      if (!is_valid(*point))
        plan.error("This point is no place on earth.");
      else
        add(*point);
    } else if (const auto* lines = std::get_if<std::vector<Line>>(&shape)) {
      if (lines->empty()) plan.error("This feature has no shape; ground needs a point, a line or an area.");
      for (const Line& line : *lines) {
        if (std::string fault = line_fault(line); !fault.empty())
          plan.error(std::move(fault));
        else
          add(line);
      }
    } else if (const auto* area = std::get_if<MultiPolygon>(&shape)) {
      if (std::string fault = polygon_fault(*area); !fault.empty())
        plan.error(std::move(fault));
      else
        add(*area);
    } else {
      plan.error("This feature has no shape; ground needs a point, a line or an area.");
    }
  });
}

}  // namespace brookmark::core

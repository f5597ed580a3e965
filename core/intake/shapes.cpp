#include <algorithm>
#include <cmath>
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

void warn_if_far_off(Plan& plan, const std::vector<Reach>& reaches) {
  std::vector<LonLat> points;
  for (const Reach& reach : reaches) points.insert(points.end(), reach.line.begin(), reach.line.end());
  const auto box = bounds_of(points);
  if (!box) return;
  double nearest_m = HUGE_VAL;
  for (const LonLat site : plan.snapshot().sites.position) {
    if (!is_placed(site)) continue;
    const LonLat beside{std::clamp(site.lon, box->min_lon, box->max_lon),
                        std::clamp(site.lat, box->min_lat, box->max_lat)};
    nearest_m = std::min(nearest_m, geodesic_m(site, beside));
  }
  if (nearest_m == HUGE_VAL || nearest_m <= kFarOff_m) return;
  plan.outcome().issues.push_back(
      {Severity::kWarning, plan.table().file, 0, "",
       "These watercourses lie " + format_fixed(nearest_m / 1000, 0) +
           " km from the nearest site of the survey; check the file, its coordinate system, or the sites."});
}

// What mending does to the lines of the good rows, or would do.
void settle_watercourses(Plan& plan, const std::unordered_map<std::string, std::uint32_t>& numbers) {
  ImportReport& report = plan.outcome();
  std::vector<Reach> lines;
  std::vector<std::uint32_t> number_of;  // in the file, from 0
  for (const Edit& edit : report.batch.edits)
    if (const auto* add = edit.as<AddReach>()) {
      lines.push_back(add->reach);
      number_of.push_back(numbers.at(add->reach.key));
    }
  if (lines.empty()) return;
  warn_if_far_off(plan, lines);
  MendOptions mending = plan.options().mending;
  mending.label = [&](ReachIndex line) {
    const std::string& name = lines[line.value()].name;
    return "feature " + std::to_string(report.feature_of[number_of[line.value()]]) + " of the file" +
           (name.empty() ? "" : " (" + name + ")");
  };
  MendResult mended = mend_lines(lines, plan.snapshot().reaches, mending);
  for (ChannelFinding& finding : mended.findings) {
    if (finding.reach.has_value()) finding.reach = ReachIndex(number_of[finding.reach.value()]);
    report.channels.push_back(std::move(finding));
  }
  if (!plan.options().mend) {
    for (ChannelFinding& finding : report.channels) finding.done = false;
    return;
  }
  std::erase_if(report.batch.edits, [](const Edit& edit) { return edit.as<AddReach>() != nullptr; });
  for (std::size_t i = 0; i < mended.reaches.size(); ++i) {
    Reach& reach = mended.reaches[i];
    if (reach.key.empty()) reach.key = plan.new_key();
    if (!mended.notes[i].empty()) reach.note += (reach.note.empty() ? "" : " ") + mended.notes[i];
    report.batch.edits.push_back(AddReach{std::move(reach)});
  }
}

// A line that is refused, and that mending would leave out.
void tell_no_length(Plan& plan, std::uint32_t number, const Line& line) {
  ChannelFinding finding;
  finding.severity = Severity::kError;
  finding.fault = ChannelFault::kNoLength;
  finding.reach = ReachIndex(number);
  if (!line.empty()) finding.position = line.front();
  finding.distance_m = 0;
  finding.text = "The line of feature " + std::to_string(plan.row().line) + " of the file has no length.";
  finding.remedy = "it is left out";
  plan.outcome().channels.push_back(std::move(finding));
}

}  // namespace

void plan_watercourses(Plan& plan) {
  require_shapes(plan, "watercourses");
  const bool mend = plan.options().mend;
  std::unordered_set<std::string> known;
  for (const Reach& reach : plan.snapshot().reaches) known.insert(coordinates(reach.line));
  std::unordered_map<std::string, std::uint32_t> numbers;  // of the line in the file, by key of the reach
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
      std::vector<std::size_t>& feature_of = plan.outcome().feature_of;
      const auto number = static_cast<std::uint32_t>(feature_of.size());
      feature_of.push_back(plan.row().line);
      const bool placed = std::all_of(line.begin(), line.end(), is_valid);
      const bool left_to_mending = mend && placed;
      if (std::string fault = line_fault(line); !fault.empty() && !left_to_mending) {
        if (placed) {
          fault += " Or import with --mend, which leaves such lines out.";
          tell_no_length(plan, number, line);
        }
        plan.error(std::move(fault));
        continue;
      }
      if (!mend && known.contains(coordinates(line)))
        plan.error("The survey already has a reach with this very line; leave the feature out.");
      if (const auto at = self_crossing(line))
        plan.warn("This line crosses itself near " + format_fixed(at->lon, 5) + " " +
                  format_fixed(at->lat, 5) +
                  " (longitude, latitude); it is kept as drawn, and water is not led across.");
      const std::string key = plan.new_key();
      numbers.emplace(key, number);
      plan.add(AddReach{{key, plan.text(Field::kReachName), line, two_way, plan.text(Field::kReachNote)}});
    }
  });
  settle_watercourses(plan, numbers);
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
      plan.error(Field::kCatchmentCode, "The survey already has catchment " + in_quotes(code) +
                                            "; give this one another code, or leave it out.");
    if (const auto before = seen.find(code); !code.empty() && before != seen.end())
      plan.error(Field::kCatchmentCode, "The code " + in_quotes(code) + " stands in feature " +
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

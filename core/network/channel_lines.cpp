#include <geodesic.h>

#include <algorithm>
#include <cmath>

#include "core/network/channel_lines_internal.hpp"

namespace brookmark::core {
namespace {

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

double nearest_share(PlanePoint a, PlanePoint b, PlanePoint p) {
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  const double squared = dx * dx + dy * dy;
  if (squared <= 0) return 0;
  return std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / squared, 0.0, 1.0);
}

double squared_m(PlanePoint a, PlanePoint b) {
  return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y);
}

PlanePoint between(PlanePoint a, PlanePoint b, double share) {
  return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

LonLat between(LonLat a, LonLat b, double share) {
  if (share <= 0) return a;
  if (share >= 1) return b;
  // WGS 84, as in base/geometry.cpp.
  static const geod_geodesic ellipsoid = [] {
    geod_geodesic g;
    geod_init(&g, 6378137.0, 1 / 298.257223563);
    return g;
  }();
  geod_geodesicline line;
  geod_inverseline(&line, &ellipsoid, a.lat, a.lon, b.lat, b.lon, 0);
  LonLat position;
  geod_position(&line, share * line.s13, &position.lat, &position.lon, nullptr);
  return position;
}

LocalFrame frame_for(std::span<const Reach> reaches) {
  std::vector<double> lons, lats;
  for (const Reach& reach : reaches) {
    const auto first = std::find_if(reach.line.begin(), reach.line.end(), is_valid);
    if (first == reach.line.end()) continue;
    lons.push_back(first->lon);
    lats.push_back(first->lat);
  }
  if (lons.empty()) return LocalFrame(LonLat{0, 0});
  // Data on both sides of the 180th meridian: count longitudes from 0 to 360 instead.
  const auto [west, east] = std::minmax_element(lons.begin(), lons.end());
  if (*east - *west > 180) {
    for (double& lon : lons) lon += lon < 0 ? 360 : 0;
  }
  const double lon = median(lons);
  return LocalFrame(LonLat{lon > 180 ? lon - 360 : lon, median(lats)});
}

LonLat place_on(const ChannelLine& line, double along_m) {
  if (along_m <= 0) return line.points.front();
  if (along_m >= line.length()) return line.points.back();
  const auto after = std::upper_bound(line.along_m.begin(), line.along_m.end(), along_m);
  const auto i = static_cast<std::size_t>(after - line.along_m.begin()) - 1;
  const double step_m = line.along_m[i + 1] - line.along_m[i];
  return between(line.points[i], line.points[i + 1], step_m > 0 ? (along_m - line.along_m[i]) / step_m : 0);
}

std::vector<ChannelLine> clean_lines(std::span<const Reach> reaches, const LocalFrame& frame,
                                     const ReachLabel& label, ChannelFindings& findings) {
  std::vector<ChannelLine> lines;
  lines.reserve(reaches.size());
  for (std::size_t r = 0; r < reaches.size(); ++r) {
    const Reach& reach = reaches[r];
    ChannelLine line;
    line.reach = ReachIndex(r);
    line.points.reserve(reach.line.size());
    std::size_t invalid = 0;
    std::size_t repeated = 0;
    for (const LonLat& point : reach.line) {
      if (!is_valid(point)) {
        ++invalid;
      } else if (!line.points.empty() && point == line.points.back()) {
        ++repeated;
      } else {
        line.points.push_back(point);
      }
    }
    line.along_m.reserve(line.points.size());
    for (std::size_t i = 0; i < line.points.size(); ++i) {
      line.along_m.push_back(i == 0 ? 0
                                    : line.along_m[i - 1] + geodesic_m(line.points[i - 1], line.points[i]));
    }
    const auto add = [&](Severity severity, ChannelFault fault, std::string text) {
      ChannelFinding finding;
      finding.severity = severity;
      finding.fault = fault;
      finding.reach = line.reach;
      if (!line.points.empty()) finding.position = line.points.front();
      finding.text = std::move(text);
      findings.push_back(std::move(finding));
    };
    if (invalid > 0) {
      add(Severity::kWarning, ChannelFault::kOffEarth,
          counted(invalid, "point", "points") + " of " + label(line.reach) +
              " lie outside longitude -180 to 180 and latitude -90 to 90 and were left out; check the line.");
    }
    if (line.points.size() < 2 || line.length() <= kSamePlaceM) {
      add(Severity::kWarning, ChannelFault::kNoLength,
          "The line of " + label(line.reach) +
              " has no length and was left out of the channel network; draw it again.");
      continue;
    }
    if (repeated > 0) {
      add(Severity::kNote, ChannelFault::kRepeatedPoints,
          counted(repeated, "repeated point", "repeated points") + " of " + label(line.reach) +
              (repeated == 1 ? " was passed over." : " were passed over."));
    }
    line.plane.reserve(line.points.size());
    for (const LonLat& point : line.points) line.plane.push_back(frame.to_plane(point));
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace brookmark::core

#include "core/survey/snapshot.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace brookmark::core {

namespace {

template <class Found>
std::optional<Found> find_text(const TextColumn& codes, const TextColumn& keys, std::string_view wanted) {
  for (std::size_t i = 0; i < codes.size(); ++i)
    if (codes[i] == wanted) return Found(i);
  for (std::size_t i = 0; i < keys.size(); ++i)
    if (keys[i] == wanted) return Found(i);
  return std::nullopt;
}

}  // namespace

std::optional<SiteIndex> Snapshot::find_site(std::string_view code_or_key) const {
  return find_text<SiteIndex>(sites.code, sites.key, code_or_key);
}

std::optional<SampleIndex> Snapshot::find_sample(std::string_view code_or_key) const {
  return find_text<SampleIndex>(samples.code, samples.key, code_or_key);
}

std::pair<SampleIndex, SampleIndex> Snapshot::samples_of(SiteIndex site) const {
  const auto [first, last] = std::equal_range(samples.site.begin(), samples.site.end(), site);
  return {SampleIndex(static_cast<std::size_t>(first - samples.site.begin())),
          SampleIndex(static_cast<std::size_t>(last - samples.site.begin()))};
}

std::optional<std::pair<Date, Date>> Snapshot::date_span() const {
  if (samples.date.empty()) return std::nullopt;
  const auto [first, last] = std::minmax_element(samples.date.begin(), samples.date.end());
  return std::pair{*first, *last};
}

std::optional<LonLat> Snapshot::centre() const {
  // Longitudes are measured from the first place seen, so that a survey across 180 degrees has its middle
  // there.
  std::optional<double> origin;
  double west = std::numeric_limits<double>::infinity(), south = west, east = -west, north = -west;
  const auto add = [&](LonLat p) {
    if (!origin) origin = p.lon;
    const double lon = std::remainder(p.lon - *origin, 360.0);
    west = std::min(west, lon);
    east = std::max(east, lon);
    south = std::min(south, p.lat);
    north = std::max(north, p.lat);
  };
  for (const LonLat p : sites.position)
    if (is_placed(p)) add(p);
  for (const Outfall& outfall : outfalls) add(outfall.position);
  for (const Reach& reach : reaches)
    for (const LonLat p : reach.line) add(p);
  const auto add_shape = [&](const MultiPolygon& shape) {
    for (const Polygon& polygon : shape)
      for (const Line& ring : polygon.rings)
        for (const LonLat p : ring) add(p);
  };
  for (const Catchment& catchment : catchments) add_shape(catchment.shape);
  for (const Water& water : waters) add_shape(water.shape);
  if (!origin) return std::nullopt;
  return LonLat{std::remainder(*origin + (west + east) / 2, 360.0), (south + north) / 2};
}

}  // namespace brookmark::core

// A layer as an import opens it: the first byte says which format, the rest is the file. Rows and issues, or an Error; then
// every kind of import looks at the rows.
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "core/base/error.hpp"
#include "core/intake/import.hpp"
#include "geodata/vector_input.hpp"
#include "tests/fuzz/fuzz_file.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::test::FuzzFile;
using brookmark::test::must;

namespace {

bool on_earth(LonLat p) {
  return std::isfinite(p.lon) && std::isfinite(p.lat) && std::abs(p.lat) <= 90;
}

bool is_sound(const Shape& shape) {
  if (const auto* point = std::get_if<LonLat>(&shape)) return on_earth(*point);
  if (const auto* lines = std::get_if<std::vector<Line>>(&shape)) {
    for (const Line& line : *lines)
      for (const LonLat p : line)
        if (!on_earth(p)) return false;
  }
  if (const auto* polygons = std::get_if<MultiPolygon>(&shape)) {
    for (const Polygon& polygon : *polygons)
      for (const Line& ring : polygon.rings)
        for (const LonLat p : ring)
          if (!on_earth(p)) return false;
  }
  return true;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  constexpr const char* kNames[] = {"a.gpx", "a.geojson", "a.kml", "a.gml"};
  const FuzzFile file(kNames[data[0] % 4], {reinterpret_cast<const char*>(data) + 1, size - 1});
  Table table;
  try {
    table = brookmark::geodata::read_layer(file.path(), {"", "EPSG:4326"});
  } catch (const brookmark::Error&) {
    return 0;
  }
  for (const TableRow& row : table.rows) must(is_sound(row.shape));
  static const Snapshot empty;
  for (int kind = 0; kind <= static_cast<int>(ImportKind::kKit); ++kind) {
    ImportOptions options;
    options.new_key = [] { return std::string("00000000-0000-4000-8000-000000000000"); };
    try {
      plan_import(static_cast<ImportKind>(kind), table, empty, options);
    } catch (const brookmark::Error&) {
    }
  }
  return 0;
}

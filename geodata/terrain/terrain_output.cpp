#include "geodata/terrain/terrain_output.hpp"

#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/output_file.hpp"
#include "geodata/terrain/hillshade.hpp"
#include "geodata/terrain/vector_target_internal.hpp"

namespace brookmark::geodata {

namespace {

// A place of the grid in the target's coordinates.
core::PlanePoint placed(const VectorTarget& target, const DemFile& dem, core::PlanePoint point) {
  if (!target.wants_lonlat()) return point;
  const auto at = dem.to_lonlat(point);
  if (!at)
    throw Error(ErrorCode::kBadInput, "a place of the terrain (x " + core::format_fixed(point.x, 2) + ", y " +
                                          core::format_fixed(point.y, 2) + ") has no longitude and latitude");
  return {at->lon, at->lat};
}

std::string reach_name(std::size_t i) {
  return "T" + std::to_string(i + 1);
}

void tell_now_and_then(const ProgressPart& part, std::size_t i, std::size_t of) {
  if (i % 256 == 0) part.tell(static_cast<double>(i) / static_cast<double>(of));
}

OGRLineString line_of(const VectorTarget& target, const DemFile& dem, const FlowGrid& flow,
                      const StreamReach& reach) {
  OGRLineString line;
  for (std::size_t i = 0; i < reach.cells.size(); ++i) {
    const bool is_bend = i == 0 || i + 1 == reach.cells.size() ||
                         flow.direction[reach.cells[i]] != flow.direction[reach.cells[i - 1]];
    if (!is_bend) continue;
    const core::PlanePoint at = placed(
        target, dem, dem.place().centre(reach.cells[i] / flow.size.cols, reach.cells[i] % flow.size.cols));
    line.addPoint(at.x, at.y);
  }
  return line;
}

OGRMultiPolygon shape_of(const VectorTarget& target, const DemFile& dem,
                         const std::vector<CornerPolygon>& polygons) {
  OGRMultiPolygon shape;
  for (const CornerPolygon& polygon : polygons) {
    OGRPolygon part;
    for (const CornerRing& corners : polygon.rings) {
      OGRLinearRing ring;
      for (const Corner& corner : corners) {
        const core::PlanePoint at = placed(target, dem, dem.place().corner(corner.row, corner.col));
        ring.addPoint(at.x, at.y);
      }
      part.addRing(&ring);
    }
    shape.addGeometry(&part);
  }
  return shape;
}

void expect_geotiff(const std::filesystem::path& file) {
  const std::string ending = core::to_lower_ascii(file.extension().string());
  if (ending != ".tif" && ending != ".tiff")
    throw Error(ErrorCode::kBadUse, "a hillshade is written as GeoTIFF; give a name that ends in .tif",
                file.string());
}

}  // namespace

void check_terrain_targets(const std::vector<std::filesystem::path>& vector_layers,
                           const std::filesystem::path& hillshade,
                           const std::vector<std::filesystem::path>& inputs, bool overwrite) {
  for (const auto& file : vector_layers)
    if (!file.empty()) expect_vector_driver(file);
  if (!hillshade.empty()) expect_geotiff(hillshade);
  std::vector<std::filesystem::path> files = vector_layers, taken;
  files.push_back(hillshade);
  for (const auto& file : files) {
    if (file.empty()) continue;
    check_output(file, inputs, overwrite);
    const auto whole = std::filesystem::weakly_canonical(std::filesystem::absolute(file));
    if (std::find(taken.begin(), taken.end(), whole) != taken.end())
      throw Error(ErrorCode::kBadUse, "channels, catchments, flow paths and hillshade need a file each",
                  file.string());
    taken.push_back(whole);
  }
}

void write_streams(const std::filesystem::path& file, const DemFile& dem, const FlowGrid& flow,
                   std::span<const StreamReach> reaches, const TerrainOutputOptions& options) {
  const ProgressPart part(options.progress, 0, 1);
  VectorTarget target(file, options.overwrite, "streams", LayerShape::kLine, dem.crs());
  target.add_field("reach", FieldKind::kText);
  target.add_field("downstream", FieldKind::kText);
  target.add_field("length_m", FieldKind::kNumber);
  target.add_field("up_cells", FieldKind::kWhole);
  for (std::size_t i = 0; i < reaches.size(); ++i) {
    const StreamReach& reach = reaches[i];
    OGRFeature feature = target.feature();
    feature.SetField(0, reach_name(i).c_str());
    if (reach.downstream) feature.SetField(1, reach_name(*reach.downstream).c_str());
    feature.SetField(2, reach.length_m);
    feature.SetField(3, static_cast<GIntBig>(reach.upstream_cells));
    const OGRLineString line = line_of(target, dem, flow, reach);
    feature.SetGeometry(&line);
    target.add(feature);
    tell_now_and_then(part, i, reaches.size());
  }
  target.commit();
}

void write_catchments(const std::filesystem::path& file, const DemFile& dem, const CatchmentCells& cells,
                      std::span<const NamedCatchment> catchments, const TerrainOutputOptions& options) {
  const ProgressPart part(options.progress, 0, 1);
  VectorTarget target(file, options.overwrite, "catchments", LayerShape::kMultiPolygon, dem.crs());
  target.add_field("catchment", FieldKind::kText);
  target.add_field("inside", FieldKind::kText);
  target.add_field("cells", FieldKind::kWhole);
  target.add_field("area_km2", FieldKind::kNumber);
  for (std::size_t i = 0; i < catchments.size(); ++i) {
    part.tell(static_cast<double>(i) / static_cast<double>(catchments.size()));
    const NamedCatchment& catchment = catchments[i];
    OGRFeature feature = target.feature();
    feature.SetField(0, catchment.name.c_str());
    if (!catchment.inside.empty()) feature.SetField(1, catchment.inside.c_str());
    feature.SetField(2, static_cast<GIntBig>(catchment.cells));
    feature.SetField(3, catchment.area_m2 / 1e6);
    const OGRMultiPolygon shape = shape_of(target, dem, trace_outline(cells, catchment.sub_catchments));
    feature.SetGeometry(&shape);
    target.add(feature);
  }
  target.commit();
}

void write_hillshade(const std::filesystem::path& file, const DemFile& dem,
                     const TerrainOutputOptions& options) {
  expect_geotiff(file);
  const ProgressPart part(options.progress, 0, 1);
  const GridSize size = dem.size();
  TargetFile target(file, options.overwrite);
  GdalMessages messages;
  const auto expect = [&](bool succeeded) {
    if (!succeeded || messages.failed())
      throw target.failure(messages.text().empty() ? "GDAL gave no reason" : messages.text());
  };
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  expect(driver != nullptr);
  const char* const kOptions[] = {"COMPRESS=DEFLATE", "TILED=YES", "BIGTIFF=IF_SAFER", nullptr};
  DatasetPointer out(driver->Create(target.temporary().c_str(), static_cast<int>(size.cols),
                                    static_cast<int>(size.rows), 1, GDT_Byte, const_cast<char**>(kOptions)));
  expect(out != nullptr);
  const GridPlace& place = dem.place();
  double transform[6] = {place.west, place.width, 0, place.north, 0, -place.height};
  OGRSpatialReference system;
  expect(system.SetFromUserInput(dem.crs().c_str()) == OGRERR_NONE);
  expect(out->SetGeoTransform(transform) == CE_None && out->SetSpatialRef(&system) == CE_None &&
         out->GetRasterBand(1)->SetNoDataValue(0) == CE_None);

  constexpr std::size_t kRows = 256;  // as high as a tile
  Raster<float> heights({kRows + 2, size.cols});
  Raster<std::uint8_t> shade({kRows, size.cols});
  for (std::size_t first = 0; first < size.rows; first += kRows) {
    const std::size_t count = std::min(kRows, size.rows - first);
    const std::size_t above = first == 0 ? 0 : 1, below = first + count == size.rows ? 0 : 1;
    dem.read_window({first - above, 0, above + count + below, size.cols}, heights.row(0));
    for (std::size_t r = 0; r < count; ++r) {
      const std::size_t row = r + above;
      hillshade_row(row == 0 ? nullptr : heights.row(row - 1), heights.row(row),
                    row + 1 == above + count + below ? nullptr : heights.row(row + 1), size.cols,
                    dem.rows()[first + r], {}, shade.row(r));
    }
    const int cols = static_cast<int>(size.cols), rows = static_cast<int>(count);
    expect(out->GetRasterBand(1)->RasterIO(GF_Write, 0, static_cast<int>(first), cols, rows, shade.row(0),
                                           cols, rows, GDT_Byte, 0, 0, nullptr) == CE_None);
    part.tell(static_cast<double>(first) / size.rows);
  }
  out->FlushCache(true);
  out.reset();
  expect(true);
  target.commit();
}

}  // namespace brookmark::geodata

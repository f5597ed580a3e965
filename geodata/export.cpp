#include "geodata/export.hpp"

#include <cpl_conv.h>

#include <vector>

#include "core/base/text.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

// The same clock that GDAL writes into the file; fixed by OGR_CURRENT_DATE where the bytes must not change.
std::string export_time() {
  const char* fixed = CPLGetConfigOption("OGR_CURRENT_DATE", "");
  return *fixed != '\0' ? fixed : core::now_utc();
}

}  // namespace

void export_survey(const ExportSource& source, const std::filesystem::path& target_path,
                   const ExportOptions& options) {
  const std::string ending = core::to_lower_ascii(target_path.extension().string());
  if (ending != ".gpkg" && ending != ".geojson" && ending != ".csv" && ending != ".gpx")
    throw Error(ErrorCode::kBadUse, "the ending says the format; use .gpkg, .geojson, .csv or .gpx",
                target_path.string());
  if (source.assessment.method == nullptr || source.scores.method != source.assessment.method)
    throw Error(ErrorCode::kBadUse,
                "an export needs the scores and the assessment of one and the same method");
  start_geodata();
  TargetFile target(target_path, options.overwrite);
  if (ending == ".gpkg") {
    const std::vector<ExportTable> tables = {
        sites_table(source),           catchments_table(source),   reaches_table(source),
        channel_classes_table(source), drops_table(source),        outfalls_table(source),
        waters_table(source),          samples_table(source),      scores_table(source),
        records_table(source),         measurements_table(source), survey_table(source, export_time())};
    write_gpkg(tables, target);
  } else if (ending == ".geojson") {
    write_geojson(source, export_time(), target);
  } else if (ending == ".csv") {
    write_csv(source, target);
  } else {
    write_gpx(source, target);
  }
  target.commit();
}

}  // namespace brookmark::geodata

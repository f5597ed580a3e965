#include <ogrsf_frmts.h>

#include <memory>
#include <vector>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"
#include "geodata/memory_file_internal.hpp"

namespace brookmark::geodata {

namespace {

// What a hand-held receiver shows of a site: its water, its class beside the method's name, and what that
// does not say.
std::string waypoint_text(const ExportSource& source, std::size_t i) {
  const core::Snapshot& snapshot = source.snapshot;
  const core::SiteAssessment& assessed = source.assessment.sites[i];
  const core::Metric& metric = source.assessment.metric_info();
  const MethodLabel label = method_label(*source.assessment.method, metric);
  std::string text(snapshot.sites.name[i]);
  if (!text.empty()) text += "; ";
  text += std::string(core::water_kind_name(snapshot.sites.kind[i])) + "; " +
          core::site_status_name(snapshot.sites.status[i]) + ". ";
  const core::SharedPlace& place = source.shared.places()[i];
  if (place.blurred)
    text += "The place is blurred: it may lie up to " + core::format_number(place.uncertainty_m.value_or(0)) +
            " m from here. ";
  const std::string note =
      core::assessment_note(snapshot, source.scores, source.assessment, core::SiteIndex(i));
  if (!assessed.has_value)
    return text + "No value by " + label.method_title + (note.empty() ? "" : ": " + note) + ". " +
           core::kResultCaution;
  const std::string band = cell_text(class_cell(metric, assessed.class_rank));
  text += label.method_title + " (" + label.confirmed + "), " + label.metric_title + ": " +
          core::format_number(assessed.value);
  if (!band.empty()) text += ", class " + band;
  if (!note.empty()) text += ", " + note;
  return text + ", sampled " + core::format_date(snapshot.samples.date[assessed.sample.value()]) + ". " +
         core::kResultCaution;
}

}  // namespace

void write_gpx(const ExportSource& source, const TargetFile& target) {
  const core::SiteColumns& sites = source.snapshot.sites;
  const std::vector<core::SharedPlace>& places = source.shared.places();
  std::vector<Waypoint> waypoints;
  for (std::size_t i = 0; i < sites.size(); ++i)
    if (core::is_placed(places[i].position))  // a waypoint is a position
      waypoints.push_back({std::string(sites.code[i]), waypoint_text(source, i), places[i].position});
  write_waypoints(waypoints, target);
}

void write_waypoints(std::span<const Waypoint> waypoints, const TargetFile& target) {
  const GdalMessages messages;
  const auto expect = [&](bool succeeded) {
    if (!succeeded || messages.failed())
      throw target.failure("GDAL could not write it" + messages.in_brackets());
  };
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPX");
  if (driver == nullptr)
    throw Error(ErrorCode::kStorage, "this installation of GDAL cannot write GPX; install its GPX driver");
  // The driver does not look whether a disk took all it wrote. So it writes to memory, and write_whole to
  // disk.
  const MemoryFile memory(".gpx");
  DatasetPointer dataset(driver->Create(memory.name().c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  expect(dataset != nullptr);
  OGRLayer* layer = dataset->CreateLayer("waypoints", nullptr, wkbPoint, nullptr);
  expect(layer != nullptr);
  for (const Waypoint& waypoint : waypoints) {
    OGRFeature feature(layer->GetLayerDefn());
    feature.SetField("name", waypoint.name.c_str());
    if (!waypoint.comment.empty()) feature.SetField("cmt", waypoint.comment.c_str());
    feature.SetField("desc", waypoint.text.c_str());
    const OGRPoint position(waypoint.position.lon, waypoint.position.lat);
    feature.SetGeometry(&position);
    expect(layer->CreateFeature(&feature) == OGRERR_NONE);
  }
  dataset.reset();
  expect(true);
  // The driver names itself as the maker.
  std::string text(memory.text());
  constexpr std::string_view kMaker = "creator=\"";
  if (const std::size_t maker = text.find(kMaker); maker != std::string::npos)
    if (const std::size_t end = text.find('"', maker + kMaker.size()); end != std::string::npos)
      text.replace(maker + kMaker.size(), end - maker - kMaker.size(), "Brookmark");
  write_whole(target, text);
  expect_features(target, "waypoints", waypoints.size());
}

}  // namespace brookmark::geodata

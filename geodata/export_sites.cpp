#include "core/base/text.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

namespace {

// The outfall nearest upstream along the channel, or a sentence why there is none.
struct NearestOutfall {
  Cell uuid, code, distance_m, snap_m, note;
};

NearestOutfall nearest_outfall(const ExportSource& source, core::LonLat site) {
  const std::vector<core::Outfall>& outfalls = source.snapshot.outfalls;
  NearestOutfall nearest;
  if (outfalls.empty()) {
    nearest.note = "the survey has no outfalls";
    return nearest;
  }
  if (!core::is_placed(site)) {
    nearest.note = "no position is noted for this site, so it has no distances";
    return nearest;
  }
  std::vector<core::LonLat> places;
  places.reserve(outfalls.size());
  for (const core::Outfall& outfall : outfalls) places.push_back(outfall.position);
  const auto distances = core::distances_to(source.channels, site, places, core::Direction::kUpstream);
  if (!distances.empty() && distances.front().distance_m) {
    const core::ChannelDistance& first = distances.front();
    nearest.uuid = text_cell(outfalls[first.target].key);
    nearest.code = text_cell(outfalls[first.target].code);
    nearest.distance_m = number_cell(first.distance_m);
    nearest.snap_m = number_cell(first.snap_m);
    return nearest;
  }
  if (source.channels.snap(site).has_value() || distances.empty()) {
    nearest.note = "no outfall drains to this site along the channels of the survey";
    return nearest;
  }
  std::size_t closest = 0;
  for (std::size_t i = 1; i < distances.size(); ++i)
    if (distances[i].straight_m < distances[closest].straight_m) closest = i;
  const core::ChannelDistance& straight = distances[closest];
  nearest.note = "the site is on no channel; outfall " + outfalls[straight.target].code + " is " +
                 core::format_fixed(straight.straight_m, 0) +
                 " m away in a straight line, which is not a distance along water";
  return nearest;
}

// Why the class is missing or does not hold; empty where it does.
Cell assessment_note(const ExportSource& source, const core::SiteAssessment& site) {
  const core::Assessment& assessment = source.assessment;
  const core::SampleIndex looked_at = site.sample.has_value() ? site.sample : site.newest_sample;
  if (!looked_at.has_value()) return "no sample up to " + core::format_date(assessment.until);
  return text_cell(core::reasons_text(source.scores.metrics[assessment.metric][looked_at.value()].reasons,
                                      *assessment.method));
}

ExportRow site_row(const ExportSource& source, std::size_t i) {
  const core::Snapshot& snapshot = source.snapshot;
  const core::SiteColumns& sites = snapshot.sites;
  const core::SiteAssessment& assessed = source.assessment.sites[i];
  const core::Metric& metric = source.assessment.metric_info();
  const MethodLabel label = method_label(*source.assessment.method, metric);
  const bool has_value = assessed.sample.has_value();
  Cell sample_uuid, sample, sample_date, newest_sample, newest_date, value, in_scope;
  if (has_value) {
    const std::size_t s = assessed.sample.value();
    sample_uuid = text_cell(snapshot.samples.key[s]);
    sample = text_cell(snapshot.samples.code[s]);
    sample_date = snapshot.samples.date[s];
    value = number_cell(assessed.value);
    in_scope = assessed.in_scope;
  }
  if (assessed.newest_sample.has_value()) {
    newest_sample = text_cell(snapshot.samples.code[assessed.newest_sample.value()]);
    newest_date = snapshot.samples.date[assessed.newest_sample.value()];
  }
  const NearestOutfall outfall = nearest_outfall(source, sites.position[i]);
  const core::RawPosition& raw = sites.raw[i];
  return {{text_cell(sites.key[i]),
           text_cell(sites.code[i]),
           text_cell(sites.name[i]),
           text_cell(sites.water[i]),
           core::water_kind_name(sites.kind[i]),
           core::site_status_name(sites.status[i]),
           number_cell(sites.accuracy_m[i]),
           text_cell(sites.habitat[i]),
           sample_uuid,
           sample,
           sample_date,
           label.method,
           label.method_title,
           label.confirmed,
           label.metric,
           label.metric_title,
           value,
           class_cell(metric, assessed.class_rank),
           rank_cell(assessed.class_rank),
           in_scope,
           assessment_note(source, assessed),
           newest_sample,
           newest_date,
           outfall.uuid,
           outfall.code,
           outfall.distance_m,
           outfall.snap_m,
           outfall.note,
           text_cell(raw.x),
           text_cell(raw.y),
           text_cell(raw.crs),
           text_cell(raw.note),
           text_cell(sites.note[i])},
          core::is_placed(sites.position[i]) ? core::Shape(sites.position[i]) : core::Shape()};
}

}  // namespace

ExportTable sites_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "sites";
  table.description =
      "Sampling sites with the newest sample that the method can speak of. Read the class together with the "
      "method: "
      "classes of different methods do not compare. " +
      std::string(caution_text());
  table.shape = TableShape::kPoint;
  table.columns = {{"uuid", kText},
                   {"code", kText},
                   {"name", kText},
                   {"water", kText},
                   {"water_kind", kText},
                   {"status", kText},
                   {"accuracy_m", kNumber},
                   {"habitat", kText},
                   {"sample_uuid", kText},
                   {"sample", kText},
                   {"sample_date", kDate},
                   {"method", kText},
                   {"method_title", kText},
                   {"method_confirmed", kText},
                   {"metric", kText},
                   {"metric_title", kText},
                   {"value", kNumber},
                   {"class", kText},
                   {"class_rank", kInteger},
                   {"in_scope", kFlag},
                   {"assessment_note", kText},
                   {"newest_sample", kText},
                   {"newest_sample_date", kDate},
                   {"upstream_outfall_uuid", kText},
                   {"upstream_outfall", kText},
                   {"distance_m", kNumber},
                   {"snap_m", kNumber},
                   {"outfall_note", kText},
                   {"raw_x", kText},
                   {"raw_y", kText},
                   {"raw_crs", kText},
                   {"position_note", kText},
                   {"note", kText}};
  table.rows = source.snapshot.sites.size();
  table.row = [&source](std::size_t i) { return site_row(source, i); };
  return table;
}

}  // namespace brookmark::geodata

#include <memory>

#include "core/analysis/outfalls.hpp"
#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

namespace {

// The outfall nearest upstream along the channel, or a sentence why there is none.
struct NearestOutfall {
  Cell uuid, code, distance_m, snap_m, note;
};

// The nearest outfall upstream that is in use on the day the export speaks of.
NearestOutfall nearest_outfall(const ExportSource& source, core::SiteIndex site,
                               const std::vector<core::ChannelDistance>& upstream) {
  const core::Snapshot& snapshot = source.snapshot;
  NearestOutfall nearest;
  if (snapshot.outfalls.empty()) {
    nearest.note = "the survey has no outfalls";
  } else if (!core::is_placed(snapshot.sites.position[site.value()])) {
    nearest.note = "no position is noted for this site, so it has no distances";
  } else {
    nearest.note = "no outfall in use drains to this site along the channels of the survey";
    for (const core::ChannelDistance& found : upstream) {
      const core::Outfall& outfall = snapshot.outfalls[found.target];
      if (!core::in_use(outfall, source.assessment.until())) continue;
      if (found.distance_m) {
        nearest.uuid = text_cell(outfall.key);
        nearest.code = text_cell(outfall.code);
        nearest.distance_m = number_cell(found.distance_m);
        nearest.snap_m = number_cell(found.snap_m);
      }
      nearest.note =
          text_cell(found.note);  // "moved 79 m to the channel", or why there is no distance along water
      break;
    }
  }
  return nearest;
}

ExportRow site_row(const ExportSource& source, std::size_t i,
                   const std::vector<core::ChannelDistance>& upstream) {
  const core::Snapshot& snapshot = source.snapshot;
  const core::SiteColumns& sites = snapshot.sites;
  const core::SiteAssessment& assessed = source.assessment.sites[i];
  const core::Metric& metric = source.assessment.metric_info();
  const MethodLabel label = method_label(*source.assessment.method, metric);
  Cell sample_uuid, sample, sample_date, newest_sample, newest_date, value, in_scope;
  if (assessed.sample.has_value()) {
    const std::size_t s = assessed.sample.value();
    sample_uuid = text_cell(snapshot.samples.key[s]);
    sample = text_cell(snapshot.samples.code[s]);
    sample_date = snapshot.samples.date[s];
    if (assessed.has_value) value = number_cell(assessed.value);
    in_scope = assessed.in_scope;
  }
  if (assessed.newest_sample.has_value()) {
    newest_sample = text_cell(snapshot.samples.code[assessed.newest_sample.value()]);
    newest_date = snapshot.samples.date[assessed.newest_sample.value()];
  }
  const NearestOutfall outfall = nearest_outfall(source, core::SiteIndex(i), upstream);
  const core::RawPosition& raw = sites.raw[i];
  return {{text_cell(sites.key[i]),
           text_cell(sites.code[i]),
           text_cell(sites.name[i]),
           text_cell(sites.water[i]),
           core::water_kind_name(sites.kind[i]),
           core::site_status_name(sites.status[i]),
           number_cell(sites.accuracy_m[i]),
           text_cell(sites.habitat[i]),
           text_cell(sites.type[i]),
           static_cast<bool>(sites.reference[i]),
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
           text_cell(core::assessment_note(snapshot, source.scores, source.assessment, core::SiteIndex(i))),
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
  table.description = std::string(
                          "Sampling sites with the newest sample that the method can speak of. Read the "
                          "class together with the "
                          "method: classes of different methods do not compare. ") +
                      core::kResultCaution;
  table.shape = TableShape::kPoint;
  table.columns = {{"uuid", kText},
                   {"code", kText},
                   {"name", kText},
                   {"water", kText},
                   {"water_kind", kText},
                   {"status", kText},
                   {"accuracy_m", kNumber},
                   {"habitat", kText},
                   {"site_type", kText},
                   {"reference_site", kFlag},
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
  const auto upstream = std::make_shared<const std::vector<std::vector<core::ChannelDistance>>>(
      core::outfalls_from_all_sites(source.snapshot, source.channels, {core::Direction::kUpstream}));
  table.row = [&source, upstream](std::size_t i) { return site_row(source, i, (*upstream)[i]); };
  return table;
}

}  // namespace brookmark::geodata

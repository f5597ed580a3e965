#include <memory>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/survey_trends.hpp"
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
  } else if (source.shared.places()[site.value()].blurred) {
    nearest.note = "the place of this site is blurred, so it has no distances";
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

// How sure the class is, and what that rests on.
struct Sureness {
  Cell probability, low, high, note;
};

Sureness sureness_of(const core::Assessment& assessment, std::size_t site) {
  Sureness sure;
  if (site >= assessment.confidence.size() || !assessment.sites[site].sample.has_value()) return sure;
  const core::SampleConfidence& confidence = assessment.confidence[site];
  const int rank = assessment.sites[site].class_rank;
  if (rank > 0 && !confidence.class_probability.empty()) sure.probability = confidence.probability_of(rank);
  if (confidence.has_interval) {
    sure.low = confidence.low;
    sure.high = confidence.high;
  }
  sure.note = text_cell(core::confidence_text(confidence));
  return sure;
}

// Of a site whose protocol changed, the longer part; of equals the later.
using Trends = std::vector<std::optional<core::TrendRow>>;
Trends trends_of(const ExportSource& source) {
  const core::Snapshot& snapshot = source.snapshot;
  std::vector<core::SiteIndex> sites;
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i) sites.emplace_back(i);
  const core::SiteValues values =
      core::metric_values(snapshot, source.scores, source.assessment.metric, source.assessment.until());
  Trends trends(sites.size());
  std::size_t at = 0;
  for (core::TrendRow& row : core::site_trends(snapshot, values, sites)) {
    while (at < sites.size() && snapshot.sites.code[at] != row.place)
      ++at;  // rows come in the order of the sites
    if (at == sites.size()) break;
    std::optional<core::TrendRow>& kept = trends[at];
    if (!kept || (row.test && (!kept->test || row.n >= kept->n))) kept = std::move(row);
  }
  return trends;
}

struct TrendCells {
  Cell words, slope, p, note;
};

TrendCells trend_cells(const std::optional<core::TrendRow>& trend) {
  TrendCells cells;
  if (!trend) return cells;
  cells.words = text_cell(trend->words);
  if (trend->test) {
    cells.slope = number_cell(trend->test->slope);
    if (!trend->no_variance) cells.p = number_cell(trend->test->best_p());
  }
  cells.note = text_cell(trend->note);
  return cells;
}

ExportRow site_row(const ExportSource& source, std::size_t i,
                   const std::vector<core::ChannelDistance>& upstream,
                   const std::optional<core::TrendRow>& trend) {
  const core::Snapshot& snapshot = source.snapshot;
  const core::SiteColumns& sites = snapshot.sites;
  const core::SiteAssessment& assessed = source.assessment.sites[i];
  const core::SharedPlace& place = source.shared.places()[i];
  const core::Metric& metric = source.assessment.metric_info();
  const MethodLabel label = method_label(*source.assessment.method, metric);
  Cell sample_uuid, sample, sample_date, newest_sample, newest_date, value, in_scope, cell_m;
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
  if (place.blurred) cell_m = place.cell_m;
  const NearestOutfall outfall = nearest_outfall(source, core::SiteIndex(i), upstream);
  const Sureness sure = sureness_of(source.assessment, i);
  const TrendCells trends = trend_cells(trend);
  const core::RawPosition& raw = sites.raw[i];
  return {{text_cell(sites.key[i]),
           text_cell(sites.code[i]),
           text_cell(sites.name[i]),
           text_cell(sites.water[i]),
           core::water_kind_name(sites.kind[i]),
           core::site_status_name(sites.status[i]),
           number_cell(place.uncertainty_m),
           std::string(place.blurred ? "blurred" : "as noted"),
           cell_m,
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
           sure.probability,
           sure.low,
           sure.high,
           sure.note,
           trends.words,
           trends.slope,
           trends.p,
           trends.note,
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
          core::is_placed(place.position) ? core::Shape(place.position) : core::Shape()};
}

}  // namespace

ExportTable sites_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "sites";
  table.description =
      std::string(
          "Sampling sites with the newest sample that the method can speak of. Read the class together with "
          "the method: classes of different methods do not compare. Where place is 'blurred' the point is "
          "the "
          "middle of a grid cell and accuracy_m reaches to its corners. ") +
      core::kResultCaution;
  table.shape = TableShape::kPoint;
  table.columns = {
      {"uuid", kText, "key of the site"},
      {"code", kText, "code of the site; 'blurred-...' stands for one that is not told", kOwn},
      {"name", kText, "name of the site", kOwn},
      {"water", kText, "name of the water", kOwn},
      {"water_kind", kText, "kind of water", kOwn},
      {"status", kText, "proposed, active or retired", kOwn},
      {"accuracy_m", kNumber, "how far the true place may lie from the point, metres; empty: not noted",
       kOwn},
      {"place", kText, "'as noted', or 'blurred': the point is the middle of a grid cell"},
      {"blur_cell_m", kNumber, "least size of that cell, metres; empty where the place is as noted"},
      {"habitat", kText, "habitat in the surveyor's words", kOwn},
      {"site_type", kText, "type of water, for comparison with reference sites", kOwn},
      {"reference_site", kFlag, "true: stands for what its type is like where nothing troubles it", kOwn},
      {"sample_uuid", kText, "key of the sample behind the class"},
      {"sample", kText, "code of that sample"},
      {"sample_date", kDate, "its day"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"method_confirmed", kText, "how its numbers were confirmed: document, secondary or memory"},
      {"metric", kText, "short name of the metric"},
      {"metric_title", kText, "the metric"},
      {"value", kNumber, "the metric's value; empty: none, see assessment_note"},
      {"class", kText, "quality class by the method's own names; empty: none that holds"},
      {"class_rank", kInteger, "rank of the class, 1 is best; empty: none"},
      {"in_scope", kFlag, "false: the sample is outside the method's scope, the value holds no class"},
      {"class_probability", kNumber,
       "how likely the class is, 0 to 1; empty: not given, see confidence_note"},
      {"value_low", kNumber, "lower end of the 95 % interval of the value"},
      {"value_high", kNumber, "its upper end"},
      {"confidence_note", kText, "what probability and interval rest on and what they do not cover"},
      {"trend", kText, "what the values of the metric do through the years, one median a season"},
      {"trend_slope", kNumber, "Theil-Sen slope, in the metric's unit a year; empty: too few values"},
      {"trend_p", kNumber, "Mann-Kendall's p, two-sided"},
      {"trend_note", kText, "why there is no trend, what was left out, what to be careful of"},
      {"assessment_note", kText, "why there is no class, or that a newer sample has none"},
      {"newest_sample", kText, "code of the newest sample, with or without a value"},
      {"newest_sample_date", kDate, "its day"},
      {"upstream_outfall_uuid", kText, "key of the nearest outfall in use upstream along the channel"},
      {"upstream_outfall", kText, "its code"},
      {"distance_m", kNumber, "along the channel from that outfall, metres; empty: see outfall_note"},
      {"snap_m", kNumber, "how far the site was moved to the channel for it, metres"},
      {"outfall_note", kText, "why there is no distance, or what to know of it"},
      {"raw_x", kText, "easting or longitude as it was written", kOwn},
      {"raw_y", kText, "northing or latitude as it was written", kOwn},
      {"raw_crs", kText, "coordinate system of raw_x and raw_y", kOwn},
      {"position_note", kText, "how the position was made from them", kOwn},
      {"note", kText, "note on the site", kOwn}};
  table.rows = source.snapshot.sites.size();
  table.comes_back = true;
  const auto upstream = std::make_shared<const std::vector<std::vector<core::ChannelDistance>>>(
      core::outfalls_from_all_sites(source.snapshot, source.channels, {core::Direction::kUpstream}));
  const auto trends = std::make_shared<const Trends>(trends_of(source));
  table.row = [&source, upstream, trends](std::size_t i) {
    return site_row(source, i, (*upstream)[i], (*trends)[i]);
  };
  return table;
}

}  // namespace brookmark::geodata

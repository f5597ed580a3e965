#include <cmath>

#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

namespace {

// The start in UTC only where both the time and its offset were noted: neither is guessed.
Cell utc_cell(const core::Moment& moment) {
  if (!moment.minute_of_day || !moment.utc_offset_min) return {};
  return UtcText{core::format_utc(moment)};
}

Cell local_time_cell(const core::Moment& moment) {
  if (!moment.minute_of_day) return {};
  const auto two_digits = [](int value) { return (value < 10 ? "0" : "") + std::to_string(value); };
  return two_digits(*moment.minute_of_day / 60) + ":" + two_digits(*moment.minute_of_day % 60);
}

Cell offset_cell(const core::Moment& moment) {
  if (!moment.utc_offset_min) return {};
  return std::int64_t{*moment.utc_offset_min};
}

ExportRow sample_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::SampleColumns& samples = snapshot.samples;
  const core::Moment& start = snapshot.visits.start[samples.visit[i].value()];
  const std::size_t site = samples.site[i].value();
  return {{text_cell(samples.key[i]), text_cell(samples.code[i]), text_cell(snapshot.sites.key[site]),
           text_cell(snapshot.sites.code[site]), utc_cell(start), samples.date[i], local_time_cell(start),
           offset_cell(start), core::sample_kind_name(samples.kind[i]), text_cell(samples.protocol[i]),
           number_cell(samples.effort[i]), text_cell(samples.effort_unit[i]),
           number_cell(samples.subsample_share[i])},
          {}};
}

ExportRow score_row(const ExportSource& source, std::size_t i) {
  const core::Method& method = *source.scores.method;
  const std::size_t sample = i / method.metrics.size();
  const std::size_t metric_number = i % method.metrics.size();
  const core::Metric& metric = method.metrics[metric_number];
  const core::SampleScore& score = source.scores.metrics[metric_number][sample];
  const MethodLabel label = method_label(method, metric);
  const int rank = score.has_value && score.in_scope ? score.class_rank : 0;
  Cell value, in_scope;
  if (score.has_value) {
    value = number_cell(score.value);
    in_scope = score.in_scope;
  }
  return {
      {text_cell(source.snapshot.samples.key[sample]), text_cell(source.snapshot.samples.code[sample]),
       label.method, label.method_title, label.metric, label.metric_title, value, class_cell(metric, rank),
       rank_cell(rank), in_scope, std::int64_t{score.scoring_taxa}, std::int64_t{score.unscored_taxa},
       text_cell(core::reasons_text(
           score.reasons, method, source.snapshot.sites.kind[source.snapshot.samples.site[sample].value()])),
       label.confirmed},
      {}};
}

ExportRow record_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::RecordColumns& records = snapshot.records;
  const std::size_t sample = records.sample[i].value();
  const std::size_t taxon = records.taxon[i].value();
  Cell count_max;  // empty: no upper limit
  if (records.count_max[i] != core::RecordColumns::kOpen) count_max = records.count_max[i];
  return {{text_cell(records.key[i]), text_cell(snapshot.samples.key[sample]),
           text_cell(snapshot.samples.code[sample]), text_cell(records.verbatim_name[i]),
           text_cell(snapshot.taxa.name[taxon]), core::rank_name(snapshot.taxa.rank[taxon]),
           static_cast<bool>(snapshot.taxa.listed[taxon]), core::name_match_name(records.match[i]),
           core::quantity_kind_name(records.quantity[i]), records.count_min[i], count_max,
           text_cell(records.class_code[i]), text_cell(records.verbatim_quantity[i]),
           core::life_stage_name(records.stage[i]), records.certainty[i]},
          {}};
}

ExportRow measurement_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::MeasurementColumns& measurements = snapshot.measurements;
  const std::size_t visit = measurements.visit[i].value();
  const std::size_t site = snapshot.visits.site[visit].value();
  const core::Moment& start = snapshot.visits.start[visit];
  Cell sample_uuid;
  if (measurements.sample[i].has_value())
    sample_uuid = text_cell(snapshot.samples.key[measurements.sample[i].value()]);
  return {{text_cell(measurements.key[i]), text_cell(snapshot.sites.key[site]),
           text_cell(snapshot.sites.code[site]), sample_uuid, utc_cell(start), start.date,
           text_cell(measurements.quantity[i]), number_cell(measurements.value[i]),
           text_cell(measurements.unit[i]), static_cast<bool>(measurements.below_detection[i]),
           text_cell(measurements.verbatim_value[i])},
          {}};
}

}  // namespace

ExportTable samples_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "samples";
  table.description =
      "One row a sample. date is the local day; started_utc is empty where the time or its offset from UTC "
      "was not noted.";
  table.columns = {{"uuid", kText},
                   {"code", kText},
                   {"site_uuid", kText},
                   {"site", kText},
                   {"started_utc", kUtc},
                   {"date", kDate},
                   {"local_time", kText},
                   {"local_offset_min", kInteger},
                   {"kind", kText},
                   {"protocol", kText},
                   {"effort", kNumber},
                   {"effort_unit", kText},
                   {"subsample_share", kNumber}};
  table.rows = source.snapshot.samples.size();
  table.row = [&source](std::size_t i) { return sample_row(source.snapshot, i); };
  return table;
}

ExportTable scores_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "scores";
  table.description =
      "One row a sample and metric of the method. An empty value was not possible, for the reason in note; a "
      "value outside "
      "the method's scope has no class.";
  table.columns = {{"sample_uuid", kText},  {"sample", kText},          {"method", kText},
                   {"method_title", kText}, {"metric", kText},          {"metric_title", kText},
                   {"value", kNumber},      {"class", kText},           {"class_rank", kInteger},
                   {"in_scope", kFlag},     {"scoring_taxa", kInteger}, {"unscored_taxa", kInteger},
                   {"note", kText},         {"confirmed", kText}};
  table.rows = source.snapshot.samples.size() * source.scores.method->metrics.size();
  table.row = [&source](std::size_t i) { return score_row(source, i); };
  return table;
}

ExportTable records_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "records";
  table.description =
      "One row a taxon found (or looked for and absent) in a sample, as written and as understood. An empty "
      "count_max has no "
      "upper limit.";
  table.columns = {{"uuid", kText},
                   {"sample_uuid", kText},
                   {"sample", kText},
                   {"verbatim_name", kText},
                   {"taxon", kText},
                   {"rank", kText},
                   {"listed", kFlag},
                   {"name_match", kText},
                   {"quantity_kind", kText},
                   {"count_min", kInteger},
                   {"count_max", kInteger},
                   {"class_code", kText},
                   {"verbatim_quantity", kText},
                   {"life_stage", kText},
                   {"certainty", kNumber}};
  table.rows = source.snapshot.records.size();
  table.row = [&source](std::size_t i) { return record_row(source.snapshot, i); };
  return table;
}

ExportTable measurements_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "measurements";
  table.description =
      "Water chemistry and conditions; where below_detection is true the value is the limit of detection.";
  table.columns = {{"uuid", kText},          {"site_uuid", kText},
                   {"site", kText},          {"sample_uuid", kText},
                   {"started_utc", kUtc},    {"date", kDate},
                   {"quantity", kText},      {"value", kNumber},
                   {"unit", kText},          {"below_detection", kFlag},
                   {"verbatim_value", kText}};
  table.rows = source.snapshot.measurements.size();
  table.row = [&source](std::size_t i) { return measurement_row(source.snapshot, i); };
  return table;
}

ExportTable survey_table(const ExportSource& source, const std::string& exported_utc) {
  using enum ColumnType;
  ExportTable table;
  table.name = "survey";
  table.description =
      "What this file is, when it was made, by which method its classes were given, and what they do not "
      "say.";
  table.columns = {{"uuid", kText},          {"title", kText},           {"description", kText},
                   {"exported_utc", kUtc},   {"assessed_until", kDate},  {"method", kText},
                   {"method_title", kText},  {"method_citation", kText}, {"method_confirmed", kText},
                   {"method_region", kText}, {"metric", kText},          {"metric_title", kText},
                   {"cautions", kText}};
  table.rows = 1;
  table.row = [&source, exported_utc](std::size_t) {
    const core::SurveyInfo& survey = source.snapshot.survey;
    const core::Method& method = *source.assessment.method;
    const MethodLabel label = method_label(method, source.assessment.metric_info());
    return ExportRow{{text_cell(survey.key), text_cell(survey.title), text_cell(survey.description),
                      UtcText{exported_utc}, source.assessment.until(), label.method, label.method_title,
                      core::source_text(method.source_key, method.source_detail), label.confirmed,
                      text_cell(method.region), label.metric, label.metric_title, core::kResultCaution},
                     {}};
  };
  return table;
}

}  // namespace brookmark::geodata

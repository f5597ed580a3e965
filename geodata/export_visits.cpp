#include <cmath>

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

// A column that nobody filled reads as empty.
Cell optional_at(const std::vector<std::optional<double>>& column, std::size_t row) {
  return row < column.size() ? number_cell(column[row]) : Cell{};
}

constexpr const char* kStartedUtc =
    "start of the visit in UTC; empty where the time or its offset from UTC was not noted";

ExportRow visit_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::VisitColumns& visits = snapshot.visits;
  const core::Moment& start = visits.start[i];
  const std::size_t site = visits.site[i].value();
  return {
      {text_cell(visits.key[i]), text_cell(snapshot.sites.key[site]), text_cell(snapshot.sites.code[site]),
       utc_cell(start), start.date, local_time_cell(start), offset_cell(start), text_cell(visits.people[i]),
       text_cell(visits.weather[i]), text_cell(visits.conditions[i]), text_cell(visits.note[i])},
      {}};
}

ExportRow sample_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::SampleColumns& samples = snapshot.samples;
  const std::size_t visit = samples.visit[i].value();
  const core::Moment& start = snapshot.visits.start[visit];
  const std::size_t site = samples.site[i].value();
  return {
      {text_cell(samples.key[i]), text_cell(samples.code[i]), text_cell(snapshot.visits.key[visit]),
       text_cell(snapshot.sites.key[site]), text_cell(snapshot.sites.code[site]), utc_cell(start),
       samples.date[i], local_time_cell(start), offset_cell(start), core::sample_kind_name(samples.kind[i]),
       text_cell(samples.protocol[i]), number_cell(samples.effort[i]), text_cell(samples.effort_unit[i]),
       optional_at(samples.mesh_um, i), number_cell(samples.subsample_share[i]),
       text_cell(snapshot.visits.people[visit]), text_cell(samples.note[i])},
      {}};
}

ExportRow measurement_row(const core::Snapshot& snapshot, std::size_t i) {
  const core::MeasurementColumns& measurements = snapshot.measurements;
  const std::size_t visit = measurements.visit[i].value();
  const std::size_t site = snapshot.visits.site[visit].value();
  const core::Moment& start = snapshot.visits.start[visit];
  Cell sample_uuid, sample;
  if (measurements.sample[i].has_value()) {
    sample_uuid = text_cell(snapshot.samples.key[measurements.sample[i].value()]);
    sample = text_cell(snapshot.samples.code[measurements.sample[i].value()]);
  }
  return {{text_cell(measurements.key[i]), text_cell(snapshot.visits.key[visit]),
           text_cell(snapshot.sites.key[site]), text_cell(snapshot.sites.code[site]), sample_uuid, sample,
           utc_cell(start), start.date, local_time_cell(start), offset_cell(start),
           text_cell(measurements.quantity[i]), number_cell(measurements.value[i]),
           text_cell(measurements.unit[i]), static_cast<bool>(measurements.below_detection[i]),
           text_cell(measurements.verbatim_value[i]), text_cell(measurements.note[i])},
          {}};
}

}  // namespace

ExportTable visits_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "visits";
  table.description = "One row an arrival at a site. People are named only where they agreed to it.";
  table.columns = {
      {"uuid", kText, "key of the visit"},
      {"site_uuid", kText, "key of its site", kOwn},
      {"site", kText, "code of its site"},
      {"started_utc", kUtc, kStartedUtc},
      {"date", kDate, "local day", kOwn},
      {"local_time", kText, "local time, hh:mm; empty where none was noted", kOwn},
      {"local_offset_min", kInteger, "local time minus UTC, minutes; empty where not noted", kOwn},
      {"people", kText, "who was there and agreed to be named, parted by commas", kOwn},
      {"weather", kText, "weather, in the surveyor's words", kOwn},
      {"conditions", kText, "level, flow, colour of the water, in the surveyor's words", kOwn},
      {"note", kText, "note on the visit", kOwn}};
  table.rows = source.snapshot.visits.size();
  table.row = [&source](std::size_t i) { return visit_row(source.snapshot, i); };
  table.comes_back = true;
  return table;
}

ExportTable samples_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "samples";
  table.description =
      "One row a sample. date is the local day; started_utc is empty where the time or its offset from UTC "
      "was not noted. Weather, conditions and notes of the visit stand in the layer visits.";
  table.columns = {{"uuid", kText, "key of the sample"},
                   {"code", kText, "code of the sample", kOwn},
                   {"visit_uuid", kText, "key of its visit", kOwn},
                   {"site_uuid", kText, "key of its site"},
                   {"site", kText, "code of its site"},
                   {"started_utc", kUtc, kStartedUtc},
                   {"date", kDate, "local day of the visit"},
                   {"local_time", kText, "local time, hh:mm; empty where none was noted"},
                   {"local_offset_min", kInteger, "local time minus UTC, minutes; empty where not noted"},
                   {"kind", kText, "routine, replicate or blank", kOwn},
                   {"protocol", kText, "how the sample was taken", kOwn},
                   {"effort", kNumber, "effort, in effort_unit", kOwn},
                   {"effort_unit", kText, "unit of the effort: s, jabs, l, m2", kOwn},
                   {"mesh_um", kNumber, "mesh of the net, micrometres", kOwn},
                   {"subsample_share", kNumber, "part of the catch that was sorted, above 0 to 1", kOwn},
                   {"people", kText, "who was there and agreed to be named, parted by commas"},
                   {"note", kText, "note on the sample", kOwn}};
  table.rows = source.snapshot.samples.size();
  table.row = [&source](std::size_t i) { return sample_row(source.snapshot, i); };
  table.comes_back = true;
  return table;
}

ExportTable measurements_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "measurements";
  table.description =
      "Water chemistry and conditions; where below_detection is true the value is the limit of detection.";
  table.columns = {
      {"uuid", kText, "key of the measurement"},
      {"visit_uuid", kText, "key of its visit", kOwn},
      {"site_uuid", kText, "key of its site"},
      {"site", kText, "code of its site"},
      {"sample_uuid", kText, "key of the sample it was measured in; empty: in the water", kOwn},
      {"sample", kText, "code of that sample"},
      {"started_utc", kUtc, kStartedUtc},
      {"date", kDate, "local day of the visit"},
      {"local_time", kText, "local time, hh:mm; empty where none was noted"},
      {"local_offset_min", kInteger, "local time minus UTC, minutes; empty where not noted"},
      {"quantity", kText, "what was measured", kOwn},
      {"value", kNumber, "the value, in unit; with below_detection the limit, if one was given", kOwn},
      {"unit", kText, "unit of the value", kOwn},
      {"below_detection", kFlag, "true: below the limit of detection", kOwn},
      {"verbatim_value", kText, "as it was written", kOwn},
      {"note", kText, "note on the measurement", kOwn}};
  table.rows = source.snapshot.measurements.size();
  table.row = [&source](std::size_t i) { return measurement_row(source.snapshot, i); };
  table.comes_back = true;
  return table;
}

}  // namespace brookmark::geodata

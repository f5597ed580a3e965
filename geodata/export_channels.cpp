#include <memory>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

ExportTable channel_classes_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "channel_classes";
  table.description =
      "The channels in stretches: measured (a site speaks for it), inferred (the sites next above and below "
      "are of one "
      "class, no outfall in use between them) or unknown, by the method named in the same row.";
  table.shape = TableShape::kLine;
  table.columns = {{"reach_uuid", kText},    {"reach", kText},
                   {"knowledge", kText},     {"class", kText},
                   {"class_rank", kInteger}, {"site", kText},
                   {"length_m", kNumber},    {"method", kText},
                   {"method_title", kText},  {"method_confirmed", kText},
                   {"metric", kText},        {"metric_title", kText},
                   {"until", kDate}};
  const auto reaches = std::make_shared<const core::ReachAssessment>(
      core::assess_reaches(source.snapshot, source.assessment, source.channels));
  table.rows = reaches->pieces.size();
  table.row = [&source, reaches](std::size_t i) {
    const core::ReachPiece& piece = reaches->pieces[i];
    const core::Reach& reach =
        source.snapshot.reaches[source.channels.edges()[piece.part.edge].reach.value()];
    const core::Metric& metric = source.assessment.metric_info();
    const MethodLabel label = method_label(*source.assessment.method, metric);
    core::Line line;
    core::append_part(source.channels, piece.part, line);
    return ExportRow{
        {text_cell(reach.key), text_cell(reach.name), core::reach_knowledge_name(piece.knowledge),
         class_cell(metric, piece.class_rank), rank_cell(piece.class_rank),
         piece.site.has_value() ? text_cell(source.snapshot.sites.code[piece.site.value()]) : Cell{},
         piece.part.to_m - piece.part.from_m, label.method, label.method_title, label.confirmed, label.metric,
         label.metric_title, source.assessment.until()},
        std::vector<core::Line>{line}};
  };
  return table;
}

ExportTable drops_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "drops";
  table.description =
      "Stretches between neighbouring sites on one flow path, worst first: fall of the index from the upper "
      "to the lower site, by samples of one season; above 0 it is worse below. low and high: 95 % interval "
      "of the fall; "
      "probability: of a fall above 0, draws without any fall counted half; confidence_note says what they "
      "cover. "
      "since: the first pair from which on every pair up to the newest is clearly worse, by a class lost or "
      "an "
      "interval above 0.";
  table.shape = TableShape::kLine;
  table.columns = {{"upstream_site", kText},
                   {"downstream_site", kText},
                   {"date_up", kDate},
                   {"date_down", kDate},
                   {"season", kText},
                   {"fall", kNumber},
                   {"class_up", kText},
                   {"class_down", kText},
                   {"value_up", kNumber},
                   {"value_down", kNumber},
                   {"low", kNumber},
                   {"high", kNumber},
                   {"probability", kNumber},
                   {"confidence_note", kText},
                   {"length_m", kNumber},
                   {"outfalls", kText},
                   {"tributaries", kText},
                   {"since", kDate},
                   {"worse_in_a_row", kInteger},
                   {"pairs", kInteger},
                   {"note", kText},
                   {"method", kText},
                   {"method_title", kText},
                   {"method_confirmed", kText},
                   {"metric", kText},
                   {"metric_title", kText}};
  std::vector<core::Drop> found = core::find_drops(source.snapshot, source.scores, source.assessment.metric,
                                                   source.channels, source.assessment.period);
  core::add_confidence(found, source.snapshot, *source.assessment.method, source.assessment.metric);
  const auto drops = std::make_shared<const std::vector<core::Drop>>(std::move(found));
  table.rows = drops->size();
  table.row = [&source, drops](std::size_t i) {
    const core::Drop& drop = (*drops)[i];
    const core::Snapshot& snapshot = source.snapshot;
    const core::Metric& metric = source.assessment.metric_info();
    const MethodLabel label = method_label(*source.assessment.method, metric);
    const core::SamplePair* pair = drop.newest();
    const auto day = [&](core::SampleIndex sample) -> Cell { return snapshot.samples.date[sample.value()]; };
    const auto value = [&](core::SampleIndex sample) -> Cell {
      const core::SampleScore& score = source.scores.metrics[source.assessment.metric][sample.value()];
      return score.has_value ? Cell{score.value} : Cell{};
    };
    const std::optional<core::FallConfidence>& sure = drop.confidence;
    return ExportRow{{text_cell(snapshot.sites.code[drop.up.value()]),
                      text_cell(snapshot.sites.code[drop.down.value()]),
                      pair ? day(pair->up) : Cell{},
                      pair ? day(pair->down) : Cell{},
                      pair ? Cell{core::season_name(pair->season)} : Cell{},
                      pair ? number_cell(pair->fall) : Cell{},
                      pair ? class_cell(metric, pair->rank_up) : Cell{},
                      pair ? class_cell(metric, pair->rank_down) : Cell{},
                      pair ? value(pair->up) : Cell{},
                      pair ? value(pair->down) : Cell{},
                      sure ? Cell{sure->low} : Cell{},
                      sure ? Cell{sure->high} : Cell{},
                      sure ? Cell{sure->probability} : Cell{},
                      sure ? text_cell(sure->rests_on) : Cell{},
                      drop.stretch.length_m,
                      text_cell(core::outfalls_text(snapshot, drop)),
                      text_cell(core::tributaries_text(snapshot, drop)),
                      drop.since ? Cell{*drop.since} : Cell{},
                      static_cast<std::int64_t>(drop.worse_in_a_row),
                      static_cast<std::int64_t>(drop.pairs.size()),
                      text_cell(drop.note),
                      label.method,
                      label.method_title,
                      label.confirmed,
                      label.metric,
                      label.metric_title},
                     std::vector<core::Line>{drop.stretch.line}};
  };
  return table;
}

}  // namespace brookmark::geodata

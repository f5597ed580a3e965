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
  table.columns = {
      {"reach_uuid", kText, "key of the reach it is part of"},
      {"reach", kText, "name of that watercourse"},
      {"knowledge", kText, "measured, inferred or unknown"},
      {"class", kText, "quality class; empty: unknown"},
      {"class_rank", kInteger, "rank of the class, 1 is best; empty: unknown"},
      {"site", kText, "code of the site that speaks for it; of measured stretches only"},
      {"length_m", kNumber, "length along the channel, metres"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"method_confirmed", kText, "how its numbers were confirmed: document, secondary or memory"},
      {"metric", kText, "short name of the metric"},
      {"metric_title", kText, "the metric"},
      {"until", kDate, "the picture is of this day"}};
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
  table.columns = {
      {"upstream_site", kText, "code of the upper site"},
      {"downstream_site", kText, "code of the lower site"},
      {"date_up", kDate, "day of the upper sample of the newest pair; empty: no pair"},
      {"date_down", kDate, "day of the lower sample"},
      {"season", kText, "season of both"},
      {"fall", kNumber, "how much worse the index is below, in the metric's unit; below 0 it is better"},
      {"class_up", kText, "class above"},
      {"class_down", kText, "class below"},
      {"value_up", kNumber, "value above"},
      {"value_down", kNumber, "value below"},
      {"low", kNumber, "lower end of the 95 % interval of the fall; empty: see note"},
      {"high", kNumber, "its upper end"},
      {"probability", kNumber, "of a fall above 0, from 0 to 1"},
      {"confidence_note", kText, "what interval and probability cover and what not"},
      {"length_m", kNumber, "along the channel between the two, metres"},
      {"outfalls", kText, "what enters between them, in words"},
      {"tributaries", kText, "streams that come in between them, in words"},
      {"since", kDate, "first pair from which on every pair is clearly worse below"},
      {"worse_in_a_row", kInteger, "pairs from since on"},
      {"pairs", kInteger, "pairs of samples compared"},
      {"note", kText, "what else is to be known"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"method_confirmed", kText, "how its numbers were confirmed: document, secondary or memory"},
      {"metric", kText, "short name of the metric"},
      {"metric_title", kText, "the metric"}};
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

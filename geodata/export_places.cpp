#include <memory>

#include "core/network/reach_figures.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

namespace {

Cell count_cell(std::uint32_t count) {
  return static_cast<std::int64_t>(count);
}

core::Shape area_shape(const core::MultiPolygon& shape) {
  if (shape.empty()) return {};
  return shape;
}

ExportRow catchment_row(const ExportSource& source, std::size_t i) {
  const core::Catchment& catchment = source.snapshot.catchments[i];
  const core::CatchmentAssessment& assessed = source.assessment.catchments[i];
  const core::CatchmentIndex parent = source.nesting.parent[i];
  const core::Metric& metric = source.assessment.metric_info();
  const MethodLabel label = method_label(*source.assessment.method, metric);
  Cell parent_uuid, parent_code;
  if (parent.has_value()) {
    parent_uuid = text_cell(source.snapshot.catchments[parent.value()].key);
    parent_code = text_cell(source.snapshot.catchments[parent.value()].code);
  }
  return {
      {text_cell(catchment.key),
       text_cell(catchment.code),
       text_cell(catchment.name),
       parent_uuid,
       parent_code,
       number_cell(source.nesting.area_m2[i] / 1e6),
       count_cell(assessed.sites),
       count_cell(assessed.assessed_sites),
       label.method,
       label.method_title,
       label.confirmed,
       label.metric,
       label.metric_title,
       class_cell(metric, assessed.worst_rank),
       rank_cell(assessed.worst_rank),
       class_cell(metric, assessed.median_rank),
       rank_cell(assessed.median_rank),
       number_cell(assessed.median_value),
       assessed.median_site.has_value() ? text_cell(source.snapshot.sites.code[assessed.median_site.value()])
                                        : Cell{},
       date_cell(assessed.first),
       date_cell(assessed.last)},
      area_shape(catchment.shape)};
}

}  // namespace

ExportTable reaches_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  const std::vector<core::Reach>& reaches = source.snapshot.reaches;
  ExportTable table;
  table.name = "reaches";
  table.description =
      "Stretches of watercourse, drawn downstream; length on the ellipsoid. At the lower end of each: "
      "stream_order, 1 "
      "at the headwaters and one more where two streams of the highest order come together (Strahler 1957; "
      "memory; "
      "arms of one braid do not raise it), upstream_m of channel that drain to it, itself included, and "
      "to_mouth_m "
      "along the flow to the nearest mouth. Empty where there is none; figures_note says why.";
  table.shape = TableShape::kLine;
  table.columns = {
      {"uuid", kText, "key of the reach"},
      {"name", kText, "name of the watercourse", kOwn},
      {"length_m", kNumber, "length on the ellipsoid, metres"},
      {"two_way", kFlag, "true: a canal or level ditch, water goes either way", kOwn},
      {"note", kText, "what was mended when the line was brought in", kOwn},
      {"stream_order", kInteger, "Strahler's order at the lower end; empty: none, see figures_note"},
      {"upstream_m", kNumber, "channel that drains to the lower end, itself included, metres"},
      {"to_mouth_m", kNumber, "along the flow to the nearest mouth, metres"},
      {"figures_note", kText, "why a figure is missing"}};
  table.comes_back = true;
  const auto figures =
      std::make_shared<const std::vector<core::ReachFigures>>(core::reach_figures(reaches, source.channels));
  table.rows = reaches.size();
  table.row = [&reaches, figures](std::size_t i) {
    const core::Reach& reach = reaches[i];
    const core::ReachFigures& f = (*figures)[i];
    Cell order;
    if (f.stream_order) order = static_cast<std::int64_t>(*f.stream_order);
    return ExportRow{{text_cell(reach.key), text_cell(reach.name), number_cell(core::length_m(reach.line)),
                      reach.two_way, text_cell(reach.note), order, number_cell(f.upstream_m),
                      number_cell(f.to_mouth_m), text_cell(f.note)},
                     std::vector<core::Line>{reach.line}};
  };
  return table;
}

ExportTable outfalls_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  const std::vector<core::Outfall>& outfalls = source.snapshot.outfalls;
  ExportTable table;
  table.name = "outfalls";
  table.description = "Points where something enters the water.";
  table.shape = TableShape::kPoint;
  table.columns = {
      {"uuid", kText, "key of the outfall"},
      {"code", kText, "code of the outfall", kOwn},
      {"name", kText, "name of the outfall", kOwn},
      {"kind", kText, "what enters the water", kOwn},
      {"strength", kNumber, "what it weighs beside the others, in the surveyor's own measure", kOwn},
      {"since", kDate, "first day of use; empty: not known", kOwn},
      {"until", kDate, "last day of use; empty: still in use, as far as known", kOwn},
      {"raw_x", kText, "easting or longitude as it was written", kOwn},
      {"raw_y", kText, "northing or latitude as it was written", kOwn},
      {"raw_crs", kText, "coordinate system of raw_x and raw_y", kOwn},
      {"position_note", kText, "how the position was made from them", kOwn},
      {"note", kText, "note on the outfall", kOwn}};
  table.comes_back = true;
  table.rows = outfalls.size();
  table.row = [&outfalls](std::size_t i) {
    const core::Outfall& outfall = outfalls[i];
    return ExportRow{
        {text_cell(outfall.key), text_cell(outfall.code), text_cell(outfall.name),
         core::outfall_kind_name(outfall.kind), number_cell(outfall.strength), date_cell(outfall.since),
         date_cell(outfall.until), text_cell(outfall.raw.x), text_cell(outfall.raw.y),
         text_cell(outfall.raw.crs), text_cell(outfall.raw.note), text_cell(outfall.note)},
        outfall.position};
  };
  return table;
}

ExportTable catchments_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "catchments";
  table.description =
      "Sub-catchments with the worst class of the sites inside, and class and value of the site in their "
      "middle "
      "(of an even number the worse of the middle two), by the method named in the same row.";
  table.shape = TableShape::kMultiPolygon;
  table.columns = {
      {"uuid", kText, "key of the catchment"},
      {"code", kText, "code of the catchment", kOwn},
      {"name", kText, "name of the catchment", kOwn},
      {"parent_uuid", kText, "key of the next larger catchment that holds it wholly; empty at the top"},
      {"parent", kText, "code of that catchment"},
      {"area_km2", kNumber, "area on the ellipsoid, square kilometres"},
      {"sites", kInteger, "sites inside whose place is told; blurred ones count nowhere"},
      {"assessed_sites", kInteger, "of these with a class (or value) that holds"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"method_confirmed", kText, "how its numbers were confirmed: document, secondary or memory"},
      {"metric", kText, "short name of the metric"},
      {"metric_title", kText, "the metric"},
      {"worst_class", kText, "worst class of the sites inside"},
      {"worst_rank", kInteger, "its rank, 1 is best"},
      {"median_class", kText, "class of the site in the middle"},
      {"median_rank", kInteger, "its rank"},
      {"median_value", kNumber, "its value"},
      {"median_site", kText, "code of the site in the middle"},
      {"first_date", kDate, "oldest of the samples behind it"},
      {"last_date", kDate, "newest of the samples behind it"}};
  table.comes_back = true;
  table.rows = source.snapshot.catchments.size();
  table.row = [&source](std::size_t i) { return catchment_row(source, i); };
  return table;
}

ExportTable waters_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  const std::vector<core::Water>& waters = source.snapshot.waters;
  ExportTable table;
  table.name = "waters";
  table.description = "Waters of the survey; one without a known outline has no shape.";
  table.shape = TableShape::kMultiPolygon;
  table.columns = {{"uuid", kText, "key of the water"},
                   {"name", kText, "name of the water", kOwn},
                   {"kind", kText, "kind of water", kOwn}};
  table.comes_back = true;
  table.rows = waters.size();
  table.row = [&waters](std::size_t i) {
    const core::Water& water = waters[i];
    return ExportRow{{text_cell(water.key), text_cell(water.name), core::water_kind_name(water.kind)},
                     area_shape(water.shape)};
  };
  return table;
}

}  // namespace brookmark::geodata

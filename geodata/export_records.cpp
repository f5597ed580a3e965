#include "core/base/text.hpp"
#include "core/survey/cautions.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

namespace {

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
  Cell count_max, certainty;
  if (records.count_max[i] != core::RecordColumns::kOpen) count_max = records.count_max[i];
  const bool given =
      i < records.certainty_given.size() ? records.certainty_given[i] : records.certainty[i] < 1;
  if (given) certainty = records.certainty[i];
  return {
      {text_cell(records.key[i]), text_cell(snapshot.samples.key[sample]),
       text_cell(snapshot.samples.code[sample]), text_cell(records.verbatim_name[i]),
       text_cell(snapshot.taxa.key[taxon]), text_cell(snapshot.taxa.name[taxon]),
       core::rank_name(snapshot.taxa.rank[taxon]), static_cast<bool>(snapshot.taxa.listed[taxon]),
       core::name_match_name(records.match[i]), core::quantity_kind_name(records.quantity[i]),
       records.count_min[i], count_max, text_cell(records.class_scheme[i]), text_cell(records.class_code[i]),
       text_cell(records.verbatim_quantity[i]), core::life_stage_name(records.stage[i]),
       text_cell(records.qualifier[i]), certainty, text_cell(records.note[i])},
      {}};
}

}  // namespace

ExportTable scores_table(const ExportSource& source) {
  using enum ColumnType;
  ExportTable table;
  table.name = "scores";
  table.description =
      "One row a sample and metric of the method. An empty value was not possible, for the reason in note; a "
      "value outside "
      "the method's scope has no class.";
  table.columns = {
      {"sample_uuid", kText, "key of the sample"},
      {"sample", kText, "code of the sample"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"metric", kText, "short name of the metric"},
      {"metric_title", kText, "the metric"},
      {"value", kNumber, "the metric's value; empty: not possible, see note"},
      {"class", kText, "quality class by the method's own names; empty: none"},
      {"class_rank", kInteger, "rank of the class, 1 is best; empty: none"},
      {"in_scope", kFlag, "false: the sample is outside the method's scope, the value holds no class"},
      {"scoring_taxa", kInteger, "taxa that count"},
      {"unscored_taxa", kInteger, "taxa that do not"},
      {"note", kText, "why a value or a class is missing"},
      {"confirmed", kText, "how the method's numbers were confirmed: document, secondary or memory"}};
  table.rows = source.snapshot.samples.size() * source.scores.method->metrics.size();
  table.row = [&source](std::size_t i) { return score_row(source, i); };
  return table;
}

ExportTable taxa_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "taxa";
  table.description = "The names that records point to, parents before their children.";
  table.columns = {
      {"key", kText, "key of the taxon"},
      {"name", kText, "accepted name, or the surveyor's own"},
      {"rank", kText, "rank of the name"},
      {"parent_key", kText, "key of the next higher taxon; empty at the top"},
      {"listed", kFlag, "false: not in the checklist; counts as a taxon and never scores by itself"}};
  table.rows = source.snapshot.taxa.size();
  table.row = [&source](std::size_t i) {
    const core::TaxonColumns& taxa = source.snapshot.taxa;
    const core::TaxonIndex parent = taxa.parent[i];
    return ExportRow{{text_cell(taxa.key[i]), text_cell(taxa.name[i]), core::rank_name(taxa.rank[i]),
                      parent.has_value() ? text_cell(taxa.key[parent.value()]) : Cell{},
                      static_cast<bool>(taxa.listed[i])},
                     {}};
  };
  return table;
}

ExportTable records_table(const ExportSource& source) {
  using enum ColumnType;
  using enum ColumnUse;
  ExportTable table;
  table.name = "records";
  table.description =
      "One row a taxon found (or looked for and absent) in a sample, as written and as understood. An empty "
      "count_max has no "
      "upper limit.";
  table.columns = {
      {"uuid", kText, "key of the record"},
      {"sample_uuid", kText, "key of its sample", kOwn},
      {"sample", kText, "code of its sample"},
      {"verbatim_name", kText, "the name as written", kOwn},
      {"taxon_key", kText, "key of the taxon it is taken for", kOwn},
      {"taxon", kText, "name of that taxon"},
      {"rank", kText, "rank of that taxon"},
      {"listed", kFlag, "false: the name is not in the checklist and never scores by itself"},
      {"name_match", kText, "how the written name came to its taxon", kOwn},
      {"quantity_kind", kText, "count, class (of abundance), present, or absent (looked for)", kOwn},
      {"count_min", kInteger, "the count, or the lower limit of the class; 1 for presence, 0 for absence",
       kOwn},
      {"count_max", kInteger, "the count, or the upper limit of the class; empty: no upper limit", kOwn},
      {"class_scheme", kText, "scheme of the abundance class", kOwn},
      {"class_code", kText, "code of the abundance class", kOwn},
      {"verbatim_quantity", kText, "the quantity as written", kOwn},
      {"life_stage", kText, "unknown, egg, larva, pupa or adult", kOwn},
      {"qualifier", kText, "cf., sp. and the like, as written", kOwn},
      {"certainty", kNumber, "how sure the name is, 0 to 1; empty: not given", kOwn},
      {"note", kText, "note on the record", kOwn}};
  table.rows = source.snapshot.records.size();
  table.row = [&source](std::size_t i) { return record_row(source.snapshot, i); };
  table.comes_back = true;
  return table;
}

// "spring, autumn": as core::parse_seasons reads it.
std::string season_list(core::SeasonSet seasons) {
  std::string list;
  for (const core::Season season :
       {core::Season::kWinter, core::Season::kSpring, core::Season::kSummer, core::Season::kAutumn})
    if (seasons.has(season)) list += (list.empty() ? "" : ", ") + std::string(core::season_name(season));
  return list;
}

ExportTable survey_table(const ExportSource& source, const SurveyTableWords& words) {
  using enum ColumnType;
  ExportTable table;
  table.name = "survey";
  table.description =
      "What this file is, when it was made, by which method its classes were given, what was held back, and "
      "what it does "
      "not say.";
  table.columns = {
      {"uuid", kText, "key of the survey"},
      {"title", kText, "what the survey is called"},
      {"description", kText, "what it is about"},
      {"survey_crs", kText, "coordinate system in which the surveyor shows positions"},
      {"coordinates_in", kText, "coordinate system of this file"},
      {"exported_utc", kUtc, "when this file was made"},
      {"assessed_until", kDate, "classes speak of samples up to this day"},
      {"records_until", kDate, "visits after this day are left out; empty: none was set"},
      {"records_from", kDate, "visits before this day are left out; empty: none was set"},
      {"records_seasons", kText, "visits of other seasons are left out; empty: none was set"},
      {"blur_cell_m", kNumber, "least size of the grid cells in which blurred sites are placed, metres"},
      {"blurred_sites", kInteger, "sites that stand in the middle of a grid cell"},
      {"names", kText, "which people are named: 'with consent' or 'none'"},
      {"licence", kText, "licence of the data; empty: none was stated, ask before you pass it on"},
      {"method", kText, "short name of the method"},
      {"method_title", kText, "the method"},
      {"method_citation", kText, "where it was published"},
      {"method_confirmed", kText, "how its numbers were confirmed: document, secondary or memory"},
      {"method_region", kText, "where it is meant for"},
      {"metric", kText, "short name of the metric by which sites are classed"},
      {"metric_title", kText, "that metric"},
      {"cautions", kText, "what an index does not say"}};
  table.rows = 1;
  table.row = [&source, words](std::size_t) {
    const core::SurveyInfo& survey = source.snapshot.survey;
    const core::Method& method = *source.assessment.method;
    const MethodLabel label = method_label(method, source.assessment.metric_info());
    const core::SharingRules& rules = source.shared.rules();
    std::int64_t blurred = 0;
    for (const core::SharedPlace& place : source.shared.places()) blurred += place.blurred ? 1 : 0;
    return ExportRow{{text_cell(survey.key),
                      text_cell(survey.title),
                      text_cell(survey.description),
                      text_cell(survey.crs),
                      text_cell(words.crs),
                      UtcText{words.exported_utc},
                      source.assessment.until(),
                      date_cell(rules.until),
                      date_cell(rules.from),
                      text_cell(rules.seasons.all() ? std::string() : season_list(rules.seasons)),
                      rules.cell_m,
                      blurred,
                      std::string(rules.people ? "with consent" : "none"),
                      text_cell(words.licence),
                      label.method,
                      label.method_title,
                      core::source_text(method.source_key, method.source_detail),
                      label.confirmed,
                      text_cell(method.region),
                      label.metric,
                      label.metric_title,
                      core::kResultCaution},
                     {}};
  };
  return table;
}

}  // namespace brookmark::geodata

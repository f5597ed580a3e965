#include <algorithm>
#include <cstdint>
#include <memory>
#include <ostream>
#include <span>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/confidence.hpp"
#include "core/scoring/score.hpp"
#include "core/scoring/score_note.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

const char* flow_words(core::Flow flow) {
  switch (flow) {
    case core::Flow::kRunning:
      return "running";
    case core::Flow::kStill:
      return "still";
    case core::Flow::kUncertain:
      return "any";
  }
  return "any";
}

void list_methods(const Console& console) {
  Rows rows{{"method", "title", "water", "metrics", "classes", "confirmed", "source"}, {}};
  for (const core::Method& method : core::shipped_methods()) {
    std::vector<std::string> metrics, classes;
    for (const core::Metric& metric : method.metrics) {
      metrics.push_back(metric.id);
      classes.push_back(std::to_string(metric.bands.size()));
    }
    rows.add({text(method.id), text(method.title), text(flow_words(method.flow)),
              text(core::joined(metrics, " ")), text(core::joined(classes, " ")),
              text(core::confirmed_name(method.confirmed)),
              text(core::source_text(method.source_key, method.source_detail))});
  }
  console.rows(rows);
}

// A limit as printed, with a sign where the limit itself does not belong to the class.
Cell limit_cell(const std::optional<double>& limit, bool open, const char* open_sign) {
  if (!limit) return {};
  return text((open ? std::string(open_sign) + " " : "") + core::format_number(*limit));
}

void show_method(const core::Method& method, const Console& console) {
  Rows rows{{"part", "name", "detail", "group", "value", "lower", "upper", "confirmed", "source"}, {}};
  const auto add = [&](const char* part, Cell name, Cell detail, Cell group, Cell value, Cell lower,
                       Cell upper, core::Confirmed confirmed, const std::string& source_key,
                       const std::string& source_detail) {
    rows.add({text(part), std::move(name), std::move(detail), std::move(group), std::move(value),
              std::move(lower), std::move(upper), text(core::confirmed_name(confirmed)),
              text(core::source_text(source_key, source_detail))});
  };
  for (const core::MethodStatement& said : method.statements)
    rows.add(
        {text("statement"),
         text(said.key),
         text_or_empty(said.value),
         {},
         {},
         {},
         {},
         said.confirmed ? text(core::confirmed_name(*said.confirmed)) : Cell{},
         said.source_key.empty() ? Cell{} : text(core::source_text(said.source_key, said.source_detail))});
  for (const core::Metric& metric : method.metrics)
    for (const core::ClassBand& band : metric.bands)
      add("class", text(band.name), text(metric.id), text("rank " + std::to_string(band.rank)), {},
          limit_cell(band.lower, band.lower_open, "above"), limit_cell(band.upper, band.upper_open, "below"),
          band.confirmed, band.source_key, band.source_detail);
  for (const core::GroupWeight& weight : method.weights)
    add("weight", text_or_empty(weight.code), {}, text(weight.group), exact(weight.weight), {}, {},
        weight.confirmed, weight.source_key, weight.source_detail);
  for (const core::ScoreUnit& unit : method.units) {
    std::string detail = unit.members.size() > 1 ? core::joined(unit.members, ", ") : "";
    if (!unit.except.empty())
      detail += (detail.empty() ? "without " : " without ") + core::joined(unit.except, ", ");
    if (unit.stage)
      detail += (detail.empty() ? "" : "; ") + std::string("as ") + core::life_stage_name(*unit.stage);
    add("taxon", text(unit.name), text_or_empty(detail), text_or_empty(unit.group),
        unit.group.empty() ? exact(unit.score) : Cell{}, {}, {}, unit.confirmed, unit.source_key,
        unit.source_detail);
  }
  console.rows(rows);
}

// Whether `score` also says how sure it is.
struct ConfidenceWords {
  bool wanted = false;
  std::int64_t draws = core::ConfidenceOptions{}.draws,
               seed = static_cast<std::int64_t>(core::ConfidenceOptions{}.seed);

  double level = core::ConfidenceOptions{}.level;

  core::ConfidenceOptions options() const {
    return {
        .draws = static_cast<std::uint32_t>(draws), .seed = static_cast<std::uint64_t>(seed), .level = level};
  }
};

Cell probability_cell(const core::SampleConfidence& confidence, int rank) {
  if (confidence.class_probability.empty() || rank == 0) return {};
  return number(confidence.probability_of(rank), 3);
}

void add_confidence_cells(const core::Metric& metric, const core::SampleScore& score,
                          const core::SampleConfidence& confidence, double level, std::vector<Cell>& row) {
  const int decimals = core::shown_decimals(metric);
  row.push_back(confidence.has_interval ? number(confidence.low, decimals) : Cell{});
  row.push_back(confidence.has_interval ? number(confidence.high, decimals) : Cell{});
  row.push_back(confidence.has_interval ? exact(level) : Cell{});
  row.push_back(probability_cell(confidence, score.class_rank));
  row.push_back(class_cell(metric, confidence.likeliest_rank));
  row.push_back(probability_cell(confidence, confidence.likeliest_rank));
  row.push_back(text_or_empty(core::confidence_basis_name(confidence.basis)));
  row.push_back(text_or_empty(core::confidence_text(confidence)));
}

void add_scores(const core::Snapshot& snapshot, const core::Method& method, const std::string& only_metric,
                const core::Period& period, const ConfidenceWords& sure, Rows& rows) {
  const core::ScoreTable scores = core::score_samples(snapshot, method);
  std::vector<core::SampleIndex> samples;
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i)
    if (core::in_period(period, snapshot, core::SampleIndex(i))) samples.emplace_back(i);
  core::ConfidenceTable confidence;
  if (sure.wanted) confidence = core::confidence_of(snapshot, method, samples, sure.options());
  for (std::size_t m = 0; m < method.metrics.size(); ++m) {
    const core::Metric& metric = method.metrics[m];
    if (!only_metric.empty() && metric.id != only_metric) continue;
    for (std::size_t at = 0; at < samples.size(); ++at) {
      const std::size_t i = samples[at].value();
      const core::SampleScore& score = scores.metrics[m][i];
      std::vector<Cell> row = {text(snapshot.samples.code[i]),
                               text(snapshot.sites.code[snapshot.samples.site[i].value()]),
                               text(core::format_date(snapshot.samples.date[i])),
                               text(method.id),
                               text(metric.id),
                               score.has_value ? number(score.value, core::shown_decimals(metric)) : Cell{},
                               class_cell(metric, score.class_rank),
                               rank_cell(score.class_rank),
                               score.in_scope,
                               whole(score.scoring_taxa),
                               whole(score.unscored_taxa),
                               text_or_empty(core::score_note(
                                   score, method, snapshot.sites.kind[snapshot.samples.site[i].value()])),
                               text(core::confirmed_name(method.confirmed))};
      if (sure.wanted)
        add_confidence_cells(metric, score, confidence.metrics[m][at], confidence.options.level, row);
      rows.add(std::move(row));
    }
  }
}

// "95 % of draws between 4.1 and 5.2 (counts); most likely Good, 0.83; ..."
std::string confidence_line(const core::Metric& metric, const core::SampleScore& score,
                            const core::SampleConfidence& confidence, double level) {
  std::string line;
  if (confidence.has_interval)
    line = core::format_number(100 * level) + " % interval " +
           core::format_fixed(confidence.low, core::shown_decimals(metric)) + " to " +
           core::format_fixed(confidence.high, core::shown_decimals(metric)) + " (" +
           core::confidence_basis_name(confidence.basis) + ")";
  if (confidence.likeliest_rank != 0)
    line += "; most likely " + std::string(core::class_name(metric, confidence.likeliest_rank)) +
            ", probability " + core::format_fixed(confidence.probability_of(confidence.likeliest_rank), 2);
  else if (!confidence.class_probability.empty() && score.class_rank != 0)
    line += "; class " + std::string(core::class_name(metric, score.class_rank)) + " in " +
            core::format_fixed(confidence.probability_of(score.class_rank), 2) + " of draws";
  const std::string note = core::confidence_text(confidence);
  return note.empty() ? line : line + (line.empty() ? "" : "; ") + note;
}

// Every fault of a surveyor's own method; the answer is "no" where there is one.
int check_own_method(const std::string& name, const Console& console) {
  if (name.empty())
    throw Error(ErrorCode::kBadUse, "--check needs your own NAME.method.csv; write it after `methods`");
  const core::Issues faults = core::check_method_file(name);
  Rows rows{{"severity", "file", "line", "column", "text"}, {}};
  for (const core::Issue& fault : faults)
    rows.add({text(core::severity_name(fault.severity)), text_or_empty(fault.file),
              fault.line == 0 ? Cell{} : whole(fault.line), text_or_empty(fault.column), text(fault.text)});
  console.rows(rows);
  console.err << (faults.empty()
                      ? "no faults: use it with --method " + name + "\n"
                      : std::to_string(faults.size()) + (faults.size() == 1 ? " fault" : " faults") +
                            "; correct them and check again\n");
  return faults.empty() ? kDone : kAnswerIsNo;
}

int run_methods(const std::string& name, bool check, const Console& console) {
  if (check) return check_own_method(name, console);
  if (name.empty()) {
    list_methods(console);
  } else {
    show_method(*choose_method(name), console);
  }
  return kDone;
}

int run_score(const std::filesystem::path& survey, const ScoreOptions& options, const ConfidenceWords& sure,
              const Console& console) {
  const Session session = open_for(survey, console);
  const core::Period period = choose_period(options, newest_day(session.snapshot));
  Rows rows{{"sample", "site", "date", "method", "metric", "value", "class", "class_rank", "in_scope",
             "scoring_taxa", "unscored_taxa", "note", "confirmed"},
            {}};
  if (sure.wanted)
    for (const char* column : {"low", "high", "level", "class_probability", "likeliest_class",
                               "likeliest_probability", "basis", "confidence_note"})
      rows.columns.emplace_back(column);
  if (!options.method.empty()) {
    const auto method = choose_method(options.method);
    choose_metric(*method, options.metric);
    add_scores(session.snapshot, *method, options.metric, period, sure, rows);
  } else {
    for (const core::Method& method : core::shipped_methods())
      add_scores(session.snapshot, method, options.metric, period, sure, rows);
  }
  console.rows(rows);
  if (rows.rows.empty()) console.err << "there is no sample to score " << core::period_words(period) << "\n";
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

int run_explain(const std::filesystem::path& survey, const std::string& sample, const ScoreOptions& options,
                const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const auto index = snapshot.find_sample(sample);
  if (!index)
    throw Error(ErrorCode::kNotFound, "there is no sample \"" + sample + "\"; `brookmark score` lists them",
                survey.string());
  const auto method = choose_method(options.method);
  const std::size_t m = choose_metric(*method, options.metric);
  const core::Metric& metric = method->metrics[m];
  Rows rows{{"name", "taxon", "quantity", "unit", "group", "value", "weight", "contributes", "why",
             "confirmed", "source"},
            {}};
  for (const core::RecordPart& part : core::explain_sample(snapshot, *method, metric, *index)) {
    const std::size_t r = part.record.value();
    rows.add({text(snapshot.records.verbatim_name[r]),
              text(snapshot.taxa.name[snapshot.records.taxon[r].value()]),
              text_or_empty(snapshot.records.verbatim_quantity[r]), text_or_empty(part.unit),
              text_or_empty(part.group), exact_or_empty(part.value), exact_or_empty(part.weight),
              part.contributes, text(part.why),
              part.value ? text(core::confirmed_name(part.confirmed)) : Cell{}, text_or_empty(part.source)});
  }
  console.rows(rows);
  const core::SampleScore score = core::score_samples(snapshot, *method).metrics[m][index->value()];
  console.err << metric.title << " of " << sample << " (" << method->id << "): ";
  if (score.has_value)
    console.err << core::format_fixed(score.value, core::shown_decimals(metric));
  else
    console.err << "no value";
  const std::string_view name = core::class_name(metric, score.class_rank);
  if (!name.empty()) console.err << ", class " << name;
  const std::string note =
      core::score_note(score, *method, snapshot.sites.kind[snapshot.samples.site[index->value()].value()]);
  if (!note.empty()) console.err << "; " << note;
  console.err << "; method confirmed: " << core::confirmed_name(method->confirmed) << '\n';
  const core::ConfidenceTable confidence = core::confidence_of(snapshot, *method, std::span(&*index, 1));
  console.err << "confidence: "
              << confidence_line(metric, score, confidence.metrics[m].front(), confidence.options.level)
              << '\n';
  return kDone;
}

}  // namespace

void add_score_verbs(Verbs& verbs) {
  const auto name = std::make_shared<std::string>();
  const auto check = std::make_shared<bool>(false);
  verbs
      .add("methods", "list the methods, or show one with its table, source and scope",
           [name, check](const Console& c) { return run_methods(*name, *check, c); })
      .word("NAME", *name, "a method's name, or your own NAME.method.csv")
      .flag("--check", *check,
            "list every fault of your own NAME.method.csv and its tables, with line and column")
      .with_format();

  const auto score = std::make_shared<ScoreOptions>();
  const auto sure = std::make_shared<ConfidenceWords>();
  verbs
      .add_for_survey(
          "score", "one row a sample and metric",
          [score, sure](const auto& survey, const Console& c) { return run_score(survey, *score, *sure, c); })
      .with_method(*score, "default: all")
      .with_period(*score)
      .flag("--confidence", sure->wanted,
            "also an interval and how likely each class is, and on what that rests")
      .whole("--draws", sure->draws, 1, core::kMostDraws, "how often a sample is drawn again; default 1000")
      .number("--level", sure->level, 0.5, 0.999, "of the interval; default 0.95")
      .whole("--seed", sure->seed, 0, 9'007'199'254'740'991, "the same seed gives the same answer; default 1")
      .with_format();

  const auto sample = std::make_shared<std::string>();
  const auto by = std::make_shared<ScoreOptions>();
  verbs
      .add_for_survey(
          "explain", "why a sample scores as it does: one row a record",
          [sample, by](const auto& survey, const Console& c) { return run_explain(survey, *sample, *by, c); })
      .word("SAMPLE", *sample, "the sample's code")
      .required()
      .with_method(*by, "default: the first of `brookmark methods`")
      .with_format();
}

}  // namespace brookmark::viewer

#include <filesystem>
#include <memory>
#include <ostream>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/reference_ratio.hpp"
#include "core/store/survey_file.hpp"
#include "viewer/cli/commands.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct RatioCommand {
  ScoreOptions score;
  std::string diversity, limits;
  std::int64_t least = core::kLeastReferenceSamples;
};

struct MarkCommand {
  std::string site, reference;
  std::optional<std::string> type;
};

// What is held against the references.
struct Observed {
  std::string method, metric;
  core::SampleValues values;
  int decimals = 0;
  bool higher_is_better = true;
  std::string confirmed;
};

Observed observe(const RatioCommand& command, const core::Snapshot& snapshot, core::Date until) {
  if (!command.diversity.empty()) {
    const auto metric = core::parse_diversity_metric(command.diversity);
    if (!metric)
      throw Error(ErrorCode::kNotFound, "there is no diversity \"" + command.diversity +
                                            "\"; choose a column of `brookmark diversity`, as shannon");
    core::DiversityOptions options;
    options.period = until;
    const core::DiversityTable table = core::diversity_of_samples(snapshot, options);
    return {"diversity",
            command.diversity,
            core::usable_values(table, *metric),
            6,
            true,
            core::confirmed_name(core::diversity_metric_confirmed(*metric))};
  }
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::Metric& metric = method->metrics[m];
  return {method->id,
          metric.id,
          core::usable_values(core::score_samples(snapshot, *method), m),
          core::shown_decimals(metric),
          metric.higher_is_better,
          core::confirmed_name(method->confirmed)};
}

std::optional<core::RatioClasses> choose_classes(const std::string& limits) {
  if (limits.empty()) return std::nullopt;
  if (limits.ends_with(".csv")) return core::own_classes(core::read_csv_file(limits));
  return core::parse_ratio_classes(limits);
}

int run_ratio(const std::filesystem::path& survey, const RatioCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  core::RatioOptions options;
  options.until = choose_date(command.score.until, newest_day(snapshot));
  options.least_samples = static_cast<std::size_t>(command.least);
  options.classes = choose_classes(command.limits);
  const Observed observed = observe(command, snapshot, *options.until);
  options.higher_is_better = observed.higher_is_better;
  const core::RatioTable table = core::ratio_of_samples(snapshot, observed.values, options);

  Rows rows{{"sample", "site", "date", "type", "season", "method", "metric", "observed", "expected", "ratio",
             "class", "class_rank", "reference_samples", "reference_sites", "reference", "note", "confirmed"},
            {}};
  const auto value = [&](const std::optional<double>& number_or_none, int decimals) {
    return number_or_none ? number(*number_or_none, decimals) : Cell{};
  };
  std::size_t ratios = 0;
  std::set<std::string> refusals;
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i) {
    const core::SampleRatio& sample = table.samples[i];
    if (sample.gap == core::RatioGap::kAfterDate || snapshot.samples.kind[i] == core::SampleKind::kBlank)
      continue;
    const std::size_t site = snapshot.samples.site[i].value();
    const std::string note = core::ratio_note(snapshot, table, core::SampleIndex(i));
    if (sample.ratio) ++ratios;
    if (sample.gap == core::RatioGap::kTooFewReferences) refusals.insert(note);
    rows.add({text(snapshot.samples.code[i]), text(snapshot.sites.code[site]),
              text(core::format_date(snapshot.samples.date[i])), text_or_empty(snapshot.sites.type[site]),
              text(core::season_name(sample.season)), text(observed.method), text(observed.metric),
              value(sample.observed, observed.decimals),
              // A median of an even number has one digit more.
              value(sample.expected, observed.decimals + 1), value(sample.ratio, core::kRatioDecimals),
              options.classes ? class_cell(options.classes->scale, sample.class_rank) : Cell{},
              rank_cell(sample.class_rank), whole(sample.reference_samples), whole(sample.reference_sites),
              Cell{static_cast<bool>(snapshot.sites.reference[site])}, text_or_empty(note),
              text_or_empty(observed.confirmed)});
  }
  console.rows(rows);
  for (const std::string& refusal : refusals) console.err << refusal << '\n';
  if (options.classes)
    console.err << options.classes->origin << '\n';
  else
    console.err << "no classes: give limits with --limits; none are published here, for they hold for one "
                   "metric, type "
                   "and country only\n";
  if (ratios == 0) console.err << "no sample has a ratio\n";
  return ratios == 0 ? kAnswerIsNo : kDone;
}

int run_mark(const std::filesystem::path& survey, const MarkCommand& command, const Console& console) {
  if (!command.type && command.reference.empty())
    throw Error(ErrorCode::kBadUse, "say what to mark: --type TYPE, --reference yes or no, or both");
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const auto site = snapshot.find_site(command.site);
  if (!site) throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\"", survey.string());
  const std::size_t s = site->value();
  core::MarkReference edit;
  edit.site_key = std::string(snapshot.sites.key[s]);
  edit.type = std::string(core::trim(command.type.value_or(std::string(snapshot.sites.type[s]))));
  edit.reference =
      command.reference.empty() ? static_cast<bool>(snapshot.sites.reference[s]) : command.reference == "yes";
  const std::string code(snapshot.sites.code[s]);
  if (edit.reference && edit.type.empty())
    throw Error(ErrorCode::kBadUse, "a reference site stands for a type; give it one with --type",
                "site " + code);
  if (edit.type == snapshot.sites.type[s] && edit.reference == snapshot.sites.reference[s]) {
    console.err << "site " << code << " is marked so already\n";
    return kDone;
  }
  const std::string what = edit.type.empty()
                               ? "without a type"
                               : (edit.reference ? "reference of type \"" : "of type \"") + edit.type + "\"" +
                                     (edit.reference ? "" : ", no reference");
  file.apply({"mark site", "mark site " + code + " as " + what, {edit}});
  console.err << "site " << code << ": " << what << '\n';
  return kDone;
}

}  // namespace

void add_ratio_verbs(Verbs& verbs) {
  const auto ratio = std::make_shared<RatioCommand>();
  verbs
      .add_for_survey("ratio", "observed / expected: samples held against the reference sites of their type",
                      [ratio](const auto& survey, const Console& c) { return run_ratio(survey, *ratio, c); })
      .with_method(ratio->score, "default: the first of `brookmark methods`")
      .option("--diversity", ratio->diversity,
              "instead of a method: a column of `brookmark diversity`, as shannon")
      .option("--limits", ratio->limits,
              "your own limits of the five classes of ecological status, the lowest ratio of High, Good, "
              "Moderate and "
              "Poor: 0.8,0.6,0.4,0.2; or equal (five equal steps); or a CSV with the columns class, lower, "
              "source; "
              "default: no classes")
      .whole("--least", ratio->least, 1, 1'000'000,
             "reference samples of the type and season below which there is no expected value; default: 3")
      .with_until(ratio->score)
      .with_format()
      .footer([] {
        return std::string(
            "Expected is the median of the routine samples, inside the method's scope, of the reference "
            "sites of the "
            "same type in the same season of any year; a site's own samples never count for itself (common "
            "practice, "
            "no source). `brookmark mark` gives a site its type and makes it a reference.");
      });

  const auto mark = std::make_shared<MarkCommand>();
  verbs
      .add_for_survey("mark", "give a site its type, and make it a reference for that type",
                      [mark](const auto& survey, const Console& c) { return run_mark(survey, *mark, c); })
      .option("--site", mark->site, "a site's code")
      .required()
      .option("--type", mark->type, "type of water in your own words; default: as it is")
      .option("--reference", mark->reference, "yes or no; default: as it is")
      .choices({"yes", "no"});
}

}  // namespace brookmark::viewer

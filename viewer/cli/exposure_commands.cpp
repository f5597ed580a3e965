#include <ostream>

#include "core/analysis/exposure.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct ExposureCommand {
  ScoreOptions score;
  core::ExposureOptions options;
};

void say_relation(const core::ExposureRelation& relation, const core::Metric& metric,
                  const Console& console) {
  console.err << "exposure against " << metric.title << " over " << relation.sites
              << (relation.sites == 1 ? " site" : " sites") << ": ";
  if (!relation.ranks) {
    console.err << "too few sites, or all equal, for a rank correlation\n";
    return;
  }
  const core::SpearmanResult& ranks = *relation.ranks;
  console.err
      << "Spearman's rho " << core::format_fixed(ranks.rho, 3) << ", p "
      << (ranks.p < 0.0001 ? std::string("below 0.0001") : core::format_fixed(ranks.p, 4))
      << (ranks.exact ? " (every arrangement)" : " (seeded draws of arrangements)")
      << "; with no relation rho would lie between " << core::format_fixed(ranks.chance_low, 3) << " and "
      << core::format_fixed(ranks.chance_high, 3)
      << ". Sites near each other are alike for many reasons: a hint to look closer, no proof of a cause\n";
}

int run_exposure(const std::filesystem::path& survey, const ExposureCommand& command,
                 const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::Metric& metric = method->metrics[m];
  const core::Assessment assessment =
      core::assess(snapshot, core::score_samples(snapshot, *method), m, session.nesting,
                   choose_period(command.score, newest_day(snapshot)));
  const auto days = core::days_of_assessment(snapshot, assessment);
  const auto exposure = core::exposure_of_sites(snapshot, session.channels, days, command.options);

  Rows rows{{"site", "date", "exposure", "outfalls", "without_strength", "nearest_outfall", "distance_m",
             "method", "metric", "value", "class", "in_scope", "decay_m", "note"},
            {}};
  bool any = false;
  for (std::size_t i = 0; i < exposure.size(); ++i) {
    const core::SiteExposure& found = exposure[i];
    const core::SiteAssessment& assessed = assessment.sites[i];
    any = any || found.exposure.has_value();
    rows.add({text(snapshot.sites.code[i]), text(core::format_date(days[i])),
              found.exposure ? number(*found.exposure, 4) : Cell{}, whole(found.outfalls),
              whole(found.unstated),
              found.nearest ? text(snapshot.outfalls[found.nearest->value()].code) : Cell{},
              found.nearest_m ? number(*found.nearest_m, 1) : Cell{}, text(method->id), text(metric.id),
              assessed.has_value ? number(assessed.value, core::shown_decimals(metric)) : Cell{},
              class_cell(metric, assessed.class_rank), assessed.has_value ? Cell{assessed.in_scope} : Cell{},
              exact(command.options.decay_m), text_or_empty(found.note)});
  }
  console.rows(rows);
  console.err
      << "exposure = sum of strength x exp(-distance / " << core::format_number(command.options.decay_m)
      << " m) over the outfalls upstream in use on the day; the decay length is an assumption without a "
         "source (--decay changes it), an outfall without a strength counts as 1 (`brookmark strength` "
         "gives it one)\n";
  say_relation(core::relate_exposure(exposure, assessment), metric, console);
  return any ? kDone : kAnswerIsNo;
}

struct StrengthCommand {
  std::string outfall, strength;
};

int run_strength(const std::filesystem::path& survey, const StrengthCommand& command,
                 const Console& console) {
  std::optional<double> strength;
  if (command.strength != "none") {
    strength = core::parse_number(command.strength);
    if (!strength || !(*strength >= 0))
      throw Error(ErrorCode::kBadInput, "\"" + command.strength +
                                            "\" is no strength; write a number of 0 or more, "
                                            "or none");
  }
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  for (const core::Outfall& outfall : snapshot.outfalls) {
    if (outfall.code != command.outfall) continue;
    file.apply({"set strength",
                "outfall " + outfall.code + ": " + command.strength,
                {core::SetOutfallStrength{outfall.key, strength}}});
    console.err << "outfall " << outfall.code << " now has the strength " << command.strength << '\n';
    return kDone;
  }
  throw Error(ErrorCode::kNotFound, "there is no outfall \"" + command.outfall + "\" in this survey",
              survey.string());
}

}  // namespace

void add_exposure_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ExposureCommand>();
  verbs
      .add_for_survey(
          "exposure", "what the outfalls upstream add up to at each site, held against the score",
          [command](const auto& survey, const Console& c) { return run_exposure(survey, *command, c); })
      .number("--decay", command->options.decay_m, 1, 1e7,
              "metres after which 37 % is left; default 2000, an assumption without a source")
      .number("--within", command->options.within_m, 0, 1e7,
              "leave out outfalls farther than this, in metres")
      .with_method(command->score, "default: the first of `brookmark methods`")
      .with_period(command->score)
      .with_format();

  const auto weighed = std::make_shared<StrengthCommand>();
  verbs
      .add_for_survey(
          "strength", "say what an outfall weighs beside the others",
          [weighed](const auto& survey, const Console& c) { return run_strength(survey, *weighed, c); })
      .word("OUTFALL", weighed->outfall, "its code")
      .required()
      .word("STRENGTH", weighed->strength, "a number of 0 or more in a measure of your own, or none")
      .required();
}

}  // namespace brookmark::viewer

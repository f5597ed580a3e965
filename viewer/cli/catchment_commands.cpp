#include <algorithm>
#include <memory>
#include <ostream>

#include "core/analysis/rank_driver.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct CatchmentsCommand {
  ScoreOptions score;
  std::string rule;
};

int run_catchments(const std::filesystem::path& survey, const CatchmentsCommand& command,
                   const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::Metric& metric = method->metrics[m];
  const core::Period period = choose_period(command.score, newest_day(snapshot));
  const core::CatchmentRule rule =
      core::parse_catchment_rule(command.rule).value_or(core::CatchmentRule::kWorst);
  const core::ScoreTable scores = core::score_samples(snapshot, *method);
  core::Assessment assessment = core::assess(snapshot, scores, m, session.nesting, period);
  const core::ReachAssessment reaches = core::assess_reaches(snapshot, assessment, session.channels);
  core::add_channel_shares(assessment, reaches, session.channels_inside);
  const std::vector<core::Drop> drops = core::find_drops(snapshot, scores, m, session.channels, period);
  const core::RankedSurvey ranked{snapshot, assessment, session.nesting, reaches, session.channels_inside,
                                  drops};

  Rows rows{{"catchment",    "name",        "inside",         "area_km2",    "method",
             "metric",       "sites",       "assessed_sites", "worst_class", "worst_rank",
             "median_class", "median_rank", "median_value",   "first",       "last",
             "confirmed",    "channel_m",   "measured_m",     "inferred_m",  "unknown_m",
             "length_class", "length_rank", "length_value",   "rule",        "driver"},
            {}};
  const int value_decimals = std::max(1, core::shown_decimals(metric));
  const auto value_cell = [&](const std::optional<double>& value) {
    return value ? number(*value, value_decimals) : Cell{};
  };
  for (const core::CatchmentIndex worst : core::worst_first(assessment, rule)) {
    const std::size_t i = worst.value();
    const core::Catchment& catchment = snapshot.catchments[i];
    const core::CatchmentAssessment& a = assessment.catchments[i];
    const core::ChannelShares channel = a.channel.value_or(core::ChannelShares{});
    const core::CatchmentIndex parent = session.nesting.parent[i];
    rows.add({text(catchment.code),
              text_or_empty(catchment.name),
              parent.has_value() ? text(snapshot.catchments[parent.value()].code) : Cell{},
              number(session.nesting.area_m2[i] / 1e6, 3),
              text(method->id),
              text(metric.id),
              whole(a.sites),
              whole(a.assessed_sites),
              class_cell(metric, a.worst_rank),
              rank_cell(a.worst_rank),
              class_cell(metric, a.median_rank),
              rank_cell(a.median_rank),
              value_cell(a.median_value),
              a.first ? text(core::format_date(*a.first)) : Cell{},
              a.last ? text(core::format_date(*a.last)) : Cell{},
              text(core::confirmed_name(method->confirmed)),
              number(channel.total_m(), 0),
              number(channel.measured_m, 0),
              number(channel.inferred_m, 0),
              number(channel.unknown_m, 0),
              class_cell(metric, channel.middle_rank),
              rank_cell(channel.middle_rank),
              value_cell(channel.mean_value),
              text(core::catchment_rule_name(rule)),
              text(core::rank_driver(ranked, worst, rule)),
              a.median_site.has_value() ? text(snapshot.sites.code[a.median_site.value()]) : Cell{}});
  }
  console.rows(rows);
  if (snapshot.catchments.empty())
    console.err
        << "the survey has no catchments; bring them in with `brookmark import SURVEY catchments FILE`\n";
  return snapshot.catchments.empty() ? kAnswerIsNo : kDone;
}

}  // namespace

void add_catchment_verbs(Verbs& verbs) {
  const auto command = std::make_shared<CatchmentsCommand>();
  verbs
      .add_for_survey(
          "catchments", "sub-catchments, worst first",
          [command](const auto& survey, const Console& c) { return run_catchments(survey, *command, c); })
      .with_method(command->score, "default: the first of `brookmark methods`")
      .with_period(command->score)
      .option(
          "--rule", command->rule,
          "what ranks a catchment: its worst site (default), the site in the middle of its sites (of an even "
          "number the worse of the middle two), or the class in the middle of the known length of its "
          "channels")
      .choices({"worst", "median", "length"})
      .with_format();
}

}  // namespace brookmark::viewer

#include "core/sharing/hand_over.hpp"

namespace brookmark::core {

std::unique_ptr<const HandOver> prepare_hand_over(const Snapshot& snapshot,
                                                  std::shared_ptr<const Method> method, std::size_t metric,
                                                  const SharingRules& rules) {
  SharedSurvey shared = share(snapshot, rules);
  const Snapshot& leaving = shared.snapshot();
  ChannelNetwork channels = build_channels(leaving.reaches, {}, leaving.waters);
  CatchmentNesting nesting = nest_catchments(leaving);
  ScoreTable scores = score_samples(leaving, *method);
  const auto days = leaving.date_span();
  const Period period = period_of(rules, days ? days->second : today_utc());
  // What leaves is of these days and seasons already. They are not asked for again: a blurred site has no half of the earth.
  Assessment assessment = assess(leaving, scores, metric, nesting, period.until);
  assessment.period = period;
  add_confidence(assessment, leaving);
  return std::make_unique<const HandOver>(HandOver{std::move(shared), std::move(method), std::move(channels),
                                                   std::move(nesting), std::move(scores),
                                                   std::move(assessment)});
}

}  // namespace brookmark::core

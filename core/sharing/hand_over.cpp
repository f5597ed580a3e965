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
  Assessment assessment =
      assess(leaving, scores, metric, nesting, rules.until.value_or(days ? days->second : today_utc()));
  add_confidence(assessment, leaving);
  return std::make_unique<const HandOver>(HandOver{std::move(shared), std::move(method), std::move(channels),
                                                   std::move(nesting), std::move(scores),
                                                   std::move(assessment)});
}

}  // namespace brookmark::core

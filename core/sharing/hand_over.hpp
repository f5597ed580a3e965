// Why: every way of handing a survey over (files, report, publishing) starts from the same things, all worked out from the
// survey that may leave and from nothing else.
// Use: const auto handed = prepare_hand_over(snapshot, method, 0, {});
//      handed->shared.hidden()   // the preview
#pragma once

#include <memory>
#include <optional>

#include "core/analysis/catchments.hpp"
#include "core/network/channels.hpp"
#include "core/scoring/assessment.hpp"
#include "core/sharing/sharing.hpp"

namespace brookmark::core {

struct HandOver {
  SharedSurvey shared;
  std::shared_ptr<const Method> method;
  ChannelNetwork channels;
  CatchmentNesting nesting;
  ScoreTable scores;
  Assessment assessment;  // with confidence

  // What all of it speaks of.
  Period period() const { return period_of(shared.rules(), assessment.until()); }
};

// Scores and assesses by `metric` of `method` at rules.until, or, without one, at the day of the newest sample that leaves
// (today where none does). Throws Error(kBadUse) as share() does.
std::unique_ptr<const HandOver> prepare_hand_over(const Snapshot& snapshot,
                                                  std::shared_ptr<const Method> method, std::size_t metric,
                                                  const SharingRules& rules = {});

}  // namespace brookmark::core

// Why: where the demo's nets, boots and jars were in its last autumn, so that a suspicion at one pond can be followed.
// Everything is invented, the suspicion too.
// Use: plan_import(core::ImportKind::kKit, tell_kit().log, ...);
#pragma once

#include <vector>

#include "core/base/table.hpp"
#include "core/survey/types.hpp"

namespace brookmark::demo {

struct KitStory {
  core::Table log;                      // uses and cleanings, as a surveyor's own log
  std::vector<core::Kit> fresh;         // without any history; keys are left to the store
  std::vector<core::WaterRisk> risks;   // site_key holds the code of the site
  std::vector<core::Holding> holdings;  // kit_key and site_key hold codes
};

KitStory tell_kit();

}  // namespace brookmark::demo

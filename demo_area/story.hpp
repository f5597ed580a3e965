// Why: what happened in the demo catchment, and the six years of samples that show it, as tables such as a
// surveyor would import. The same rows every time: chance comes from a generator of our own with fixed seeds.
// Use: const StoryTables story = tell_story();  plan_import(core::ImportKind::kRecords, story.counts, ...);
#pragma once

#include <vector>

#include "core/base/table.hpp"

namespace brookmark::demo {

struct StoryTables {
  core::Table samples;
  core::Table counts;     // records of streams, springs and ditches: counts
  core::Table classes;    // records of two ponds: abundance letters
  core::Table presences;  // records of the third pond
  core::Table measurements;
};

StoryTables tell_story();

}  // namespace brookmark::demo

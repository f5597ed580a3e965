// Why: the guided look: what a newcomer is shown in two minutes, one part of the window after the other.
#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "viewer/state/state.hpp"

namespace brookmark::viewer {

enum class GuidePart : std::uint8_t { kNothing, kMap, kTop, kTime, kSide, kRail, kCaution };

struct GuideStep {
  const char* title;
  const char* words;
  GuidePart part = GuidePart::kNothing;  // left bright
  std::optional<Page> page = {};         // opened for it
};

// In about two minutes' reading.
std::span<const GuideStep> guide_steps();

}  // namespace brookmark::viewer

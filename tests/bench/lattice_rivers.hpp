// Why: a country's worth of channels for measuring, made in a moment and the same every time.
#pragma once

#include <cstdint>
#include <random>
#include <utility>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/survey/types.hpp"

namespace brookmark::bench {

// Reaches of ten segments on a 500 x 500 lattice 600 m wide, each draining east or south.
inline std::vector<core::Reach> lattice_reaches(std::uint32_t count) {
  const core::LocalFrame frame(core::LonLat{-38, 40});
  std::mt19937 random(42);
  std::uniform_real_distribution<double> wiggle(-20, 20);
  constexpr std::uint32_t kSide = 500;
  constexpr double kStepM = 600;
  std::vector<core::Reach> reaches;
  for (std::uint32_t i = 0; i < count; ++i) {
    const double x = (i % kSide) * kStepM;
    const double y = -static_cast<double>(i / kSide) * kStepM;
    const bool east = random() % 2 == 0 && i % kSide + 1 < kSide;
    core::Reach reach;
    for (int p = 0; p <= 10; ++p) {
      const double off = p == 0 || p == 10 ? 0 : wiggle(random);
      const double along = kStepM * p / 10;
      reach.line.push_back(frame.to_lonlat(east ? core::PlanePoint{x + along, y + off}
                                                : core::PlanePoint{x + off, y - along}));
    }
    reaches.push_back(std::move(reach));
  }
  return reaches;
}

}  // namespace brookmark::bench

// Why: what the steps of mending share: the lines at work, which of them may be changed, and the list of
// findings. Private to core/network.
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/network/mend.hpp"

namespace brookmark::core {

// One line at work. A line that was cut has several.
struct MendLine {
  Reach reach;
  std::uint32_t origin = 0;  // index into the lines given; of a stored line none
  bool stored = false;
  std::string note;
};

struct Mend {
  const MendOptions& options;
  std::vector<MendLine> lines;
  ChannelFindings findings;
  std::vector<bool> crossing_met = {};  // of each place where a crossing is to become a node

  std::vector<Reach> reaches() const;
  std::string label(std::size_t line) const;  // "reach 3 (Mill Brook)", "the stored reach Mill Brook"
  // Adds a finding with a remedy that was applied, and notes it with the line.
  void did(std::size_t line, ChannelFault fault, LonLat position, std::optional<double> distance_m,
           std::string text, std::string remedy);
  void saw(Severity severity, std::size_t line, ChannelFault fault, LonLat position,
           std::optional<double> distance_m, std::string text);
  void turn(std::size_t line) {
    lines[line].reach.line = Line(lines[line].reach.line.rbegin(), lines[line].reach.line.rend());
  }
};

void turn_by_majority(Mend& mend);
void turn_by_heights(Mend& mend);

}  // namespace brookmark::core

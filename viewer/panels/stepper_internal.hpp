// Why: a number is set with one thumb: less, the number as words, more.
// Use: next.count = stepper(ui, "Spots", "5", next.count, {1, 100, 1});
#pragma once

#include <string>

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

struct StepRange {
  int least = 0, most = 0, by = 1;
};
// The number wanted, within the range.
int stepper(const Ui& ui, const char* label, const std::string& words, int value, StepRange range);

}  // namespace brookmark::viewer

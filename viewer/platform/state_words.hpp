// Why: whoever drives the real window from outside (a test with a virtual display, somebody's own tool) must know what
// it shows and where to tap, without guessing from pixels and without waiting by the clock.
// Use: brookmark view demo.brook --say-state now.txt    # then read now.txt; it is replaced whenever something changed
//
// One line a thing, "name value": survey, page, panel, sheet, part, tool, date, site, sample, edits, done or trouble (messages), keyboard (field or map), query,
// tally (lines of the sheet); "at site CODE X Y" for sites in view and "at button WORDS X Y" for what can be tapped.
#pragma once

#include <filesystem>
#include <string>

#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {

std::string state_in_words(const Stage& stage);

// Writes them to a file, whole or not at all, when they differ from what was written last and have stood for two frames:
// in between, a button may still lie where it lay before.
class StateTeller {
 public:
  explicit StateTeller(std::filesystem::path file) : file_(std::move(file)) {}
  // True while another frame is wanted, to see whether the words stand.
  bool tell(const Stage& stage);

 private:
  std::filesystem::path file_;
  std::string last_, seen_;
};

}  // namespace brookmark::viewer

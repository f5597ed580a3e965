// Why: the tests of a check ask what it finds in a survey changed a little.
// Use: CHECK(test::find(test::check(survey), "site off every channel", "site S1"));
#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/check.hpp"

namespace brookmark::test {

inline std::vector<core::Finding> check(const core::Snapshot& survey) {
  return core::check_survey(survey, core::build_channels(survey.reaches), *core::parse_date("2024-12-31"));
}

inline std::optional<core::Finding> find(const std::vector<core::Finding>& findings, const std::string& what,
                                         const std::string& where) {
  for (const core::Finding& finding : findings)
    if (finding.what == what && finding.where == where) return finding;
  return std::nullopt;
}
inline std::ptrdiff_t count_of(const std::vector<core::Finding>& findings, const std::string& what) {
  return std::count_if(findings.begin(), findings.end(), [&](const auto& one) { return one.what == what; });
}

inline std::string text_of(const std::vector<core::Finding>& findings) {
  std::string text;
  for (const auto& f : findings) text += f.what + " | " + f.where + " | " + f.text + "\n";
  return text;
}

}  // namespace brookmark::test

// Why: a typed reading against what the sheet holds. Private to viewer/actions.
// Use: const ReadingChange change = read_reading(sheet, "ph");
#pragma once

#include <optional>
#include <string>

#include "viewer/actions/entry_actions.hpp"

namespace brookmark::viewer {

struct ReadingChange {
  std::optional<std::size_t> at;         // of the sheet's measurements; nothing: a new one
  std::optional<core::Measurement> row;  // nothing: it goes
  std::string trouble;                   // why it is not stored
  std::string doubt;                     // stored, but out of line
  bool nothing_new = false;
};

ReadingChange read_reading(const EntrySheet& sheet, const std::string& id);
// The quantity's id of a row; empty where it is none of those known.
std::string reading_id(const core::Measurement& measurement);

}  // namespace brookmark::viewer

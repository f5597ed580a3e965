// Why: taking back a rule of sharing opens what it kept at home, and must not pass for an edit like any other.
// Use: sentence += sharing_undone(entry);
#pragma once

#include <string>

#include "core/store/survey_file.hpp"

namespace brookmark::viewer {

// What else is to be said once this edit was taken back; empty for an edit that was no rule of sharing.
std::string sharing_undone(const core::EditLogEntry& undone);

inline constexpr const char* kSharingEdit = "sharing";  // its kind in the log

}  // namespace brookmark::viewer

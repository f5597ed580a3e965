// Why: what every front end (window, command line, export) needs of one survey, worked out once after it is
// read.
// Use: Session s = open_session("demo.brook");  s.channels.snap(s.snapshot.sites.position[0])
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/analysis/catchments.hpp"
#include "core/network/channels.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::viewer {

struct Session {
  std::filesystem::path path;  // empty: only in memory, and not to be edited
  std::string notice;          // of the survey file: "opened read-only because ..."
  core::Snapshot snapshot;
  std::vector<core::EditLogEntry> edits;  // newest last
  core::ChannelNetwork channels;
  core::CatchmentNesting nesting;
  core::CatchmentChannels channels_inside;  // catchments
};

// Throws core Error as SurveyFile::open does.
Session open_session(const std::filesystem::path& survey);
// From a file that is open already.
Session read_session(const core::SurveyFile& file);
// From a snapshot already in memory (tests, the demo).
Session make_session(core::Snapshot snapshot);

}  // namespace brookmark::viewer

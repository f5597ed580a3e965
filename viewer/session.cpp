#include "viewer/session.hpp"

#include <utility>

namespace brookmark::viewer {

Session make_session(core::Snapshot snapshot) {
  Session session;
  session.snapshot = std::move(snapshot);
  session.channels = core::build_channels(session.snapshot.reaches, {}, session.snapshot.waters);
  session.nesting = core::nest_catchments(session.snapshot);
  session.channels_inside = core::channels_in_catchments(session.snapshot, session.channels);
  return session;
}

Session read_session(const core::SurveyFile& file) {
  Session session = make_session(file.read());
  session.path = file.path();
  session.notice = file.notice();
  session.edits = file.log();
  return session;
}

Session open_session(const std::filesystem::path& survey) {
  return read_session(core::SurveyFile::open(survey, core::Access::kRead));
}

}  // namespace brookmark::viewer

#include "viewer/session.hpp"

#include <utility>

#include "core/store/survey_file.hpp"

namespace brookmark::viewer {

Session make_session(core::Snapshot snapshot) {
  Session session;
  session.snapshot = std::move(snapshot);
  session.channels = core::build_channels(session.snapshot.reaches, {}, session.snapshot.waters);
  session.nesting = core::nest_catchments(session.snapshot);
  session.channels_inside = core::channels_in_catchments(session.snapshot, session.channels);
  return session;
}

Session open_session(const std::filesystem::path& survey) {
  const core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kRead);
  Session session = make_session(file.read());
  session.path = survey;
  session.notice = file.notice();
  return session;
}

}  // namespace brookmark::viewer

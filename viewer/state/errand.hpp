// Why: work on whole files (open one, make one, take in a table, hand over) may take long. Actions leave it in the
// state as a value; the errand runner does it on a thread of its own and the window goes on.
// Use: state.errands.push_back(OpenErrand{"brook.brook"});
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "viewer/change_work.hpp"
#include "viewer/photo_work.hpp"
#include "viewer/report/write_report.hpp"
#include "viewer/round_work.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

struct OpenErrand {
  std::filesystem::path survey;
};
struct CreateErrand {  // makes it and opens it
  std::filesystem::path survey;
  std::string title, crs;
};
// The demo survey in the user's own data folder: made where it is not there yet, then opened.
struct DemoErrand {};
// The plan of an import, for the dialog that shows it; nothing is written.
struct PreviewErrand {
  std::filesystem::path survey;
  IntakeWish wish;
};
struct IntakeErrand {  // stores a plan that was shown
  std::filesystem::path survey;
  std::shared_ptr<const IntakePlan> plan;
  bool skip_bad = false;
};
struct HandOverErrand {
  std::filesystem::path survey;
  HandOverWish wish;
};
// What would stay at home, for the dialog that shows it; nothing is written.
struct ShareErrand {
  std::filesystem::path survey;
  core::SharingRules rules;
  std::string crs;  // of a hand-over, to be looked at too; empty: WGS 84
};
struct Leaving {
  std::vector<core::HiddenItem> hidden;
  std::string nothing;   // why nothing would be handed over; empty where something would
  std::string crs_said;  // against measuring in the coordinate system, or why it cannot be taken
};
// What a partner changed, for the dialog that lists it; nothing is written.
struct ReadChangesErrand {
  std::filesystem::path survey, file;
};
struct TakeChangesErrand {  // of a list that was shown
  std::filesystem::path survey, file;
  std::shared_ptr<const ChangePlan> seen;
  std::vector<std::string> ids;
};
struct PhotoErrand {
  std::filesystem::path survey;
  PhotoWish wish;
};
struct ReportErrand {
  std::filesystem::path survey;
  ReportWish wish;
};
struct SheetErrand {  // the field sheet of a round of visits
  std::filesystem::path survey;
  SheetWish wish;
};
struct SpotsErrand {  // suggested spots as a file
  std::filesystem::path survey;
  SpotsWish wish;
};
using Errand = std::variant<OpenErrand, CreateErrand, DemoErrand, PreviewErrand, IntakeErrand, HandOverErrand,
                            ShareErrand, ReadChangesErrand, TakeChangesErrand, PhotoErrand, ReportErrand,
                            SheetErrand, SpotsErrand>;

// How far the errand is that runs now.
struct ErrandProgress {
  std::string title;  // "Opening brook.brook"
  std::string step;
  double done = 0;        // 0 to 1
  double seconds = 0;     // since it began
  bool stopping = false;  // asked to stop; it ends before its next step, and has then written nothing
};

}  // namespace brookmark::viewer

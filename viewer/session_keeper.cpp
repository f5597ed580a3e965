#include "viewer/session_keeper.hpp"

#include <exception>
#include <utility>

#include "core/base/error.hpp"
#include "viewer/sharing_words.hpp"

namespace brookmark::viewer {

SessionKeeper::SessionKeeper(Model& model, core::StoreOptions options)
    : model_(model), options_(std::move(options)) {}

core::SurveyFile& SessionKeeper::file() {
  if (!file_) {
    const std::filesystem::path& path = model_.session().path;
    if (path.empty())
      throw Error(ErrorCode::kReadOnly, "This survey is not in a file, so it can only be looked at.");
    file_ = core::SurveyFile::open(path, core::Access::kEdit, options_);
  }
  return *file_;
}

void SessionKeeper::reread() {
  model_.reread(read_session(file()));
  stale_ = false;
}

void SessionKeeper::open(const std::filesystem::path& survey) {
  take_over(open_session(survey));
}

void SessionKeeper::take_over(Session session) {
  file_.reset();
  stale_ = false;
  model_.reread(std::move(session));
}

OrderOutcome SessionKeeper::carry_out(const Order& order) {
  OrderOutcome outcome;
  try {
    core::SurveyFile& survey = file();
    switch (order.what) {
      case Order::What::kStore:
        survey.apply(order.batch);
        outcome.sentence = order.batch.summary;
        stale_ = true;
        break;
      case Order::What::kUndo: {
        const auto undone = survey.undo();
        if (!undone) {
          outcome.sentence = "There is nothing to take back.";
          return outcome;
        }
        outcome.undone = undone->summary;
        outcome.sentence = "Taken back: " + undone->summary;
        if (const std::string more = sharing_undone(*undone); !more.empty()) outcome.sentence += "; " + more;
        stale_ = true;
        break;
      }
      case Order::What::kRedo: {
        const auto again = survey.redo();
        if (!again) {
          outcome.sentence = "There is nothing to do again.";
          return outcome;
        }
        outcome.redone = again->summary;
        outcome.sentence = "Done again: " + again->summary;
        stale_ = true;
        break;
      }
      case Order::What::kReread:
        stale_ = true;
        break;
    }
    outcome.done = true;
    if (stale_ && order.reread) {
      reread();
      outcome.reread = true;
    }
  } catch (const std::exception& error) {
    outcome.trouble = true;
    outcome.sentence = error.what();
  }
  return outcome;
}

}  // namespace brookmark::viewer

// Why: the window edits one survey file. An action that edits leaves an order in the state; this carries it out in
// the file, at once and in one transaction, and reads the model anew. The file is opened for editing when the first
// order comes, so that a survey which can only be read can still be looked at.
// Use: SessionKeeper keeper(model);  stage.set_keeper(&keeper);
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "core/store/survey_file.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/order.hpp"

namespace brookmark::viewer {

struct OrderOutcome {
  bool done = false;        // the file holds it now; false: the file is as it was
  bool trouble = false;     // something went wrong, as `sentence` says
  bool reread = false;      // the model was read anew
  std::string sentence;     // what was done, or why it was not
  std::string undone = {};  // summary of the edit that was taken back
  std::string redone = {};  // of the one that was done again
};

class SessionKeeper {
 public:
  // The model must outlive it, and is of the file at its session's path (or of no file).
  explicit SessionKeeper(Model& model, core::StoreOptions options = {});

  // Never throws: what is refused is a sentence.
  OrderOutcome carry_out(const Order& order);
  // Another survey in the same window. Throws what open_session throws; the old one then stays.
  void open(const std::filesystem::path& survey);
  // The same for a survey that was read elsewhere.
  void take_over(Session session);

 private:
  core::SurveyFile& file();
  void reread();

  Model& model_;
  core::StoreOptions options_;
  std::optional<core::SurveyFile> file_;
  bool stale_ = false;  // the file holds edits that the model has not read yet
};

}  // namespace brookmark::viewer

// Why: errands run on a thread of their own, on values, so that the window never waits; what they bring home is
// taken over on the window's thread.
// Use: ErrandRunner runner;  runner.start(OpenErrand{path});  ... each frame: if (auto home = runner.collect()) ...
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "viewer/session.hpp"
#include "viewer/state/errand.hpp"

namespace brookmark::viewer {

// What an errand brought home.
struct ErrandHome {
  bool trouble = false;
  bool stopped = false;  // by the person, before anything was written
  std::string sentence = {};
  std::optional<Session> session = {};             // of the survey to show from now on
  std::shared_ptr<const IntakePlan> preview = {};  // of a PreviewErrand
  std::shared_ptr<const Leaving> leaving = {};     // of a ShareErrand
  std::shared_ptr<const ChangePlan> changes = {};  // of a ReadChangesErrand
};

class ErrandRunner {
 public:
  // `wake` is called on the worker's thread whenever there is something new to show.
  explicit ErrandRunner(std::function<void()> wake = {});
  ~ErrandRunner();  // asks the errand to stop and waits for it
  ErrandRunner(const ErrandRunner&) = delete;
  ErrandRunner& operator=(const ErrandRunner&) = delete;

  // One at a time: false, and nothing started, while another runs.
  bool start(const Errand& errand);
  void stop();
  std::optional<ErrandProgress> progress() const;
  // Once for each errand, after its end; nothing before.
  std::optional<ErrandHome> collect();
  void wait() const;  // until there is something to collect, or nothing runs

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Where the demo survey of this user stands: $XDG_DATA_HOME/brookmark/demo.brook, else below ~/.local/share (XDG Base
// Directory Specification 0.8); in the folder one stands in where there is neither.
std::filesystem::path demo_place();

}  // namespace brookmark::viewer

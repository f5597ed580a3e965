// Why: work that takes a minute shows how far it is, and Ctrl+C ends it without leaving half a file.
// Use: ProgressBar bar(console);  work(bar.part("reading", 0, 0.3));  // a callback: false once it shall stop
#pragma once

#include <functional>
#include <string>

#include "viewer/cli/commands.hpp"

namespace brookmark::viewer {

// For as long as it lives an interrupt (SIGINT) does not end the program: the callbacks then say false. A bar is drawn
// on standard error if that is a terminal, and wiped at the end. One at a time.
class ProgressBar {
 public:
  explicit ProgressBar(const Console& console);
  ~ProgressBar();
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  // For a piece of work that is `from` to `to` (0 to 1) of the whole. Must not outlive the bar.
  std::function<bool(double done)> part(const std::string& what, double from, double to);

 private:
  bool show(const std::string& what, double done);

  std::ostream& err_;
  bool terminal_;
  int shown_percent_ = -1;
  std::string shown_what_;
  void (*before_)(int) = nullptr;
};

}  // namespace brookmark::viewer

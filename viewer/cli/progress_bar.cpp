#include "viewer/cli/progress_bar.hpp"

#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <iostream>

namespace brookmark::viewer {

namespace {

volatile std::sig_atomic_t interrupted = 0;

void note_interrupt(int) {
  interrupted = 1;
}

constexpr int kBarWidth = 30;

}  // namespace

ProgressBar::ProgressBar(const Console& console)
    : err_(console.err), terminal_(&console.err == &std::cerr && isatty(STDERR_FILENO) != 0) {
  interrupted = 0;
  before_ = std::signal(SIGINT, note_interrupt);
}

ProgressBar::~ProgressBar() {
  std::signal(SIGINT, before_ == SIG_ERR ? SIG_DFL : before_);
  if (terminal_ && shown_percent_ >= 0) err_ << "\r\x1b[K" << std::flush;
}

std::function<bool(double)> ProgressBar::part(const std::string& what, double from, double to) {
  return [this, what, from, to](double done) { return show(what, from + (to - from) * done); };
}

bool ProgressBar::show(const std::string& what, double done) {
  const int percent = static_cast<int>(100 * std::clamp(done, 0.0, 1.0));
  if (terminal_ && (percent != shown_percent_ || what != shown_what_)) {
    const int filled = percent * kBarWidth / 100;
    err_ << "\r[" << std::string(static_cast<std::size_t>(filled), '#')
         << std::string(static_cast<std::size_t>(kBarWidth - filled), '.') << "] " << percent << " % " << what
         << "\x1b[K" << std::flush;
    shown_percent_ = percent;
    shown_what_ = what;
  }
  return interrupted == 0;
}

}  // namespace brookmark::viewer

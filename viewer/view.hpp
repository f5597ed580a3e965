// Why: one door to the window for the command line: open it, drive it from a script, or draw a picture
// without a display.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "core/scoring/method.hpp"

namespace brookmark::viewer {

struct ViewOptions {
  std::filesystem::path survey;                     // empty: the window asks which
  std::optional<std::filesystem::path> screenshot;  // draw into this PNG and return; no display is needed
  // See viewer/platform/script.hpp for its lines. With a screenshot it runs off screen before the picture is
  // taken; without one it runs in the window, which then stays open. Where there is no display, a script that
  // writes pictures runs off screen and the call returns.
  std::optional<std::filesystem::path> script;
  std::optional<std::filesystem::path>
      say_state;  // the window keeps what it shows there, in words; see state_words.hpp
  std::optional<std::filesystem::path> frame_times;  // of the window, written down; see frame_times.hpp
  std::shared_ptr<const core::Method>
      method;  // of the surveyor's own or shipped: shown first; null: the default
  int width = 1280, height = 800;
};

// The lines that a script may have, each with an example, for help.
std::string script_help();
// Returns when the window is closed or the picture is written. Throws core Error.
void view_survey(const ViewOptions& options);

}  // namespace brookmark::viewer

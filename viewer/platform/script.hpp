// Why: what a person does in the window, written down, one step a line: for pictures of a certain day or
// site, for tests, for showing somebody the way.
//
//   # a comment
//   date 2021-05-03
//   site Q04
//   picture q04.png
//
// SCRIPT.md beside this file tells every command, and so does `brookmark view --help`.
// A word with spaces stands in double quotes.
// Use: run_script(read_script("tour.txt"), view);
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/panels/stage.hpp"
#include "viewer/platform/picture.hpp"

namespace brookmark::viewer {

struct ScriptStep {
  std::size_t line = 0;
  std::vector<std::string> words;  // the first is the command; number and kind of the others are checked
};
struct Script {
  std::string file;
  std::vector<ScriptStep> steps;
};

// Throw Error(kBadInput) naming file and line for an unknown command, a missing or surplus word, a number
// that is none.
Script parse_script(std::string_view text, const std::string& file);
Script read_script(const std::filesystem::path& file);

struct Pointer {
  double x = 0, y = 0;
  bool down = false;
};

// Something that shows a Stage: a window, or a buffer off screen.
class Showing {
 public:
  virtual ~Showing() = default;
  virtual Stage& stage() = 0;
  virtual void resize(int width, int height) = 0;
  virtual void frame(
      const Pointer* pointer) = 0;  // null: the pointer is elsewhere (or where the person holds it)
  virtual Picture picture() = 0;    // of the newest frame
};

// Whether it writes a picture: then it is of use without a display too.
bool writes_pictures(const Script& script);
// Throws Error(kNotFound) naming file and line for a site or method that is not there or a day outside the
// survey's, and what write_png throws.
void run_script(const Script& script, Showing& showing);

}  // namespace brookmark::viewer

// Why: what a person does in the window, written down, one step a line: for pictures of a certain day or
// site, for tests, for showing somebody the way.
//
//   # a comment
//   size 1280 800              the drawing area, pixels
//   fit                        everything in view
//   pan DX DY                  move the map's content by so many pixels
//   zoom F [X Y]               F > 1 nearer; about a pixel of the window, or the middle of the map
//   date 2021-05-03            the day the map speaks of, within those of the samples
//   method ID [METRIC]         as listed by `brookmark methods`
//   click X Y                  press and release there: map, buttons, anything
//   site CODE                  choose a site
//   query site CODE [up|down|any]
//   query point LON LAT [up|down|any]
//   clear                      take away the query and the choice
//   look day|dark|sunlight     colours and weight
//   scale 1.5                  of all sizes, 0.75 to 3
//   touch on|off               targets for a fingertip
//   classes directive|ordered  colours of classes
//   frames N                   draw N frames
//   picture FILE.png           relative to the folder one stands in
//
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

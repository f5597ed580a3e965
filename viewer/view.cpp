#include "viewer/view.hpp"

#include <filesystem>

#include "core/base/error.hpp"
#include "viewer/platform/desktop_window.hpp"
#include "viewer/platform/off_screen_view.hpp"
#include "viewer/platform/script.hpp"
#include "viewer/platform/settings_file.hpp"
#include "viewer/session_keeper.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {
namespace {

// What the window begins with: the survey, or nothing and why.
struct Beginning {
  Session session = make_session({});
  bool locked = false;  // another program holds the survey that was asked for
};

// A survey that another program holds for now can be had a moment later: then the window opens all the same and says
// so. Anything else is thrown: the word on the command line was wrong.
Beginning begin(const ViewOptions& options, bool in_window) {
  Beginning beginning;
  if (options.survey.empty()) return beginning;
  try {
    beginning.session = open_session(options.survey);
  } catch (const Error& error) {
    if (!in_window || error.code() != ErrorCode::kLocked) throw;
    beginning.locked = true;
  }
  return beginning;
}

}  // namespace

void view_survey(const ViewOptions& options) {
  if (options.screenshot && options.screenshot->empty())
    throw Error(ErrorCode::kBadUse,
                "The picture has no name. Give one after --screenshot, like --screenshot map.png.");
  if (options.screenshot && options.frame_times)
    throw Error(
        ErrorCode::kBadUse,
        "--frame-times speaks of the frames of the window, and a picture opens none; leave one of them out.");
  std::optional<Script> script;  // read first: a slip in it must not cost the loading of the survey
  if (options.script) script = read_script(*options.script);
  const bool only_pictures = script && writes_pictures(*script) && !DesktopWindow::is_possible();
  const bool off_screen = options.screenshot.has_value() || only_pictures;
  Beginning beginning = begin(options, !off_screen);
  std::vector<std::shared_ptr<const core::Method>> own;
  if (options.method) own.push_back(options.method);
  Model model(std::move(beginning.session), std::move(own));
  SessionKeeper keeper(model);
  const auto set_out = [&](Stage& stage) {
    stage.set_keeper(&keeper);
    if (!model.session().path.empty()) return;
    if (!beginning.locked) {
      stage.apply(OpenDialog{DialogKind::kStart});
      return;
    }
    // As if it were chosen by hand now: what is wrong stands in the dialog, with a button to try again.
    stage.apply(OpenDialog{DialogKind::kOpen});
    Dialog dialog = stage.state().desk.dialog;
    const std::filesystem::path survey = std::filesystem::absolute(options.survey);
    dialog.folder = survey.parent_path().string();
    dialog.name = survey.filename().string();
    stage.apply(ChangeDialog{dialog});
    stage.apply(RunDialog{});
  };
  if (off_screen) {  // the same picture for everybody: nobody's own settings
    OffScreenView view(model, options.width, options.height);
    set_out(view.stage());
    if (script) run_script(*script, view);
    if (options.screenshot) write_png(view.picture(), *options.screenshot);
    return;
  }
  const Settings settings = read_settings(settings_place());
  DesktopWindow window(model, options.width, options.height, settings);
  set_out(window.stage());
  if (options.say_state) window.say_state(*options.say_state);
  if (options.frame_times) window.time_frames(*options.frame_times);
  if (script) run_script(*script, window);
  window.run([kept = settings](const Settings& now) mutable {
    if (now == kept) return;
    kept = now;
    write_settings(now, settings_place());
  });
}

}  // namespace brookmark::viewer

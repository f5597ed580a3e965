#include "viewer/view.hpp"

#include "core/base/error.hpp"
#include "viewer/platform/desktop_window.hpp"
#include "viewer/platform/off_screen_view.hpp"
#include "viewer/platform/script.hpp"
#include "viewer/session_keeper.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

void view_survey(const ViewOptions& options) {
  if (options.screenshot && options.screenshot->empty())
    throw Error(ErrorCode::kBadUse,
                "The picture has no name. Give one after --screenshot, like --screenshot map.png.");
  std::optional<Script> script;  // read first: a slip in it must not cost the loading of the survey
  if (options.script) script = read_script(*options.script);
  std::vector<std::shared_ptr<const core::Method>> own;
  if (options.method) own.push_back(options.method);
  Model model(open_session(options.survey), std::move(own));
  SessionKeeper keeper(model);
  const bool only_pictures = script && writes_pictures(*script) && !DesktopWindow::is_possible();
  if (options.screenshot || only_pictures) {
    OffScreenView view(model, options.width, options.height);
    view.stage().set_keeper(&keeper);
    if (script) run_script(*script, view);
    if (options.screenshot) write_png(view.picture(), *options.screenshot);
    return;
  }
  DesktopWindow window(model, options.width, options.height);
  window.stage().set_keeper(&keeper);
  if (options.say_state) window.say_state(*options.say_state);
  if (script) run_script(*script, window);
  window.run();
}

}  // namespace brookmark::viewer

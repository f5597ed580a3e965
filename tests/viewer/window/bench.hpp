// Why: a window without graphics whose survey comes and goes by dialogs, in a folder of its own.
// Use: Bench bench;  bench.act(OpenDialog{DialogKind::kNew});  bench.fill([](Dialog& d) { d.title = "X"; });
#pragma once

#include <filesystem>
#include <functional>
#include <utility>

#include "frames.hpp"
#include "tests/support/files.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/session_keeper.hpp"

namespace brookmark::viewer {

// A window's stage over nothing, or over a survey.
struct Bench {
  test::TemporaryFolder folder;
  Model model{make_session({})};
  SessionKeeper keeper{model};
  Stage stage{model, {}};

  Bench() {
    Settings settings;
    settings.guide_seen = true;
    stage.apply(ChangeSettings{settings});
    stage.set_keeper(&keeper);
    stage.resize(1280, 800);
    draw_frames(stage);
  }
  std::filesystem::path file(const char* name) const { return folder.path() / name; }
  const DeskState& desk() const { return stage.state().desk; }
  void act(const Action& action) { stage.apply(action); }
  void finish() {
    stage.finish_errands();
    draw_frames(stage);
  }
  void fill(const std::function<void(Dialog&)>& how) {
    Dialog dialog = desk().dialog;
    dialog.folder = folder.path().string();
    how(dialog);
    act(ChangeDialog{dialog});
  }
  void open_new(const char* name) {
    act(OpenDialog{DialogKind::kNew});
    fill([&](Dialog& d) {
      d.title = "Mill brook";
      d.name = name;
    });
    act(RunDialog{});
    finish();
  }
};

}  // namespace brookmark::viewer

// Why: the window a person works in. It sleeps while nothing happens.
// Use: DesktopWindow window(model, 1280, 800);  window.run();
#pragma once

#include <filesystem>
#include <functional>
#include <memory>

#include "viewer/platform/script.hpp"

namespace brookmark::viewer {

class DesktopWindow final : public Showing {
 public:
  // Whether there is a display at all.
  static bool is_possible();
  // Throws Error(kNotFound) without a display or without OpenGL 3.3, naming the way to a picture instead.
  // The scale follows the display; the environment variable BROOKMARK_SCALE (0.75 to 4) multiplies it.
  DesktopWindow(const Model& model, int width, int height, const Settings& settings = {});
  ~DesktopWindow() override;
  // Keeps a file that says in words what the window shows; see state_words.hpp.
  void say_state(const std::filesystem::path& file);
  // Writes down how long each frame takes; see frame_times.hpp.
  void time_frames(const std::filesystem::path& file);

  // Until the window is closed. `keep` is told the settings after every frame.
  void run(const std::function<void(const Settings&)>& keep = {});

  Stage& stage() override;
  void resize(int width, int height) override;
  void frame(const Pointer* pointer) override;
  Picture picture() override;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer

// Why: pictures of the window on a machine without a display (a server, a test, a report).
// Use: OffScreen target(1280, 800);  target.bind();  ... draw ...  write_png(target.read(), "map.png");
#pragma once

#include <memory>

#include "viewer/platform/picture.hpp"

namespace brookmark::viewer {

// An OpenGL context without a window and a buffer to draw into; current on the calling thread from
// construction on.
class OffScreen {
 public:
  // Throws Error(kNotFound) where the machine offers no OpenGL 3.3 without a display.
  OffScreen(int width, int height);
  ~OffScreen();
  OffScreen(const OffScreen&) = delete;
  OffScreen& operator=(const OffScreen&) = delete;

  int width() const;
  int height() const;
  void resize(int width, int height);
  void bind();  // and clear
  Picture read() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer

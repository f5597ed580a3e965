// Why: what another thread works out comes when it comes; a test looks at frames that have all of it.
// Use: draw_frames(stage, 3);
#pragma once

#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {

// What a frame asks for is there in the next one: the same frames on a busy machine as on an idle one.
inline void draw_frames(Stage& stage, int frames = 1) {
  for (int i = 0; i < frames; ++i) {
    stage.draw();
    stage.model().answers().settle();
  }
}

}  // namespace brookmark::viewer

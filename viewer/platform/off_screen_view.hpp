// Why: the whole window without a display: panels, map and pointer as in the real one, read back as a
// picture.
// Use: OffScreenView view(model, 1280, 800);  view.stage().apply(Fit{});
//      write_png(view.picture(), "map.png");
#pragma once

#include <memory>
#include <optional>

#include "viewer/platform/script.hpp"

namespace brookmark::viewer {

class OffScreenView final : public Showing {
 public:
  // As large as in a window of that size; `scale`: so many times larger. Throws what OffScreen and GlPainter throw.
  OffScreenView(const Model& model, int width, int height, std::optional<float> scale = {},
                const Settings& settings = {});
  ~OffScreenView() override;

  Stage& stage() override;
  void resize(int width, int height) override;
  void frame(const Pointer* pointer) override;  // everything but the drawing itself
  void render();                                // draws the newest frame
  void finish();                                // waits until the drawing is done
  bool is_whole() const;                        // of what was rendered last: as GlPainter::is_whole()
  bool draws_in_parts() const;                  // as GlPainter::draws_in_parts()
  Picture seen();                               // a frame as a window shows it, whole or not
  Picture picture() override;                   // three frames, then rendered whole and read

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace brookmark::viewer

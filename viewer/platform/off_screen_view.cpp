#include "viewer/platform/off_screen_view.hpp"

#include <GL/gl.h>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <cfloat>

#include "viewer/platform/gl_painter.hpp"
#include "viewer/platform/off_screen.hpp"

namespace brookmark::viewer {
namespace {

// As on a plain screen, so many times larger.
Display display_of(float scale) {
  return {scale, Display{}.px_per_mm * static_cast<double>(scale)};
}

constexpr double kLongestWait_s = 20;  // for the ground; what has not come by then is not in the picture
constexpr int kMostTurns = 5;

}  // namespace

// Order matters: the context before everything that lives in it.
struct OffScreenView::Impl {
  OffScreen target;
  std::optional<float> wanted_scale;
  Stage stage;
  GlPainter painter;

  Impl(const Model& model, int width, int height, std::optional<float> scale, const Settings& settings)
      : target(width, height), wanted_scale(scale), stage(model, display_of(scale.value_or(1)), settings) {
    ImGui_ImplOpenGL3_Init("#version 330");
    stage.set_painter(&painter);
    stage.resize(width, height);
    ImGui::GetIO().DeltaTime = 1.0F / 60;
  }
  ~Impl() { ImGui_ImplOpenGL3_Shutdown(); }
};

OffScreenView::OffScreenView(const Model& model, int width, int height, std::optional<float> scale,
                             const Settings& settings)
    : impl_(std::make_unique<Impl>(model, width, height, scale, settings)) {
  frame(nullptr);
}
OffScreenView::~OffScreenView() = default;

Stage& OffScreenView::stage() {
  return impl_->stage;
}

void OffScreenView::resize(int width, int height) {
  impl_->target.resize(width, height);
  impl_->stage.resize(width, height);
  impl_->stage.set_display(display_of(impl_->wanted_scale.value_or(1)));
}

void OffScreenView::frame(const Pointer* pointer) {
  if (impl_->stage.renew_theme()) {
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
  }
  ImGui_ImplOpenGL3_NewFrame();
  ImGuiIO& io = ImGui::GetIO();
  io.MousePos = pointer ? ImVec2(static_cast<float>(pointer->x), static_cast<float>(pointer->y))
                        : ImVec2(-FLT_MAX, -FLT_MAX);
  io.MouseDown[0] = pointer && pointer->down;
  impl_->stage.draw();
}

void OffScreenView::render() {
  impl_->target.bind();
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

void OffScreenView::finish() {
  glFinish();
}

bool OffScreenView::is_whole() const {
  return impl_->painter.is_whole();
}

bool OffScreenView::draws_in_parts() const {
  return impl_->painter.draws_in_parts();
}

Picture OffScreenView::seen() {
  frame(nullptr);
  render();
  return impl_->target.read();
}

Picture OffScreenView::picture() {
  for (int i = 0; i < 3; ++i) frame(nullptr);
  // What is still being worked out is waited for: the same picture every time.
  const Answers& answers = impl_->stage.model().answers();
  for (int i = 0; i < 20 && answers.pending(); ++i) {
    answers.settle();
    frame(nullptr);
  }
  // Once until the ground's file is open, once until its pieces have come.
  for (int turn = 0; turn < kMostTurns; ++turn) {
    impl_->stage.wait_for_ground(kLongestWait_s);
    frame(nullptr);
    if (impl_->stage.ground_is_whole()) break;
  }
  impl_->painter.set_exact(true);
  render();
  impl_->painter.set_exact(false);
  return impl_->target.read();
}

}  // namespace brookmark::viewer

#include "viewer/platform/off_screen.hpp"

#define GL_GLEXT_PROTOTYPES
#include <EGL/egl.h>
#include <EGL/eglext.h>
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <string>

#include "core/base/error.hpp"

namespace brookmark::viewer {
namespace {

[[noreturn]] void refuse(const std::string& what) {
  throw Error(ErrorCode::kNotFound,
              "No picture can be drawn here: " + what +
                  ". Install the Mesa software drivers (Debian packages libegl-mesa0 and libgl1-mesa-dri).");
}

}  // namespace

struct OffScreen::Impl {
  EGLDisplay display = EGL_NO_DISPLAY;
  EGLContext context = EGL_NO_CONTEXT;
  GLuint frame = 0, colour = 0, depth = 0;
  int width = 0, height = 0;

  void open() {
    const auto get_display =
        reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
    if (get_display) display = get_display(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr);
    if (display == EGL_NO_DISPLAY || !eglInitialize(display, nullptr, nullptr))
      refuse("EGL has no surfaceless platform");
    if (!eglBindAPI(EGL_OPENGL_API)) refuse("EGL offers no desktop OpenGL");
    const EGLint config_wish[] = {EGL_SURFACE_TYPE, EGL_PBUFFER_BIT, EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT,
                                  EGL_NONE};
    EGLConfig config = nullptr;
    EGLint count = 0;
    if (!eglChooseConfig(display, config_wish, &config, 1, &count) || count == 0) config = nullptr;
    const EGLint wish[] = {EGL_CONTEXT_MAJOR_VERSION,
                           3,
                           EGL_CONTEXT_MINOR_VERSION,
                           3,
                           EGL_CONTEXT_OPENGL_PROFILE_MASK,
                           EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                           EGL_NONE};
    context = eglCreateContext(display, config, EGL_NO_CONTEXT, wish);
    if (context == EGL_NO_CONTEXT) refuse("OpenGL 3.3 is not offered");
    if (!eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, context))
      refuse("a context without a surface is not allowed");
  }

  void make_buffer(int w, int h) {
    GLint most = 0;
    glGetIntegerv(GL_MAX_RENDERBUFFER_SIZE, &most);
    if (w < 1 || h < 1 || w > most || h > most)
      throw Error(ErrorCode::kBadUse, "A picture of " + std::to_string(w) + " x " + std::to_string(h) +
                                          " pixels cannot be drawn; each side may have 1 to " +
                                          std::to_string(most) + " pixels.");
    drop_buffer();
    glGenFramebuffers(1, &frame);
    glGenRenderbuffers(1, &colour);
    glBindRenderbuffer(GL_RENDERBUFFER, colour);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, w, h);
    glGenRenderbuffers(1, &depth);
    glBindRenderbuffer(GL_RENDERBUFFER, depth);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT24, w, h);
    glBindFramebuffer(GL_FRAMEBUFFER, frame);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, colour);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth);
    if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
      refuse("there is no memory for it");
    width = w;
    height = h;
  }

  void drop_buffer() {
    if (frame) glDeleteFramebuffers(1, &frame);
    if (colour) glDeleteRenderbuffers(1, &colour);
    if (depth) glDeleteRenderbuffers(1, &depth);
    frame = colour = depth = 0;
  }

  ~Impl() {
    if (context != EGL_NO_CONTEXT) {
      drop_buffer();
      eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
      eglDestroyContext(display, context);
    }
    if (display != EGL_NO_DISPLAY) eglTerminate(display);
  }
};

OffScreen::OffScreen(int width, int height) : impl_(std::make_unique<Impl>()) {
  impl_->open();
  impl_->make_buffer(width, height);
}
OffScreen::~OffScreen() = default;

int OffScreen::width() const {
  return impl_->width;
}
int OffScreen::height() const {
  return impl_->height;
}

void OffScreen::resize(int width, int height) {
  if (width != impl_->width || height != impl_->height) impl_->make_buffer(width, height);
}

void OffScreen::bind() {
  glBindFramebuffer(GL_FRAMEBUFFER, impl_->frame);
  glViewport(0, 0, impl_->width, impl_->height);
  glDisable(GL_SCISSOR_TEST);
  glClearColor(1, 1, 1, 1);
  glClear(GL_COLOR_BUFFER_BIT);
}

Picture OffScreen::read() const {
  Picture picture{impl_->width, impl_->height, {}};
  const std::size_t row = static_cast<std::size_t>(impl_->width) * 3;
  picture.rgb.resize(row * static_cast<std::size_t>(impl_->height));
  glBindFramebuffer(GL_FRAMEBUFFER, impl_->frame);
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, impl_->width, impl_->height, GL_RGB, GL_UNSIGNED_BYTE, picture.rgb.data());
  // OpenGL counts rows from the bottom.
  for (std::size_t top = 0, bottom = static_cast<std::size_t>(impl_->height) - 1; top < bottom;
       ++top, --bottom)
    std::swap_ranges(picture.rgb.begin() + static_cast<std::ptrdiff_t>(top * row),
                     picture.rgb.begin() + static_cast<std::ptrdiff_t>((top + 1) * row),
                     picture.rgb.begin() + static_cast<std::ptrdiff_t>(bottom * row));
  return picture;
}

}  // namespace brookmark::viewer

#include "viewer/platform/desktop_window.hpp"

#define GLFW_INCLUDE_NONE
#include <GL/gl.h>
#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/platform/frame_times.hpp"
#include "viewer/platform/gl_painter.hpp"
#include "viewer/platform/state_words.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kFramesAfterEvent = 3;  // a popup needs one more frame than the click that opened it

std::string& last_glfw_error() {
  static std::string words;
  return words;
}

bool& gl_is_too_old() {
  static bool old = false;
  return old;
}

[[noreturn]] void refuse() {
  if (gl_is_too_old())
    throw Error(
        ErrorCode::kNotFound,
        "The window needs OpenGL 3.3, and the graphics driver here has none (" + last_glfw_error() +
            "). Try it with LIBGL_ALWAYS_SOFTWARE=1 before the command, or bring the driver up to date. "
            "`brookmark view SURVEY --screenshot OUT.png` draws the same as a picture.");
  const std::string why = last_glfw_error().empty() ? "" : " (" + last_glfw_error() + ")";
  throw Error(
      ErrorCode::kNotFound,
      "No window can be opened here" + why +
          ". Without a display, `brookmark view SURVEY --screenshot OUT.png` draws the same as a picture.");
}

// GLFW and its window, gone in the right order whatever happens.
struct Library {
  GLFWwindow* window = nullptr;
  Library(int width, int height, const std::string& title) {
    last_glfw_error().clear();
    gl_is_too_old() = false;
    glfwSetErrorCallback([](int code, const char* words) {
      last_glfw_error() = words;
      gl_is_too_old() = code == GLFW_VERSION_UNAVAILABLE || code == GLFW_API_UNAVAILABLE;
    });
    if (!glfwInit()) refuse();
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_SCALE_TO_MONITOR, GLFW_TRUE);
    window = glfwCreateWindow(width, height, title.c_str(), nullptr, nullptr);
    if (!window) {
      glfwTerminate();
      refuse();
    }
    glfwMakeContextCurrent(window);
    glfwSwapInterval(1);
  }
  ~Library() {
    glfwDestroyWindow(window);
    glfwTerminate();
  }
  Library(const Library&) = delete;
  Library& operator=(const Library&) = delete;
};

float user_scale() {
  const char* words = std::getenv("BROOKMARK_SCALE");
  const auto value = words ? core::parse_number(words) : std::nullopt;
  return value ? static_cast<float>(std::clamp(*value, 0.75, 4.0)) : 1.0F;
}

float scale_of(GLFWwindow* window) {
  float content_x = 1, content_y = 1;
  int window_w = 1, window_h = 1, buffer_w = 1, buffer_h = 1;
  glfwGetWindowContentScale(window, &content_x, &content_y);
  glfwGetWindowSize(window, &window_w, &window_h);
  glfwGetFramebufferSize(window, &buffer_w, &buffer_h);
  const float ratio =
      window_w > 0 && buffer_w > 0 ? static_cast<float>(buffer_w) / static_cast<float>(window_w) : 1;
  const float scale = std::max(content_x, 1.0F) / std::max(ratio, 0.1F) * user_scale();
  return std::clamp(std::round(scale * 8) / 8, 0.75F, 4.0F);
}

// Pixels of a millimetre of the window's screen: from its own measure where that can be true, else a plain screen's.
Display display_of(GLFWwindow* window) {
  Display display{scale_of(window), Display{}.px_per_mm};
  GLFWmonitor* monitor = glfwGetPrimaryMonitor();
  const GLFWvidmode* mode = monitor ? glfwGetVideoMode(monitor) : nullptr;
  int width_mm = 0, height_mm = 0;
  if (monitor) glfwGetMonitorPhysicalSize(monitor, &width_mm, &height_mm);
  const double told = mode && width_mm > 0 ? static_cast<double>(mode->width) / width_mm : 0;
  // Projectors and virtual screens tell nonsense: between 50 and 600 pixels an inch is believed.
  const bool believed = told >= 50 / 25.4 && told <= 600 / 25.4;
  display.px_per_mm = believed ? told : display.px_per_mm * static_cast<double>(display.scale);
  return display;
}

std::string title_of(const Model& model) {
  const std::string& title = model.snapshot().survey.title;
  return title.empty() ? "Brookmark" : title + " \u2013 Brookmark";
}

}  // namespace

struct DesktopWindow::Impl {
  Library library;
  Stage stage;
  GlPainter painter;
  int frames_due = kFramesAfterEvent;
  std::optional<StateTeller> teller;
  std::optional<FrameTimes> times;

  Impl(const Model& model, int width, int height, const Settings& settings)
      : library(width, height, title_of(model)), stage(model, display_of(library.window), settings) {
    listen();
    ImGui_ImplGlfw_InitForOpenGL(library.window, true);  // calls our listeners on
    ImGui_ImplOpenGL3_Init("#version 330");
    stage.set_painter(&painter);
    stage.set_waker([] { glfwPostEmptyEvent(); });
  }
  ~Impl() {
    ImGui_ImplOpenGL3_Shutdown();
    ImGui_ImplGlfw_Shutdown();
  }

  // Whatever happens makes a few frames due.
  void listen() {
    GLFWwindow* window = library.window;
    glfwSetWindowUserPointer(window, this);
    static constexpr auto wake = [](GLFWwindow* w) {
      static_cast<Impl*>(glfwGetWindowUserPointer(w))->frames_due = kFramesAfterEvent;
    };
    glfwSetCursorPosCallback(window, [](GLFWwindow* w, double, double) { wake(w); });
    glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int, int, int) { wake(w); });
    glfwSetScrollCallback(window, [](GLFWwindow* w, double, double) { wake(w); });
    glfwSetKeyCallback(window, [](GLFWwindow* w, int, int, int, int) { wake(w); });
    glfwSetCharCallback(window, [](GLFWwindow* w, unsigned) { wake(w); });
    glfwSetWindowFocusCallback(window, [](GLFWwindow* w, int) { wake(w); });
    glfwSetCursorEnterCallback(window, [](GLFWwindow* w, int) { wake(w); });
    glfwSetFramebufferSizeCallback(window, [](GLFWwindow* w, int, int) { wake(w); });
    glfwSetWindowRefreshCallback(window, [](GLFWwindow* w) { wake(w); });
    glfwSetDropCallback(window, [](GLFWwindow* w, int count, const char** paths) {
      wake(w);
      if (count > 0) static_cast<Impl*>(glfwGetWindowUserPointer(w))->stage.apply(DropFile{paths[0]});
    });
    glfwSetWindowContentScaleCallback(window, [](GLFWwindow* w, float, float) { wake(w); });
  }

  void follow_theme() {
    stage.set_display(display_of(library.window));
    if (!stage.renew_theme()) return;
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
  }

  void draw(const Pointer* pointer) {
    follow_theme();
    ImGui_ImplOpenGL3_NewFrame();
    ImGui_ImplGlfw_NewFrame();
    if (pointer) {
      ImGuiIO& io = ImGui::GetIO();
      io.MousePos = {static_cast<float>(pointer->x), static_cast<float>(pointer->y)};
      io.MouseDown[0] = pointer->down;
    }
    stage.draw();
    if (teller && teller->tell(stage)) frames_due = std::max(frames_due, 1);
    int width = 0, height = 0;
    glfwGetFramebufferSize(library.window, &width, &height);
    glViewport(0, 0, width, height);
    glDisable(GL_SCISSOR_TEST);
    glClearColor(1, 1, 1, 1);
    glClear(GL_COLOR_BUFFER_BIT);
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
    if (!painter.is_whole()) frames_due = std::max(frames_due, 1);
  }

  // Draws, and hands it to the screen; how many seconds it took.
  double show_frame(const Pointer* pointer) {
    const double begin = glfwGetTime();
    if (times) times->begin(begin);
    draw(pointer);
    glfwSwapBuffers(library.window);
    const double end = glfwGetTime();
    if (times) times->end(end);
    return end - begin;
  }
};

bool DesktopWindow::is_possible() {
  glfwSetErrorCallback(nullptr);
  if (!glfwInit()) return false;
  glfwTerminate();
  return true;
}

DesktopWindow::DesktopWindow(const Model& model, int width, int height, const Settings& settings)
    : impl_(std::make_unique<Impl>(model, width, height, settings)) {}
DesktopWindow::~DesktopWindow() = default;

Stage& DesktopWindow::stage() {
  return impl_->stage;
}

void DesktopWindow::say_state(const std::filesystem::path& file) {
  impl_->teller.emplace(file);
}

void DesktopWindow::time_frames(const std::filesystem::path& file) {
  impl_->times.emplace(file);
}

void DesktopWindow::run(const std::function<void(const Settings&)>& keep) {
  GLFWwindow* window = impl_->library.window;
  while (!glfwWindowShouldClose(window)) {
    int width = 0, height = 0;
    glfwGetFramebufferSize(window, &width, &height);
    if (impl_->frames_due <= 0 || width == 0 || height == 0 || glfwGetWindowAttrib(window, GLFW_ICONIFIED)) {
      if (impl_->stage.is_busy() && glfwGetWindowAttrib(window, GLFW_ICONIFIED) == 0) {
        glfwWaitEventsTimeout(0.1);
        impl_->frames_due = std::max(impl_->frames_due, 1);
      } else {
        glfwWaitEvents();
      }
      if (impl_->stage.wants_frame()) impl_->frames_due = std::max(impl_->frames_due, 1);
      continue;
    }
    --impl_->frames_due;
    impl_->stage.frame_took(impl_->show_frame(nullptr));
    if (keep) keep(impl_->stage.state().settings);
    if (impl_->stage.wants_frame()) impl_->frames_due = std::max(impl_->frames_due, 1);
    glfwPollEvents();
  }
}

void DesktopWindow::resize(int width, int height) {
  glfwSetWindowSize(impl_->library.window, width, height);
  for (int i = 0; i < 5; ++i) glfwWaitEventsTimeout(0.02);  // the window manager answers in its own time
}

void DesktopWindow::frame(const Pointer* pointer) {
  glfwPollEvents();
  impl_->show_frame(pointer);
}

Picture DesktopWindow::picture() {
  impl_->painter.set_exact(true);
  impl_->draw(nullptr);
  impl_->painter.set_exact(false);
  Picture picture;
  glfwGetFramebufferSize(impl_->library.window, &picture.width, &picture.height);
  const std::size_t row = static_cast<std::size_t>(picture.width) * 3;
  std::vector<std::uint8_t> rows(row * static_cast<std::size_t>(picture.height));
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, picture.width, picture.height, GL_RGB, GL_UNSIGNED_BYTE, rows.data());
  for (std::size_t y = static_cast<std::size_t>(picture.height);
       y-- > 0;)  // OpenGL counts rows from the bottom
    picture.rgb.insert(picture.rgb.end(), rows.begin() + static_cast<std::ptrdiff_t>(y * row),
                       rows.begin() + static_cast<std::ptrdiff_t>((y + 1) * row));
  return picture;
}

}  // namespace brookmark::viewer

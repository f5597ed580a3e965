#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cmath>

#include "viewer/platform/gl_shaders.hpp"
#include "viewer/platform/gl_sheets_internal.hpp"

namespace brookmark::viewer {
namespace {

// Taste. A segment takes about a third of a microsecond of the frame's own thread (Mesa's llvmpipe 22.3, a processor of
// 2.1 GHz).
constexpr std::size_t kMostInAFrame = 5000;
constexpr double kMargin = 0.2;       // of the view on each side
constexpr double kSpareShare = 0.35;  // of the margin: with less left the next sheet is begun

// All that decides what is on a sheet, but the view.
class Content {
 public:
  template <class T>
  void add(const T& value) {
    const auto* bytes = reinterpret_cast<const unsigned char*>(&value);
    for (std::size_t i = 0; i < sizeof(T); ++i) sum_ = (sum_ ^ bytes[i]) * 1099511628211ULL;  // FNV-1a
  }
  std::uint64_t sum() const { return sum_; }

 private:
  std::uint64_t sum_ = 14695981039346656037ULL;
};

std::uint64_t content_of(const MapFrame& frame, float unit) {
  Content content;
  for (const bool shown : frame.layers.shown) content.add(shown);
  const Inks& ink = frame.inks;
  for (const Colour& c :
       {ink.catchment, ink.water, ink.channel, ink.drop, ink.paper, ink.unknown_reach, ink.muted})
    content.add(c);
  for (const Colour& c : frame.colours.fill) content.add(c);
  content.add(unit);
  content.add(frame.areas != nullptr);
  content.add(frame.areas_version);
  content.add(frame.fills_version);
  content.add(frame.reaches != nullptr);
  content.add(frame.reaches_version);
  return content.sum();
}

// Not stretched.
bool is_as_drawn(double px_per_m, const GlCanvas& canvas) {
  return std::abs(px_per_m / canvas.px_per_m - 1) < 1e-9;
}

// Where drawing went before, and where it goes again.
class Redirected {
 public:
  Redirected(unsigned frame, int width, int height) {
    glGetIntegerv(GL_DRAW_FRAMEBUFFER_BINDING, &frame_);
    glGetIntegerv(GL_VIEWPORT, viewport_);
    glBindFramebuffer(GL_FRAMEBUFFER, frame);
    glViewport(0, 0, width, height);
    glDisable(GL_SCISSOR_TEST);
  }
  ~Redirected() {
    glBindFramebuffer(GL_FRAMEBUFFER, static_cast<GLuint>(frame_));
    glViewport(viewport_[0], viewport_[1], viewport_[2], viewport_[3]);
    glEnable(GL_SCISSOR_TEST);
  }
  Redirected(const Redirected&) = delete;
  Redirected& operator=(const Redirected&) = delete;

 private:
  GLint frame_ = 0, viewport_[4] = {};
};

}  // namespace

GroundSheets::GroundSheets() : program_(shaders::kSheetVertex, shaders::kSheetFragment) {}

GroundSheets::~GroundSheets() {
  remove(shown_);
  remove(coming_);
}

void GroundSheets::drop() {
  shown_.done = false;
  jobs_.clear();
  next_ = 0;
  whole_ = true;
}

void GroundSheets::remove(Sheet& sheet) {
  if (sheet.frame) glDeleteFramebuffers(1, &sheet.frame);
  if (sheet.texture) glDeleteTextures(1, &sheet.texture);
  if (sheet.depth) glDeleteRenderbuffers(1, &sheet.depth);
  sheet = {};
}

bool GroundSheets::make(Sheet& sheet, int width, int height) {
  if (sheet.frame != 0 && sheet.width == width && sheet.height == height) return true;
  remove(sheet);
  sheet.width = width;
  sheet.height = height;
  GLint bound = 0;
  glGetIntegerv(GL_TEXTURE_BINDING_2D, &bound);
  glGenTextures(1, &sheet.texture);
  glBindTexture(GL_TEXTURE_2D, sheet.texture);
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
  for (const GLenum wrap : {GL_TEXTURE_WRAP_S, GL_TEXTURE_WRAP_T})
    glTexParameteri(GL_TEXTURE_2D, wrap, GL_CLAMP_TO_EDGE);
  glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(bound));
  glGenRenderbuffers(1, &sheet.depth);
  glBindRenderbuffer(GL_RENDERBUFFER, sheet.depth);
  glRenderbufferStorage(GL_RENDERBUFFER, GL_DEPTH_COMPONENT24, width, height);
  glGenFramebuffers(1, &sheet.frame);
  const Redirected here(sheet.frame, width, height);
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, sheet.texture, 0);
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, sheet.depth);
  return glCheckFramebufferStatus(GL_FRAMEBUFFER) == GL_FRAMEBUFFER_COMPLETE;
}

PixelBox GroundSheets::place(const Sheet& sheet, const GlCanvas& canvas) {
  const double stretch = canvas.px_per_m / sheet.px_per_m;
  const double x = canvas.middle.x + (sheet.centre.x - canvas.centre.x) * canvas.px_per_m;
  const double y = canvas.middle.y - (sheet.centre.y - canvas.centre.y) * canvas.px_per_m;
  PixelBox box{x - sheet.middle.x * stretch, y - sheet.middle.y * stretch, sheet.width * stretch,
               sheet.height * stretch};
  if (is_as_drawn(sheet.px_per_m, canvas))
    box = {std::round(box.left), std::round(box.top), box.width, box.height};
  return box;
}

bool GroundSheets::covers(const Sheet& sheet, const GlCanvas& canvas, const PixelBox& seen, double spare_px) {
  const PixelBox box = place(sheet, canvas);
  return box.left + spare_px <= seen.left && box.right() - spare_px >= seen.right() &&
         box.top + spare_px <= seen.top && box.bottom() - spare_px >= seen.bottom();
}

bool GroundSheets::begin(GlGround& ground, const MapFrame& frame, const GlCanvas& canvas,
                         const PixelBox& seen, float unit, std::uint64_t content) {
  const double margin = shown_.done ? kMargin : 0;  // the first is drawn at once
  // Whole pixels, so that what is drawn on it lies as it would on the canvas.
  const double left = std::floor(seen.left - seen.width * margin),
               top = std::floor(seen.top - seen.height * margin);
  const double right = std::ceil(seen.right() + seen.width * margin),
               bottom = std::ceil(seen.bottom() + seen.height * margin);
  if (!make(coming_, std::max(static_cast<int>(right - left), 1),
            std::max(static_cast<int>(bottom - top), 1)))
    return false;
  coming_.px_per_m = canvas.px_per_m;
  coming_.centre = canvas.centre;
  coming_.middle = {canvas.middle.x - left, canvas.middle.y - top};
  coming_.content = content;
  const PlaneBox box{canvas.centre.x + (left - canvas.middle.x) / canvas.px_per_m,
                     canvas.centre.y - (bottom - canvas.middle.y) / canvas.px_per_m,
                     canvas.centre.x + (right - canvas.middle.x) / canvas.px_per_m,
                     canvas.centre.y - (top - canvas.middle.y) / canvas.px_per_m};
  const double share = (1 + 2 * margin) * (1 + 2 * margin);
  jobs_ = ground.jobs(
      frame,
      ground.views(box, canvas, static_cast<std::size_t>(static_cast<double>(frame.most_segments) * share)),
      unit);
  next_ = 0;
  const Redirected here(coming_.frame, coming_.width, coming_.height);
  glClearColor(0, 0, 0, 0);
  glClear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
  return true;
}

void GroundSheets::draw_more(GlGround& ground, std::size_t budget) {
  if (next_ >= jobs_.size()) return;
  const Redirected here(coming_.frame, coming_.width, coming_.height);
  const GlCanvas canvas{coming_.px_per_m, coming_.middle, static_cast<double>(coming_.width),
                        static_cast<double>(coming_.height), coming_.centre};
  std::size_t spent = 0;
  while (next_ < jobs_.size() && spent < budget) {
    spent += ground.run(jobs_[next_], canvas, budget - spent);
    if (jobs_[next_].begin >= jobs_[next_].end) ++next_;
  }
}

void GroundSheets::lay(const Sheet& sheet, const GlCanvas& canvas) const {
  const PixelBox box = place(sheet, canvas);
  canvas.use(program_);
  program_.set("box", static_cast<float>(box.left), static_cast<float>(box.top),
               static_cast<float>(box.right()), static_cast<float>(box.bottom()));
  glUniform1i(program_.at("image"), 0);
  glActiveTexture(GL_TEXTURE0);
  glBindTexture(GL_TEXTURE_2D, sheet.texture);
  for (const GLenum filter : {GL_TEXTURE_MIN_FILTER, GL_TEXTURE_MAG_FILTER})
    glTexParameteri(GL_TEXTURE_2D, filter, is_as_drawn(sheet.px_per_m, canvas) ? GL_NEAREST : GL_LINEAR);
  glBlendFuncSeparate(GL_ONE, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
  glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
  glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
}

bool GroundSheets::paint(GlGround& ground, const MapFrame& frame, const GlCanvas& canvas,
                         const PixelBox& seen, float unit) {
  const std::uint64_t content = content_of(frame, unit);
  const auto right_for = [&](const Sheet& sheet, double spare_px) {
    return sheet.content == content && is_as_drawn(sheet.px_per_m, canvas) &&
           covers(sheet, canvas, seen, spare_px);
  };
  const double spare = kMargin * kSpareShare * std::min(seen.width, seen.height);
  const bool first = !shown_.done;
  // A sheet for another nearness or place is finished all the same, or none ever would be while the map moves; one with
  // other things on it is not.
  bool drawing = next_ < jobs_.size();
  if (drawing && coming_.content != content) drawing = false;
  if (!drawing && !(shown_.done && right_for(shown_, spare))) {
    if (!begin(ground, frame, canvas, seen, unit, content)) {
      drop();
      return false;
    }
    drawing = true;
  }
  if (drawing) {
    draw_more(ground, first ? kEverything : kMostInAFrame);
    if (next_ >= jobs_.size()) {
      std::swap(shown_, coming_);
      shown_.done = true;
      coming_.done = false;
      jobs_.clear();
      next_ = 0;
    }
  }
  whole_ = jobs_.empty() && right_for(shown_, 0);
  // Where the finished one does not reach, what there is of the next.
  if (!jobs_.empty() && !covers(shown_, canvas, seen, 0)) lay(coming_, canvas);
  if (shown_.done) lay(shown_, canvas);
  return true;
}

}  // namespace brookmark::viewer

// Why: the map's painter is made of a few shader programs and buffers that must go when it goes.
// Use: Program line(shaders::kLineVertex, shaders::kLineFragment);  line.use();  line.set("half_width", 2.0F);
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>

#include "viewer/map/marks.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

class Program {
 public:
  // Throws Error(kNotFound) when the graphics driver does not take the shaders.
  Program(const char* vertex, const char* fragment, const char* defines = "");
  ~Program();
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  void use() const;
  int at(const char* name) const;
  void set(const char* name, float v) const;
  void set(const char* name, float x, float y) const;
  void set(const char* name, float x, float y, float z, float w) const;
  void set(const char* name, Colour c) const;

 private:
  unsigned id_ = 0;
};

// All colours of marks, as shaders want them.
void set_colours(const Program& program, const char* name,
                 const std::array<Colour, std::size_t{2} * kMarkColourCount>& colours);

// Where metres lie on what is drawn on, framebuffer pixels from the top left.
struct GlCanvas {
  double px_per_m = 1;
  Pixel middle;  // where `centre` is
  double width = 1, height = 1;
  core::PlanePoint centre;
  void use(const Program& program) const;  // and tells it
};

// A vertex buffer that knows how many rows it holds.
class Buffer {
 public:
  Buffer();
  ~Buffer();
  Buffer(const Buffer&) = delete;
  Buffer& operator=(const Buffer&) = delete;

  // `changes`: it is loaded anew often.
  template <class T>
  void load(std::span<const T> rows, bool changes = false) {
    load(rows.data(), rows.size_bytes(), rows.size(), changes);
  }
  void bind() const;
  std::size_t count() const { return count_; }

 private:
  void load(const void* rows, std::size_t bytes, std::size_t count, bool changes);
  unsigned id_ = 0;
  std::size_t count_ = 0;
};

}  // namespace brookmark::viewer

#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include "core/base/error.hpp"
#include "viewer/platform/gl_parts_internal.hpp"
#include "viewer/platform/gl_shaders.hpp"

namespace brookmark::viewer {
namespace {

GLuint compile(GLenum kind, const std::string& text) {
  const GLuint shader = glCreateShader(kind);
  const char* source = text.c_str();
  glShaderSource(shader, 1, &source, nullptr);
  glCompileShader(shader);
  GLint good = 0;
  glGetShaderiv(shader, GL_COMPILE_STATUS, &good);
  if (good) return shader;
  char log[600] = {};
  glGetShaderInfoLog(shader, sizeof log - 1, nullptr, log);
  throw Error(
      ErrorCode::kNotFound,
      std::string("The graphics driver does not accept the map's shaders (") + log +
          "). Use `brookmark view SURVEY --screenshot OUT.png`, which can draw with the software driver.");
}

}  // namespace

Program::Program(const char* vertex, const char* fragment, const char* defines) {
  const std::string head = std::string("#version 330 core\n") + defines;
  const GLuint v = compile(GL_VERTEX_SHADER, head + shaders::kCommon + vertex);
  const GLuint f = compile(GL_FRAGMENT_SHADER, head + fragment);
  id_ = glCreateProgram();
  glAttachShader(id_, v);
  glAttachShader(id_, f);
  glLinkProgram(id_);
  glDeleteShader(v);
  glDeleteShader(f);
}
Program::~Program() {
  glDeleteProgram(id_);
}
void Program::use() const {
  glUseProgram(id_);
}
int Program::at(const char* name) const {
  return glGetUniformLocation(id_, name);
}
void Program::set(const char* name, float v) const {
  glUniform1f(at(name), v);
}
void Program::set(const char* name, float x, float y) const {
  glUniform2f(at(name), x, y);
}
void Program::set(const char* name, float x, float y, float z, float w) const {
  glUniform4f(at(name), x, y, z, w);
}
void Program::set(const char* name, Colour c) const {
  set(name, static_cast<float>(c.r) / 255.0F, static_cast<float>(c.g) / 255.0F,
      static_cast<float>(c.b) / 255.0F, static_cast<float>(c.a) / 255.0F);
}

void set_colours(const Program& program, const char* name,
                 const std::array<Colour, std::size_t{2} * kMarkColourCount>& colours) {
  std::array<float, std::size_t{2} * kMarkColourCount * 4> values{};
  for (std::size_t i = 0; i < colours.size(); ++i) {
    values[i * 4] = static_cast<float>(colours[i].r) / 255.0F;
    values[i * 4 + 1] = static_cast<float>(colours[i].g) / 255.0F;
    values[i * 4 + 2] = static_cast<float>(colours[i].b) / 255.0F;
    values[i * 4 + 3] = 1;
  }
  glUniform4fv(program.at(name), static_cast<GLsizei>(colours.size()), values.data());
}

void GlCanvas::use(const Program& program) const {
  const auto f = [](double v) { return static_cast<float>(v); };
  program.use();
  program.set("centre", f(centre.x), f(centre.y));
  program.set("px_per_m", f(px_per_m));
  program.set("middle", f(middle.x), f(middle.y));
  program.set("canvas", f(width), f(height));
}

Buffer::Buffer() {
  glGenBuffers(1, &id_);
}
Buffer::~Buffer() {
  glDeleteBuffers(1, &id_);
}
void Buffer::load(const void* rows, std::size_t bytes, std::size_t count, bool changes) {
  glBindBuffer(GL_ARRAY_BUFFER, id_);
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(bytes), rows,
               changes ? GL_DYNAMIC_DRAW : GL_STATIC_DRAW);
  count_ = count;
}
void Buffer::bind() const {
  glBindBuffer(GL_ARRAY_BUFFER, id_);
}

}  // namespace brookmark::viewer

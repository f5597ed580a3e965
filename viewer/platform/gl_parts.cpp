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

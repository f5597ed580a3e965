// Why: what is said of a PDF is checked by programs that others wrote: poppler's and qpdf.
// Use: const Said text = tool("pdftotext " + quoted(file) + " -");
#pragma once

#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <stdexcept>
#include <string>

namespace brookmark::test {

struct Said {
  int code = -1;
  std::string text;
};

inline std::string quoted(const std::string& file) {
  return "'" + file + "'";  // names of test folders hold no quotes
}

inline Said tool(const std::string& command) {
  FILE* pipe = popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("cannot run " + command);
  Said said;
  std::array<char, 4096> part{};
  while (const std::size_t n = fread(part.data(), 1, part.size(), pipe)) said.text.append(part.data(), n);
  const int status = pclose(pipe);
  said.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return said;
}

}  // namespace brookmark::test

// Why: what the map shows as a file that anyone can open.
#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

namespace brookmark::viewer {

// Rows from the top, three bytes a pixel: red, green, blue.
struct Picture {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgb;
};

// The same picture gives the same bytes. The file appears whole or not at all. Throws Error(kStorage).
void write_png(const Picture& picture, const std::filesystem::path& file);

}  // namespace brookmark::viewer

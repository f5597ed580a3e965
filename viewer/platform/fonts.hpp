// Why: the fonts travel inside the program. Roboto for words, DejaVu Sans for the signs that Roboto lacks.
#pragma once

#include <span>

namespace brookmark::viewer {

// TrueType files, for the life of the program.
std::span<const unsigned char> font_regular();
std::span<const unsigned char> font_strong();
std::span<const unsigned char> font_bold();
std::span<const unsigned char> font_symbols();

}  // namespace brookmark::viewer

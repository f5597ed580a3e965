#include "viewer/platform/fonts.hpp"

extern "C" {
extern const unsigned char brookmark_font_regular_begin[], brookmark_font_regular_end[];
extern const unsigned char brookmark_font_strong_begin[], brookmark_font_strong_end[];
extern const unsigned char brookmark_font_bold_begin[], brookmark_font_bold_end[];
extern const unsigned char brookmark_font_symbols_begin[], brookmark_font_symbols_end[];
}

namespace brookmark::viewer {

std::span<const unsigned char> font_regular() {
  return {brookmark_font_regular_begin, brookmark_font_regular_end};
}
std::span<const unsigned char> font_strong() {
  return {brookmark_font_strong_begin, brookmark_font_strong_end};
}
std::span<const unsigned char> font_bold() {
  return {brookmark_font_bold_begin, brookmark_font_bold_end};
}
std::span<const unsigned char> font_symbols() {
  return {brookmark_font_symbols_begin, brookmark_font_symbols_end};
}

}  // namespace brookmark::viewer

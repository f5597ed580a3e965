#include "viewer/report/canvas.hpp"

#include <cairo-ft.h>
#include <cairo.h>
#include <ft2build.h>
#include FT_FREETYPE_H

#include <numbers>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/platform/fonts.hpp"

namespace brookmark::viewer {

namespace {

// The code point that begins at `at`, which moves behind it; of UTF-8.
unsigned long next_code(std::string_view text, std::size_t& at) {
  const auto first = static_cast<unsigned char>(text[at++]);
  const int more = first < 0x80 ? 0 : first < 0xE0 ? 1 : first < 0xF0 ? 2 : 3;
  unsigned long code = more == 0 ? first : first & (0x3FU >> more);
  for (int i = 0; i < more && at < text.size(); ++i)
    code = code << 6 | (static_cast<unsigned char>(text[at++]) & 0x3FU);
  return code;
}

// cairo gives a page up for good at the first byte that is no UTF-8, and draws nothing for signs without a shape.
std::string drawable(std::string_view text) {
  std::string safe;
  const bool valid = core::is_valid_utf8(text);
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    safe += byte < 0x20 || byte == 0x7F ? ' ' : !valid && byte >= 0x80 ? '?' : c;
  }
  return safe;
}

class FontFile {
 public:
  FontFile(FT_Library library, std::span<const unsigned char> bytes) {
    if (FT_New_Memory_Face(library, bytes.data(), static_cast<FT_Long>(bytes.size()), 0, &face_) != 0)
      throw Error(ErrorCode::kStorage, "a font inside the program could not be read");
    cairo_ = cairo_ft_font_face_create_for_ft_face(face_, 0);
  }
  FontFile(const FontFile&) = delete;
  FontFile& operator=(const FontFile&) = delete;

  cairo_font_face_t* get() const { return cairo_; }
  bool holds(unsigned long code) const { return code < 0x20 || FT_Get_Char_Index(face_, code) != 0; }

 private:
  FT_Face face_ = nullptr;
  cairo_font_face_t* cairo_ = nullptr;
};

FT_Library free_type() {
  FT_Library library = nullptr;
  if (FT_Init_FreeType(&library) != 0) throw Error(ErrorCode::kStorage, "the fonts could not be made ready");
  return library;
}

struct Fonts {
  FT_Library library = free_type();
  FontFile regular{library, font_regular()}, bold{library, font_bold()}, symbols{library, font_symbols()};
};
// Kept for the life of the program: cairo remembers fonts beyond the page that they were used on.
const Fonts& fonts() {
  static const Fonts* const made = new Fonts;
  return *made;
}

const FontFile& font_of(Face face) {
  return face == Face::kBold ? fonts().bold : fonts().regular;
}

// Runs of letters that one font has.
template <class Use>
void each_run(std::string_view text, Face face, const Use& use) {
  std::size_t begin = 0, at = 0;
  const FontFile* now = nullptr;
  while (at < text.size()) {
    const std::size_t here = at;
    const unsigned long code = next_code(text, at);
    const FontFile& right =
        font_of(face).holds(code) || !fonts().symbols.holds(code) ? font_of(face) : fonts().symbols;
    if (now != nullptr && now != &right) {
      use(std::string(text.substr(begin, here - begin)), *now);
      begin = here;
    }
    now = &right;
  }
  if (now != nullptr) use(std::string(text.substr(begin)), *now);
}

void set_colour(cairo_t* cairo, Colour c) {
  cairo_set_source_rgb(cairo, c.r / 255.0, c.g / 255.0, c.b / 255.0);
}

void set_pen(cairo_t* cairo, const Pen& pen) {
  set_colour(cairo, pen.colour);
  cairo_set_line_width(cairo, pen.width);
  cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cairo, pen.dashes.empty() ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
  cairo_set_dash(cairo, pen.dashes.data(), static_cast<int>(pen.dashes.size()), 0);
}

void trace(cairo_t* cairo, std::span<const Pixel> points, bool closed) {
  for (std::size_t i = 0; i < points.size(); ++i)
    i == 0 ? cairo_move_to(cairo, points[i].x, points[i].y) : cairo_line_to(cairo, points[i].x, points[i].y);
  if (closed) cairo_close_path(cairo);
}

}  // namespace

Canvas::Canvas(cairo_t* cairo) : cairo_(cairo) {
  // Letters keep their widths at every size, so that lines break alike on paper and in a page.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(cairo_, options);
  cairo_font_options_destroy(options);
}

void Canvas::line(std::span<const Pixel> points, const Pen& pen, bool closed) {
  if (points.size() < 2) return;
  set_pen(cairo_, pen);
  trace(cairo_, points, closed);
  cairo_stroke(cairo_);
}

void Canvas::fill(std::span<const Pixel> corners, Colour colour) {
  set_colour(cairo_, colour);
  trace(cairo_, corners, true);
  cairo_fill(cairo_);
}

void Canvas::fill_rings(std::span<const std::vector<Pixel>> rings, Colour colour) {
  set_colour(cairo_, colour);
  cairo_set_fill_rule(cairo_, CAIRO_FILL_RULE_EVEN_ODD);
  for (const std::vector<Pixel>& ring : rings) trace(cairo_, ring, true);
  cairo_fill(cairo_);
  cairo_set_fill_rule(cairo_, CAIRO_FILL_RULE_WINDING);
}

void Canvas::box(const PixelBox& box, Colour colour) {
  set_colour(cairo_, colour);
  cairo_rectangle(cairo_, box.left, box.top, box.width, box.height);
  cairo_fill(cairo_);
}

void Canvas::frame(const PixelBox& box, const Pen& pen) {
  set_pen(cairo_, pen);
  cairo_set_line_join(cairo_, CAIRO_LINE_JOIN_MITER);
  cairo_rectangle(cairo_, box.left, box.top, box.width, box.height);
  cairo_stroke(cairo_);
}

void Canvas::disc(Pixel middle, double radius, Colour colour) {
  set_colour(cairo_, colour);
  cairo_new_sub_path(cairo_);
  cairo_arc(cairo_, middle.x, middle.y, radius, 0, 2 * std::numbers::pi);
  cairo_fill(cairo_);
}

void Canvas::ring(Pixel middle, double radius, const Pen& pen) {
  set_pen(cairo_, pen);
  cairo_new_sub_path(cairo_);
  cairo_arc(cairo_, middle.x, middle.y, radius, 0, 2 * std::numbers::pi);
  cairo_close_path(cairo_);
  cairo_stroke(cairo_);
}

double Canvas::width(std::string_view text, Face face, double size) const {
  double sum = 0;
  cairo_set_font_size(cairo_, size);
  each_run(drawable(text), face, [&](const std::string& run, const FontFile& font) {
    cairo_set_font_face(cairo_, font.get());
    cairo_text_extents_t extents;
    cairo_text_extents(cairo_, run.c_str(), &extents);
    sum += extents.x_advance;
  });
  return sum;
}

void Canvas::text(std::string_view text, Pixel at, Face face, double size, Colour colour) {
  set_colour(cairo_, colour);
  cairo_set_font_size(cairo_, size);
  cairo_move_to(cairo_, at.x, at.y);
  each_run(drawable(text), face, [&](const std::string& run, const FontFile& font) {
    cairo_set_font_face(cairo_, font.get());
    cairo_show_text(cairo_, run.c_str());
  });
  cairo_new_path(cairo_);
}

void Canvas::haloed(std::string_view text, Pixel at, Face face, double size, Colour colour, Colour halo) {
  set_pen(cairo_, {halo, size * 0.28});
  cairo_set_font_size(cairo_, size);
  cairo_move_to(cairo_, at.x, at.y);
  each_run(drawable(text), face, [&](const std::string& run, const FontFile& font) {
    cairo_set_font_face(cairo_, font.get());
    cairo_text_path(cairo_, run.c_str());
  });
  cairo_stroke(cairo_);
  this->text(text, at, face, size, colour);
}

void Canvas::clipped(const PixelBox& box, const std::function<void()>& inside) {
  cairo_save(cairo_);
  cairo_rectangle(cairo_, box.left, box.top, box.width, box.height);
  cairo_clip(cairo_);
  inside();
  cairo_restore(cairo_);
}

void Canvas::placed(Pixel corner, double scale, const std::function<void()>& inside) {
  cairo_save(cairo_);
  cairo_translate(cairo_, corner.x, corner.y);
  cairo_scale(cairo_, scale, scale);
  inside();
  cairo_restore(cairo_);
}

std::vector<std::string> wrapped(const Canvas& canvas, const std::string& text, Face face, double size,
                                 double width) {
  std::vector<std::string> lines;
  std::string line;
  double line_width = 0;
  const double blank = canvas.width(" ", face, size);
  const auto push_word = [&](std::string word) {
    double own = canvas.width(word, face, size);
    if (!line.empty() && line_width + blank + own <= width) {
      line += " " + word;
      line_width += blank + own;
      return;
    }
    if (!line.empty()) lines.push_back(std::exchange(line, "") + " ");
    while (own > width && word.size() > 1) {
      std::size_t fits = 0;
      for (std::size_t at = 0; at < word.size();) {
        next_code(word, at);
        if (canvas.width(word.substr(0, at), face, size) > width && fits > 0) break;
        fits = at;
      }
      lines.push_back(word.substr(0, fits));
      word.erase(0, fits);
      own = canvas.width(word, face, size);
    }
    line = word;
    line_width = own;
  };
  std::string word;
  for (const char c : text + " ") {
    if (c != ' ' && c != '\n') {
      word += c;
      continue;
    }
    if (!word.empty()) push_word(std::exchange(word, ""));
  }
  if (!line.empty() || lines.empty()) lines.push_back(line);
  return lines;
}

}  // namespace brookmark::viewer

#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <cairo.h>
#include <ft2build.h>
#include FT_FREETYPE_H

#include <span>
#include <utility>

#include "core/base/error.hpp"
#include "viewer/platform/fonts.hpp"
#include "viewer/report/paper_internal.hpp"

namespace brookmark::viewer {

namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

// The code point that begins at `at`, which moves behind it; the program's texts are UTF-8.
unsigned long next_code(std::string_view text, std::size_t& at) {
  const auto first = static_cast<unsigned char>(text[at++]);
  const int more = first < 0x80 ? 0 : first < 0xE0 ? 1 : first < 0xF0 ? 2 : 3;
  unsigned long code = more == 0 ? first : first & (0x3FU >> more);
  for (int i = 0; i < more && at < text.size(); ++i)
    code = code << 6 | (static_cast<unsigned char>(text[at++]) & 0x3FU);
  return code;
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

// Kept for the life of the program: cairo remembers fonts beyond the page that they were used on.
struct Fonts {
  FT_Library library = free_type();
  FontFile regular{library, font_regular()}, bold{library, font_bold()}, symbols{library, font_symbols()};
};
const Fonts& fonts() {
  static const Fonts* const made = new Fonts;
  return *made;
}

}  // namespace

struct Paper::Impl {
  std::string bytes;
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, kPaperWidth, kPaperHeight);
  cairo_t* cairo = cairo_create(surface);

  Impl() = default;
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
  }

  const FontFile& font(Face face) const { return face == Face::kBold ? fonts().bold : fonts().regular; }

  // Runs of letters that one font has.
  template <class Use>
  void each_run(std::string_view text, Face face, const Use& use) const {
    std::size_t begin = 0, at = 0;
    const FontFile* now = nullptr;
    while (at < text.size()) {
      const std::size_t here = at;
      const unsigned long code = next_code(text, at);
      const FontFile& right = font(face).holds(code) ? font(face) : fonts().symbols;
      if (now != nullptr && now != &right) {
        use(std::string(text.substr(begin, here - begin)), *now);
        begin = here;
      }
      now = &right;
    }
    if (now != nullptr) use(std::string(text.substr(begin)), *now);
  }
};

Paper::Paper(const std::string& title, const std::string& date) : impl_(std::make_unique<Impl>()) {
  cairo_pdf_surface_set_metadata(impl_->surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(impl_->surface, CAIRO_PDF_METADATA_CREATOR, "Brookmark");
  const std::string made = (date.empty() ? std::string("2000-01-01") : date) + "T00:00:00Z";
  cairo_pdf_surface_set_metadata(impl_->surface, CAIRO_PDF_METADATA_CREATE_DATE, made.c_str());
}

Paper::~Paper() = default;

double Paper::width(std::string_view text, Face face, double size) const {
  double sum = 0;
  cairo_set_font_size(impl_->cairo, size);
  impl_->each_run(text, face, [&](const std::string& run, const FontFile& font) {
    cairo_set_font_face(impl_->cairo, font.get());
    cairo_text_extents_t extents;
    cairo_text_extents(impl_->cairo, run.c_str(), &extents);
    sum += extents.x_advance;
  });
  return sum;
}

void Paper::text(std::string_view text, double x, double y, Face face, double size, double grey) {
  cairo_set_source_rgb(impl_->cairo, grey, grey, grey);
  cairo_set_font_size(impl_->cairo, size);
  cairo_move_to(impl_->cairo, x, y);
  impl_->each_run(text, face, [&](const std::string& run, const FontFile& font) {
    cairo_set_font_face(impl_->cairo, font.get());
    cairo_show_text(impl_->cairo, run.c_str());
  });
}

void Paper::box(double x, double y, double width, double height, double line, double grey) {
  cairo_set_source_rgb(impl_->cairo, grey, grey, grey);
  cairo_set_line_width(impl_->cairo, line);
  cairo_rectangle(impl_->cairo, x, y, width, height);
  cairo_stroke(impl_->cairo);
}

void Paper::fill(double x, double y, double width, double height, double grey) {
  cairo_set_source_rgb(impl_->cairo, grey, grey, grey);
  cairo_rectangle(impl_->cairo, x, y, width, height);
  cairo_fill(impl_->cairo);
}

void Paper::next_page() {
  cairo_show_page(impl_->cairo);
}

std::string Paper::finish() {
  cairo_show_page(impl_->cairo);
  cairo_surface_finish(impl_->surface);
  if (const cairo_status_t status = cairo_surface_status(impl_->surface); status != CAIRO_STATUS_SUCCESS)
    throw Error(ErrorCode::kStorage,
                std::string("the pages could not be drawn: ") + cairo_status_to_string(status));
  return std::move(impl_->bytes);
}

std::vector<std::string> wrapped(const Paper& paper, const std::string& text, Face face, double size,
                                 double width) {
  std::vector<std::string> lines;
  std::string line;
  const auto push_word = [&](std::string word) {
    const std::string longer = line.empty() ? word : line + " " + word;
    if (paper.width(longer, face, size) <= width) {
      line = longer;
      return;
    }
    if (!line.empty()) lines.push_back(std::exchange(line, ""));
    while (paper.width(word, face, size) > width && word.size() > 1) {
      std::size_t fits = 0;
      for (std::size_t at = 0; at < word.size();) {
        next_code(word, at);
        if (paper.width(word.substr(0, at), face, size) > width && fits > 0) break;
        fits = at;
      }
      lines.push_back(word.substr(0, fits));
      word.erase(0, fits);
    }
    line = word;
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

#include "viewer/report/paper_internal.hpp"

#include <cairo-pdf.h>
#include <cairo.h>

#include <array>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/report/tag_words_internal.hpp"

namespace brookmark::viewer {

namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

// cairo takes no bytes that are no UTF-8.
std::string plain(const std::string& text) {
  if (core::is_valid_utf8(text)) return text;
  std::string safe;
  for (const char c : text) safe += static_cast<unsigned char>(c) < 0x80 ? c : '?';
  return safe;
}

}  // namespace

struct Paper::Impl {
  std::string bytes;
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, kPaperWidth, kPaperHeight);
  cairo_t* cairo = cairo_create(surface);
  Canvas canvas{cairo};
  int page = 1;
  TagWords words;
  std::array<int, 4> last = {CAIRO_PDF_OUTLINE_ROOT, CAIRO_PDF_OUTLINE_ROOT, CAIRO_PDF_OUTLINE_ROOT,
                             CAIRO_PDF_OUTLINE_ROOT};  // newest bookmark of each level

  Impl() = default;
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
  }
  void say(cairo_pdf_metadata_t what, const std::string& text) const {
    if (!text.empty()) cairo_pdf_surface_set_metadata(surface, what, plain(text).c_str());
  }
};

Paper::Paper(const Document& document) : impl_(std::make_unique<Impl>()) {
  impl_->say(CAIRO_PDF_METADATA_TITLE, document.title);
  impl_->say(CAIRO_PDF_METADATA_SUBJECT, document.subject);
  impl_->say(CAIRO_PDF_METADATA_CREATOR, "Brookmark");
  const std::string made = (document.date.empty() ? std::string("2000-01-01") : document.date) + "T00:00:00Z";
  impl_->say(CAIRO_PDF_METADATA_CREATE_DATE, made);
  impl_->say(CAIRO_PDF_METADATA_MOD_DATE, made);
}

Paper::~Paper() = default;

Canvas& Paper::canvas() {
  return impl_->canvas;
}

void Paper::bookmark(const std::string& text, int level, double y) {
  const auto at = static_cast<std::size_t>(level);
  const std::string link =
      "page=" + std::to_string(impl_->page) + " pos=[0 " + core::format_fixed(y, 1) + "]";
  const int made = cairo_pdf_surface_add_outline(impl_->surface, impl_->last[at - 1], plain(text).c_str(),
                                                 link.c_str(), CAIRO_PDF_OUTLINE_FLAG_OPEN);
  for (std::size_t below = at; below < impl_->last.size(); ++below) impl_->last[below] = made;
}

void Paper::open(const std::string& tag) {
  cairo_tag_begin(impl_->cairo, tag.c_str(), nullptr);
}

void Paper::close(const std::string& tag) {
  cairo_tag_end(impl_->cairo, tag.c_str());
}

void Paper::open_figure(const std::string& alt) {
  impl_->words.figures.push_back(plain(alt));
  open("Figure");
}

void Paper::open_head(bool of_row) {
  impl_->words.row_heads.push_back(of_row);
  open("TH");
}

void Paper::open_link(const std::string& place) {
  cairo_tag_begin(impl_->cairo, CAIRO_TAG_LINK, ("dest='" + place + "'").c_str());
}

void Paper::place(const std::string& name) {
  cairo_tag_begin(impl_->cairo, CAIRO_TAG_DEST, ("name='" + name + "'").c_str());
  cairo_tag_end(impl_->cairo, CAIRO_TAG_DEST);
}

void Paper::next_page() {
  cairo_show_page(impl_->cairo);
  ++impl_->page;
}

std::string Paper::finish() {
  cairo_show_page(impl_->cairo);
  cairo_surface_finish(impl_->surface);
  for (const cairo_status_t status : {cairo_status(impl_->cairo), cairo_surface_status(impl_->surface)})
    if (status != CAIRO_STATUS_SUCCESS)
      throw Error(ErrorCode::kStorage,
                  std::string("the pages could not be drawn: ") + cairo_status_to_string(status));
  return with_tag_words(impl_->bytes, impl_->words);
}

}  // namespace brookmark::viewer

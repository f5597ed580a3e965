// One drawing as an <svg> element that stands inside a page.
#include <cairo-svg.h>
#include <cairo.h>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/report/canvas.hpp"

namespace brookmark::viewer {

namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void replace_all(std::string& text, const std::string& what, const std::string& with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

// The library numbers its surfaces through the life of the process; the number means nothing.
void drop_surface_names(std::string& svg) {
  const std::string begin = " id=\"surface";
  for (std::size_t at = svg.find(begin); at != std::string::npos; at = svg.find(begin, at))
    svg.erase(at, svg.find('"', at + begin.size()) + 1 - at);
}

}  // namespace

std::string drawn_svg(double width, double height, const Drawing& draw, const std::string& prefix,
                      const std::string& attributes, const std::string& inner) {
  std::string svg;
  cairo_surface_t* surface = cairo_svg_surface_create_for_stream(append, &svg, width, height);
  cairo_t* cairo = cairo_create(surface);
  {
    Canvas canvas(cairo);
    draw(canvas);
  }
  const cairo_status_t drawn = cairo_status(cairo);
  cairo_destroy(cairo);
  cairo_surface_finish(surface);
  const cairo_status_t written = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  for (const cairo_status_t status : {drawn, written})
    if (status != CAIRO_STATUS_SUCCESS)
      throw Error(ErrorCode::kStorage,
                  std::string("a figure could not be drawn: ") + cairo_status_to_string(status));
  const std::size_t open = svg.find("<svg"), behind = open == std::string::npos ? open : svg.find('>', open);
  if (behind == std::string::npos) throw Error(ErrorCode::kStorage, "a figure could not be drawn");
  std::string body = svg.substr(behind + 1);
  while (!body.empty() && body.back() == '\n') body.pop_back();
  drop_surface_names(body);
  if (!prefix.empty()) {
    replace_all(body, " id=\"", " id=\"" + prefix);
    replace_all(body, "href=\"#", "href=\"#" + prefix);
    replace_all(body, "url(#", "url(#" + prefix);
  }
  const std::string w = core::format_number(width), h = core::format_number(height);
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 "
         "0 " +
         w + " " + h + "\"" + (attributes.empty() ? "" : " " + attributes) + ">" + inner + body;
}

}  // namespace brookmark::viewer

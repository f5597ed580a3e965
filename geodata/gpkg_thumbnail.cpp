#include <algorithm>
#include <cmath>

#include "core/scoring/class_colours.hpp"
#include "geodata/darwin_core_internal.hpp"
#include "geodata/deflate_internal.hpp"
#include "geodata/gpkg_parts_internal.hpp"
#include "geodata/thumbnail_internal.hpp"

namespace brookmark::geodata {

namespace {

using core::ClassColour;

constexpr int kFiner = 3;  // drawn so much finer and then averaged, for smooth edges

class Canvas {
 public:
  Canvas(int width, int height)
      : width_(width * kFiner),
        height_(height * kFiner),
        pixels_(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_),
                ClassColour{242, 243, 238}) {}

  void disc(core::PlanePoint middle, double radius, ClassColour colour) {
    const double r = radius * kFiner, x = middle.x * kFiner, y = middle.y * kFiner;
    for (int py = std::max(0, static_cast<int>(y - r)); py <= std::min(height_ - 1, static_cast<int>(y + r));
         ++py)
      for (int px = std::max(0, static_cast<int>(x - r)); px <= std::min(width_ - 1, static_cast<int>(x + r));
           ++px)
        if (std::hypot(px + 0.5 - x, py + 0.5 - y) <= r) at(px, py) = colour;
  }
  void line(core::PlanePoint from, core::PlanePoint to, double width, ClassColour colour) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const int steps = 1 + static_cast<int>(length * 2);
    for (int i = 0; i <= steps; ++i) {
      const double t = static_cast<double>(i) / steps;
      disc({from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t}, width / 2, colour);
    }
  }
  std::vector<std::uint8_t> averaged() const {
    std::vector<std::uint8_t> rgb;
    for (int y = 0; y < height_; y += kFiner)
      for (int x = 0; x < width_; x += kFiner) {
        int r = 0, g = 0, b = 0;
        for (int dy = 0; dy < kFiner; ++dy)
          for (int dx = 0; dx < kFiner; ++dx) {
            const ClassColour& c = pixels_[index(x + dx, y + dy)];
            r += c.r;
            g += c.g;
            b += c.b;
          }
        for (const int part : {r, g, b}) rgb.push_back(static_cast<std::uint8_t>(part / (kFiner * kFiner)));
      }
    return rgb;
  }

 private:
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) + static_cast<std::size_t>(x);
  }
  ClassColour& at(int x, int y) { return pixels_[index(x, y)]; }
  int width_, height_;
  std::vector<ClassColour> pixels_;
};

constexpr ClassColour kChannel{92, 134, 168}, kBorder{170, 160, 140}, kInk{35, 35, 35},
    kNoClass{158, 164, 166};
// More than this are dots on dots; the picture shows the first ones.
constexpr std::size_t kMostDrawn = 20'000;

}  // namespace

std::string thumbnail_png(const ExportSource& source) {
  const auto told = told_area(source);
  Canvas canvas(kThumbnailWidth, kThumbnailHeight);
  if (told) {
    const core::BoundingBox& box = *told;
    const double squeeze = std::cos((box.min_lat + box.max_lat) / 2 * 3.141592653589793 / 180);
    const double wide = std::max((box.max_lon - box.min_lon) * squeeze, 1e-6),
                 high = std::max(box.max_lat - box.min_lat, 1e-6);
    constexpr double kMargin = 12;
    const double scale =
        std::min((kThumbnailWidth - 2 * kMargin) / wide, (kThumbnailHeight - 2 * kMargin) / high);
    const auto at = [&](core::LonLat p) {
      return core::PlanePoint{
          kThumbnailWidth / 2.0 + (p.lon - (box.min_lon + box.max_lon) / 2) * squeeze * scale,
          kThumbnailHeight / 2.0 - (p.lat - (box.min_lat + box.max_lat) / 2) * scale};
    };
    const auto draw = [&](const core::Line& line, double width, ClassColour colour) {
      for (std::size_t i = 1; i < line.size(); ++i) canvas.line(at(line[i - 1]), at(line[i]), width, colour);
    };
    std::size_t drawn = 0;
    for (const core::Catchment& catchment : source.snapshot.catchments)
      for (const core::Polygon& polygon : catchment.shape)
        for (const core::Line& ring : polygon.rings)
          if (drawn++ < kMostDrawn) draw(ring, 0.8, kBorder);
    drawn = 0;
    for (const core::Reach& reach : source.snapshot.reaches)
      if (drawn++ < kMostDrawn) draw(reach.line, 1.6, kChannel);
    const auto colours = core::colours_of_classes(source.assessment.metric_info().bands.size());
    for (std::size_t i = 0; i < source.shared.places().size() && i < kMostDrawn; ++i) {
      const core::LonLat place = source.shared.places()[i].position;
      if (!core::is_placed(place)) continue;
      const std::size_t rank = source.assessment.sites[i].class_rank;
      canvas.disc(at(place), 4.6, kInk);
      canvas.disc(at(place), 3.8, rank >= 1 && rank <= colours.size() ? colours[rank - 1] : kNoClass);
    }
  }
  return png_of(kThumbnailWidth, kThumbnailHeight, canvas.averaged());
}

void add_thumbnail(const core::Database& database, const ExportSource& source, const std::string& utc) {
  database.execute(
      "CREATE TABLE thumbnail (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, data BLOB NOT NULL, "
      "content_type TEXT NOT "
      "NULL, description TEXT)");
  register_attributes(database, "thumbnail",
                      "A small picture of the survey: channels, and sites by their class.", utc);
  const std::string png = thumbnail_png(source);
  core::Statement(database,
                  "INSERT INTO thumbnail (data, content_type, description) VALUES (?, 'image/png', ?)")
      .run(core::Bytes(png.begin(), png.end()),
           source.assessment.method->title + ", " + source.assessment.metric_info().title);
}

}  // namespace brookmark::geodata

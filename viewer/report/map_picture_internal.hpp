// Why: what a map shows, cut and moved to the page once, so that drawing it needs the survey no more. Private to
// viewer/report.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "viewer/report/map_figure.hpp"
#include "viewer/report/map_marks_internal.hpp"

namespace brookmark::viewer {

using PageLine = std::vector<Pixel>;

struct MapPicture {
  double width = 0, height = 0;  // points
  double metres_per_point = 1;
  std::size_t classes = 0;
  std::vector<std::vector<PageLine>> waters;  // rings
  std::vector<PageLine> borders;              // of catchments
  struct Stretch {
    PageLine line;
    core::ReachKnowledge knowledge = core::ReachKnowledge::kUnknown;
    std::uint8_t rank = 0;
  };
  std::vector<Stretch> stretches;
  struct Fall {
    PageLine line;
    Pixel lower;         // its lower site
    std::size_t number;  // from 1
  };
  std::vector<Fall> falls;
  struct Site {
    Pixel at;
    Mark mark;
    std::string label;
    double blur_radius = 0;  // points; above 0: the middle of a cell
    bool chosen = false;
  };
  std::vector<Site> sites;  // the last ones are drawn on top
  struct Outfall {
    Pixel at;
    Mark mark;
    std::string label;
  };
  std::vector<Outfall> outfalls;
  struct Name {
    Pixel at;
    std::string text;
    std::vector<PageLine> area;  // of a catchment: the name must stand inside; empty: of a watercourse
  };
  std::vector<Name> names;
};

// Nothing where no place is known.
std::shared_ptr<const MapPicture> make_map_picture(const MapWish& wish);
// What is on the map, each sign once.
std::vector<KeyEntry> map_key(const MapPicture& picture, const MapWish& wish);
void draw_map(Canvas& canvas, const MapPicture& picture);

}  // namespace brookmark::viewer

// Why: names must not lie over one another. The most wanted label takes its place first; the others try their
// other sides, or wait until the map is nearer.
// Use: LabelSpace space(box);  auto at = space.place({px, py}, 14, w, h, LabelSides::kAround);
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "viewer/map/leaders.hpp"

namespace brookmark::viewer {

enum class LabelSides : std::uint8_t {
  kAround,   // beside a mark, and clearly nearer to it than to any other
  kAside,    // around it, and farther away where nothing nearer is free: for what is joined to it by a line
  kCentred,  // on it or near
};

class LabelSpace {
 public:
  explicit LabelSpace(const PixelBox& box);

  // Keeps a box free of labels: a mark, a control over the map.
  void block(const PixelBox& box);
  bool is_free(const PixelBox& box) const;  // inside the map and over nothing
  // A mark that labels of others must keep their distance from; it blocks nothing by itself.
  void add_mark(Pixel middle, double radius);
  // Top left of a label of the given size, `gap` pixels from `anchor`: right, left, above, below, then the corners
  // and what lies between. Takes the place. Where a test is given, a place must also suit.
  std::optional<Pixel> place(Pixel anchor, double gap, double width, double height, LabelSides sides,
                             const std::function<bool(const PixelBox&)>& suits = {});

 private:
  void mark_cells(const PixelBox& box, std::uint32_t index);
  bool nearest_to(const PixelBox& box, Pixel anchor, double gap) const;
  PixelBox bounds_;
  long long columns_ = 1, rows_ = 1;
  std::vector<std::vector<std::uint32_t>> cells_, mark_cells_;
  std::vector<PixelBox> taken_;
  std::vector<Disc> marks_;
  double largest_radius_ = 0;
};

}  // namespace brookmark::viewer

// Why: names must not lie over one another. The most wanted label takes its place first; the others try their
// other sides, or wait until the map is nearer. Use: LabelSpace space(box);  auto at = space.place({px, py},
// 14, {w, h}, kAround);
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

enum class LabelSides : std::uint8_t { kAround, kCentred };

class LabelSpace {
 public:
  explicit LabelSpace(const PixelBox& box);

  // Keeps a box free of labels: a mark, a control over the map.
  void block(const PixelBox& box);
  bool is_free(const PixelBox& box) const;  // inside the map and over nothing
  // Top left of a label of the given size beside a mark of `gap` pixels around `anchor`: right, left, above, below,
  // then the corners; or centred on it or near. Takes the place. Where a test is given, a place must also suit.
  std::optional<Pixel> place(Pixel anchor, double gap, double width, double height, LabelSides sides,
                             const std::function<bool(const PixelBox&)>& suits = {});

 private:
  void mark_cells(const PixelBox& box, std::uint32_t index);
  PixelBox bounds_;
  long long columns_ = 1, rows_ = 1;
  std::vector<std::vector<std::uint32_t>> cells_;
  std::vector<PixelBox> taken_;
};

}  // namespace brookmark::viewer

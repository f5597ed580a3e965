// Why: names must not lie over one another, and should not lie on lines. The most wanted label takes its place first; the
// others try their other sides, have labels before them step to another of theirs, or wait until the map is nearer.
// Use: LabelSpace space(box);  auto at = space.place({px, py}, 14, w, h, LabelSides::kAround);
//      auto label = space.add_label(mark, 14, w, h);  ...  draw_at(space.box_of(*label));
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "viewer/map/leaders.hpp"
#include "viewer/map/line_cover.hpp"

namespace brookmark::viewer {

enum class LabelSides : std::uint8_t {
  kAround,   // beside a mark, and clearly nearer to it than to any other
  kAside,    // on all sides, the nearer before the farther: for what is joined to it by a line
  kRing,     // around it at this distance and no other: also joined by a line
  kCentred,  // on it or near
};

class LabelSpace {
 public:
  // Words keep `pad` pixels off one another, to their left and right.
  // `fixed`: a pixel that moves with the map.
  explicit LabelSpace(const PixelBox& box, double pad = 0, Pixel fixed = {});

  // Keeps a box free of labels: a mark, a control over the map.
  void block(const PixelBox& box);
  // Also what no line to a label may cross: words, signs.
  void block_words(const PixelBox& box);
  bool is_free(const PixelBox& box) const;   // inside the map and over nothing
  bool has_room(const PixelBox& box) const;  // for words: free, and not too near to others
  bool is_free_of_words(const PixelBox& box) const;
  // A mark that labels of others must keep their distance from; it blocks nothing by itself.
  void add_mark(Pixel middle, double radius);
  // A line that labels should keep off: of the free places that with the least line under it is taken.
  void add_line(Pixel from, Pixel to, double weight = 1) { lines_.add(from, to, weight); }
  double line_under(const PixelBox& box) const { return lines_.under(box); }
  // Top left of a label of the given size, `gap` pixels from `anchor`: right, left, above, below, then the corners
  // and what lies between; kAside in 24 directions, from the gap on up to 4.6 times `step` farther away (0: two thirds of
  // the gap). Takes the place. Where a test is given, a place must also suit.
  std::optional<Pixel> place(Pixel anchor, double gap, double width, double height, LabelSides sides,
                             const std::function<bool(const PixelBox&)>& suits = {}, double step = 0);

  // A label beside its mark (kAround) that may step to another of its sides for one that comes later; by its number.
  std::optional<std::size_t> add_label(Pixel anchor, double gap, double width, double height);
  // As add_label where no side is free: up to two labels in the way step aside, if each finds another side of its own.
  std::optional<std::size_t> add_label_by_moving(Pixel anchor, double gap, double width, double height);
  // When all have a place: each label goes to the best of the sides that are free now.
  void settle_labels();
  PixelBox box_of(std::size_t label) const { return taken_[labels_[label].taken].box; }

 private:
  struct Taken {
    PixelBox box;
    bool words = false;
    bool gone = false;  // its label has stepped aside
    std::optional<std::size_t> label;
  };
  struct Label {
    Pixel anchor;
    double gap = 0, width = 0, height = 0;
    std::uint32_t taken = 0;  // index of its box
  };
  bool is_inside(const PixelBox& box) const;
  template <class Visit>
  bool each_over(const PixelBox& box, const Visit& visit) const;
  std::uint32_t take(const PixelBox& box, bool words);
  std::optional<PixelBox> free_side(const Label& label) const;
  template <class Suits, class Cost>
  std::optional<PixelBox> best_of(const std::vector<Pixel>& places, double width, double height,
                                  const Suits& suits, const Cost& more_cost) const;
  double ambiguity(const PixelBox& box, Pixel anchor, double gap) const;
  template <class Visit>
  void each_other_mark(const PixelBox& box, double reach, Pixel anchor, const Visit& visit) const;
  void mark_cells(const PixelBox& box, std::uint32_t index);
  bool nearest_to(const PixelBox& box, Pixel anchor, double gap) const;
  PixelBox padded(const PixelBox& box) const {
    return {box.left - pad_, box.top, box.width + 2 * pad_, box.height};
  }
  PixelBox bounds_;
  double pad_ = 0;
  long long columns_ = 1, rows_ = 1;
  std::vector<std::vector<std::uint32_t>> cells_, mark_cells_;
  std::vector<Taken> taken_;
  std::vector<Label> labels_;
  std::vector<Disc> marks_;
  LineCover lines_;
  double largest_radius_ = 0;
};

}  // namespace brookmark::viewer

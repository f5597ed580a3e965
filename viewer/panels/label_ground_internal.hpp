// Why: whatever is written on the map keeps clear of the same things: marks with their rings, other signs, controls over
// the map, what is measured; it keeps off watercourses and edges where it can; and a line to a word crosses out nothing.
// One place knows them all.
// Use: class Words : private LabelGround { ... if (can_be_named(site_pixel(i))) ... };
#pragma once

#include <optional>
#include <vector>

#include "viewer/map/labels.hpp"
#include "viewer/panels/map_parts_internal.hpp"

namespace brookmark::viewer {

class LabelGround {
 protected:
  // `controls` lie over the map; kept by reference.
  LabelGround(const Ui& ui, const std::vector<PixelBox>& controls);

  // What stands below a control over the map is not seen, and its words would seem to be another's.
  bool is_below_control(Pixel at) const;
  bool can_be_named(Pixel at) const { return ui_.state.view.box.contains(at) && !is_below_control(at); }
  Pixel site_pixel(std::size_t site) const { return ui_.state.view.to_pixel(ui_.model.site_places()[site]); }
  bool is_chosen(std::size_t site) const { return ui_.state.site && ui_.state.site->value() == site; }
  // With the ring around it, if it has one.
  float site_radius(std::size_t site) const;
  float outfall_radius() const { return ui_.paint.frame.outfall_radius_px; }
  float site_gap(std::size_t site) const { return site_radius(site) + ui_.theme.em * 0.3F; }
  float outfall_gap() const { return outfall_radius() + ui_.theme.em * 0.35F; }
  void add_mark(core::PlanePoint place, double radius, double gap);
  bool is_covered(std::size_t outfall) const;
  // The marks that a line of this length from a pixel could meet.
  std::vector<Disc> discs_about(Pixel at, double reach_px) const;
  void add_disc(const Disc& disc) const { discs().push_back(disc); }  // of a mark that stands aside
  bool crosses_no_words(const Stroke& line, const PixelBox& own) const;
  // Words lie on a square box around each mark: near the end of the line that box is its own.
  bool crosses_nothing(const Stroke& line, const PixelBox& mark, Pixel place) const;
  void keep_free(const Stroke& line);
  // Words keep off the edge of a stretch on which the index falls, and off what is measured.
  void keep_free(const core::Line& stretch);
  void keep_measured_free();

  // A place farther away, and the line from there to a mark.
  struct Led {
    PixelBox box;
    std::vector<Stroke> pieces;  // of the line: those that no mark hides
    bool below_marks = false;
  };
  // Over nothing, and to no other mark's rim; `anyhow`: where that cannot be, below marks, but over no words.
  std::optional<Led> led_box(Pixel anchor, double radius, ImVec2 size, bool anyhow);
  // A covered outfall beside its place: its mark, at that end of the box which is nearer to it, and its words if any.
  struct Aside {
    OutfallWords form;
    ImVec2 extent;
    double side, pad;  // of the mark; between mark and words
    Pixel anchor;
    PixelBox box = {};
    std::vector<Stroke> lines = {};  // from the mark to its place, where no other mark hides them
    double width() const { return side + pad + static_cast<double>(extent.x); }
    PixelBox mark_box(const PixelBox& in) const {
      const bool to_the_left = in.left + in.width / 2 < anchor.x;
      return {to_the_left ? in.right() - side : in.left, in.top, side, side};
    }
  };
  // Near its place before anything else; with words where both find room together; with a line that crosses out neither a
  // mark nor a word, if that can be. Takes the place.
  Aside place_aside(std::size_t outfall, Pixel anchor);
  // Top left of a box close beside a part of a stretch that can be seen, the lower end first. Takes the place.
  std::optional<Pixel> beside(const core::Line& stretch, ImVec2 size);

  const Ui& ui_;
  const std::vector<PixelBox>& controls_;
  LabelSpace space_;
  std::vector<TraceMark> traced_;
  std::vector<MapBadge> badges_;
  GroundOnMap ground_;

 private:
  void keep_off_lines();
  std::vector<Disc>& discs() const;  // of all marks in view, as they are drawn
  std::vector<Pixel> pixels(const core::Line& line) const;
  mutable std::optional<std::vector<Disc>> discs_;
};

}  // namespace brookmark::viewer

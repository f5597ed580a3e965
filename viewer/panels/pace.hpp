// Why: where a frame takes long (no graphics hardware), a map that follows the hand matters more than fine lines. While it
// moves, lines are drawn as fine as this machine draws in time; fine again once it rests.
// Use: pace.follow(view, seconds_since_last_frame);  draw(segments * pace.share());  pace.frame_took(seconds);
#pragma once

#include <algorithm>
#include <optional>

#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

class Pace {
 public:
  // Taste, no source.
  static constexpr double kSlowFrame_s = 0.05;  // a frame that takes longer is drawn less fine the next time
  static constexpr double kRest_s = 0.2;        // after which the map counts as at rest
  static constexpr double kLeastShare = 0.15;   // of the segments

  // Once a frame, before it is drawn.
  void follow(const Viewport& view, double seconds) {
    const bool moved =
        last_ && (last_->centre != view.centre || last_->metres_per_pixel != view.metres_per_pixel);
    last_ = view;
    rested_s_ = moved ? 0 : rested_s_ + seconds;
    moves_ = moved || (moves_ && rested_s_ < kRest_s);
  }
  // How long the frame took, drawing and all.
  void frame_took(double seconds) {
    if (!moves_) return;
    if (seconds > kSlowFrame_s) learned_ = std::max(kLeastShare, learned_ * 0.7);
    if (seconds < kSlowFrame_s / 3) learned_ = std::min(1.0, learned_ * 1.05);
  }
  double share() const { return moves_ ? learned_ : 1; }
  bool is_coarse() const { return moves_ && learned_ < 1; }  // a finer frame is due once it rests

 private:
  std::optional<Viewport> last_;
  bool moves_ = false;
  double rested_s_ = 0, learned_ = 1;
};

}  // namespace brookmark::viewer

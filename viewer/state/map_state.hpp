// Why: how a person is looking at the map at this moment: how it glides, what is measured on it, which ground lies below.
// Plain values; changed only by viewer/actions/map_actions.hpp.
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "core/network/channels.hpp"
#include "viewer/state/viewport.hpp"

namespace brookmark::viewer {

// The map goes on a little after a hand has thrown it.
struct Glide {
  double x_px_s = 0, y_px_s = 0;  // of the map's content, logical pixels a second
  bool held = false;              // a hand is on it: the speed is kept for when it lets go
  bool moves() const { return !held && (x_px_s != 0 || y_px_s != 0); }
  bool operator==(const Glide&) const = default;
};

// How far, as the crow flies from corner to corner, and along the channel from the first to the last.
struct Measure {
  bool on = false;
  std::vector<core::LonLat> corners;
  std::vector<double> legs_m;  // geodesic, one less than corners
  std::optional<core::ChannelDistance>
      along;  // from the first corner to the last; nothing with fewer than two
  double total_m() const {
    double sum = 0;
    for (const double leg : legs_m) sum += leg;
    return sum;
  }
};
inline constexpr std::size_t kMostCorners = 500;

struct MapState {
  // The view as it was last chosen, and what was made of it since for a place of another size: opening a page and closing
  // it again brings the same view back.
  std::optional<Viewport> asked, given;
  // Of the map by what stands over it for a while (messages, cards of a tool), below the strip and above the foot; and as
  // much of it as the view was fitted clear of: the view does not move because a message comes or goes.
  double cards_top_px = 0, cards_bottom_px = 0, fitted_top_px = 0, fitted_bottom_px = 0;
  bool just_fitted = false;  // what stands over the map in the frame that shows it is not known yet
  Glide glide;
  Measure measure;
  std::optional<core::LonLat> found;        // a place that was asked for by its coordinates, until Esc
  std::optional<core::PlanePoint> pointer;  // the place under the pointer; nothing while it is elsewhere
  std::optional<std::string>
      background;  // key of the survey's layer that lies below; nothing: the plain paper
  // A file that lies below for a look at it, before the survey names it.
  std::optional<std::string> trial;
};

}  // namespace brookmark::viewer

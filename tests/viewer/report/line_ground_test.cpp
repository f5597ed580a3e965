// Whether a box lies clear of lines: the squares against the plain geometry.
#include <doctest/doctest.h>

#include <random>

#include "viewer/report/line_ground_internal.hpp"

namespace brookmark::viewer {
namespace {

double distance(Pixel p, Pixel a, Pixel b) {
  const double length = (b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y);
  const double t =
      length == 0 ? 0
                  : std::clamp(((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length, 0.0, 1.0);
  return std::hypot(p.x - a.x - t * (b.x - a.x), p.y - a.y - t * (b.y - a.y));
}

// From a segment to the nearest point of a box, by looking at many points of it.
double box_distance(const PixelBox& box, Pixel a, Pixel b) {
  double least = 1e9;
  for (int i = 0; i <= 20; ++i)
    for (int j = 0; j <= 20; ++j)
      least = std::min(least, distance({box.left + box.width * i / 20, box.top + box.height * j / 20}, a, b));
  return least;
}

}  // namespace

TEST_CASE("what is said to be clear of a line is, and what lies well away from it is said to be clear") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> anywhere(-20, 220);
  int clear = 0, covered = 0;
  for (int turn = 0; turn < 300; ++turn) {
    LineGround ground(200, 200);
    const std::vector<Pixel> line{{anywhere(random), anywhere(random)}, {anywhere(random), anywhere(random)}};
    ground.add(line, 3);
    for (int k = 0; k < 20; ++k) {
      const PixelBox box{std::clamp(anywhere(random), 0.0, 170.0), std::clamp(anywhere(random), 0.0, 190.0),
                         25, 9};
      const double away = box_distance(box, line[0], line[1]);
      const bool is_clear = ground.is_clear(box);
      // Half the pen, and the step between the points that are looked at, on the one side; a square and a pen on the other.
      if (away < 0.5) CHECK_FALSE(is_clear);
      if (away > 1.5 * std::sqrt(2.0) + 2 * 2 * std::sqrt(2.0)) CHECK(is_clear);
      ++(is_clear ? clear : covered);
    }
  }
  CHECK(clear > 1000);
  CHECK(covered > 200);
}

}  // namespace brookmark::viewer

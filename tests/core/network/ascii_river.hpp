// Why: a river in a test should look like a river. Draws reaches from text; one cell is 100 m.
// Use: AsciiRiver r(R"(
//          A   B
//           \ /
//            C
//            |
//            D
//      )");
//      build_channels(r.reaches());  r.at('A')
//
// * | / \ - are straight strokes; each becomes one reach. Water flows down the page, and along - to the
// right.
//   A ^ in a | stroke or a < in a - stroke turns that reach round; v and > may be drawn too.
// * A capital letter is a place where every stroke ends.
// * A small letter (not v) or + is a place or a crossing that a stroke passes when it goes on behind it, and
// where it
//   ends otherwise: an end drawn onto a passing line.
// * A stroke that meets nothing ends in the middle of its last cell.
#pragma once

#include <array>
#include <cctype>
#include <map>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "core/base/geometry.hpp"
#include "core/survey/types.hpp"

namespace brookmark::test {

inline constexpr double kCellM = 100;
inline constexpr double kDiagonalM = 141.4213562373095;  // 100 m * square root of 2
// The middle of the Atlantic, on nobody's river.
inline constexpr core::LonLat kInventedOrigin{-38, 40};

// A reach through places given in metres east and north of the invented origin.
inline core::Reach reach_through(const core::LocalFrame& frame, const std::vector<core::PlanePoint>& places,
                                 const std::string& name = {}) {
  core::Reach reach;
  reach.name = name;
  for (const core::PlanePoint& place : places) reach.line.push_back(frame.to_lonlat(place));
  return reach;
}

class AsciiRiver {
 public:
  explicit AsciiRiver(const std::string& drawing) : frame_(kInventedOrigin) {
    rows_.emplace_back();
    for (const char c : drawing) {
      if (c == '\n') {
        rows_.emplace_back();
      } else {
        rows_.back().push_back(c);
      }
    }
    for (int y = 0; y < height(); ++y) {
      for (int x = 0; x < width(y); ++x) {
        if (is_letter(cell(x, y))) places_[cell(x, y)] = {x, y};
      }
    }
    for (int y = 0; y < height(); ++y) {
      for (int x = 0; x < width(y); ++x) {
        if (const int stroke = stroke_of(cell(x, y)); stroke >= 0) trace(x, y, stroke);
      }
    }
  }

  const std::vector<core::Reach>& reaches() const { return reaches_; }
  core::LonLat at(char letter) const { return position(places_.at(letter).first, places_.at(letter).second); }
  // A place beside a letter, so many metres east and north of it.
  core::LonLat beside(char letter, double east_m, double north_m) const {
    const auto [x, y] = places_.at(letter);
    return frame_.to_lonlat({x * kCellM + east_m, -y * kCellM + north_m});
  }

 private:
  // Steps along the strokes | - \ / in their usual direction of flow.
  static constexpr std::array<std::pair<int, int>, 4> kStep{{{0, 1}, {1, 0}, {1, 1}, {-1, 1}}};

  static int stroke_of(char c) {
    switch (c) {
      case '|':
      case '^':
      case 'v':
        return 0;
      case '-':
      case '<':
      case '>':
        return 1;
      case '\\':
        return 2;
      case '/':
        return 3;
      default:
        return -1;
    }
  }
  static bool is_letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0 && c != 'v'; }
  static bool is_end(char c) { return is_letter(c) && std::isupper(static_cast<unsigned char>(c)) != 0; }
  static bool is_passing(char c) { return c == '+' || (is_letter(c) && !is_end(c)); }

  int height() const { return static_cast<int>(rows_.size()); }
  int width(int y) const { return static_cast<int>(rows_[static_cast<std::size_t>(y)].size()); }
  char cell(int x, int y) const {
    if (y < 0 || y >= height() || x < 0 || x >= width(y)) return ' ';
    return rows_[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)];
  }
  core::LonLat position(int x, int y) const { return frame_.to_lonlat({x * kCellM, -y * kCellM}); }

  // Walks from a stroke's cell to where the stroke ends; notes every cell of it.
  std::pair<int, int> walk(int x, int y, int stroke, int sign, std::set<std::pair<int, int>>& cells) const {
    const int dx = sign * kStep[static_cast<std::size_t>(stroke)].first;
    const int dy = sign * kStep[static_cast<std::size_t>(stroke)].second;
    while (true) {
      cells.insert({x, y});
      const char next = cell(x + dx, y + dy);
      if (is_end(next)) return {x + dx, y + dy};
      if (is_passing(next)) {
        const char behind = cell(x + 2 * dx, y + 2 * dy);
        if (stroke_of(behind) != stroke && !is_passing(behind)) return {x + dx, y + dy};
      } else if (stroke_of(next) != stroke) {
        return {x, y};
      }
      x += dx;
      y += dy;
    }
  }

  void trace(int x, int y, int stroke) {
    if (drawn_.count({x, y, stroke}) > 0) return;
    std::set<std::pair<int, int>> cells;
    auto begin = walk(x, y, stroke, -1, cells);
    auto end = walk(x, y, stroke, 1, cells);
    bool turned = false;
    for (const auto& [cx, cy] : cells) {
      drawn_.insert({cx, cy, stroke});
      turned = turned || cell(cx, cy) == '^' || cell(cx, cy) == '<';
    }
    if (turned) std::swap(begin, end);
    core::Reach reach;
    reach.name = "stroke " + std::to_string(reaches_.size() + 1);
    reach.line = {position(begin.first, begin.second), position(end.first, end.second)};
    reaches_.push_back(std::move(reach));
  }

  core::LocalFrame frame_;
  std::vector<std::string> rows_;
  std::map<char, std::pair<int, int>> places_;
  std::set<std::tuple<int, int, int>> drawn_;
  std::vector<core::Reach> reaches_;
};

}  // namespace brookmark::test

// Where the processor draws, lines are drawn a part in each frame onto a sheet: at rest it is the picture that is drawn at
// once.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <string>

#include "core/base/error.hpp"
#include "tests/support/files.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/platform/frame_times.hpp"
#include "viewer/platform/off_screen_view.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kMostFrames = 400;  // until all has come

// 400 winding brooks and 100 catchments, few sites: far more lines than are drawn in a frame.
core::Snapshot brooks() {
  constexpr double kSide_m = 20'000;
  core::Snapshot s = test::many_sites(40, kSide_m);
  std::uint64_t state = 3;
  const auto random = [&state] {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(state >> 11) / 9007199254740992.0;
  };
  for (int reach = 0; reach < 400; ++reach) {
    double x = (random() - 0.5) * kSide_m, y = (random() - 0.5) * kSide_m, way = random() * 6.28;
    core::Line line;
    for (int i = 0; i < 80; ++i) {
      line.push_back(test::ocean(x, y));
      way += (random() - 0.5) * 2.5;
      x += 45 * std::cos(way), y += 45 * std::sin(way);
    }
    s.reaches.push_back({"reach-" + std::to_string(reach), "Brook " + std::to_string(reach), line});
  }
  const double cell = kSide_m / 10;
  for (int n = 0; n < 100; ++n) {
    const double x = n % 10 * cell - kSide_m / 2, y = n / 10 * cell - kSide_m / 2;
    const core::Line ring = {test::ocean(x, y), test::ocean(x + cell * 0.9, y),
                             test::ocean(x + cell * 0.9, y + cell * 0.9), test::ocean(x, y + cell * 0.9),
                             test::ocean(x, y)};
    s.catchments.push_back({"key-" + std::to_string(n), "C" + std::to_string(n), "", {{{ring}}}});
  }
  return s;
}

// Frames until the lines are those of the view; the last one.
Picture settled(OffScreenView& view, int& frames) {
  Picture picture = view.seen();
  for (frames = 1; frames < kMostFrames && !view.is_whole(); ++frames) picture = view.seen();
  REQUIRE(view.is_whole());
  return picture;
}

// How many pixels differ by more than the rounding of two blends instead of one.
std::size_t differences(const Picture& a, const Picture& b) {
  REQUIRE(a.rgb.size() == b.rgb.size());
  std::size_t different = 0;
  for (std::size_t i = 0; i + 2 < a.rgb.size(); i += 3) {
    int most = 0;
    for (std::size_t k = i; k < i + 3; ++k) most = std::max(most, std::abs(a.rgb[k] - b.rgb[k]));
    different += most > 4 ? 1 : 0;
  }
  return different;
}

}  // namespace

TEST_CASE(
    "lines drawn in parts are at rest the lines drawn at once, also after the map was moved or came nearer") {
  const Model model(make_session(brooks()));
  OffScreenView view(model, 1023, 701);  // odd: the middle of the map lies on half a pixel
  const Picture first = view.picture();
  int frames = 0;
  CHECK(differences(settled(view, frames), first) == 0);
  const auto check = [&](const char* what, std::size_t most) {
    CAPTURE(what);
    const Picture seen = settled(view, frames);
    const Picture whole = view.picture();
    const std::size_t inked = differences(whole, first);
    CHECK(inked > 1000);  // another view
    CHECK(differences(seen, whole) <= most);
  };
  view.stage().apply(Pan{13, -9});
  check("a little aside", 30);  // floats of metres round otherwise at another place
  view.stage().apply(Pan{-260, 120});
  check("far aside", 30);
  view.stage().apply(ZoomCentre{1.7});
  view.seen();  // the old sheet, stretched
  CHECK(view.is_whole() != view.draws_in_parts());
  check("nearer", 30);
  view.stage().apply(ShowLayer{Layer::kCatchments, false});
  check("without catchments", 30);
  view.stage().apply(ShowLayer{Layer::kCatchmentClasses, true});
  view.picture();
  check("filled by class", 30);
  Settings settings = view.stage().state().settings;
  settings.look = Look::kDark;
  view.stage().apply(ChangeSettings{settings});
  check("dark", 30);
  view.resize(1280, 800);
  const Picture seen = settled(view, frames);
  CHECK(differences(seen, view.picture()) <= 30);
}

TEST_CASE("while the map moves on and on, its lines follow all the same") {
  const Model model(make_session(brooks()));
  OffScreenView view(model, 1023, 701);
  view.picture();
  int frames = 0;
  settled(view, frames);
  for (int i = 0; i < 60; ++i) {
    view.stage().apply(Pan{7, 0});
    view.seen();
  }
  // The newest frame against the whole one: what is not there yet is at most a strip.
  const Picture seen = view.seen(), whole = view.picture();
  CHECK(differences(seen, whole) * 20 <=
        static_cast<std::size_t>(whole.width) * static_cast<std::size_t>(whole.height));
}

TEST_CASE("how long frames take is written down, a whole row for each") {
  const test::TemporaryFolder folder;
  {
    FrameTimes times(folder / "frames.csv");
    times.begin(1.5);
    times.end(1.5125);
    times.begin(2);
    times.end(2.25);
  }
  std::ifstream in(folder / "frames.csv");
  std::string line;
  REQUIRE(std::getline(in, line));
  CHECK(line == "frame,start_s,wall_ms,own_ms");
  REQUIRE(std::getline(in, line));
  CHECK(line.rfind("1,1.500,12.50,", 0) == 0);
  REQUIRE(std::getline(in, line));
  CHECK(line.rfind("2,2.000,250.00,", 0) == 0);
  CHECK_FALSE(std::getline(in, line));
  CHECK_THROWS_WITH_AS(FrameTimes(folder / "no" / "frames.csv"), doctest::Contains("cannot be written"),
                       Error);
}

}  // namespace brookmark::viewer

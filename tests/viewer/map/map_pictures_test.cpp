// Pictures of the map: the ground below, catchments in class colours, gathered sites; without a display.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "tests/support/files.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/platform/off_screen_view.hpp"

namespace brookmark::viewer {
namespace {

Colour at(const Picture& p, double x, double y) {
  const auto i = static_cast<std::size_t>(static_cast<int>(y) * p.width + static_cast<int>(x)) * 3;
  return {p.rgb[i], p.rgb[i + 1], p.rgb[i + 2]};
}
int apart(Colour a, Colour b) {
  return std::abs(a.r - b.r) + std::abs(a.g - b.g) + std::abs(a.b - b.b);
}

}  // namespace

TEST_CASE(
    "a terrain model lies as light and shade below the map, and a lost one leaves the plain paper and a "
    "sentence") {
  core::Snapshot snapshot = test::sample_snapshot();
  core::BaseLayer layer;
  layer.key = "layer-1", layer.title = "Hills", layer.look = core::LayerLook::kHillshade;
  layer.file = test::reference("terrain/fractal_500.tif").string();
  layer.attribution = "Nobody's hills";
  snapshot.layers.push_back(layer);
  // The survey moved to where the terrain lies (zone 31, about 3.03 E 40.63 N).
  for (auto& p : snapshot.sites.position) p = {p.lon + 33.03, p.lat - 4.37};
  snapshot.outfalls.clear(), snapshot.reaches.clear(), snapshot.waters.clear(), snapshot.catchments.clear();
  const Model model(make_session(snapshot));
  for (const Look look : {Look::kDay, Look::kDark, Look::kSunlight}) {
    Settings settings;
    settings.look = look;
    OffScreenView view(model, 1280, 800, 1.0F, settings);
    view.stage().apply(ShowLayer{Layer::kSites, false});
    const Picture picture = view.picture();
    CHECK(view.stage().background().status().what == BackgroundStatus::What::kReady);
    CHECK(view.stage().background().attribution() == "Nobody's hills");
    CHECK_FALSE(view.stage().background().tiles().empty());
    // Along a row through the middle the paper is no longer of one colour.
    const PixelBox box = view.stage().state().view.box;
    int changes = 0;
    for (double x = box.left + 60; x < box.right() - 120; x += 3)
      changes +=
          apart(at(picture, x, box.top + box.height / 2), at(picture, x + 3, box.top + box.height / 2)) > 6
              ? 1
              : 0;
    CAPTURE(look_name(look));
    CHECK(changes > 40);
    // The same again is the same picture.
    CHECK(view.picture().rgb == picture.rgb);
    view.stage().apply(ShowBackground{});
    CHECK(at(view.picture(), box.left + box.width / 2, box.top + 200) == inks(look).paper);
  }
  snapshot.layers[0].file = "/nowhere/hills.tif";
  const Model lost(make_session(snapshot));
  OffScreenView view(lost, 1280, 800, 1.0F);
  view.picture();
  CHECK(view.stage().background().status().trouble.find("hills.tif") != std::string::npos);
}

TEST_CASE("a catchment is filled by the class in the middle of its sites, and does not tint its parts") {
  test::SurveyBuilder b;
  b.site("A", "", test::ocean(-500, 0));
  b.sample("2022-05-03", test::tray(1, 0));
  b.site("B", "", test::ocean(500, 0));
  b.sample("2022-05-03", test::tray(5, 0));
  b.catchment("W", "Whole",
              test::ocean_line({{-1000, -800}, {1000, -800}, {1000, 800}, {-1000, 800}, {-1000, -800}}));
  b.catchment("P", "Part", test::ocean_line({{0, -800}, {1000, -800}, {1000, 800}, {0, 800}, {0, -800}}));
  const Model model(make_session(b.snapshot));
  OffScreenView view(model, 1280, 800, 1.0F);
  view.stage().apply(ShowLayer{Layer::kLabels, false});
  const Picture plain = view.picture();
  view.stage().apply(ShowLayer{Layer::kCatchmentClasses, true});
  const Picture filled = view.picture();
  const State& state = view.stage().state();
  const core::Assessment& a = *model.assessment(state.choice, state.period());
  REQUIRE(a.catchments.size() == 2);
  const MarkColours& colours = view.stage().map_frame().colours;
  const auto expected = [&](std::size_t catchment) {
    const Colour fill =
        colours.fill[kColourFirstClass + static_cast<std::size_t>(a.catchments[catchment].median_rank) - 1];
    return between(inks(Look::kDay).paper, fill, inks(Look::kDay).fill_strength / 255.0);
  };
  const Pixel west = state.view.to_pixel(model.frame().to_plane(test::ocean(-400, 500)));
  const Pixel east = state.view.to_pixel(model.frame().to_plane(test::ocean(400, 500)));
  CHECK(at(plain, west.x, west.y) == inks(Look::kDay).paper);
  CHECK(apart(at(filled, west.x, west.y), expected(0)) <= 6);  // blending rounds
  CHECK(apart(at(filled, east.x, east.y), expected(1)) <= 6);
  CHECK(a.catchments[1].median_rank == 5);
}

TEST_CASE("sites that hide one another are one sign, which parts when it is tapped") {
  const Model model(make_session(test::many_sites(300, 2000)));
  OffScreenView view(model, 1280, 800, 1.0F);
  view.picture();
  view.stage().apply(ZoomCentre{0.02});
  view.picture();
  CHECK(view.stage().map_frame().site_marks.size() < 10);
  const double far = view.stage().state().view.metres_per_pixel;
  const PixelBox box = view.stage().state().view.box;
  const Pixel middle = view.stage().state().view.to_pixel({0, 0});
  for (const bool down : {false, true, true, false, false}) {
    const Pointer pointer{middle.x, middle.y, down};
    view.frame(&pointer);
  }
  static_cast<void>(box);
  CHECK(view.stage().state().view.metres_per_pixel < far / 4);
  CHECK_FALSE(view.stage().state().site);
}

TEST_CASE("ten thousand sites on one spot: the map stays usable, and a tap lists them") {
  const Model model(make_session(test::many_sites(10'000, 0)));
  OffScreenView view(model, 1280, 800, 1.0F);
  const Picture picture = view.picture();
  CHECK(view.stage().map_frame().site_marks.empty());  // one sign instead of ten thousand marks
  const Pixel spot = view.stage().state().view.to_pixel(model.site_places()[0]);
  for (const bool down : {false, true, true, false, false}) {
    const Pointer pointer{spot.x, spot.y, down};
    view.frame(&pointer);
  }
  CHECK(view.stage().state().desk.spot.sites.size() == 10'000);
  view.stage().apply(CloseSpot{});
  view.stage().apply(SelectSite{core::SiteIndex(7)});
  view.frame(nullptr);
  CHECK(view.stage().map_frame().site_marks.size() == 1);  // the chosen one stands alone
}

TEST_CASE("a thrown map goes on by itself and comes to rest") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800, 1.0F);
  view.picture();
  for (int i = 0; i <= 12; ++i) {
    const Pointer pointer{400.0 + 20 * i, 400, i < 12};
    view.frame(&pointer);
  }
  const double let_go = view.stage().state().view.centre.x;
  CHECK(view.stage().wants_frame());
  int frames = 0;
  while (view.stage().wants_frame() && frames < 600) view.frame(nullptr), ++frames;
  CHECK(view.stage().state().view.centre.x < let_go - 20 * view.stage().state().view.metres_per_pixel);
  CHECK(frames < 300);  // it sleeps again after a few seconds
}

}  // namespace brookmark::viewer

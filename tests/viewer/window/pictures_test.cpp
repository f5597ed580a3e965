// Pictures drawn without a display: what is on them, and that they are the same each time.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "core/base/error.hpp"
#include "core/store/survey_file.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "viewer/panels/layout.hpp"
#include "viewer/platform/desktop_window.hpp"
#include "viewer/platform/off_screen_view.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {

namespace {

Colour at(const Picture& p, double x, double y) {
  const auto i = static_cast<std::size_t>(static_cast<int>(y) * p.width + static_cast<int>(x)) * 3;
  return {p.rgb[i], p.rgb[i + 1], p.rgb[i + 2]};
}

Pixel pixel_of(const OffScreenView& view, const Stage& stage, const char* code) {
  static_cast<void>(view);
  const auto site = stage.model().snapshot().find_site(code);
  return stage.state().view.to_pixel(stage.model().site_places()[site->value()]);
}

bool alike(Colour a, Colour b) {  // blending rounds
  return std::abs(a.r - b.r) <= 2 && std::abs(a.g - b.g) <= 2 && std::abs(a.b - b.b) <= 2;
}

}  // namespace

TEST_CASE("each site has the colour of its class where the map says it is") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800);
  for (const char* method : {"bmwp-a", "family-biotic-index"}) {
    view.stage().apply(ChooseMetric{*find_choice(view.stage().model(), method, "")});
    const Picture picture = view.picture();
    const State& state = view.stage().state();
    const core::Assessment& a = *model.assessment(state.choice, state.date);
    const auto colours = class_colours(a.metric_info().bands.size());
    int painted = 0;
    for (std::size_t i = 0; i < model.snapshot().sites.size(); ++i) {
      if (a.sites[i].class_rank == 0) continue;
      const Pixel p = state.view.to_pixel(model.site_places()[i]);
      // Beside the rank written in the middle: two thirds of the way to the left edge of the mark.
      const double left = p.x - view.stage().map_frame().site_radius_px * 0.66;
      CAPTURE(model.snapshot().sites.code[i]);
      CHECK(alike(at(picture, left, p.y), colours[a.sites[i].class_rank - 1U]));
      ++painted;
    }
    CHECK(painted == 10);  // 13 sites less the pond, the empty ditch and the one never sampled
  }
}

TEST_CASE("the line of an outfall that stands aside never crosses out the site's mark") {
  test::SurveyBuilder b;
  b.site("A", "", test::ocean(0, 0));
  b.sample("2022-05-03", test::tray(5, 0));
  b.outfall("O", "", core::OutfallKind::kTrade, test::ocean(-1, 0));
  const Model model(make_session(b.snapshot));
  OffScreenView view(model, 1280, 800);
  const Picture picture = view.picture();
  const Pixel p = pixel_of(view, view.stage(), "A");
  const double r = view.stage().map_frame().site_radius_px;
  const core::Assessment& a = *model.assessment(view.stage().state().choice, view.stage().state().date);
  const Colour fill = class_colours(a.metric_info().bands.size())[a.sites[0].class_rank - 1U];
  for (int turn = 0; turn < 16; ++turn) {
    const double angle = turn * 3.14159265358979 / 8;
    CAPTURE(turn);
    CHECK(alike(at(picture, p.x + 0.72 * r * std::cos(angle), p.y + 0.72 * r * std::sin(angle)), fill));
  }
  // Beyond the rim it is there: to the left, since the site's own name stands to the right.
  double darkest = 1;
  for (int row = -2; row <= 2; ++row)
    darkest = std::min(darkest, luminance(at(picture, p.x - 1.45 * r, p.y + row)));
  CHECK(darkest < luminance(inks(Look::kDay).muted));
}

TEST_CASE("a closed outfall is drawn faded, one in use is not") {
  test::SurveyBuilder b;
  b.site("A", "", test::ocean(0, 0));
  b.sample("2022-05-03", test::tray(2, 0));
  b.outfall("O", "", core::OutfallKind::kTreatedSewage, test::ocean(100, 0));
  b.outfall("P", "", core::OutfallKind::kTreatedSewage, test::ocean(-100, 0));
  b.snapshot.outfalls[0].until = *core::parse_date("2021-12-31");
  const Model model(make_session(b.snapshot));
  OffScreenView view(model, 1280, 800);
  const Picture picture = view.picture();
  for (const std::size_t i : {0U, 1U}) {
    const Pixel p = view.stage().state().view.to_pixel(model.outfall_places()[i]);
    CHECK(alike(at(picture, p.x, p.y),
                i == 0 ? faded(inks(Look::kDay).outfall, inks(Look::kDay).paper) : inks(Look::kDay).outfall));
  }
}

TEST_CASE("a script that writes pictures needs no display") {
  const char* display = std::getenv("DISPLAY");
  const std::string kept = display ? display : "";
  unsetenv("DISPLAY");
  unsetenv("WAYLAND_DISPLAY");
  CHECK_FALSE(DesktopWindow::is_possible());
  const test::TemporaryFolder folder;
  core::SurveyInfo info;
  info.title = "Nothing yet";
  core::SurveyFile::create(folder / "a.brook", info);
  ViewOptions options;
  options.survey = folder / "a.brook";
  options.script = folder / "tour.txt";
  test::write_text(folder / "tour.txt", "picture \"" + (folder / "a.png").string() + "\"\n");
  view_survey(options);
  CHECK(test::read_text(folder / "a.png").substr(1, 3) == "PNG");
  test::write_text(folder / "tour.txt", "fit\n");  // one that shows nothing to anybody
  CHECK_THROWS_WITH_AS(view_survey(options), doctest::Contains("No window can be opened"), Error);
  if (display) setenv("DISPLAY", kept.c_str(), 1);
}

TEST_CASE("a survey half of whose sites have no position gives the picture of the other half") {
  core::Snapshot s = test::sample_snapshot();
  for (std::size_t i = 0; i < s.sites.size(); i += 2) s.sites.position[i] = core::kUnplaced;
  const Model model(make_session(s));
  OffScreenView view(model, 1280, 800);
  view.stage().apply(SelectSite{core::SiteIndex(0)});  // one without a position
  view.picture();
  view.stage().apply(ShowPage{Page::kDistance});
  const Picture picture = view.picture();
  const Pixel p = pixel_of(view, view.stage(), "T12");  // placed, and hollow: nothing was found in it
  CHECK(alike(at(picture, p.x - view.stage().map_frame().site_radius_px * 0.6, p.y),
              inks(Look::kDay).mark_ground));
}

TEST_CASE("a site without a class is hollow") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800);
  const Picture picture = view.picture();
  for (const char* code : {"T11", "T13"}) {
    const Pixel p = pixel_of(view, view.stage(), code);
    CHECK(alike(at(picture, p.x - view.stage().map_frame().site_radius_px * 0.6, p.y),
                inks(Look::kDay).mark_ground));
  }
}

TEST_CASE("the map is recoloured by the day") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800);
  const Pixel p = pixel_of(view, view.stage(), "T04");  // the works above it begin to fail
  const double left = p.x - view.stage().map_frame().site_radius_px * 0.66;
  const Colour late = at(view.picture(), left, p.y);
  view.stage().apply(SetDate{*core::parse_date("2021-05-11")});
  CHECK_FALSE(alike(late, at(view.picture(), left, p.y)));
}

TEST_CASE("a picture drawn twice is the same byte for byte") {
  const Model model(make_session(test::sample_snapshot()));
  const test::TemporaryFolder folder;
  const Script script = parse_script("size 1024 700\nquery site T05 any\nframes 3\n", "t");
  for (const char* name : {"a.png", "b.png"}) {
    OffScreenView view(model, 1280, 800);
    run_script(script, view);
    write_png(view.picture(), folder / name);
  }
  CHECK(test::read_text(folder / "a.png") == test::read_text(folder / "b.png"));
}

TEST_CASE("the path of a query is drawn along the channel") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800);
  // A corner of the invented channel between T05 and the works: 60 m east, 900 m north.
  const Pixel corner = view.stage().state().view.to_pixel(model.frame().to_plane(test::ocean(60, 900)));
  CHECK_FALSE(alike(at(view.picture(), corner.x, corner.y), inks(Look::kDay).query));
  view.stage().apply(QueryFromSite{*model.snapshot().find_site("T05")});
  CHECK(alike(at(view.picture(), corner.x, corner.y), inks(Look::kDay).query));
}

TEST_CASE("clicks of a script reach the buttons of the window") {
  const Model model(make_session(test::sample_snapshot()));
  OffScreenView view(model, 1280, 800);
  const double before = view.stage().state().view.metres_per_pixel;
  const PixelBox map = lay_out(1280, 800, view.stage().em()).map;
  run_script(
      parse_script("click " + std::to_string(map.right() - 30) + " " + std::to_string(map.top + 30) + "\n",
                   "t"),
      view);
  CHECK(view.stage().state().view.metres_per_pixel < before);
}

TEST_CASE("an empty survey, ten thousand sites in one spot and a tiny window all give a picture") {
  const Model empty(make_session(test::empty_snapshot()));
  {
    OffScreenView view(empty, 1024, 700);
    const Picture picture = view.picture();
    CHECK(alike(at(picture, 60, 350), inks(Look::kDay).paper));
    CHECK(alike(at(picture, 120, 308), inks(Look::kDay).note));  // the card with what to begin with
  }
  const Model spot(make_session(test::many_sites(10000, 0)));
  {
    OffScreenView view(spot, 1024, 700);
    CHECK(view.picture().rgb.size() == 1024U * 700 * 3);
  }
  const Model sample(make_session(test::sample_snapshot()));
  OffScreenView view(sample, 200, 100);
  CHECK(view.picture().rgb.size() == 200U * 100 * 3);
}

TEST_CASE("a picture of no size or of far too many pixels is refused in words") {
  const Model model(make_session(test::empty_snapshot()));
  CHECK_THROWS_WITH_AS(OffScreenView(model, 0, 100), doctest::Contains("cannot be drawn"), Error);
  CHECK_THROWS_WITH_AS(OffScreenView(model, 1000000, 100), doctest::Contains("cannot be drawn"), Error);
}

TEST_CASE("without a display the window names the way to a picture") {
  const char* display = std::getenv("DISPLAY");
  const std::string kept = display ? display : "";
  unsetenv("DISPLAY");
  unsetenv("WAYLAND_DISPLAY");
  const Model model(make_session(test::empty_snapshot()));
  CHECK_THROWS_WITH_AS(DesktopWindow(model, 640, 480), doctest::Contains("--screenshot"), Error);
  if (display) setenv("DISPLAY", kept.c_str(), 1);
}

}  // namespace brookmark::viewer

// The words on the map, in many scenes: none over another, over a mark or over a panel; each clearly at its own mark.
#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "tests/viewer/map/words_fixture.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/panels/pace.hpp"
#include "viewer/panels/stage.hpp"

namespace brookmark::viewer {
namespace {

// The marks of sites as they are drawn, and how many of those that can be seen bear no name.
struct Marks {
  std::vector<Disc> discs;  // of sites that stand alone, then signs
  std::vector<std::size_t> sites;
  std::size_t unnamed = 0, in_sight = 0;
  std::string without;
};
Marks marks_of(const Demo& demo) {
  Marks marks;
  const State& state = demo.stage.state();
  const std::optional<std::size_t> chosen = state.site ? std::optional(state.site->value()) : std::nullopt;
  GatheredSites gathered;
  gathered.follow(demo.model, state.view, demo.stage.em(), chosen);
  for (const std::uint32_t i : gathered.singles()) {
    const Pixel p = state.view.to_pixel(demo.model.site_places()[i]);
    marks.discs.push_back({p, demo.stage.map_frame().site_radius_px});
    marks.sites.push_back(i);
    if (!state.view.box.contains(p) || demo.is_below_control(p)) continue;
    ++marks.in_sight;
    if (demo.stage.map_names().sites.contains(i)) continue;
    ++marks.unnamed;
    marks.without += std::string(demo.model.snapshot().sites.code[i]) + " ";
  }
  for (const std::uint32_t sign : gathered.signs())
    marks.discs.push_back(
        {state.view.to_pixel(gathered.clusters().clusters()[sign].place), gathered.sign_radius_px()});
  return marks;
}

void check_words(const Demo& demo, const std::string& scene) {
  CAPTURE(scene);
  const auto& words = demo.stage.map_words();
  const auto& falls = demo.stage.fall_numbers();
  const State& state = demo.stage.state();
  const Marks marks = marks_of(demo);
  for (std::size_t i = 0; i < words.size(); ++i) {
    const MapWord& word = words[i];
    CAPTURE(word.words);
    CHECK((word.box.left >= state.view.box.left && word.box.top >= state.view.box.top &&
           word.box.right() <= state.view.box.right() && word.box.bottom() <= state.view.box.bottom()));
    for (std::size_t k = 0; k < i; ++k) {
      CAPTURE(words[k].words);
      CHECK_FALSE(overlap(word.box, words[k].box));
    }
    for (const PixelBox& box : demo.stage.map_controls())
      if (box.width > 0) CHECK_FALSE(overlap(word.box, box));
    for (const PixelBox& fall : falls) CHECK_FALSE(overlap(word.box, fall));
    for (const Disc& disc : marks.discs) CHECK(distance(word.box, disc.middle) >= disc.radius);
    if (!word.mark) continue;
    CHECK_FALSE(demo.is_below_control(*word.mark));
    std::vector<std::string> codes;  // of sites whose mark this is
    double nearest_other = 1e9;
    for (std::size_t m = 0; m < marks.discs.size(); ++m) {
      if (m < marks.sites.size() && apart(marks.discs[m].middle, *word.mark) < 1.5)
        codes.emplace_back(demo.model.snapshot().sites.code[marks.sites[m]]);
      else
        nearest_other =
            std::min(nearest_other, distance(word.box, marks.discs[m].middle) - marks.discs[m].radius);
    }
    if (!codes.empty())
      CHECK(std::any_of(codes.begin(), codes.end(),
                        [&](const std::string& code) { return word.words.rfind(code, 0) == 0; }));
    if (word.line && word.below_marks) {  // a chosen one in a crowd: its ring shows where the line goes on
      CHECK(state.site);
      CHECK(std::find(codes.begin(), codes.end(), demo.model.snapshot().sites.code[state.site->value()]) !=
            codes.end());
    } else if (word.line) {
      CHECK(apart(word.line->to, *word.mark) <= word.reach_px + 1);
      CHECK(distance(word.box, word.line->from) <= 4);
      for (const MapWord& other : words)
        if (&other != &word) CHECK_FALSE(crosses(*word.line, other.box));
      for (const PixelBox& fall : falls) CHECK_FALSE(crosses(*word.line, fall));
      for (const Disc& disc : marks.discs)
        if (apart(disc.middle, *word.mark) > 1.5) CHECK(distance(*word.line, disc.middle) >= disc.radius);
    } else {
      CHECK(distance(word.box, *word.mark) - word.reach_px < nearest_other);
    }
  }
  for (const PixelBox& fall : falls)
    for (const Disc& disc : marks.discs) CHECK(distance(fall, disc.middle) >= disc.radius);
}

}  // namespace

TEST_CASE("no word of the map lies over another, over a mark or over a panel, and each is at its own mark") {
  struct Size {
    double width, height;
    Display display;
  };
  for (const Size& size : {Size{1024, 700, {}}, Size{1280, 800, {}}, Size{2560, 1440, {}},
                           Size{2560, 1440, {1.8F, 96 / 25.4 * 1.8}}, Size{1024, 700, {2, 96 / 25.4 * 2}}}) {
    Demo demo(size.width, size.height, size.display);
    const std::string name = std::to_string(static_cast<int>(size.width)) + " x " +
                             std::to_string(static_cast<int>(size.height)) + " at " +
                             std::to_string(static_cast<int>(size.display.scale * 10)) + " tenths: ";
    check_words(demo, name + "everything");
    for (const char* code : {"Q04", "K01", "Q09", "R01"}) {
      if (!demo.model.snapshot().find_site(code)) continue;
      demo.stage.apply(SelectSite{demo.site(code)});
      for (const Page page : {Page::kSite, Page::kTable, Page::kDistance, Page::kClean, Page::kKey}) {
        demo.stage.apply(ShowPage{page});
        demo.draw();
        check_words(demo, name + code + " on page " + std::to_string(static_cast<int>(page)));
      }
    }
    demo.stage.apply(ClearAll{});
    demo.stage.apply(ClearAll{});
    if (demo.stage.state().view.box.width < 1) demo.stage.apply(ShowPanel{false});
    demo.stage.apply(StartMeasure{});
    for (const char* code : {"E02", "Q04", "W01"})
      demo.stage.apply(AddCorner{demo.model.snapshot().sites.position[demo.site(code).value()]});
    demo.draw();
    check_words(demo, name + "measuring");
    demo.stage.apply(EndMeasure{});
    for (int i = 0; i < 6; ++i) {
      demo.stage.apply(ZoomCentre{1.5});
      demo.stage.apply(Pan{i * 7.0, -i * 11.0});
      demo.draw();
      check_words(demo, name + "nearer " + std::to_string(i));
    }
  }
}

TEST_CASE("where there is room every site in sight bears its name, and a chosen one always") {
  {
    Demo crowded(1280, 800);  // at a pumping station and where two brooks meet there is hardly any
    const Marks marks = marks_of(crowded);
    CAPTURE(marks.without);
    CHECK(marks.in_sight >= 20);
    CHECK(marks.unnamed * 20 <= marks.in_sight);
  }
  for (const auto& [width, height] : {std::pair{1024.0, 700.0}, {1280.0, 800.0}})
    for (const Page page : {Page::kSite, Page::kTable, Page::kClean, Page::kDistance}) {
      Demo demo(width, height);
      for (std::size_t i = 0; i < demo.model.snapshot().sites.size(); ++i) {
        demo.stage.apply(SelectSite{core::SiteIndex(i)});
        demo.stage.apply(ShowPage{page});
        demo.draw();
        CAPTURE(std::string(demo.model.snapshot().sites.code[i]));
        CAPTURE(width);
        CAPTURE(static_cast<int>(page));
        CHECK(demo.stage.map_names().sites.contains(i));
      }
    }
  Demo demo(1900, 1200);
  Marks marks = marks_of(demo);
  CAPTURE(marks.without);
  CHECK(marks.in_sight >= 20);
  CHECK(marks.unnamed == 0);
  demo.stage.apply(ShowPanel{false});
  demo.draw();
  marks = marks_of(demo);
  CHECK(marks.in_sight >= 20);
  CHECK(marks.unnamed == 0);
}

TEST_CASE("a label steps aside for one that has no other side") {
  LabelSpace space({0, 0, 200, 100});
  const auto mark = [&](Pixel p) {
    space.add_mark(p, 8);
    space.block({p.x - 9, p.y - 9, 18, 18});
  };
  mark({60, 50});
  mark({150, 50});
  space.block({0, 0, 200, 36});                              // above both
  space.block({0, 64, 200, 36});                             // below both
  space.block({160, 36, 40, 28});                            // to the right of the second
  const auto first = space.add_label({60, 50}, 12, 60, 12);  // takes its right: 72..132
  REQUIRE(first);
  CHECK(space.box_of(*first).left > 60);
  CHECK_FALSE(space.add_label({150, 50}, 12, 40, 12));
  // 48 pixels lie to the left of the first mark: it has no other side, and nothing moves.
  CHECK_FALSE(space.add_label_by_moving({150, 50}, 12, 40, 12));
  CHECK(space.box_of(*first).left > 60);

  LabelSpace wider({0, 0, 200, 100});
  for (const Pixel p : {Pixel{80, 50}, {170, 50}}) {
    wider.add_mark(p, 8);
    wider.block({p.x - 9, p.y - 9, 18, 18});
  }
  wider.block({0, 0, 200, 36});
  wider.block({0, 64, 200, 36});
  wider.block({180, 36, 20, 28});
  const auto before = wider.add_label({80, 50}, 12, 60, 12);  // 92..152, or 8..68
  REQUIRE(before);
  const auto second = wider.add_label_by_moving({170, 50}, 12, 40, 12);  // 118..158
  REQUIRE(second);
  CHECK(wider.box_of(*before).right() <= 68.0);
  CHECK(wider.box_of(*second).right() <= 158.0);
  CHECK_FALSE(overlap(wider.box_of(*before), wider.box_of(*second)));
}

TEST_CASE("what is in view stays in view when a page makes the map narrower, and comes back with it") {
  Demo demo(1024, 700);
  demo.stage.apply(ShowPanel{false});
  demo.draw();
  const auto all_in_sight = [&] {
    for (const core::PlanePoint p : demo.model.site_places()) {
      const Pixel at = demo.stage.state().view.to_pixel(p);
      if (!demo.stage.state().view.box.contains(at) || demo.is_below_control(at)) return false;
    }
    return true;
  };
  CHECK(all_in_sight());
  const Viewport whole = demo.stage.state().view;
  demo.stage.apply(ShowPage{Page::kTable});
  demo.draw();
  CHECK(demo.stage.state().view.box.width < whole.box.width * 0.6);
  CHECK(all_in_sight());
  demo.stage.apply(ShowPanel{false});
  demo.draw();
  CHECK(demo.stage.state().view == whole);

  demo.stage.apply(ZoomCentre{3});
  demo.draw();
  const Viewport near = demo.stage.state().view;
  const PlaneBox seen = near.shown();
  demo.stage.apply(ShowPage{Page::kTable});
  demo.draw();
  const PlaneBox now = demo.stage.state().view.shown();
  constexpr double kRounding_m = 1e-6;  // of doubles
  CHECK((now.min_x <= seen.min_x + kRounding_m && now.max_x >= seen.max_x - kRounding_m &&
         now.min_y <= seen.min_y + kRounding_m && now.max_y >= seen.max_y - kRounding_m));
  demo.stage.apply(ShowPanel{false});
  demo.draw();
  CHECK(demo.stage.state().view == near);
  demo.stage.apply(ShowPage{Page::kTable});
  demo.draw();
  demo.stage.apply(Pan{40, 0});  // moved by hand: this is what is kept now
  demo.draw();
  const Viewport moved = demo.stage.state().view;
  demo.stage.apply(ShowPanel{false});
  demo.draw();
  CHECK(demo.stage.state().view.centre == moved.centre);
  CHECK(demo.stage.state().view.metres_per_pixel == moved.metres_per_pixel);
}

TEST_CASE("the paths of a query are shown on the page of distances and nowhere else") {
  Demo demo(1280, 800);
  demo.stage.apply(QueryFromSite{demo.site("Q04")});
  demo.draw();
  const auto lit = [&] {
    const auto& marks = demo.stage.map_frame().outfall_marks;
    return std::count_if(marks.begin(), marks.end(),
                         [](const Mark& m) { return m.colour % kFaded == kColourLit; });
  };
  REQUIRE(demo.stage.state().page == Page::kDistance);
  CHECK_FALSE(demo.stage.map_frame().paths->all.empty());
  CHECK(lit() > 0);
  for (const Page page : {Page::kKey, Page::kSite, Page::kClean, Page::kTable}) {
    demo.stage.apply(ShowPage{page});
    demo.draw();
    CHECK(demo.stage.map_frame().paths->all.empty());
    CHECK(lit() == 0);
    for (const MapWord& word : demo.stage.map_words()) CHECK(word.words.find("\u2191") == std::string::npos);
  }
  demo.stage.apply(ShowPage{Page::kDistance});
  demo.draw();
  CHECK_FALSE(demo.stage.map_frame().paths->all.empty());  // the answer was kept
  demo.stage.apply(ClearQuery{});
  demo.draw();
  CHECK(demo.stage.map_frame().paths->all.empty());
}

TEST_CASE("where frames are slow the moving map is drawn less fine, and fine again at rest") {
  Pace pace;
  Viewport view;
  const auto frame = [&](double took) {
    pace.follow(view, 1.0 / 60);
    pace.frame_took(took);
  };
  frame(0.2);
  CHECK(pace.share() == 1);  // it has not moved
  for (int i = 0; i < 30; ++i) {
    view.centre.x += 1;
    frame(0.2);
  }
  pace.follow(view, 1.0 / 60);
  CHECK(pace.share() == Pace::kLeastShare);
  CHECK(pace.is_coarse());
  for (int i = 0; i < 14; ++i) frame(0.02);  // 14 / 60 s > 0.2 s
  CHECK(pace.share() == 1);
  CHECK_FALSE(pace.is_coarse());
  for (int i = 0; i < 100; ++i) {  // a machine that has become fast
    view.centre.x += 1;
    frame(0.004);
  }
  CHECK(pace.share() == 1);
}

TEST_CASE("with one finger, a tap and then a slide comes nearer about the place that was tapped") {
  Demo demo(1280, 800);
  const Viewport before = demo.stage.state().view;
  const Pixel at{200, 400};
  const core::PlanePoint place = before.to_plane(at);
  const auto pointer = [&](double y, bool down) {
    ImGui::GetIO().MousePos = {static_cast<float>(at.x), static_cast<float>(y)};
    ImGui::GetIO().MouseDown[0] = down;
    demo.stage.draw();
  };
  pointer(at.y, false);
  pointer(at.y, true);
  pointer(at.y, false);
  pointer(at.y, true);
  pointer(at.y + 20, true);
  pointer(at.y + 80, true);
  pointer(at.y + 80, false);
  demo.draw();
  const Viewport after = demo.stage.state().view;
  // Eight font heights for twice as near.
  CHECK(std::abs(before.metres_per_pixel / after.metres_per_pixel - std::exp2(80 / (8 * demo.stage.em()))) <
        1e-9);
  CHECK(apart(after.to_pixel(place), at) < 1e-6);
  CHECK_FALSE(demo.stage.state().map.glide.moves());
}

TEST_CASE("for fingers the seasons are as wide as a fingertip too, at every size") {
  for (const auto& [width, height, scale] :
       {std::tuple{1024.0, 700.0, 1.0}, {1024.0, 700.0, 2.0}, {1280.0, 800.0, 1.0}, {2560.0, 1440.0, 1.0}}) {
    Demo demo(width, height);
    Settings settings = demo.stage.state().settings;
    settings.touch = true;
    settings.scale = scale;
    demo.stage.apply(ChangeSettings{settings});
    for (const bool panel : {true, false}) {
      demo.stage.apply(ShowPage{Page::kTable});
      demo.stage.apply(ShowPanel{panel});
      demo.draw();
      if (panel && !demo.stage.target("Winter")) continue;  // the page has all of a narrow window
      const double least = kTouchTarget_mm * demo.stage.display().px_per_mm;
      double right = -1;
      for (const char* season : {"Winter", "Spring", "Summer", "Autumn"}) {
        const auto box = demo.stage.target(season);
        CAPTURE(season);
        CAPTURE(width);
        CAPTURE(scale);
        REQUIRE(box);
        CHECK(box->width >= least);
        CHECK(box->height >= least);
        CHECK(box->left >= right);
        right = box->right();
      }
      CHECK(right <= demo.stage.state().view.box.right());
    }
  }
}

}  // namespace brookmark::viewer

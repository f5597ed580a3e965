// Words beside what stands on the map only now and then: suggestions and ground that keeps them away, signs of going clean,
// numbers of falls; and words beside lines.
#include <doctest/doctest.h>
#include <imgui.h>

#include <limits>
#include <random>
#include <string>
#include <vector>

#include "tests/viewer/map/words_fixture.hpp"
#include "tests/viewer/window/frames.hpp"
#include "viewer/map/gathered_sites.hpp"
#include "viewer/map/labels.hpp"

namespace brookmark::viewer {
namespace {

struct Size {
  double width, height;
  Display display;
};
std::vector<Size> sizes() {
  return {{1024, 700, {}},
          {1280, 800, {}},
          {2560, 1440, {}},
          {2560, 1440, {1.8F, 96 / 25.4 * 1.8}},
          {1024, 700, {2, 96 / 25.4 * 2}}};
}
std::string name_of(const Size& size) {
  return std::to_string(static_cast<int>(size.width)) + " x " +
         std::to_string(static_cast<int>(size.height)) + " at " +
         std::to_string(static_cast<int>(size.display.scale * 10)) + " tenths";
}

// Sites and signs as they are drawn.
std::vector<Disc> discs_of(const Demo& demo) {
  std::vector<Disc> discs;
  const State& state = demo.stage.state();
  GatheredSites gathered;
  gathered.follow(demo.model, state.view, demo.stage.em(),
                  state.site ? std::optional(state.site->value()) : std::nullopt);
  for (const std::uint32_t i : gathered.singles())
    discs.push_back(
        {state.view.to_pixel(demo.model.site_places()[i]), demo.stage.map_frame().site_radius_px});
  for (const std::uint32_t sign : gathered.signs())
    discs.push_back(
        {state.view.to_pixel(gathered.clusters().clusters()[sign].place), gathered.sign_radius_px()});
  return discs;
}

void check_clear(const Demo& demo, const std::vector<PixelBox>& own_signs, const std::string& scene) {
  CAPTURE(scene);
  const auto& words = demo.stage.map_words();
  const std::vector<Disc> discs = discs_of(demo);
  for (std::size_t i = 0; i < words.size(); ++i) {
    CAPTURE(words[i].words);
    for (std::size_t k = 0; k < i; ++k) {
      CAPTURE(words[k].words);
      CHECK_FALSE(overlap(words[i].box, words[k].box));
    }
    for (const Disc& disc : discs) CHECK(distance(words[i].box, disc.middle) >= disc.radius);
    for (const PixelBox& box : demo.stage.fall_numbers()) CHECK_FALSE(overlap(words[i].box, box));
    for (const PixelBox& box : demo.stage.map_badges()) CHECK_FALSE(overlap(words[i].box, box));
    for (const PixelBox& box : own_signs) CHECK_FALSE(overlap(words[i].box, box));
    for (const PixelBox& box : demo.stage.map_controls())
      if (box.width > 0) CHECK_FALSE(overlap(words[i].box, box));
  }
}

// Where the suggested spots and the squares of ground are, found anew from the answer and the survey.
std::vector<PixelBox> spots_and_squares(const Demo& demo) {
  std::vector<PixelBox> boxes;
  const double em = demo.stage.em();
  const auto add = [&](core::LonLat place, double r) {
    const Pixel p = demo.pixel(place);
    if (demo.stage.state().view.box.contains(p)) boxes.push_back({p.x - r, p.y - r, 2 * r, 2 * r});
  };
  // A number that stands aside leaves a dot at its spot.
  const auto& list = demo.stage.state().design.answer.list;
  const auto& tags = demo.stage.suggestion_tags();
  for (std::size_t i = 0; i < list.size(); ++i) {
    const bool aside = std::any_of(tags.begin(), tags.end(),
                                   [i](const SuggestionTag& tag) { return tag.row == i && tag.aside; });
    add(list[i].spot.position, em * (aside ? 0.19 : 0.85));
  }
  if (demo.stage.state().page == Page::kSuggest)
    for (const core::Ground& ground : demo.model.snapshot().grounds)
      if (const auto* point = std::get_if<core::LonLat>(&ground.shape)) add(*point, em * 0.3);
  return boxes;
}

// Presses and lets go of what bears these words.
bool tap(Demo& demo, const std::string& words) {
  for (const Target& target : demo.stage.targets()) {
    if (target.words.rfind(words, 0) != 0) continue;
    ImGui::GetIO().MousePos = {static_cast<float>(target.box.left + target.box.width / 2),
                               static_cast<float>(target.box.top + target.box.height / 2)};
    demo.draw();
    ImGui::GetIO().MouseDown[0] = true;
    draw_frames(demo.stage);
    ImGui::GetIO().MouseDown[0] = false;
    demo.draw();
    return true;
  }
  return false;
}

}  // namespace

TEST_CASE("on the page of suggestions no word lies over a spot, a square of ground, a mark or another word") {
  for (const Size& size : sizes()) {
    Demo demo(size.width, size.height, size.display);
    demo.stage.apply(ShowPage{Page::kSuggest});
    demo.stage.apply(AskSuggestions{});
    demo.draw();
    REQUIRE_FALSE(demo.stage.state().design.answer.list.empty());
    if (demo.stage.state().view.box.width < 1) continue;  // the page has all of a narrow window
    for (int i = 0; i < 6; ++i) {
      const auto own = spots_and_squares(demo);
      check_clear(demo, own, name_of(size) + ", " + std::to_string(i));
      if (i == 0) CHECK(own.size() > demo.stage.state().design.answer.list.size());
      demo.stage.apply(ZoomCentre{1.5});
      demo.draw();
    }
    demo.stage.apply(Fit{});
    demo.stage.apply(ZoomCentre{0.6});
    demo.draw();
    check_clear(demo, spots_and_squares(demo), name_of(size) + ", farther");
    // Near a way in its name is told.
    for (const core::Ground& ground : demo.model.snapshot().grounds) {
      const auto* point = std::get_if<core::LonLat>(&ground.shape);
      if (point == nullptr || ground.kind != core::GroundKind::kAccess) continue;
      const State& state = demo.stage.state();
      const Pixel at = demo.pixel(*point);
      const PixelBox& map = state.view.box;
      demo.stage.apply(Pan{map.left + map.width / 2 - at.x, map.top + map.height / 2 - at.y});
      demo.stage.apply(ZoomCentre{state.view.metres_per_pixel / 2});
      demo.draw();
      CAPTURE(ground.name);
      CAPTURE(map.width);
      const auto& words = demo.stage.map_words();
      CHECK(std::any_of(words.begin(), words.end(), [&](const MapWord& word) {
        return word.words.find(ground.name) != std::string::npos;
      }));
      check_clear(demo, spots_and_squares(demo), name_of(size) + ", at " + ground.name);
    }
  }
}

TEST_CASE("on the page of going clean no word lies over a sign, and no sign over another or over a mark") {
  for (const Size& size : sizes()) {
    Demo demo(size.width, size.height, size.display);
    demo.stage.apply(ShowPage{Page::kClean});
    demo.draw();
    if (demo.stage.state().view.box.width < 1) continue;
    std::size_t signs = 0;
    for (const double nearer : {0.6, 1.0, 1.6, 2.5, 4.0}) {
      demo.stage.apply(Fit{});
      demo.stage.apply(ZoomCentre{nearer});
      demo.draw();
      const std::string scene = name_of(size) + ", " + std::to_string(nearer);
      check_clear(demo, {}, scene);
      const auto& badges = demo.stage.map_badges();
      signs += badges.size();
      for (std::size_t i = 0; i < badges.size(); ++i)
        for (std::size_t k = 0; k < i; ++k) CHECK_FALSE(overlap(badges[i], badges[k]));
      if (nearer < 1.5) continue;  // in a crowd all four corners may be taken
      CAPTURE(scene);
      for (const PixelBox& badge : badges)
        for (const Disc& disc : discs_of(demo)) CHECK(distance(badge, disc.middle) >= disc.radius * 0.9);
    }
    CHECK(signs > 0);
  }
}

TEST_CASE("stops of a planned round are signs too, and words keep off the way between them where they can") {
  Demo demo(1280, 800);
  demo.stage.apply(ShowPage{Page::kClean});
  for (const char* code : {"Q02", "Q05", "P01", "S01"}) {
    demo.stage.apply(SelectSite{demo.site(code)});
    demo.stage.apply(ShowPage{Page::kClean});
    demo.draw();
    REQUIRE(tap(demo, std::string("Add ") + code));
  }
  const std::size_t before = demo.stage.map_badges().size();
  REQUIRE(tap(demo, "Plan the round"));
  CHECK(demo.stage.map_badges().size() == before + 4);
  for (const double nearer : {1.0, 1.5, 2.0}) {
    demo.stage.apply(ZoomCentre{nearer});
    demo.draw();
    check_clear(demo, {}, "a round, " + std::to_string(nearer));
  }
}

TEST_CASE("the number of a fall stands close to its stretch or to its lower site, however near the map is") {
  for (const Size& size : sizes()) {
    Demo demo(size.width, size.height, size.display);
    const double em = demo.stage.em();
    demo.stage.apply(ShowPanel{false});
    std::size_t seen = 0;
    for (const double nearer : {0.35, 0.5, 0.7, 1.0, 1.5, 2.5, 4.0}) {
      demo.stage.apply(Fit{});
      demo.stage.apply(ZoomCentre{nearer});
      demo.draw();
      CAPTURE(name_of(size));
      CAPTURE(nearer);
      const State& state = demo.stage.state();
      const auto* drops = demo.model.drops(state.choice, state.period());
      REQUIRE(drops != nullptr);
      const std::vector<Disc> discs = discs_of(demo);
      for (const PixelBox& box : demo.stage.fall_numbers()) {
        // Of any of the falls: which of them it is, the number says.
        double nearest = 1e9;
        for (std::size_t d = 0; d < std::min<std::size_t>(drops->size(), 3); ++d) {
          const core::Drop& drop = (*drops)[d];
          std::vector<Pixel> line;
          for (const core::LonLat p : drop.stretch.line) line.push_back(demo.pixel(p));
          for (std::size_t i = 1; i < line.size(); ++i)
            for (int k = 0; k <= 20; ++k)
              nearest =
                  std::min(nearest, distance(box, {line[i - 1].x + (line[i].x - line[i - 1].x) * k / 20,
                                                   line[i - 1].y + (line[i].y - line[i - 1].y) * k / 20}));
          const Pixel lower = state.view.to_pixel(demo.model.site_places()[drop.down.value()]);
          // Its own mark, or the sign under which it is.
          for (const Disc& disc : discs)
            if (apart(disc.middle, lower) < disc.radius * 2.2)
              nearest = std::min(nearest, distance(box, disc.middle) - disc.radius);
        }
        ++seen;
        // In a map a dozen font heights wide all sides may be taken: there a line leads from the number to its site.
        const bool tiny = std::min(state.view.box.width, state.view.box.height) < 20 * em;
        CHECK(nearest <= (tiny ? 5 : 2.5) * em);
      }
    }
    CHECK(seen >= 9);
  }
}

TEST_CASE("of the free places the one with the least line under it is taken") {
  const unsigned seed = 20261126;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> across(0, 300), wide(20, 70);
  for (int round = 0; round < 200; ++round) {
    const PixelBox map{10, 20, 300, 300};
    LabelSpace space(map);
    const Pixel anchor{10 + across(random) / 3 + 100, 20 + across(random) / 3 + 100};
    const double gap = 14, width = wide(random), height = 12;
    space.add_mark(anchor, 9);
    space.block({anchor.x - 10, anchor.y - 10, 20, 20});
    std::vector<Stroke> lines;
    for (int i = 0; i < 3; ++i) {
      const Stroke line{{10 + across(random), 20 + across(random)},
                        {10 + across(random), 20 + across(random)}};
      lines.push_back(line);
      space.add_line(line.from, line.to);
    }
    std::vector<PixelBox> blocked;
    for (int i = 0; i < 2; ++i) {
      blocked.push_back({10 + across(random), 20 + across(random), 30, 30});
      space.block(blocked.back());
    }
    const auto label = space.add_label(anchor, gap, width, height);
    const auto under = [&](const PixelBox& box) {
      double sum = 0;
      for (const Stroke& line : lines) sum += length_inside(box, line.from, line.to);
      return sum;
    };
    // The four plain sides by hand: none that is free may have clearly less line under it. What is remembered of lines are
    // cells of 4 pixels: each end of each line may be off by two, on the slant by half as much again; and a later place
    // is worth up to 15 pixels.
    constexpr double kSlack_px = 15 + 3 * 2 * 4 * 1.5;
    for (const PixelBox& side : {PixelBox{anchor.x + gap, anchor.y - height / 2, width, height},
                                 PixelBox{anchor.x - gap - width, anchor.y - height / 2, width, height},
                                 PixelBox{anchor.x - width / 2, anchor.y - gap - height, width, height},
                                 PixelBox{anchor.x - width / 2, anchor.y + gap, width, height}}) {
      bool free = side.left >= map.left && side.top >= map.top && side.right() <= map.right() &&
                  side.bottom() <= map.bottom();
      for (const PixelBox& box : blocked) free = free && !overlap(box, side);
      if (!free) continue;
      REQUIRE(label);
      CHECK(under(space.box_of(*label)) <= under(side) + kSlack_px);
    }
  }
}

TEST_CASE("a line on the preferred side sends a label to the other one, and moving the map changes nothing") {
  for (const double shift : {0.0, 1.0, 2.0, 3.0, 17.0}) {
    LabelSpace space({0, 0, 400, 200}, 0, {shift, shift});
    const Pixel anchor{200 + shift, 100 + shift};
    space.add_mark(anchor, 9);
    space.block({anchor.x - 10, anchor.y - 10, 20, 20});
    space.add_line(anchor, {390, anchor.y});
    const auto label = space.add_label(anchor, 14, 60, 12);
    REQUIRE(label);
    CHECK(space.box_of(*label).right() < anchor.x);
  }
}

TEST_CASE("line below a box is about as long as it is, whatever its direction") {
  const unsigned seed = 11;
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> anywhere(-100, 500);
  for (int round = 0; round < 500; ++round) {
    LineCover cover({0, 0, 400, 400}, {anywhere(random), anywhere(random)});
    const Pixel a{anywhere(random), anywhere(random)}, b{anywhere(random), anywhere(random)};
    cover.add(a, b);
    const PixelBox box{120, 140, 90, 60};
    // A line is known to a cell; what is counted are cells along the longer of its sides, and a slant is up to the root of
    // two longer than that. At either end a cell more or less.
    constexpr double kCell = LineCover::kCell_px;
    const auto wider = [&box](double by) {
      return PixelBox{box.left - by, box.top - by, box.width + 2 * by, box.height + 2 * by};
    };
    CHECK(cover.under(box) <= length_inside(wider(kCell), a, b) + 2 * kCell);
    CHECK(cover.under(box) >= length_inside(wider(-kCell), a, b) / std::sqrt(2.0) - 2 * kCell);
  }
  LineCover none;
  none.add({0, 0}, {10, 10});
  CHECK(none.under({0, 0, 10, 10}) == 0);
  LineCover cover({0, 0, 100, 100});
  cover.add({std::nan(""), 0}, {50, 50});
  cover.add({1e300, 80}, {-1e300, 85});
  cover.add({1e300, -1e300}, {std::numeric_limits<double>::infinity(), 0});
  cover.add({1e9, 50}, {-1e9, 50});
  CHECK(cover.under({0, 40, 100, 15}) > 90);
}

TEST_CASE("a name lies on a watercourse only where no plain side is free of it") {
  std::size_t words_seen = 0;
  for (const Size& size : sizes()) {
    Demo demo(size.width, size.height, size.display);
    demo.stage.apply(ShowPanel{false});
    for (const double nearer : {1.0, 2.0}) {
      demo.stage.apply(Fit{});
      demo.stage.apply(ZoomCentre{nearer});
      demo.draw();
      const auto& words = demo.stage.map_words();
      const std::vector<Disc> discs = discs_of(demo);
      for (const MapWord& word : words) {
        if (!word.mark || word.line) continue;
        ++words_seen;
        CAPTURE(word.words);
        CAPTURE(name_of(size));
        CAPTURE(nearer);
        const double own = watercourse_under(demo, word.box);
        if (own < 8) continue;
        const PixelBox b = word.box;
        const double gap = word.reach_px, em = demo.stage.em();
        for (const PixelBox& side :
             {PixelBox{word.mark->x + gap, word.mark->y - b.height / 2, b.width, b.height},
              PixelBox{word.mark->x - gap - b.width, word.mark->y - b.height / 2, b.width, b.height},
              PixelBox{word.mark->x - b.width / 2, word.mark->y - gap - b.height, b.width, b.height},
              PixelBox{word.mark->x - b.width / 2, word.mark->y + gap, b.width, b.height}}) {
          // Generously in the way: whatever is about as near to the side as its own mark.
          const PixelBox wide{side.left - em, side.top - em * 0.5, side.width + 2 * em, side.height + em};
          const PixelBox& map = demo.stage.state().view.box;
          bool free = side.left >= map.left && side.top >= map.top && side.right() <= map.right() &&
                      side.bottom() <= map.bottom();
          for (const MapWord& other : words)
            if (&other != &word) {
              free = free && !overlap(other.box, wide);
              if (other.mark && apart(*other.mark, *word.mark) > 2)  // also marks of outfalls
                free = free && distance(side, *other.mark) > 3 * em;
              if (other.line) free = free && length_inside(wide, other.line->from, other.line->to) == 0;
            }
          for (const Disc& disc : discs)
            if (apart(disc.middle, *word.mark) > 2)
              free = free && distance(side, disc.middle) > disc.radius + em;
          for (const core::PlanePoint outfall : demo.model.outfall_places()) {
            const Pixel p = demo.stage.state().view.to_pixel(outfall);
            if (apart(p, *word.mark) > 2) free = free && distance(side, p) > 2.5 * em;
          }
          for (const auto* boxes :
               {&demo.stage.fall_numbers(), &demo.stage.map_badges(), &demo.stage.map_controls()})
            for (const PixelBox& box : *boxes) free = free && (box.width <= 0 || !overlap(box, wide));
          if (free) CHECK(watercourse_under(demo, side) > own - 15 - 2 * LineCover::kCell_px);
        }
      }
    }
  }
  CHECK(words_seen > 100);
}

}  // namespace brookmark::viewer

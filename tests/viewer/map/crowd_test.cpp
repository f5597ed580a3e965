// Where marks crowd: none hides what another says, an outfall that must stand aside stays near, names of sites cannot be
// taken for one another, and names of catchments keep off the watercourses.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "tests/viewer/map/words_fixture.hpp"
#include "viewer/map/clusters.hpp"
#include "viewer/map/gathered_sites.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kHalo = 0.275;    // of a mark's radius, drawn around it: see the painter
constexpr double kPixel = 1.5;     // marks stand on whole pixels
constexpr double kSignFree = 0.2;  // font heights around the middle of a mark: a digit is about so wide

struct Scene {
  double width, height;
  bool touch, page;
};
const Scene kScenes[] = {{1024, 700, false, true},  {1024, 700, false, false}, {768, 1024, true, false},
                         {1280, 800, false, true},  {1024, 1400, false, true}, {1900, 1200, false, false},
                         {2560, 1440, false, true}, {640, 480, false, false}};

void begin(Demo& demo, const Scene& scene) {
  Settings settings = demo.stage.state().settings;
  settings.touch = scene.touch;
  demo.stage.apply(ChangeSettings{settings});
  demo.stage.apply(ShowPanel{scene.page});
  demo.draw();
}

std::string words_of(const Scene& scene, double nearer) {
  return std::to_string(static_cast<int>(scene.width)) + " x " +
         std::to_string(static_cast<int>(scene.height)) + (scene.page ? " with a page, " : ", ") +
         std::to_string(nearer);
}

// In every scene, farther and nearer.
template <class Visit>
void each_scene(const std::vector<double>& nearnesses, const Visit& visit) {
  for (const Scene& scene : kScenes) {
    Demo demo(scene.width, scene.height);
    begin(demo, scene);
    for (const double nearer : nearnesses) {
      demo.stage.apply(Fit{});
      demo.stage.apply(ZoomCentre{nearer});
      demo.draw();
      const std::string said = words_of(scene, nearer);
      CAPTURE(said);
      visit(demo);
    }
  }
}

struct Marks {
  std::vector<Disc> sites, signs;
};
Marks marks_of(const Demo& demo) {
  Marks marks;
  GatheredSites gathered;
  const State& state = demo.stage.state();
  gathered.follow(demo.model, state.view, demo.stage.em(), {});
  for (const std::uint32_t i : gathered.singles())
    marks.sites.push_back({state.view.to_pixel(demo.model.site_places()[i]),
                           static_cast<double>(demo.stage.map_frame().site_radius_px)});
  for (const std::uint32_t sign : gathered.signs())
    marks.signs.push_back(
        {state.view.to_pixel(gathered.clusters().clusters()[sign].place), gathered.sign_radius_px()});
  return marks;
}

Pixel middle_of(const PixelBox& box) {
  return {box.left + box.width / 2, box.top + box.height / 2};
}

// Even-odd, over all rings.
bool is_inside(const std::vector<std::vector<Pixel>>& rings, Pixel p) {
  bool inside = false;
  for (const auto& ring : rings)
    for (std::size_t i = 1; i < ring.size(); ++i) {
      const Pixel a = ring[i - 1], b = ring[i];
      if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) inside = !inside;
    }
  return inside;
}

}  // namespace

TEST_CASE("no mark hides the sign of another, however far away the map is") {
  std::size_t alone = 0, gathered = 0;
  each_scene({0.15, 0.25, 0.35, 0.5, 0.6, 0.7, 0.85, 1.0, 1.2, 1.5, 2.0, 3.0}, [&](const Demo& demo) {
    const double em = demo.stage.em();
    const Marks marks = marks_of(demo);
    alone += marks.sites.size();
    gathered += marks.signs.size();
    for (std::size_t a = 0; a < marks.sites.size(); ++a) {
      for (std::size_t b = 0; b < a; ++b)
        CHECK(apart(marks.sites[a].middle, marks.sites[b].middle) >=
              marks.sites[b].radius * (1 + kHalo) + kSignFree * em - kPixel);
      for (const Disc& sign : marks.signs) {
        CHECK(apart(marks.sites[a].middle, sign.middle) >= sign.radius + kSignFree * em);
        // The mark of the worst of its sites, to the lower right on its rim.
        const double away = sign.radius * static_cast<double>(kWorstAway);
        const double worst = sign.radius * static_cast<double>(kWorstRadius) * (1 + kHalo);
        CHECK(apart(marks.sites[a].middle, {sign.middle.x + away, sign.middle.y + away}) >=
              worst + kSignFree * em - kPixel);
      }
    }
    for (std::size_t a = 0; a < marks.signs.size(); ++a)
      for (std::size_t b = 0; b < a; ++b)
        CHECK(apart(marks.signs[a].middle, marks.signs[b].middle) >= marks.signs[b].radius + kSignFree * em);
  });
  CHECK(alone > 500);
  CHECK(gathered > 50);
}

TEST_CASE("what a sign would hide goes into it, and its lists stay right") {
  const unsigned seed = 926;
  CAPTURE(seed);
  std::mt19937 random(seed);
  for (const double side : {60.0, 200.0, 900.0, 4000.0}) {
    std::vector<core::PlanePoint> places;
    for (int i = 0; i < 500; ++i)
      places.push_back({std::uniform_real_distribution(-side, side)(random),
                        std::uniform_real_distribution(-side, side)(random)});
    places.push_back({std::nan(""), 3});
    const double near_m = 11, reach_m = 29, covered_m = 20;
    const SiteClusters made(places, near_m, reach_m, covered_m);
    CAPTURE(side);
    const auto gap = [](core::PlanePoint a, core::PlanePoint b) { return std::hypot(a.x - b.x, a.y - b.y); };
    std::vector<int> seen(places.size(), 0);
    for (std::size_t c = 0; c < made.clusters().size(); ++c) {
      const auto members = made.members(made.clusters()[c]);
      CHECK(members.size() >= 2);
      CHECK(std::is_sorted(members.begin(), members.end()));
      for (const std::uint32_t i : members) {
        ++seen[i];
        CHECK(made.cluster_of(i) == c);
        const PlaneBox& box = made.clusters()[c].box;
        CHECK((places[i].x >= box.min_x && places[i].x <= box.max_x && places[i].y >= box.min_y &&
               places[i].y <= box.max_y));
      }
      for (std::size_t other = 0; other < c; ++other)
        CHECK(gap(made.clusters()[c].place, made.clusters()[other].place) > covered_m);
    }
    const auto singles = made.singles_in({-1e9, -1e9, 1e9, 1e9});
    double closest = 2 * near_m;
    for (std::size_t a = 0; a < singles.size(); ++a) {
      ++seen[singles[a]];
      for (std::size_t b = 0; b < a; ++b)
        closest = std::min(closest, gap(places[singles[a]], places[singles[b]]));
      for (const SiteCluster& c : made.clusters()) CHECK(gap(places[singles[a]], c.place) > covered_m);
    }
    CHECK(std::abs(made.closest_m() - closest) < 1e-9);  // metres; of doubles
    for (std::size_t i = 0; i + 1 < seen.size(); ++i) CHECK(seen[i] == 1);
    CHECK(seen.back() == 0);
  }
}

TEST_CASE("an outfall can be told, or stands aside near its place with a line that crosses out no word") {
  std::size_t moved = 0, stayed = 0;
  each_scene({0.5, 0.7, 1.0, 1.4, 2.0, 3.0}, [&](const Demo& demo) {
    const double em = demo.stage.em(), radius = demo.stage.map_frame().outfall_radius_px;
    const Marks marks = marks_of(demo);
    const auto& asides = demo.stage.marks_aside();
    for (std::size_t i = 0; i < demo.model.outfall_places().size(); ++i) {
      const Pixel place = demo.stage.state().view.to_pixel(demo.model.outfall_places()[i]);
      if (!demo.stage.state().view.box.contains(place) || demo.is_below_control(place)) continue;
      CAPTURE(demo.model.snapshot().outfalls[i].code);
      const auto aside = std::find_if(asides.begin(), asides.end(),
                                      [&](const AsideMark& mark) { return mark.outfall.value() == i; });
      if (aside == asides.end()) {
        ++stayed;
        // More than half of it lies beyond every mark.
        for (const Disc& disc : marks.sites)
          CHECK(apart(disc.middle, place) >= disc.radius * (1 + kHalo) + radius * 0.3 - kPixel);
        continue;
      }
      ++moved;
      CHECK(apart(middle_of(aside->box), place) <= 3.5 * em);
      for (const Disc& disc : marks.sites) CHECK(distance(aside->box, disc.middle) >= disc.radius);
      for (const MapWord& word : demo.stage.map_words()) {
        CAPTURE(word.words);
        CHECK_FALSE(overlap(word.box, aside->box));
        CHECK_FALSE(crosses({middle_of(aside->box), place}, word.box));
      }
      for (const AsideMark& other : asides)
        if (&other != &*aside) CHECK_FALSE(overlap(other.box, aside->box));
    }
  });
  CHECK(moved > 20);
  CHECK(stayed > 100);
}

TEST_CASE(
    "at 1024 x 700 the sites and outfalls of the demo bear their names, but for two where two brooks meet") {
  for (const bool page : {true, false}) {
    Demo demo(1024, 700);
    begin(demo, {1024, 700, false, page});
    CAPTURE(page);
    std::string without;
    std::size_t missed = 0;
    for (std::size_t i = 0; i < demo.model.snapshot().outfalls.size(); ++i)
      if (!demo.stage.map_names().outfalls.contains(i))
        ++missed, without += demo.model.snapshot().outfalls[i].code + " ";
    for (std::size_t i = 0; i < demo.model.site_places().size(); ++i)
      if (!demo.stage.map_names().sites.contains(i))
        ++missed, without += std::string(demo.model.snapshot().sites.code[i]) + " ";
    CAPTURE(without);
    CHECK(missed <= 2);
  }
}

TEST_CASE("a line to a name ends where its own mark can be seen, and not at the rim of another") {
  std::size_t lines = 0;
  const auto check = [&lines](const Demo& demo) {
    const Marks marks = marks_of(demo);
    for (const MapWord& word : demo.stage.map_words()) {
      if (!word.mark || !word.line || word.below_marks) continue;
      ++lines;
      CAPTURE(word.words);
      for (const auto* discs : {&marks.sites, &marks.signs})
        for (const Disc& disc : *discs)
          if (apart(disc.middle, *word.mark) > 2)
            CHECK(apart(disc.middle, word.line->to) >= disc.radius + demo.stage.em() * 0.1);
    }
  };
  each_scene({0.6, 0.8, 1.0, 1.5}, check);
  for (const double width : {1024.0, 1280.0}) {  // there rings stand around marks
    Demo demo(width, 700);
    demo.stage.apply(ShowPage{Page::kClean});
    demo.draw();
    check(demo);
  }
  CHECK(lines > 40);
}

TEST_CASE("no two names beside their marks could be exchanged") {
  std::size_t pairs = 0;
  each_scene({0.7, 1.0, 1.5, 2.5}, [&](const Demo& demo) {
    const double em = demo.stage.em();
    const auto& words = demo.stage.map_words();
    for (const MapWord& a : words)
      for (const MapWord& b : words) {
        if (&a <= &b || !a.mark || !b.mark || a.line || b.line || apart(*a.mark, *b.mark) < 2) continue;
        if (apart(*a.mark, *b.mark) > 6 * em) continue;
        ++pairs;
        CAPTURE(a.words);
        CAPTURE(b.words);
        const double right = distance(a.box, *a.mark) + distance(b.box, *b.mark);
        const double wrong = distance(a.box, *b.mark) + distance(b.box, *a.mark);
        CHECK(wrong > right + em * 0.75);
      }
  });
  CHECK(pairs > 300);
}

TEST_CASE("the name of a catchment lies on a watercourse only where no place inside it is free of them") {
  std::size_t names = 0, crossed = 0;
  each_scene({1.0, 1.6, 2.5}, [&](const Demo& demo) {
    const PixelBox& map = demo.stage.state().view.box;
    const double em = demo.stage.em();
    const Marks marks = marks_of(demo);
    for (const core::Catchment& catchment : demo.model.snapshot().catchments) {
      std::vector<std::vector<Pixel>> rings;
      for (const core::Polygon& polygon : catchment.shape)
        for (const core::Line& ring : polygon.rings) {
          rings.emplace_back();
          for (const core::LonLat p : ring) rings.back().push_back(demo.pixel(p));
        }
      for (const MapWord& word : demo.stage.map_words()) {
        std::string first = word.words;
        std::replace(first.begin(), first.end(), '\n', ' ');
        if (word.mark || first.rfind(catchment.name, 0) != 0) continue;
        ++names;
        CAPTURE(word.words);
        const double under = watercourse_under(demo, word.box);
        if (under < 6) continue;
        ++crossed;
        // By hand, on a close grid: a place as large, inside, clear of all else by far, with clearly less line.
        double least = under;
        for (double y = map.top; y < map.bottom(); y += em * 0.5)
          for (double x = map.left; x < map.right(); x += em * 0.5) {
            const PixelBox box{x, y, word.box.width, word.box.height};
            const PixelBox wide{x - em, y - em, box.width + 2 * em, box.height + 2 * em};
            bool free = wide.right() <= map.right() && wide.bottom() <= map.bottom() &&
                        wide.left >= map.left && wide.top >= map.top;
            for (int k = 0; k <= 8 && free; ++k)
              for (const double down : {0.0, 0.5, 1.0})
                free =
                    free && is_inside(rings, {wide.left + wide.width * k / 8, wide.top + wide.height * down});
            for (const MapWord& other : demo.stage.map_words())
              free = free && (&other == &word ||
                              (!overlap(other.box, wide) && !(other.line && crosses(*other.line, wide))));
            for (const auto* discs : {&marks.sites, &marks.signs})
              for (const Disc& disc : *discs) free = free && distance(wide, disc.middle) >= disc.radius;
            for (const auto* boxes :
                 {&demo.stage.fall_numbers(), &demo.stage.map_badges(), &demo.stage.map_controls()})
              for (const PixelBox& taken : *boxes) free = free && (taken.width <= 0 || !overlap(taken, wide));
            for (const core::PlanePoint outfall : demo.model.outfall_places())
              free = free && distance(wide, demo.stage.state().view.to_pixel(outfall)) > em;
            for (const AsideMark& aside : demo.stage.marks_aside()) free = free && !overlap(aside.box, wide);
            if (free) least = std::min(least, watercourse_under(demo, box));
          }
        CHECK(under <= least + em);
      }
    }
  });
  CHECK(names > 60);
  CHECK(crossed * 8 <= names);
}

TEST_CASE("the number of a suggestion hides no mark and no other number") {
  std::size_t moved = 0, seen = 0;
  for (const Scene& scene : kScenes) {
    Demo demo(scene.width, scene.height);
    demo.stage.apply(ShowPage{Page::kSuggest});
    demo.stage.apply(AskSuggestions{});
    begin(demo, scene);
    REQUIRE_FALSE(demo.stage.state().design.answer.list.empty());
    if (demo.stage.state().view.box.width < 1) continue;
    for (const double nearer : {0.7, 1.0, 1.6}) {
      demo.stage.apply(Fit{});
      demo.stage.apply(ZoomCentre{nearer});
      demo.draw();
      const std::string said = words_of(scene, nearer);
      CAPTURE(said);
      const Marks marks = marks_of(demo);
      const auto& tags = demo.stage.suggestion_tags();
      for (std::size_t i = 0; i < tags.size(); ++i) {
        ++seen;
        if (tags[i].aside) ++moved;
        const Pixel at = middle_of(tags[i].box);
        const double half = tags[i].box.width / 2;
        CHECK(apart(at, tags[i].place) <= 3.5 * demo.stage.em());
        CHECK(apart(tags[i].place,
                    demo.pixel(demo.stage.state().design.answer.list[tags[i].row].spot.position)) < 1e-6);
        // A diamond: what lies at the middle of a mark is seen.
        for (const Disc& disc : marks.sites)
          CHECK(std::abs(disc.middle.x - at.x) + std::abs(disc.middle.y - at.y) >= half);
        for (std::size_t k = 0; k < i; ++k) {
          const Pixel other = middle_of(tags[k].box);
          CHECK(std::abs(other.x - at.x) + std::abs(other.y - at.y) >= half);
        }
      }
    }
  }
  CHECK(seen > 60);
  CHECK(moved > 5);
  Demo demo(1280, 800);
  demo.stage.apply(ShowPage{Page::kSuggest});
  demo.stage.apply(AskSuggestions{});
  demo.stage.apply(ShowPage{Page::kClean});
  demo.draw();
  const auto& tags = demo.stage.suggestion_tags();
  std::size_t signs = 0;
  for (const PixelBox& sign : demo.stage.map_badges()) {
    if (std::any_of(tags.begin(), tags.end(), [&](const SuggestionTag& tag) { return tag.box == sign; }))
      continue;
    ++signs;
    for (const SuggestionTag& tag : tags)
      CHECK(distance(sign, middle_of(tag.box)) >= tag.box.width / 2 * 0.7);
  }
  CHECK(signs >= 3);
}

}  // namespace brookmark::viewer

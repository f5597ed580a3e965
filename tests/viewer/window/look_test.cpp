// The three looks: what is written can be read, what is drawn can be seen, and what is chosen is kept.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "tests/support/near.hpp"
#include "viewer/map/inks.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/state/settings.hpp"

namespace brookmark::viewer {

using test::near;

namespace {

struct Limits {
  double words, quiet_words, shapes;
};
// WCAG 2.1 (W3C, 2018): 1.4.3 asks 4.5 : 1 of words, 1.4.11 asks 3 : 1 of what is drawn to be understood, 1.4.6
// (enhanced) asks 7 : 1 of words. In the sun the enhanced limit holds, and 4.5 for shapes.
Limits limits_of(Look look) {
  if (look == Look::kSunlight) return {7, 7, 4.5};
  return {7, 4.5, 3};
}

constexpr Look kLooks[] = {Look::kDay, Look::kDark, Look::kSunlight};

}  // namespace

TEST_CASE("the contrast of black and white is 21, of one colour with itself 1") {
  // W3C, WCAG 2.1: "contrast ratios can range from 1 to 21".
  CHECK(near(contrast({0, 0, 0}, {255, 255, 255}), 21, 1e-9));
  CHECK(near(contrast({90, 20, 130}, {90, 20, 130}), 1, 1e-12));
  // #767676 on white is the well known lightest grey that passes 4.5 (4.54); common practice, no source.
  CHECK(near(contrast({0x76, 0x76, 0x76}, {255, 255, 255}), 4.54, 0.005));
}

TEST_CASE("words can be read on every ground they stand on, in every look") {
  for (const Look look : kLooks) {
    CAPTURE(std::string(look_name(look)));
    const Inks& ink = inks(look);
    const Limits least = limits_of(look);
    for (const Colour ground : {ink.panel, ink.raised, ink.field, ink.field_hover, ink.field_active, ink.note,
                                ink.alarm, ink.caution, ink.paper, ink.halo})
      CHECK(contrast(ink.text, ground) >= least.words);
    for (const Colour ground : {ink.panel, ink.raised, ink.field, ink.field_hover, ink.paper, ink.halo})
      CHECK(contrast(ink.muted, ground) >= least.quiet_words);
    for (const Colour ground : {ink.panel, ink.raised, ink.field, ink.field_hover})
      CHECK(contrast(ink.accent, ground) >= least.quiet_words);
    CHECK(contrast(ink.on_accent, ink.accent) >= least.quiet_words);
    CHECK(contrast(ink.bar_text, ink.bar) >= least.words);
    CHECK(contrast(ink.bar_text, ink.bar_field) >= least.words);
    CHECK(contrast(ink.bar_muted, ink.bar) >= least.quiet_words);
    CHECK(contrast(ink.badge_text, ink.badge) >= least.quiet_words);
    CHECK(contrast(ink.on_drop, ink.drop) >= least.words);
    CHECK(contrast(ink.on_query, ink.query) >= least.quiet_words);
    for (const Colour words : {ink.catchment_text, ink.outfall, ink.query, ink.flow})
      CHECK(contrast(words, ink.halo) >= least.quiet_words);
  }
}

TEST_CASE("lines, marks and the outlines of controls can be seen on their ground, in every look") {
  for (const Look look : kLooks) {
    CAPTURE(std::string(look_name(look)));
    const Inks& ink = inks(look);
    const double least = limits_of(look).shapes;
    for (const Colour line : {ink.channel, ink.flow, ink.unknown_reach, ink.catchment, ink.drop, ink.outfall,
                              ink.query, ink.text})
      CHECK(contrast(line, ink.paper) >= least);
    CHECK(contrast(ink.edge, ink.panel) >= least);
    CHECK(contrast(ink.edge, ink.raised) >= least);
    CHECK(contrast(ink.accent, ink.panel) >= least);
    CHECK(contrast(ink.unclassed, ink.mark_ground) >= least);
  }
}

TEST_CASE("every mark stands off the paper by its body, its outline or its rim, and its sign off the body") {
  for (const Look look : kLooks)
    for (const ClassColours choice : {ClassColours::kDirective, ClassColours::kOrdered})
      for (std::size_t classes = 0; classes <= kMostClasses; ++classes) {
        CAPTURE(std::string(look_name(look)));
        CAPTURE(classes);
        const Inks& ink = inks(look);
        const double least = limits_of(look).shapes;
        const MarkColours colours = mark_colours(classes, ink, choice);
        for (std::size_t i = kColourValue; i < kColourFirstClass + classes; ++i) {
          const Colour body = colours.fill[i];
          // As the map's shader draws it: the outline is the body at 42 % of each channel, the rim the ground of marks.
          const auto outline_of = [](Colour c, double share) {
            const auto darker = [share](std::uint8_t v) { return static_cast<std::uint8_t>(v * share); };
            return Colour{darker(c.r), darker(c.g), darker(c.b), 255};
          };
          const Colour outline = outline_of(body, 0.42);
          CHECK(std::max({contrast(body, ink.paper), contrast(outline, ink.paper),
                          contrast(ink.mark_ground, ink.paper)}) >= least);
          if (i >= kColourFirstClass) CHECK(contrast(colours.ink[i], body) >= 4.5);
          const Colour pale = colours.fill[i + kFaded];
          CHECK(contrast(colours.ink[i + kFaded], pale) >= 4.5);
          // On ground filled with the colour of any class, whatever that hides: outline or rim.
          for (std::size_t area = kColourFirstClass; area < kColourFirstClass + classes; ++area) {
            const Colour ground = between(ink.paper, colours.fill[area], ink.fill_strength / 255.0);
            CAPTURE(area);
            CHECK(std::max({contrast(body, ground), contrast(outline, ground),
                            contrast(ink.mark_ground, ground)}) >= 3);
            CHECK(std::max(contrast(outline_of(pale, kFadedOutline), ground),
                           contrast(ink.mark_ground, ground)) >= 3);
          }
        }
      }
}

TEST_CASE("words on the map can be read on ground filled by class, in every look") {
  for (const Look look : kLooks)
    for (const ClassColours choice : {ClassColours::kDirective, ClassColours::kOrdered}) {
      CAPTURE(std::string(look_name(look)));
      const Inks& ink = inks(look);
      for (const Colour fill : class_colours(5, choice)) {
        const Colour ground = between(ink.paper, fill, ink.fill_strength / 255.0);
        CAPTURE(static_cast<int>(fill.r));
        for (const Colour words : {ink.text, ink.catchment_text, ink.outfall, ink.flow})
          CHECK(contrast(words, ground) >= 4.5);
      }
    }
}

TEST_CASE("ordered classes go from light to dark in equal steps, for any number of classes") {
  // Checked by the lightness itself: each channel is rounded to a whole number, which moves L* by less than 0.4.
  for (std::size_t classes = 2; classes <= kMostClasses; ++classes) {
    const auto colours = class_colours(classes, ClassColours::kOrdered);
    REQUIRE(colours.size() == classes);
    const double step =
        (lightness(colours.front()) - lightness(colours.back())) / static_cast<double>(classes - 1);
    CHECK(step * static_cast<double>(classes - 1) >= 60);
    for (std::size_t i = 1; i < classes; ++i)
      CHECK(near(lightness(colours[i - 1]) - lightness(colours[i]), step, 0.8));
  }
  // CIE 1976: black is 0, white 100, and the grey of luminance 0.184187 is 50 (24389/27 formula).
  CHECK(near(lightness({0, 0, 0}), 0, 1e-9));
  CHECK(near(lightness({255, 255, 255}), 100, 0.01));  // the sum of the rounded weights of the three channels
  CHECK(near(lightness({119, 119, 119}), 50.03, 0.05));  // sRGB 119 has a luminance of 0.1845; by hand
}

TEST_CASE("five classes have the five colour words of the directive, the alternative does not") {
  const auto five = class_colours(5);
  const auto is = [](Colour c, auto more, auto less) { return more(c) && less(c); };
  CHECK(is(
      five[0], [](Colour c) { return c.b > 150; }, [](Colour c) { return c.r < 100; }));  // blue
  CHECK(is(
      five[1], [](Colour c) { return c.g > 120; },
      [](Colour c) { return c.r < 100 && c.b < 120; }));  // green
  CHECK(is(
      five[2], [](Colour c) { return c.r > 200 && c.g > 180; },
      [](Colour c) { return c.b < 100; }));  // yellow
  CHECK(is(
      five[3], [](Colour c) { return c.r > 200 && c.g > 100; },
      [](Colour c) { return c.g < 170; }));  // orange
  CHECK(is(
      five[4], [](Colour c) { return c.r > 180; }, [](Colour c) { return c.g < 80 && c.b < 80; }));  // red
  CHECK(class_colours(5, ClassColours::kOrdered) != five);
  CHECK(class_colours(4) == class_colours(4, ClassColours::kOrdered));
}

TEST_CASE("the names of settings are read back, and nothing else is") {
  for (const Look look : kLooks) {
    Look read = Look::kDay;
    CHECK(read_look(look_name(look), read));
    CHECK(read == look);
  }
  for (const PositionForm form : {PositionForm::kDegrees, PositionForm::kMinutes, PositionForm::kGrid}) {
    PositionForm read = PositionForm::kDegrees;
    CHECK(read_position_form(position_form_name(form), read));
    CHECK(read == form);
  }
  Look look = Look::kDark;
  CHECK_FALSE(read_look("night", look));
  CHECK_FALSE(read_look("", look));
  CHECK(look == Look::kDark);
  ClassColours colours = ClassColours::kOrdered;
  CHECK_FALSE(read_class_colours("rainbow", colours));
  CHECK(colours == ClassColours::kOrdered);
}

TEST_CASE("a scale outside its limits is brought inside, and one that is no number is 1") {
  for (const auto& [given, kept] : {std::pair{0.1, 0.75}, {9.0, 3.0}, {1.5, 1.5}, {-2.0, 0.75}}) {
    Settings settings;
    settings.scale = given;
    CHECK(within_limits(settings).scale == kept);
  }
  Settings settings;
  settings.scale = std::numeric_limits<double>::quiet_NaN();
  CHECK(within_limits(settings).scale == 1);
}

}  // namespace brookmark::viewer

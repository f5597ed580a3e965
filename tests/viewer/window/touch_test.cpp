// In touch mode nothing needs a pointer that hovers: a long press tells what a button does and does not press it, and
// what stands in the bars of time is told by a tap.
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "words_in_frame.hpp"

namespace brookmark::viewer {

namespace {

struct Hand {
  Model model{make_session(test::sample_snapshot())};
  Stage stage;
  explicit Hand(bool touch) : stage(model, {}, settings_of(touch)) {
    stage.resize(1024, 700);
    draw(3);
  }
  static Settings settings_of(bool touch) {
    Settings settings;
    settings.touch = touch;
    return settings;
  }
  void draw(int frames = 1) {
    for (int i = 0; i < frames; ++i) {
      ImGui::GetIO().DeltaTime = 1.0F / 60;
      draw_frames(stage);
    }
  }
  void down(const PixelBox& box, double seconds) {
    ImGui::GetIO().MousePos = {static_cast<float>(box.left + box.width / 2),
                               static_cast<float>(box.top + box.height / 2)};
    draw(2);
    ImGui::GetIO().MouseDown[0] = true;
    draw(1 + static_cast<int>(seconds * 60));
  }
  void up() {
    ImGui::GetIO().MouseDown[0] = false;
    draw(2);
  }
  static bool hint_is_open() {
    for (const ImGuiWindow* window : ImGui::GetCurrentContext()->Windows)
      if ((window->Flags & ImGuiWindowFlags_Tooltip) != 0 && window->Active) return true;
    return false;
  }
};

}  // namespace

TEST_CASE("a long press tells what a button does and does not press it; a short one presses") {
  Hand hand(true);
  const auto winter = hand.stage.target("Winter");
  REQUIRE(winter);
  hand.down(*winter, 0.2);
  CHECK_FALSE(Hand::hint_is_open());
  CHECK(hand.stage.wants_frame());  // so that time alone brings the hint
  hand.up();
  CHECK_FALSE(hand.stage.state().time.seasons.all());  // pressed
  hand.stage.apply(ChooseSeasons{});
  hand.draw(2);
  hand.down(*winter, 0.7);
  CHECK(Hand::hint_is_open());
  CHECK(test::trouble_with_words() == "");
  hand.up();
  CHECK(hand.stage.state().time.seasons.all());  // not pressed
  CHECK(Hand::hint_is_open());                   // stays to be read
  hand.down({500, 300, 4, 4}, 0.05);
  hand.up();
  CHECK_FALSE(Hand::hint_is_open());  // until the next touch
}

TEST_CASE("a finger that moves on asks for no hint") {
  Hand hand(true);
  const auto winter = hand.stage.target("Winter"), autumn = hand.stage.target("Autumn");
  REQUIRE((winter && autumn));
  hand.down(*winter, 0.1);
  ImGui::GetIO().MousePos = {static_cast<float>(autumn->left + 5), static_cast<float>(autumn->top + 5)};
  hand.draw(60);
  CHECK_FALSE(Hand::hint_is_open());
  hand.up();
  CHECK(hand.stage.state().time.seasons.all());
}

TEST_CASE("with a mouse a hint comes by resting on a button, and pressing long is a press") {
  Hand hand(false);
  const auto winter = hand.stage.target("Winter");
  REQUIRE(winter);
  ImGui::GetIO().MousePos = {static_cast<float>(winter->left + 5), static_cast<float>(winter->top + 5)};
  hand.draw(3);
  CHECK(Hand::hint_is_open());
  hand.down(*winter, 0.8);
  hand.up();
  CHECK_FALSE(hand.stage.state().time.seasons.all());
}

TEST_CASE("a tap on the badge beside the method tells what it means") {
  Hand hand(true);
  const auto badge = hand.stage.target("from memory");
  REQUIRE(badge);
  hand.down(*badge, 0.05);
  hand.up();
  CHECK(Hand::hint_is_open());
}

TEST_CASE("a finger held on a site reads it and does not open it, a tap opens it") {
  Hand hand(true);
  const Pixel at = hand.stage.state().view.to_pixel(hand.model.site_places()[7]);
  const PixelBox spot{at.x - 1, at.y - 1, 2, 2};
  hand.down(spot, 0.7);
  CHECK(Hand::hint_is_open());
  hand.up();
  CHECK_FALSE(hand.stage.state().site);
  hand.draw(60);
  hand.down(spot, 0.1);
  hand.up();
  CHECK(hand.stage.state().site == core::SiteIndex(7));
  // On open ground a slow tap is a tap: it lets the site go.
  hand.draw(60);
  const PixelBox& map = hand.stage.state().view.box;
  hand.down({map.left + 4, map.top + map.height / 2, 2, 2}, 0.8);
  hand.up();
  CHECK_FALSE(hand.stage.state().site);
}

TEST_CASE("a finger on a bar of time reads its count, above the finger") {
  Hand hand(true);
  const auto track = hand.stage.target("Days");
  REQUIRE(track);
  hand.down({track->left + track->width * 0.3, track->top, 2, track->height * 0.5}, 0.1);
  REQUIRE(Hand::hint_is_open());
  for (const ImGuiWindow* window : ImGui::GetCurrentContext()->Windows)
    if ((window->Flags & ImGuiWindowFlags_Tooltip) != 0 && window->Active)
      CHECK(window->Pos.y + window->Size.y <= ImGui::GetIO().MousePos.y);
  CHECK(test::trouble_with_words() == "");
  hand.up();
}

}  // namespace brookmark::viewer

// Several sites on one spot: a tap opens a list to choose from.
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include <cmath>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/panels/stage.hpp"
#include "words_in_frame.hpp"

namespace brookmark::viewer {

namespace {

struct Table {
  Model model;
  Stage stage;
  explicit Table(core::Snapshot snapshot, const Settings& settings = {}, double width = 1024,
                 double height = 700)
      : model(make_session(std::move(snapshot))), stage(model, {}, settings) {
    stage.resize(width, height);
    draw(3);
  }
  void draw(int frames = 1) { draw_frames(stage, frames); }
  const SpotList& spot() const { return stage.state().desk.spot; }
  void click(Pixel at) {
    ImGuiIO& io = ImGui::GetIO();
    io.MousePos = {static_cast<float>(at.x), static_cast<float>(at.y)};
    draw(2);
    io.MouseDown[0] = true;
    draw();
    io.MouseDown[0] = false;
    draw(3);
  }
  void key(ImGuiKey which) {
    ImGui::GetIO().KeysDown[which] = true;
    draw();
    ImGui::GetIO().KeysDown[which] = false;
    draw();
  }
};

// Two sites a metre apart, one far away.
core::Snapshot close_pair() {
  test::SurveyBuilder b;
  b.site("A", "Upper jetty", test::ocean(0, 0));
  b.site("B", "Lower jetty", test::ocean(0.3, 0));
  b.site("C", "Mouth", test::ocean(3000, 0));
  b.snapshot.samples.record_begin.push_back(0);
  return b.snapshot;
}

}  // namespace

TEST_CASE("a tap on ten thousand sites in one spot opens a list of them all, and a tap on a line opens one") {
  Table table(test::many_sites(10000, 0));
  const Pixel at = table.stage.state().view.to_pixel(table.model.site_places()[0]);
  table.click(at);
  REQUIRE(table.spot().sites.size() == 10000);
  CHECK_FALSE(table.stage.state().site);
  table.draw(3);
  CHECK(test::trouble_with_words() == "");
  // What is in sight is drawn, and no more.
  CHECK(table.stage.targets().size() < 100);
  const auto third = table.stage.target("M000002");
  REQUIRE(third);
  table.click({third->left + 20, third->top + third->height / 2});
  CHECK(table.stage.state().site == core::SiteIndex(2));
  CHECK(table.spot().sites.empty());
  CHECK(table.stage.state().page == Page::kSite);
}

TEST_CASE("the list is walked with keys to both ends, and Esc closes it") {
  Table table(test::many_sites(10000, 0));
  const Pixel at = table.stage.state().view.to_pixel(table.model.site_places()[0]);
  table.click(at);
  REQUIRE(table.spot().sites.size() == 10000);
  table.key(ImGuiKey_UpArrow);
  CHECK(table.spot().row == 0);
  table.key(ImGuiKey_DownArrow);
  table.key(ImGuiKey_DownArrow);
  CHECK(table.spot().row == 2);
  table.key(ImGuiKey_PageDown);
  CHECK(table.spot().row > 4);
  table.key(ImGuiKey_End);
  CHECK(table.spot().row == 9999);
  table.draw(3);
  CHECK(table.stage.target("M009999"));  // brought into sight
  table.key(ImGuiKey_DownArrow);
  CHECK(table.spot().row == 9999);
  table.key(ImGuiKey_Home);
  CHECK(table.spot().row == 0);
  table.key(ImGuiKey_Escape);
  CHECK(table.spot().sites.empty());
  CHECK_FALSE(table.stage.state().site);
  table.click(at);
  table.key(ImGuiKey_DownArrow);
  table.key(ImGuiKey_Enter);
  CHECK(table.stage.state().site == core::SiteIndex(1));
  // With one of them chosen, the list begins there.
  table.click(table.stage.state().view.to_pixel(table.model.site_places()[0]));
  REQUIRE(table.spot().sites.size() == 10000);
  CHECK(table.spot().row == 1);
}

TEST_CASE("in touch mode every line of the list is as high as a fingertip, and no words are cut off") {
  for (const auto& [width, height] :
       {std::pair{1024.0, 700.0}, {768.0, 1024.0}, {400.0, 600.0}, {2560.0, 1440.0}}) {
    Settings settings;
    settings.touch = true;
    Table table(test::many_sites(30, 0), settings, width, height);
    table.stage.apply(ShowPanel{false});
    table.draw(2);
    table.click(table.stage.state().view.to_pixel(table.model.site_places()[0]));
    CAPTURE(width);
    REQUIRE(table.spot().sites.size() == 30);
    table.draw(3);
    CHECK(test::trouble_with_words() == "");
    std::size_t lines = 0;
    for (const Target& target : table.stage.targets())
      if (target.words.starts_with("M0") || target.words == "Close") {
        ++lines;
        CHECK(target.box.height >= std::floor(9 * 96 / 25.4));
      }
    CHECK(lines > 3);
  }
}

// The card of first steps speaks of sites that can be tapped: it must not lie on them.
TEST_CASE("in a survey without samples no site lies below the card of first steps") {
  for (const auto& [width, height] : {std::pair{1024.0, 700.0}, {1280.0, 800.0}, {2560.0, 1440.0}}) {
    test::SurveyBuilder b;
    b.site("N", "North", test::ocean(0, 2000));
    b.site("S", "South", test::ocean(0, -2000));
    b.snapshot.samples.record_begin.push_back(0);
    Table table(b.snapshot, {}, width, height);
    table.draw(3);
    const ImGuiWindow* card = nullptr;
    for (const ImGuiWindow* window : ImGui::GetCurrentContext()->Windows)
      if (window->Active && std::string(window->Name).find("first steps") != std::string::npos) card = window;
    CAPTURE(width);
    REQUIRE(card);
    for (const core::PlanePoint place : table.model.site_places()) {
      const Pixel p = table.stage.state().view.to_pixel(place);
      const float reach = static_cast<float>(table.stage.em());
      CHECK_FALSE(
          card->Rect().Overlaps(ImRect(static_cast<float>(p.x) - reach, static_cast<float>(p.y) - reach,
                                       static_cast<float>(p.x) + reach, static_cast<float>(p.y) + reach)));
    }
  }
}

TEST_CASE("sites that no nearness parts are listed from their sign, others are parted by coming nearer") {
  Table table(close_pair());
  const Pixel at = table.stage.state().view.to_pixel(table.model.site_places()[0]);
  table.click(at);
  CHECK(table.spot().sites.size() == 2);
  table.stage.apply(CloseSpot{});
  // Without the sign: half a pixel is one spot, three pixels are not.
  table.stage.apply(ShowArea{{-2, -2, 2, 2}});
  table.draw(2);
  table.stage.apply(ClickMap{table.stage.state().view.to_pixel(table.model.site_places()[1]), 5});
  CHECK(table.spot().sites.empty());
  CHECK(table.stage.state().site == core::SiteIndex(1));
  table.stage.apply(LightSpot{5});  // no list: nothing
  CHECK(table.spot().row == 0);
}

}  // namespace brookmark::viewer

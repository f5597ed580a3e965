// Panels without graphics: an ImGui context, a size, a synthetic mouse.
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <filesystem>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/panels/layout.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

namespace {

// A stage with a hand on the mouse.
struct Table {
  Model model;
  Stage stage;
  explicit Table(core::Snapshot snapshot, double width = 1280, double height = 800)
      : model(make_session(std::move(snapshot))), stage(model, {}) {
    stage.resize(width, height);
    draw(3);
  }
  void draw(int frames = 1) { draw_frames(stage, frames); }
  void move(Pixel at) {
    ImGui::GetIO().MousePos = {static_cast<float>(at.x), static_cast<float>(at.y)};
    draw(2);
  }
  void press(bool down) {
    ImGui::GetIO().MouseDown[0] = down;
    draw(1);
  }
  void click(Pixel at) {
    move(at);
    press(true);
    press(false);
    draw(2);
  }
  Layout layout() const {
    const ImVec2 size = ImGui::GetIO().DisplaySize;
    return lay_out(size.x, size.y, stage.em());
  }
  Pixel site_pixel(const char* code) const {
    return stage.state().view.to_pixel(model.site_places()[model.snapshot().find_site(code)->value()]);
  }
};

}  // namespace

TEST_CASE("the parts of the window cover it without overlapping, at every size") {
  for (const auto& [width, height] :
       {std::pair{1024.0, 700.0}, {1280.0, 800.0}, {2560.0, 1440.0}, {600.0, 400.0}}) {
    const Layout l = lay_out(width, height, 16);
    CHECK(l.rail.right() == width);
    CHECK(l.side.right() == l.rail.left);
    CHECK(l.side.bottom() == l.caution.top);
    CHECK(l.rail.bottom() == l.caution.top);
    if (l.narrow) {  // a page or the map
      CHECK(l.side.width + l.rail.width == width);
      CHECK(l.map.width == 0);
    } else {
      CHECK(l.top.height + l.map.height + l.time.height + l.caution.height == height);
      CHECK(l.map.width + l.side.width + l.rail.width == width);
      CHECK(l.map.width >= width * 0.4);
      CHECK(l.time.top == l.map.bottom());
    }
    const Layout closed = lay_out(width, height, 16, {.open = false});
    CHECK(closed.map.width + closed.rail.width == width);
    CHECK(closed.side.width == 0);
  }
  CHECK(lay_out(600, 400, 16).narrow);
  CHECK_FALSE(lay_out(1024, 700, 16).narrow);
  // Less wide: a menu in place of the rail; less high: no bar of time; the map keeps most of the window.
  for (const auto& [width, height] : {std::pair{400.0, 300.0}, {341.0, 233.0}, {330.0, 800.0}}) {
    const Layout l = lay_out(width, height, 16, {.open = false});
    CAPTURE(width);
    CHECK(l.roomy);
    CHECK(l.rail.width == 0);
    CHECK((l.time.width > 0) == (height > 600));
    CHECK(l.map.width == width);
    CHECK(l.map.height >= 9 * 16);
    CHECK(l.top.height + l.map.height + l.time.height + l.caution.height == height);
  }
  const Layout small = lay_out(200, 100, 16);
  CHECK_FALSE(small.roomy);
  CHECK(small.map == PixelBox{0, 0, 200, 100});
}

TEST_CASE("a click on a site in the window opens its page") {
  Table table(test::sample_snapshot());
  table.click(table.site_pixel("T07"));
  REQUIRE(table.stage.state().site);
  CHECK(table.stage.state().page == Page::kSite);
  CHECK(table.model.snapshot().sites.code[table.stage.state().site->value()] == "T07");
}

TEST_CASE("dragging moves the map and chooses nothing") {
  Table table(test::sample_snapshot());
  const Pixel from = table.site_pixel("T07");
  table.move(from);
  table.press(true);
  table.move({from.x + 30, from.y + 20});
  table.move({from.x + 60, from.y + 40});
  table.press(false);
  table.draw();
  CHECK_FALSE(table.stage.state().site);
  CHECK(table.site_pixel("T07").x > from.x + 25);
}

TEST_CASE("the wheel zooms about the pointer") {
  Table table(test::sample_snapshot());
  const Pixel at = table.site_pixel("T06");
  table.move(at);
  const double before = table.stage.state().view.metres_per_pixel;
  ImGui::GetIO().MouseWheel = 1;
  table.draw();
  CHECK(table.stage.state().view.metres_per_pixel < before);
  CHECK(std::abs(table.site_pixel("T06").x - at.x) < 0.5);
}

TEST_CASE("the step buttons and the slider change the day") {
  Table table(test::sample_snapshot());
  const double em = table.stage.em();
  const PixelBox time = table.layout().time;
  const core::Date newest = *table.stage.state().date;
  table.click({time.left + em * 2.0, time.top + em * 4.4});  // previous sampling day
  CHECK(*table.stage.state().date < newest);
  table.click({time.left + em * 0.9 + em * 6.6, time.top + em * 4.4});  // next
  CHECK(*table.stage.state().date == newest);
  table.click({time.left + time.width / 2, time.top + em * 4.4});  // the middle of the slider
  CHECK(*table.stage.state().date < newest);
  CHECK(*table.stage.state().date > *core::parse_date("2021-09-01"));
}

TEST_CASE("the rail shows the pages, and the map alone") {
  Table table(test::sample_snapshot());
  const auto tap = [&](int cell) {
    const PixelBox rail = table.layout().rail;
    table.click({rail.left + rail.width / 2, rail.top + table.stage.em() * 3.3 * (cell + 0.5)});
  };
  tap(3);
  CHECK(table.stage.state().page == Page::kDistance);
  tap(0);
  CHECK_FALSE(table.stage.state().panel_open);
  CHECK(table.stage.state().view.box.width == 1280 - table.layout().rail.width);
  tap(1);
  CHECK(table.stage.state().page == Page::kKey);
  CHECK(table.stage.state().panel_open);
  CHECK(table.stage.state().view.box == table.layout().map);
}

TEST_CASE("a narrow window begins with the map and shows a page instead of it") {
  Table table(test::sample_snapshot(), 600, 400);
  CHECK_FALSE(table.stage.state().panel_open);
  CHECK(table.stage.state().view.box.width > 500);
  table.stage.apply(ShowPage{Page::kKey});
  table.draw(3);
  CHECK(table.stage.state().view.box.width == 0);
  table.stage.apply(ShowPanel{false});
  table.draw(3);
  CHECK(table.stage.state().view.box.width > 500);
}

TEST_CASE("a key typed steps the day, and Esc closes") {
  Table table(test::sample_snapshot());
  const core::Date newest = *table.stage.state().date;
  ImGui::GetIO().AddInputCharacter('[');
  table.draw(2);
  CHECK(*table.stage.state().date < newest);
  table.stage.apply(SelectSite{core::SiteIndex(2)});
  ImGui::GetIO().KeysDown[ImGuiKey_Escape] = true;
  table.draw(1);
  ImGui::GetIO().KeysDown[ImGuiKey_Escape] = false;
  table.draw(2);
  CHECK_FALSE(table.stage.state().site);
}

TEST_CASE("every page draws for every method, day and size, and for a survey with nothing in it") {
  for (const auto& [width, height] :
       {std::pair{1280.0, 800.0}, {200.0, 100.0}, {1.0, 1.0}, {0.0, 0.0}, {700.0, 330.0}}) {
    for (const bool empty : {false, true}) {
      Table table(empty ? test::empty_snapshot() : test::sample_snapshot(), width, height);
      for (std::size_t m = 0; m < core::shipped_methods().size(); ++m)
        for (std::size_t k = 0; k < core::shipped_methods()[m].metrics.size(); ++k)
          for (const Page page :
               {Page::kKey, Page::kSite, Page::kDistance, Page::kParts, Page::kTable, Page::kSettings}) {
            table.stage.apply(ChooseMetric{{m, k}});
            table.stage.apply(SelectSite{core::SiteIndex(m % 13)});
            table.stage.apply(QueryFromSite{core::SiteIndex(k)});
            table.stage.apply(ShowPage{page});
            table.stage.apply(ShowSiteView{static_cast<SiteView>(m % 3)});
            table.draw();
          }
      CHECK(table.stage.state().site.has_value() == !empty);
    }
  }
}

TEST_CASE("a window too small for panels says by which method, and what to do") {
  const auto told = [](const Table& table) {
    const ImGuiWindow* window = ImGui::FindWindowByName("too small");
    (void)table;
    return window && window->Active && !window->Hidden;
  };
  for (const auto& [width, height] :
       {std::pair{300.0, 180.0}, {200.0, 100.0}, {150.0, 600.0}, {900.0, 150.0}}) {
    Table table(test::sample_snapshot(), width, height);
    CAPTURE(width);
    REQUIRE(told(table));
    const ImGuiWindow& window = *ImGui::FindWindowByName("too small");
    CHECK(window.ContentSize.y > 0);
    // It lies over the map, not below it.
    const auto& order = ImGui::GetCurrentContext()->Windows;
    std::ptrdiff_t words = -1, map = -1;
    for (int i = 0; i < order.Size; ++i) {
      if (order[i] == &window) words = i;
      if (std::string(order[i]->Name) == "map") map = i;
    }
    CHECK(words > map);
    CHECK(std::abs(window.Pos.y + window.Size.y - height) < 1.5);  // whole pixels
    CHECK(window.Size.y <= height);
    // The same by keys: smaller words make room.
    if (width < 250 || height < 160) continue;
    ImGui::GetIO().KeyCtrl = true;
    ImGui::GetIO().KeysDown['-'] = true;
    table.draw(1);
    ImGui::GetIO().KeyCtrl = false;
    ImGui::GetIO().KeysDown['-'] = false;
    table.draw(2);
    CHECK(table.stage.state().settings.scale == 0.75);
    CHECK_FALSE(told(table));
  }
  Table roomy(test::sample_snapshot(), 400, 300);
  CHECK_FALSE(told(roomy));
}

TEST_CASE("a window without a rail has all pages in a menu") {
  Table table(test::sample_snapshot(), 400, 300);
  const auto menu = table.stage.target("pages");
  REQUIRE(menu);
  table.click({menu->left + menu->width / 2, menu->top + menu->height / 2});
  // The first line is the map, the second the key, the third the site.
  table.click({menu->left + 30, menu->bottom() + table.stage.em() * 0.9 + 2.5 * table.stage.em() * 2.4});
  CHECK(table.stage.state().panel_open);
  CHECK(table.stage.state().page == Page::kSite);
}

TEST_CASE("the page of a site begins at its top, whichever site is opened and however low the window is") {
  for (const double height : {800.0, 500.0, 420.0}) {
    Table table(test::sample_snapshot(), 1280, height);
    const auto page = []() -> const ImGuiWindow* {
      for (const ImGuiWindow* w : ImGui::GetCurrentContext()->Windows)
        if (std::string(w->Name).find("side/page") == 0 && w->Active) return w;
      return nullptr;
    };
    for (const std::size_t site : {2U, 5U, 7U}) {
      table.stage.apply(SelectSite{core::SiteIndex(site)});
      table.draw(4);
      REQUIRE(page());
      CHECK(page()->Scroll.y == 0);
      // Somebody reads on: the day changes, the page stays where it is.
      ImGui::SetScrollY(const_cast<ImGuiWindow*>(page()), 60);
      table.draw(2);
      const float read_at = page()->Scroll.y;
      table.stage.apply(StepDate{-1});
      table.draw(2);
      CHECK((page()->Scroll.y > 0) == (read_at > 0));
    }
  }
}

TEST_CASE("a survey of one single day has a usable slider") {
  test::SurveyBuilder b;
  b.site("A", "Only", test::ocean(0, 0));
  b.sample("2022-02-03", test::tray(2, 0));
  Table table(b.snapshot);
  const PixelBox time = table.layout().time;
  table.click({time.left + time.width / 2, time.top + table.stage.em() * 4.4});
  CHECK(table.stage.state().date == *core::parse_date("2022-02-03"));
}

TEST_CASE("nothing is written into the folder one stands in") {
  Table table(test::sample_snapshot());
  CHECK(ImGui::GetIO().IniFilename == nullptr);
  CHECK(ImGui::GetIO().LogFilename == nullptr);
}

TEST_CASE("the fonts hold the signs of the trade and of many alphabets") {
  Table table(test::empty_snapshot());
  // degree, micro, superscripts, subscripts, <=, arrows, shapes, warning sign, o with double acute,
  // Vietnamese, Cyrillic
  for (const unsigned c :
       {0xB0U, 0xB5U, 0xB2U, 0x2083U, 0x2264U, 0x2191U, 0x25B2U, 0x25CFU, 0x26A0U, 0x151U, 0x1EC7U, 0x416U})
    CHECK(ImGui::GetIO().Fonts->Fonts[0]->FindGlyphNoFallback(static_cast<ImWchar>(c)) != nullptr);
}

TEST_CASE("dates and distances are said in words") {
  // 14 May 2024 was a Tuesday.
  CHECK(day_and_season(*core::parse_date("2024-05-14"), false) == "Tuesday 14 May 2024, spring");
  CHECK(day_and_season(*core::parse_date("2024-05-14"), true) == "Tuesday 14 May 2024, autumn");
  CHECK(weekday_name(*core::parse_date("1969-12-31")) == "Wednesday");
  CHECK(distance_in_words(840.4) == "840 m");
  CHECK(distance_in_words(9999.4) == "9999 m");
  CHECK(distance_in_words(9999.6) == "10.0 km");
  CHECK(distance_in_words(123456) == "123 km");
  CHECK(count_of(1, "site", "sites") == "1 site");
  CHECK(position_in_words(-30.0045, 45.0123) == "45.01230\u00B0 N, 30.00450\u00B0 W");
}

TEST_CASE("what names a command line is said with the window's own pages") {
  CHECK(in_the_window("bring them in with `brookmark import SURVEY outfalls FILE` (or waters)") ==
        "bring them in with page Survey, Import (or waters)");
  CHECK(in_the_window("`brookmark drops SURVEY --all` lists them") == "page Poor lists them");
  CHECK(in_the_window("`brookmark drops") == "`brookmark drops");  // not closed
  CHECK(in_the_window("plain words") == "plain words");
}

TEST_CASE("what a chart shows of later days is pale") {
  Table t(test::sample_snapshot());
  t.stage.apply(SelectSite{core::SiteIndex(0)});
  t.stage.apply(ShowPage{Page::kSite});
  t.stage.apply(ShowSiteView{SiteView::kTime});
  // The ink of a mark's edge, nearer to the paper by 65 in a hundred.
  const Inks ink = inks(Look::kDay);
  const auto pale = [](std::uint8_t a, std::uint8_t b) {
    return static_cast<std::uint8_t>(a + (b - a) * 0.65);
  };
  const ImU32 wanted = IM_COL32(pale(ink.text.r, ink.panel.r), pale(ink.text.g, ink.panel.g),
                                pale(ink.text.b, ink.panel.b), 255);
  const auto has_pale = [&] {
    t.draw(4);
    const ImDrawData& data = *ImGui::GetDrawData();
    for (int l = 0; l < data.CmdListsCount; ++l)
      for (const ImDrawVert& v : data.CmdLists[l]->VtxBuffer)
        if (v.col == wanted) return true;
    return false;
  };
  const auto& dates = t.model.snapshot().samples.date;
  const auto [begin, end] = t.model.snapshot().samples_of(core::SiteIndex(0));
  REQUIRE(end.value() - begin.value() > 1);
  t.stage.apply(SetDate{dates[begin.value()]});
  CHECK(has_pale());
  t.stage.apply(SetDate{*std::max_element(dates.begin(), dates.end())});
  CHECK_FALSE(has_pale());
}

TEST_CASE("the worst site is named before the others, also in a crowd") {
  test::SurveyBuilder b;
  // Seven sites along a stream, nearly touching at this zoom; the middle one is bad, an outfall beside it.
  for (int i = 0; i < 7; ++i) {
    b.site("S" + std::to_string(i), "", test::ocean(3.0 * i, 40.0 * i));
    b.sample("2022-05-03", test::tray(i == 3 ? 5 : 1, 0));
  }
  b.site("Z", "Far away", test::ocean(0, 1000));
  b.sample("2022-05-03", test::tray(1, 0));
  b.outfall("O", "Overflow", core::OutfallKind::kStormSewage, test::ocean(9, 122));
  for (const auto& [width, height] : {std::pair{1280.0, 800.0}, {1024.0, 700.0}, {2560.0, 1440.0}}) {
    Table table(b.snapshot, width, height);
    CHECK(table.stage.map_names().sites.contains(3));
    table.stage.apply(SelectSite{core::SiteIndex(4)});
    table.draw(2);
    CHECK(table.stage.map_names().sites.contains(4));
  }
}

TEST_CASE("parts of a catchment are named, the whole is not named inside one of them") {
  test::SurveyBuilder b;
  b.snapshot.samples.record_begin.push_back(0);
  b.catchment("C0", "Whole", test::ocean_line({{0, 0}, {2000, 0}, {2000, 1000}, {0, 1000}, {0, 0}}));
  b.catchment("C1", "West", test::ocean_line({{0, 0}, {1000, 0}, {1000, 1000}, {0, 1000}, {0, 0}}));
  b.catchment("C2", "East", test::ocean_line({{1000, 0}, {2000, 0}, {2000, 1000}, {1000, 1000}, {1000, 0}}));
  Table table(b.snapshot);
  CHECK(table.stage.map_names().catchments == std::set<std::size_t>{1, 2});
  for (int i = 0; i < 12; ++i) table.stage.apply(ZoomCentre{0.5});  // too small for any name
  table.draw(2);
  CHECK(table.stage.map_names().catchments.empty());
}

TEST_CASE("a survey whose sites have no position lists them in the key, where one can be chosen") {
  test::SurveyBuilder b;
  for (int i = 0; i < 3; ++i) {
    b.site("U" + std::to_string(i), "Somewhere", core::kUnplaced);
    b.sample("2022-02-03", test::tray(2, 0));
  }
  Table table(b.snapshot);
  const PixelBox side = table.layout().side;
  // Down the left edge of the page until a row of the list is met.
  for (double y = side.top + 120; y < side.bottom() - 20 && !table.stage.state().site; y += 12)
    table.click({side.left + side.width * 0.7, y});
  REQUIRE(table.stage.state().site);
  CHECK(table.stage.state().page == Page::kSite);
  table.draw(3);
  table.stage.apply(ShowPage{Page::kDistance});
  table.draw(3);
}

TEST_CASE("a button that is dragged is not pressed") {
  Table table(test::sample_snapshot(), 1024, 640);
  const PixelBox side = table.layout().side;
  table.stage.apply(SelectSite{core::SiteIndex(3)});
  table.stage.apply(ShowSiteView{SiteView::kAround});
  table.draw(3);
  const auto box = table.stage.target("All distances, up and down");
  REQUIRE(box);
  const Pixel button{box->left + box->width / 2, box->top + box->height / 2};
  REQUIRE(button.y < side.bottom() - 30);
  table.click(button);
  REQUIRE(table.stage.state().page == Page::kDistance);
  table.stage.apply(ClearQuery{});
  table.stage.apply(SelectSite{core::SiteIndex(3)});
  table.draw(3);
  table.move(button);
  table.press(true);
  for (int i = 1; i <= 6; ++i) table.move({button.x, button.y - 4.0 * i});
  table.move(button);  // back again, as a shaking hand may
  table.press(false);
  table.draw(2);
  CHECK(table.stage.state().page == Page::kSite);
}

TEST_CASE("a ring drawn with the pointer chooses the sites inside and leaves the map where it is") {
  Table table(test::sample_snapshot());
  const Pixel at = table.site_pixel("T07");
  table.stage.apply(StartLasso{});
  table.move({at.x - 20, at.y - 20});
  table.press(true);
  for (const Pixel corner : {Pixel{at.x + 20, at.y - 20}, {at.x + 20, at.y + 20}, {at.x - 20, at.y + 20}})
    table.move(corner);
  table.press(false);
  table.draw(2);
  const Lasso& lasso = table.stage.state().lasso;
  CHECK_FALSE(lasso.armed);
  CHECK(std::find(lasso.sites.begin(), lasso.sites.end(), *table.model.snapshot().find_site("T07")) !=
        lasso.sites.end());
  CHECK(table.site_pixel("T07") == at);
  table.stage.apply(ShowPage{Page::kTable});
  table.draw(3);
}

TEST_CASE("while it plays every frame moves on, and the window rests at the last day") {
  Table table(test::sample_snapshot());
  ImGui::GetIO().DeltaTime = 0.1F;
  table.stage.apply(PlayTime{true});
  const core::Date begun = *table.stage.state().date;
  table.draw(3);
  CHECK(*table.stage.state().date > begun);
  CHECK(table.stage.wants_frame());
  table.draw(260);  // 24 s and a little
  CHECK_FALSE(table.stage.state().time.playing);
  table.draw(1);
  CHECK_FALSE(table.stage.wants_frame());
  CHECK(*table.stage.state().date == table.model.sampling_dates().back());
}

TEST_CASE("an outfall below a site's mark stands aside and can be chosen there") {
  test::SurveyBuilder b;
  b.site("A", "On the outfall", test::ocean(0, 0));
  b.sample("2022-02-03", test::tray(2, 0));
  b.outfall("O", "Hidden", core::OutfallKind::kTrade, test::ocean(0, 0));
  Table table(b.snapshot);
  table.stage.apply(ShowLayer{Layer::kLabels, false});  // or it keeps clear of the name
  table.draw(2);
  const Pixel place = table.site_pixel("A");
  table.click(place);
  CHECK(table.stage.state().site);
  // To the right, half a radius beyond both marks: the middle of the square that the mark takes.
  const MapFrame& frame = table.stage.map_frame();
  table.stage.apply(ClearAll{});
  table.click({place.x + frame.site_radius_px * 1.5 + frame.outfall_radius_px * 2.3, place.y});
  REQUIRE(table.stage.state().outfall);
  CHECK_FALSE(table.stage.state().site);
}

}  // namespace brookmark::viewer

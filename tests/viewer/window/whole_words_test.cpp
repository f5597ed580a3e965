// Nothing is cut: names as long as people give them take another line, and no word ends in dots. Read from what ImGui is
// about to draw, without graphics.
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include <string>
#include <vector>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/map/position_words.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/stage.hpp"
#include "words_in_frame.hpp"

namespace brookmark::viewer {

namespace {

using test::trouble_with_words;

constexpr const char* kLongPlace = "above the old railway viaduct, left bank, by the third pollarded willow";

// The sample survey with names as long as people give them, two sites on one spot and one without a position.
core::Snapshot long_names() {
  core::Snapshot s = test::sample_snapshot();
  core::TextColumn names, waters;
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    names.append(std::string(s.sites.name[i]) + " " + kLongPlace);
    waters.append("Tarnet Brook and its side channel below Lower Quarrendel");
  }
  s.sites.name = std::move(names);
  s.sites.water = std::move(waters);
  s.sites.position[1] = s.sites.position[0];
  s.sites.position[11] = core::kUnplaced;
  s.survey.title = "Tarnet Brook, Osk and the Lind ponds: the invented survey of all waters";
  for (core::Outfall& o : s.outfalls) o.name += " behind the former paper mill at Lower Quarrendel";
  for (core::Catchment& c : s.catchments) c.name += " with all the land that drains to the mill ponds";
  return s;
}

struct Window {
  Model model;
  Stage stage;
  Window(core::Snapshot snapshot, double width, double height, const Settings& settings)
      : model(make_session(std::move(snapshot))), stage(model, {}, settings) {
    stage.resize(width, height);
    draw();
  }
  void draw() { draw_frames(stage, 6); }
};

struct Screen {
  double width, height, scale;
  bool touch;
};
constexpr Screen kScreens[] = {{1024, 700, 1, false}, {1024, 700, 1, true},    {1024, 700, 3, false},
                               {768, 1024, 1, true},  {768, 1024, 1.5, true},  {2560, 1440, 1, false},
                               {2560, 1440, 3, true}, {1280, 800, 1.25, false}};

Settings settings_of(const Screen& look) {
  Settings settings;
  settings.scale = look.scale;
  settings.touch = look.touch;
  return settings;
}

}  // namespace

TEST_CASE("the check of words finds what was cut with dots, and lets dots be behind a blank") {
  for (const double scale : {0.75, 1.0, 1.5, 3.0}) {
    Settings settings;
    settings.scale = scale;
    Window window(test::sample_snapshot(), 1024, 700, settings);
    CHECK(trouble_with_words() == "");
    const auto draw = [](const char* words, const ImFont* font) {
      for (int i = 0; i < 2; ++i) {
        ImGui::NewFrame();
        ImGui::SetNextWindowPos({0, 0});
        ImGui::SetNextWindowSize({900, 200});
        ImGui::Begin("words", nullptr, ImGuiWindowFlags_NoDecoration);
        ImGui::PushFont(const_cast<ImFont*>(font));
        ImGui::TextUnformatted(words);
        ImGui::PopFont();
        ImGui::End();
        ImGui::Render();
      }
    };
    for (const ImFont* font : ImGui::GetIO().Fonts->Fonts) {
      if (font->FindGlyphNoFallback('a') == nullptr) continue;
      CAPTURE(scale);
      CAPTURE(font->FontSize);
      for (const char* whole :
           {"Import places \u2026", "only \u2026", "Refuse f \u2026", "4 m \u2026", "One\n\u2026"}) {
        CAPTURE(whole);
        draw(whole, font);
        CHECK(trouble_with_words() == "");
      }
      for (const char* cut :
           {"C0 Quarrendel (inve\u2026", "4 m fr\u2026", "Kil\u2026", "Mill,\u2026", "A\u2026"}) {
        CAPTURE(cut);
        draw(cut, font);
        CHECK(trouble_with_words().find("cut with dots") != std::string::npos);
      }
    }
  }
}

TEST_CASE("long names of sites, outfalls, waters and catchments stand whole on every page") {
  for (const Screen& look : kScreens) {
    Window window(long_names(), look.width, look.height, settings_of(look));
    CAPTURE(look.width);
    CAPTURE(look.scale);
    CAPTURE(look.touch);
    const auto check = [&](const char* what) {
      window.draw();
      CAPTURE(what);
      CHECK(trouble_with_words() == "");
    };
    check("the map");
    window.stage.apply(SelectSite{core::SiteIndex(3)});
    for (const SiteView view : {SiteView::kScore, SiteView::kTime, SiteView::kAround}) {
      window.stage.apply(ShowSiteView{view});
      check("a site");
    }
    window.stage.apply(QueryFromSite{core::SiteIndex(7)});
    window.stage.apply(SetDirection{core::Direction::kAny});
    check("distances");
    window.stage.apply(AskUpstream{true});
    check("what lies upstream");
    for (const PageEntry& entry : pages()) {
      window.stage.apply(ShowPage{entry.page});
      check(entry.word);
    }
    window.stage.apply(SelectOutfall{core::OutfallIndex(0)});
    check("an outfall");
    window.stage.apply(OpenFind{"tarnet"});
    check("find");
    window.stage.apply(CloseFind{});
  }
}

TEST_CASE("all the way down each page no word is cut") {
  for (const Screen& look : kScreens) {
    Window window(long_names(), look.width, look.height, settings_of(look));
    window.stage.apply(SelectSite{core::SiteIndex(3)});
    window.stage.apply(QueryFromSite{core::SiteIndex(7)});
    window.stage.apply(AskUpstream{true});
    CAPTURE(look.width);
    CAPTURE(look.scale);
    CAPTURE(look.touch);
    for (const PageEntry& entry : pages()) {
      window.stage.apply(ShowPage{entry.page});
      window.draw();
      ImGuiWindow* page = nullptr;
      for (ImGuiWindow* w : ImGui::GetCurrentContext()->Windows)
        if (w->WasActive && std::string(w->Name).find("side/page") != std::string::npos &&
            std::string(w->Name).find('/', 6) == std::string::npos)
          page = w;
      REQUIRE(page != nullptr);
      const float step = std::max(page->InnerRect.GetHeight() * 0.8F, 20.0F);
      for (float y = 0; y <= page->ScrollMax.y + step; y += step) {
        ImGui::SetScrollY(page, std::min(y, page->ScrollMax.y));
        draw_frames(window.stage, 2);
        CAPTURE(entry.word);
        CAPTURE(y);
        CHECK(trouble_with_words() == "");
      }
    }
  }
}

TEST_CASE("the lines of a list that opens stand whole and inside the window") {
  std::size_t opened = 0;
  for (const Screen& look : kScreens) {
    Window window(long_names(), look.width, look.height, settings_of(look));
    ImGuiIO& io = ImGui::GetIO();
    const auto click = [&](float x, float y) {
      io.MousePos = {x, y};
      draw_frames(window.stage, 2);
      io.MouseDown[0] = true;
      draw_frames(window.stage);
      io.MouseDown[0] = false;
      draw_frames(window.stage, 3);
    };
    // The first list that a tap opens, down the middle of the card.
    const auto open_a_list = [&] {
      for (float y = 10; y < static_cast<float>(look.height); y += 12) {
        click(static_cast<float>(look.width) / 2, y);
        if (ImGui::GetCurrentContext()->OpenPopupStack.Size > 0) return true;
      }
      return false;
    };
    CAPTURE(look.width);
    CAPTURE(look.scale);
    for (const DialogKind kind : {DialogKind::kImport, DialogKind::kReport}) {
      window.stage.apply(OpenDialog{kind});
      window.draw();
      CAPTURE(static_cast<int>(kind));
      if (!open_a_list()) {  // out of sight in a low window: the card scrolls
        CHECK(look.scale == 3);
        window.stage.apply(CloseDialog{});
        window.draw();
        continue;
      }
      ++opened;
      draw_frames(window.stage, 3);
      CHECK(trouble_with_words() == "");
      ImGui::ClosePopupToLevel(0, false);
      window.stage.apply(CloseDialog{});
      window.draw();
    }
    const auto method = window.stage.target("Method");
    REQUIRE(method);
    click(static_cast<float>(method->left + method->width / 2),
          static_cast<float>(method->top + method->height / 2));
    REQUIRE(ImGui::GetCurrentContext()->OpenPopupStack.Size > 0);
    draw_frames(window.stage, 3);
    CHECK(trouble_with_words() == "");
  }
  CHECK(opened > 2 * std::size(kScreens) - 3);
}

TEST_CASE("long names in the list of sites on one spot stand whole, in a list of any length") {
  for (const Screen& look : kScreens)
    for (const std::size_t count : {std::size_t{2}, std::size_t{300}}) {
      test::SurveyBuilder b;
      for (std::size_t i = 0; i < count; ++i)
        b.site("S" + std::to_string(1000 + i), i % 3 == 1 ? kLongPlace : "Ford", test::ocean(0, 0));
      b.snapshot.samples.record_begin.push_back(0);
      Window window(std::move(b.snapshot), look.width, look.height, settings_of(look));
      window.stage.apply(ClickMap{window.stage.state().view.to_pixel(window.model.site_places()[0]), 20});
      window.draw();
      CAPTURE(look.width);
      CAPTURE(look.scale);
      REQUIRE(window.stage.state().desk.spot.sites.size() == count);
      CHECK(trouble_with_words() == "");
      for (const std::size_t row : {count - 1, count / 2, std::size_t{0}}) {
        window.stage.apply(LightSpot{row});
        window.draw();
        CAPTURE(row);
        CHECK(trouble_with_words() == "");
      }
      // The last row stands whole at the end, however high those before it are.
      ImGui::GetIO().KeysDown[ImGuiKey_End] = true;
      draw_frames(window.stage);
      ImGui::GetIO().KeysDown[ImGuiKey_End] = false;
      window.draw();
      CHECK(window.stage.state().desk.spot.row == count - 1);
      CHECK(window.stage.target("S" + std::to_string(1000 + count - 1)));
    }
}

TEST_CASE("a cell of the table of samples is as wide as its words") {
  Window window(long_names(), 2560, 1440, {});
  window.stage.apply(ShowPage{Page::kTable});
  window.draw();
  const std::string letters = test::letters_in("/samples");
  CHECK(letters.find(test::without_blanks("Tarnet Brook and its side channel below Lower Quarrendel")) !=
        std::string::npos);
  const ImGuiTable* table = nullptr;
  ImGuiContext& context = *ImGui::GetCurrentContext();
  for (int i = 0; i < context.Tables.GetMapSize(); ++i)
    if (ImGuiTable* t = context.Tables.TryGetMapData(i); t != nullptr && t->ColumnsCount == 9) table = t;
  REQUIRE(table != nullptr);
  for (int c = 0; c < table->ColumnsCount; ++c) {
    CAPTURE(c);
    CHECK(table->Columns[c].ContentMaxXUnfrozen <= table->Columns[c].WorkMaxX + 1);
  }
}

TEST_CASE("the bar of time of an upright tablet names every year, and the map says where it is") {
  for (const bool open : {false, true}) {
    Settings settings;
    settings.touch = true;
    core::Snapshot s = test::sample_snapshot();
    const core::Date first = *core::parse_date("2021-05-01");
    for (core::Date& day : s.samples.date) day.days += day.days - first.days;  // six years instead of three
    Window window(std::move(s), 768, 1024, settings);
    window.stage.apply(ShowPanel{open});
    window.draw();
    CAPTURE(open);
    const std::string letters = test::letters_in("time");
    for (int year = 2022; year <= 2026; ++year) {
      CAPTURE(year);
      const std::string whole = std::to_string(year), two = "\u2019" + whole.substr(2);
      const bool named = letters.find(whole) != std::string::npos || letters.find(two) != std::string::npos;
      CHECK(named);
    }
    CHECK(trouble_with_words() == "");
    const std::string place = test::without_blanks(position_words(
        window.model.frame().to_lonlat(window.stage.state().view.centre), settings.positions, nullptr));
    CHECK(test::letters_in("map").find(place) != std::string::npos);
    const std::vector<PixelBox>& controls = window.stage.map_controls();
    for (std::size_t a = 0; a < controls.size(); ++a)
      for (std::size_t b = a + 1; b < controls.size(); ++b) {
        const PixelBox &p = controls[a], &q = controls[b];
        if (!(p.width > 0 && q.width > 0)) continue;
        CHECK_FALSE((p.left < q.right() && q.left < p.right() && p.top < q.bottom() && q.top < p.bottom()));
      }
  }
}

}  // namespace brookmark::viewer

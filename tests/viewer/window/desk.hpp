// Why: a window without graphics on a real survey file, with a hand on mouse and keyboard.
// Use: Desk desk(make_survey(folder));  desk.type("gam");  desk.key(ImGuiKey_Enter);
#pragma once

#include <imgui.h>

#include <filesystem>
#include <string>

#include "frames.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "viewer/panels/layout.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/session_keeper.hpp"

namespace brookmark::viewer {

inline core::Site site_at(const std::string& code, core::LonLat place) {
  core::Site site;
  site.key = "key-" + code, site.code = code, site.kind = core::WaterKind::kStream, site.position = place;
  return site;
}

// Two sites, B and D, on a stream that runs east.
inline std::filesystem::path make_survey(const test::TemporaryFolder& folder) {
  const std::filesystem::path path = folder / "edit.brook";
  core::SurveyFile file = core::SurveyFile::create(path, {{}, "Edited (invented)", {}});
  core::Reach reach;
  reach.key = "key-reach", reach.name = "Tarnet Brook";
  reach.line = test::ocean_line({{-500, 0}, {0, 0}, {500, 0}, {900, 0}});
  file.apply({"add",
              "two sites",
              {core::AddSite{site_at("B", test::ocean(0, 0))},
               core::AddSite{site_at("D", test::ocean(500, 0))}, core::AddReach{reach}}});
  return path;
}

struct Desk {
  Model model;
  SessionKeeper keeper;
  Stage stage;
  explicit Desk(const std::filesystem::path& path, core::StoreOptions options = {}, double width = 1280,
                double height = 800)
      : model(open_session(path)), keeper(model, std::move(options)), stage(model, {}) {
    stage.set_keeper(&keeper);
    stage.resize(width, height);
    draw_frames(stage);
  }
  std::size_t sites() const { return model.snapshot().sites.size(); }
  core::SiteIndex site(const char* code) const { return *model.snapshot().find_site(code); }
  const State& state() const { return stage.state(); }
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
  void drag(Pixel from, Pixel to) {
    move(from);
    press(true);
    for (int i = 1; i <= 4; ++i) move({from.x + (to.x - from.x) * i / 4, from.y + (to.y - from.y) * i / 4});
    press(false);
    draw(2);
  }
  // One letter a frame, as fingers do.
  void type(const std::string& words) {
    for (const char c : words) {
      ImGui::GetIO().AddInputCharacter(static_cast<unsigned char>(c));
      draw(1);
    }
  }
  void key(ImGuiKey which) {
    ImGui::GetIO().KeysDown[which] = true;
    draw(1);
    ImGui::GetIO().KeysDown[which] = false;
    draw(2);
  }
};

}  // namespace brookmark::viewer

// Ten thousand things that a hand, a cat or a child may do to the window: none may break it, and none may leak.
#include <doctest/doctest.h>
#include <malloc.h>

#include <cmath>

#include "desk.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/platform/state_words.hpp"

namespace brookmark::viewer {

namespace {

class Chance {
 public:
  explicit Chance(std::uint64_t seed) : state_(seed) {}
  double share() {
    state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<double>(state_ >> 11) / 9007199254740992.0;
  }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(share() * static_cast<double>(n)); }

 private:
  std::uint64_t state_;
};

bool sound(const Desk& desk) {
  const State& s = desk.state();
  const core::Snapshot& snapshot = desk.model.snapshot();
  return (!s.site || s.site->value() < snapshot.sites.size()) &&
         (!s.outfall || s.outfall->value() < snapshot.outfalls.size()) &&
         (!s.sample || s.sample->value() < snapshot.samples.size()) && std::isfinite(s.view.centre.x) &&
         std::isfinite(s.view.centre.y) && s.view.metres_per_pixel >= kNearestMetresPerPixel &&
         s.view.metres_per_pixel <= kFarthestMetresPerPixel &&
         (!s.edit.grabbed || *s.edit.grabbed < s.edit.points.size()) &&
         (!s.entry || s.entry->choices.empty() || s.entry->lit < s.entry->choices.size());
}

}  // namespace

TEST_CASE("ten thousand random events leave the window whole and the heap as it was") {
  const test::TemporaryFolder folder;
  const auto path = make_survey(folder);
  struct Elsewhere {  // whatever a random hand writes, it writes here
    std::filesystem::path before = std::filesystem::current_path();
    ~Elsewhere() { std::filesystem::current_path(before); }
  } elsewhere;
  std::filesystem::current_path(folder.path());
  const std::uint64_t seed = 20240503;
  INFO("seed ", seed);
  Chance chance(seed);
  Desk desk(path, {}, 1024, 700);
  ImGuiIO& io = ImGui::GetIO();
  constexpr int kEvents = 10000;
  static constexpr ImGuiKey kKeys[] = {ImGuiKey_Enter,     ImGuiKey_Escape,    ImGuiKey_Tab,
                                       ImGuiKey_UpArrow,   ImGuiKey_DownArrow, ImGuiKey_LeftArrow,
                                       ImGuiKey_Backspace, ImGuiKey_Z,         ImGuiKey_Space};
  static constexpr std::pair<double, double> kSizes[] = {
      {1024, 700}, {1280, 800}, {640, 480}, {200, 100}, {0, 0}};
  std::size_t at_half = 0;
  bool whole = true;
  for (int i = 0; i < kEvents && whole; ++i) {
    const double what = chance.share();
    if (what < 0.30 && !desk.stage.targets().empty()) {  // something that can be tapped
      const Target target = desk.stage.targets()[chance.below(desk.stage.targets().size())];
      io.MousePos = {static_cast<float>(target.box.left + target.box.width * chance.share()),
                     static_cast<float>(target.box.top + target.box.height * chance.share())};
      io.MouseDown[0] = !io.MouseDown[0];
    } else if (what < 0.50) {
      io.MousePos = {static_cast<float>(chance.share() * 1300 - 10),
                     static_cast<float>(chance.share() * 820 - 10)};
    } else if (what < 0.72) {
      io.MouseDown[0] = !io.MouseDown[0];
    } else if (what < 0.76) {
      io.MouseWheel = static_cast<float>(std::floor(chance.share() * 7) - 3);
    } else if (what < 0.86) {
      io.AddInputCharacter(
          static_cast<unsigned>(chance.share() < 0.9 ? 32 + chance.below(95) : chance.below(0x3000)));
    } else if (what < 0.96) {
      const ImGuiKey key = kKeys[chance.below(std::size(kKeys))];
      io.KeyCtrl = chance.share() < 0.3;
      io.KeysDown[key] = !io.KeysDown[key];
    } else if (what < 0.98) {
      const auto [width, height] = kSizes[chance.below(std::size(kSizes))];
      desk.stage.resize(width, height);
    } else {
      const auto all = pages();
      desk.stage.apply(ShowPage{all[chance.below(all.size())].page});
    }
    desk.draw();
    while (!desk.state().messages.empty()) desk.stage.apply(PutAwayMessage{0});
    whole = sound(desk);
    if (i == kEvents / 2) at_half = mallinfo2().uordblks;
  }
  CHECK(whole);
  for (bool& down : io.MouseDown) down = false;
  for (bool& down : io.KeysDown) down = false;
  desk.stage.resize(1280, 800);
  desk.draw(3);
  CHECK_FALSE(state_in_words(desk.stage).empty());
  // The second half needs no more memory than the survey's own growth: some thousands of small rows at most.
  const std::size_t now = mallinfo2().uordblks;
  INFO("heap after half: ", at_half, ", after all: ", now);
  CHECK(now < at_half + (8U << 20));
  CHECK_NOTHROW(open_session(path));
}

}  // namespace brookmark::viewer

// Steps of a script that are a hand on mouse and keys.
#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>

#include "viewer/platform/script_internal.hpp"

namespace brookmark::viewer {
namespace {

void frames(Showing& showing, int count) {
  for (int i = 0; i < count; ++i) showing.frame(nullptr);
}

void click(Showing& showing, double x, double y) {
  for (const bool down : {false, true, true, false, false}) {
    const Pointer pointer{x, y, down};
    showing.frame(&pointer);
  }
  frames(showing, 2);
}

void drag(Showing& showing, Pixel from, Pixel to) {
  constexpr int kSteps = 6;
  Pointer pointer{from.x, from.y, false};
  showing.frame(&pointer);
  pointer.down = true;
  showing.frame(&pointer);
  for (int i = 1; i <= kSteps; ++i) {
    pointer.x = from.x + (to.x - from.x) * i / kSteps;
    pointer.y = from.y + (to.y - from.y) * i / kSteps;
    showing.frame(&pointer);
  }
  showing.frame(&pointer);
  pointer.down = false;
  showing.frame(&pointer);
  frames(showing, 2);
}

void key(Showing& showing, const std::string& name) {
  ImGuiIO& io = ImGui::GetIO();
  const ImGuiKey which = name == "enter"       ? ImGuiKey_Enter
                         : name == "esc"       ? ImGuiKey_Escape
                         : name == "tab"       ? ImGuiKey_Tab
                         : name == "up"        ? ImGuiKey_UpArrow
                         : name == "down"      ? ImGuiKey_DownArrow
                         : name == "left"      ? ImGuiKey_LeftArrow
                         : name == "right"     ? ImGuiKey_RightArrow
                         : name == "backspace" ? ImGuiKey_Backspace
                                               : ImGuiKey_Z;
  const int at = ImGui::GetKeyIndex(which);
  if (at < 0) return;
  io.KeysDown[at] = true;
  io.KeyCtrl = name == "undo";
  showing.frame(nullptr);
  io.KeysDown[at] = false;
  io.KeyCtrl = false;
  frames(showing, 2);
}

}  // namespace

bool run_hand_step(const ScriptStep& step, Showing& showing, const ScriptPlace& at) {
  const std::vector<std::string>& w = step.words;
  const std::string& command = w.front();
  const auto n = [&](std::size_t i) { return script_number(w[i], at); };
  if (command == "click") {
    click(showing, n(1), n(2));
  } else if (command == "drag") {
    drag(showing, {n(1), n(2)}, {n(3), n(4)});
  } else if (command == "press") {
    frames(showing, 2);
    const auto& targets = showing.stage().targets();
    const auto target =
        std::find_if(targets.begin(), targets.end(), [&](const Target& t) { return t.words == w[1]; });
    if (target == targets.end()) {
      std::string known;
      for (const Target& other : targets) known += (known.empty() ? "" : ", ") + other.words;
      at.refuse("There is no button \u201C" + w[1] + "\u201D in sight. There are: " + known + ".",
                ErrorCode::kNotFound);
    }
    if (!target->possible)
      at.refuse("The button \u201C" + w[1] + "\u201D is greyed: it does nothing as things stand. " +
                    "What is missing is said beside it.",
                ErrorCode::kBadUse);
    const PixelBox box = target->box;
    const double x = box.left + box.width / 2, y = box.top + box.height / 2;
    const Pointer over{x, y, false};
    for (int i = 0; i < 2; ++i) showing.frame(&over);
    // While a field has the keyboard nothing else is told to be under the pointer.
    const ImGuiContext& context = *ImGui::GetCurrentContext();
    if (context.HoveredId == 0 && context.ActiveId == 0)
      at.refuse(
          "The button \u201C" + w[1] +
              "\u201D is out of sight: it lies above or below what is shown. Make the drawing area higher "
              "(size) or the scale smaller.",
          ErrorCode::kNotFound);
    click(showing, x, y);
  } else if (command == "type") {
    frames(showing, 1);
    for (int i = 0; i < 90 && showing.stage().wants_frame(); ++i)
      frames(showing, 1);  // until the field has the keyboard
    for (const char c : w[1]) {
      // Bytes of one character go together.
      ImGui::GetIO().AddInputCharactersUTF8(std::string(1, c).c_str());
      if ((static_cast<unsigned char>(c) & 0x80) == 0) showing.frame(nullptr);
    }
    frames(showing, 1);
  } else if (command == "key") {
    key(showing, w[1]);
  } else {
    return false;
  }
  return true;
}

}  // namespace brookmark::viewer

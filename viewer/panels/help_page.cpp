// Help inside the window: no network, no browser.
#include <span>

#include "core/survey/cautions.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {
namespace {

struct HelpLine {
  const char* what;
  const char* how;
};

constexpr HelpLine kHands[] = {
    {"Move the map", "drag it, or the arrow keys"},
    {"Nearer and farther",
     "the wheel, a pinch on a touchpad, the buttons on the map, + and \u2212; with one finger, tap and then "
     "slide: two "
     "fingers on a screen are not told apart here"},
    {"Everything in view", "the square button, or F"},
    {"Open a site or an outfall", "tap its mark; where several sites lie on one spot, choose from the list"},
    {"What a button does",
     "rest the pointer on it; with Touch on, hold a finger on it, or on a mark, for half a second"},
    {"Another day", "drag along the time bar, or [ and ]"},
    {"Play through time", "the button on the time bar, or P"},
    {"Find anything",
     "Find at the top, Ctrl and F, or /: sites, waters, animals, commands, and places "
     "by their coordinates: degrees with decimals or minutes and seconds, the survey\u2019s grid, geo: "
     "addresses"},
    {"Add a photo", "the page of a site, Around: Add a photo"},
    {"What a partner changed", "the page Survey: Partner's changes"},
    {"Another page", "the rail at the right edge; Tab and Enter work too"},
    {"Close what is open", "Esc, step by step"},
    {"Undo and redo on the sheet of a visit", "its buttons, or Ctrl and Z, Ctrl and Y"},
    {"Undo an edit", "the page Edit; it works days later too. Redo it there, until another edit is made"},
    {"Larger or smaller words", "Ctrl and + or \u2212; Ctrl and 0 for the plain size"},
};

constexpr HelpLine kWords[] = {
    {"Class",
     "A band of an index by its own published names. It always stands with the method that gave it."},
    {"Hollow mark, dash",
     "The method was not made for this water, season or sample: the value is shown, its class is not "
     "painted."},
    {"Hollow mark, cross", "Sampled, but the method gives no value."},
    {"Hollow mark, question", "Not sampled by the day shown."},
    {"Faded mark", "Retired, or its last sample is more than two years old."},
    {"From memory",
     "Nobody has yet checked this method's table against its published source. Read it with care."},
    {"Measured and inferred",
     "A class is carried along the channel 500 m around a site, and between two sites that agree."},
    {"Distance", "Along the channel and with its direction, never as the crow flies."},
};

constexpr HelpLine kTrouble[] = {
    {"The survey is locked",
     "Another program is writing into it. Close that program or wait a moment, then try again. "
     "Nothing is lost."},
    {"Opened read-only",
     "The file comes from a newer Brookmark, or its folder cannot be written. It can be looked at; copy "
     "it to change it."},
    {"A method has no value", "Open the sample: below it stands which animals count, which do not, and why."},
    {"Words are too small", "Settings: size 75 to 300 %, and Touch for bigger targets."},
    {"The screen glares", "Settings: the look Sunlight."},
};

void lines(const Ui& ui, const char* title, std::span<const HelpLine> all) {
  if (!ImGui::CollapsingHeader(title, ImGuiTreeNodeFlags_DefaultOpen)) return;
  for (const HelpLine& line : all) {
    heading(ui.theme, line.what);
    const FontScope small(ui.theme.small);
    muted(line.how);
  }
  gap(ui.theme, 0.3F);
}

}  // namespace

void draw_help_page(const Ui& ui) {
  if (push_button(ui.theme, "Guided look, two minutes",
                  {ImGui::GetContentRegionAvail().x, ui.theme.row(2.3F)}))
    ui.push(StartGuide{});
  gap(ui.theme, 0.2F);
  lines(ui, "With hand and keys", kHands);
  lines(ui, "What the marks say", kWords);
  lines(ui, "When something is in the way", kTrouble);
  if (ImGui::CollapsingHeader("Cautions", ImGuiTreeNodeFlags_DefaultOpen)) {
    const FontScope small(ui.theme.small);
    wrapped(core::kResultCaution);
    for (const char* caution : core::kFieldCautions) wrapped(caution);
  }
}

}  // namespace brookmark::viewer

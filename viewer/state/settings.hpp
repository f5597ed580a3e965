// Why: how a person likes the window: their own, kept beside no survey. Plain values; the platform keeps them in
// a small file of the user's folder (viewer/platform/settings_file.hpp).
#pragma once

#include <cstdint>
#include <string_view>

#include "viewer/map/inks.hpp"

namespace brookmark::viewer {

// How a position is written. The survey's own system, where it has one that is not degrees.
enum class PositionForm : std::uint8_t { kDegrees, kMinutes, kGrid };
inline constexpr std::size_t kPositionFormCount = 3;

inline constexpr double kSmallestUserScale = 0.75, kLargestUserScale = 3;
// The least side of whatever is tapped in touch mode, millimetres: about the width of a fingertip's touch; common
// practice, no source.
inline constexpr double kTouchTarget_mm = 9;

struct Settings {
  Look look = Look::kDay;
  double scale = 1;  // of all sizes, on top of the display's own; 0.75 to 3
  bool touch = false;
  PositionForm positions = PositionForm::kDegrees;
  ClassColours class_colours = ClassColours::kDirective;
  bool guide_seen = false;  // the guided look has been walked through or skipped once
  bool operator==(const Settings&) const = default;
};

// "degrees", "minutes", "grid"; "directive", "ordered".
const char* position_form_name(PositionForm form);
bool read_position_form(std::string_view word, PositionForm& form);
const char* class_colours_name(ClassColours choice);
bool read_class_colours(std::string_view word, ClassColours& choice);
// The same with a scale inside its limits (1 where it is no number).
Settings within_limits(Settings settings);

}  // namespace brookmark::viewer

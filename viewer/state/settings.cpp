#include "viewer/state/settings.hpp"

#include <algorithm>
#include <cmath>

namespace brookmark::viewer {
namespace {

constexpr const char* kForms[kPositionFormCount] = {"degrees", "minutes", "grid"};
constexpr const char* kChoices[] = {"directive", "ordered"};

template <class Value, std::size_t N>
bool read(std::string_view word, const char* const (&names)[N], Value& value) {
  for (std::size_t i = 0; i < N; ++i)
    if (word == names[i]) {
      value = static_cast<Value>(i);
      return true;
    }
  return false;
}

}  // namespace

const char* position_form_name(PositionForm form) {
  return kForms[static_cast<std::size_t>(form)];
}
bool read_position_form(std::string_view word, PositionForm& form) {
  return read(word, kForms, form);
}
const char* class_colours_name(ClassColours choice) {
  return kChoices[static_cast<std::size_t>(choice)];
}
bool read_class_colours(std::string_view word, ClassColours& choice) {
  return read(word, kChoices, choice);
}

Settings within_limits(Settings settings) {
  settings.scale =
      std::isfinite(settings.scale) ? std::clamp(settings.scale, kSmallestUserScale, kLargestUserScale) : 1.0;
  return settings;
}

}  // namespace brookmark::viewer

#include "viewer/platform/settings_file.hpp"

#include <fstream>
#include <sstream>
#include <system_error>

#include "core/base/text.hpp"
#include "core/store/device_id.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostBytes = 65536;  // a file longer than this is not ours

void read_switch(std::string_view word, bool& value) {
  if (word == "on") value = true;
  if (word == "off") value = false;
}

}  // namespace

std::filesystem::path settings_place() {
  const std::filesystem::path folder = core::settings_folder();
  return folder.empty() ? folder : folder / "window";
}

Settings parse_settings(std::string_view text) {
  Settings settings;
  for (const std::string& line : core::split(text, '\n')) {
    const std::string_view whole = core::trim(line);
    const std::size_t space = whole.find(' ');
    if (whole.empty() || whole.front() == '#' || space == std::string_view::npos) continue;
    const std::string_view name = whole.substr(0, space), value = core::trim(whole.substr(space));
    if (name == "look") read_look(value, settings.look);
    if (name == "positions") read_position_form(value, settings.positions);
    if (name == "classes") read_class_colours(value, settings.class_colours);
    if (name == "touch") read_switch(value, settings.touch);
    if (name == "guide_seen") read_switch(value, settings.guide_seen);
    if (name == "scale")
      if (const auto scale = core::parse_number(value);
          scale && *scale >= kSmallestUserScale && *scale <= kLargestUserScale)
        settings.scale = *scale;
  }
  return settings;
}

std::string settings_text(const Settings& settings) {
  const auto word = [](bool on) { return on ? "on" : "off"; };
  return std::string("# How the window of Brookmark looks. Kept by the window itself.\nlook ") +
         look_name(settings.look) + "\nscale " + core::format_number(settings.scale) + "\ntouch " +
         word(settings.touch) + "\npositions " + position_form_name(settings.positions) + "\nclasses " +
         class_colours_name(settings.class_colours) + "\nguide_seen " + word(settings.guide_seen) + "\n";
}

Settings read_settings(const std::filesystem::path& file) {
  if (file.empty()) return {};
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file, ignored) ||
      std::filesystem::file_size(file, ignored) > kMostBytes)
    return {};
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  if (!in || !(text << in.rdbuf())) return {};
  return parse_settings(text.str());
}

bool write_settings(const Settings& settings, const std::filesystem::path& file) {
  if (file.empty()) return false;
  std::error_code trouble;
  std::filesystem::create_directories(file.parent_path(), trouble);
  std::filesystem::path half = file;
  half += ".new";
  {
    std::ofstream out(half, std::ios::binary | std::ios::trunc);
    out << settings_text(settings) << std::flush;
    if (!out) return false;
  }
  std::filesystem::rename(half, file, trouble);
  if (!trouble) return true;
  std::filesystem::remove(half, trouble);
  return false;
}

}  // namespace brookmark::viewer

// Why: how a person likes the window is kept for them in a small text file, one word and its value a line, so that it
// can be read, mended or thrown away.
// Use: Settings s = read_settings(settings_place());  write_settings(s, settings_place());
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "viewer/state/settings.hpp"

namespace brookmark::viewer {

// "window" in core::settings_folder(); empty where a person has no such folder.
std::filesystem::path settings_place();

// Lines it does not understand, and values outside their limits, are passed over: the default stands.
Settings parse_settings(std::string_view text);
std::string settings_text(const Settings& settings);

// The defaults where there is no file or it cannot be read. Never throws.
Settings read_settings(const std::filesystem::path& file);
// Under a temporary name, then renamed. False where it cannot be kept; the window works on without.
bool write_settings(const Settings& settings, const std::filesystem::path& file);

}  // namespace brookmark::viewer

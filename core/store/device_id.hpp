// Why: rows say on which machine they were made. A random id, kept in the user's settings, names no person
// and no machine.
// Use: const std::string device = device_id();
#pragma once

#include <filesystem>
#include <string>

namespace brookmark::core {

// Where a person's own settings stand: $XDG_CONFIG_HOME/brookmark, else ~/.config/brookmark (XDG Base Directory
// Specification 0.8; relative values do not count). Empty where there is neither.
std::filesystem::path settings_folder();

// The id in $XDG_CONFIG_HOME/brookmark/device (or ~/.config/...), made at the first call. Where there are no
// settings or they cannot be written: a random id that holds for this run.
std::string device_id();

}  // namespace brookmark::core

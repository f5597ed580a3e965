// Why: rows say on which machine they were made. A random id, kept in the user's settings, names no person
// and no machine.
// Use: const std::string device = device_id();
#pragma once

#include <string>

namespace brookmark::core {

// The id in $XDG_CONFIG_HOME/brookmark/device (or ~/.config/...), made at the first call. Where there are no
// settings or they cannot be written: a random id that holds for this run.
std::string device_id();

}  // namespace brookmark::core

#include "core/store/device_id.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <system_error>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"

namespace brookmark::core {

std::filesystem::path settings_folder() {
  if (const char* folder = std::getenv("XDG_CONFIG_HOME"); folder != nullptr && *folder == '/') {
    return std::filesystem::path(folder) / "brookmark";
  }
  if (const char* home = std::getenv("HOME"); home != nullptr && *home == '/') {
    return std::filesystem::path(home) / ".config" / "brookmark";
  }
  return {};
}

namespace {

// The id in the settings, made and written there when there is none yet; nothing where settings cannot be kept.
std::optional<std::string> kept_id() {
  const std::filesystem::path folder = settings_folder();
  if (folder.empty()) return std::nullopt;
  const std::filesystem::path file = folder / "device";
  std::string line;
  if (std::ifstream in(file); in && std::getline(in, line) && !trim(line).empty())
    return std::string(trim(line));
  std::error_code ignored;
  std::filesystem::create_directories(folder, ignored);
  const std::string id = random_uuid();
  std::ofstream out(file);
  out << id << '\n' << std::flush;
  if (!out) return std::nullopt;
  return id;
}

}  // namespace

std::string device_id() {
  if (const auto id = kept_id()) return *id;
  static const std::string for_this_run = random_uuid();
  return for_this_run;
}

}  // namespace brookmark::core

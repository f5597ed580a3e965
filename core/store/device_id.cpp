#include "core/store/device_id.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <system_error>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"

namespace brookmark::core {
namespace {

std::filesystem::path settings_folder() {
  if (const char* folder = std::getenv("XDG_CONFIG_HOME"); folder != nullptr && *folder == '/') {
    return std::filesystem::path(folder) / "brookmark";
  }
  if (const char* home = std::getenv("HOME"); home != nullptr && *home == '/') {
    return std::filesystem::path(home) / ".config" / "brookmark";
  }
  return {};
}

std::string read_or_make_id() {
  const std::filesystem::path folder = settings_folder();
  if (folder.empty()) return random_uuid();
  const std::filesystem::path file = folder / "device";
  std::string line;
  if (std::ifstream in(file); in && std::getline(in, line) && !trim(line).empty())
    return std::string(trim(line));
  const std::string id = random_uuid();
  std::error_code ignored;
  std::filesystem::create_directories(folder, ignored);
  std::ofstream(file) << id << '\n';
  return id;
}

}  // namespace

std::string device_id() {
  static const std::string id = read_or_make_id();
  return id;
}

}  // namespace brookmark::core

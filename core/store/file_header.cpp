#include "core/store/file_header.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cstdint>
#include <fstream>
#include <string_view>
#include <system_error>

#include "core/base/error.hpp"
#include "core/store/migrations.hpp"

namespace brookmark::core {
namespace {

constexpr std::string_view kMagic("SQLite format 3\0", 16);
constexpr std::size_t kHeaderBytes = 100;

bool may_write(const std::filesystem::path& path) {
  return faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) == 0;
}

}  // namespace

FileHeader read_file_header(const std::filesystem::path& path) {
  const std::string name = path.string();
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (status.type() == std::filesystem::file_type::not_found) {
    throw Error(ErrorCode::kNotFound, "there is no such file; look at its name and folder", name);
  }
  if (std::filesystem::is_directory(status)) {
    throw Error(ErrorCode::kForeignFile, "this is a folder; give the name of a survey file", name);
  }
  std::ifstream file(path, std::ios::binary);
  if (error || !file) {
    throw Error(ErrorCode::kReadOnly, "the file may not be read; look at its permissions", name);
  }
  std::array<char, kHeaderBytes> header{};
  file.read(header.data(), header.size());
  const auto size = static_cast<std::size_t>(file.gcount());
  const std::string_view start(header.data(), size);
  if (size == 0) {
    throw Error(ErrorCode::kForeignFile, "the file is empty; it is no survey file", name);
  }
  if (start.substr(0, kMagic.size()) != kMagic.substr(0, size)) {
    throw Error(ErrorCode::kForeignFile, "this is no survey file; to bring in a table or a layer, import it",
                name);
  }
  if (size < kHeaderBytes) {
    throw Error(ErrorCode::kForeignFile, "the file is cut short; open a copy made earlier", name);
  }
  std::uint32_t application_id = 0;
  for (std::size_t i = 68; i < 72; ++i)
    application_id = application_id << 8 | static_cast<unsigned char>(header[i]);
  if (application_id != kApplicationId) {
    throw Error(ErrorCode::kForeignFile,
                "this is a database, but no survey file; to bring in its layers, import them", name);
  }
  return {header[18] == 2 || header[19] == 2};
}

bool folder_is_writable(const std::filesystem::path& path) {
  return may_write(std::filesystem::absolute(path).parent_path());
}

bool file_is_writable(const std::filesystem::path& path) {
  return may_write(path);
}

}  // namespace brookmark::core

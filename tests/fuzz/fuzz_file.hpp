// Why: most of what reads a stranger's file takes its name. The bytes at hand become a file in memory, gone with this object.
// Use: const FuzzFile file("a.gpx", bytes);  read_layer(file.path(), {});
#pragma once

#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

namespace brookmark::test {

// A folder of this process, in memory where the machine has such a place.
inline const std::filesystem::path& fuzz_folder() {
  static const struct Folder {
    std::filesystem::path path =
        std::filesystem::path(std::filesystem::exists("/dev/shm") ? "/dev/shm" : "/tmp") /
        ("brookmark-fuzz-" + std::to_string(getpid()));
    Folder() { std::filesystem::create_directories(path); }
    ~Folder() {
      std::error_code none;
      std::filesystem::remove_all(path, none);
    }
  } folder;
  return folder.path;
}

class FuzzFile {
 public:
  FuzzFile(const std::string& name, std::string_view bytes) : path_(fuzz_folder() / name) {
    std::ofstream(path_, std::ios::binary).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  }
  ~FuzzFile() {
    std::error_code none;
    std::filesystem::remove(path_, none);
  }
  FuzzFile(const FuzzFile&) = delete;
  FuzzFile& operator=(const FuzzFile&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

// What must hold does, or the fuzzer has found something.
inline void must(bool holds) {
  if (!holds) std::abort();
}

}  // namespace brookmark::test

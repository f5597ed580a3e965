#include "geodata/target_file_internal.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string>
#include <system_error>
#include <vector>

#include "core/base/uuid.hpp"

namespace brookmark::geodata {

namespace fs = std::filesystem;

namespace {

// Files that SQLite keeps beside a database while it is in use or after a crash.
constexpr std::array<const char*, 3> kCompanions = {"-journal", "-wal", "-shm"};

fs::path companion(const fs::path& file, const char* ending) {
  return fs::path(file.string() + ending);
}

class Descriptor {
 public:
  Descriptor(const fs::path& file, int flags) : value_(::open(file.c_str(), flags | O_CLOEXEC, 0666)) {}
  ~Descriptor() {
    if (value_ >= 0) ::close(value_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int value() const { return value_; }
  bool close() {
    const int result = ::close(value_);
    value_ = -1;
    return result == 0;
  }

 private:
  int value_;
};

bool write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(file, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

bool means_no_space(int error) {
  return error == ENOSPC || error == EDQUOT || error == EFBIG;
}

// GDAL and SQLite report a full disk as one of many input/output errors. So the system is asked again: does
// the file, which is going to be removed anyway, take another mebibyte?
bool disk_takes_no_more(const fs::path& temporary) {
  const Descriptor file(temporary, O_WRONLY | O_CREAT | O_APPEND);
  if (file.value() < 0) return means_no_space(errno);
  const std::vector<char> block(std::size_t{1} << 20, '\0');
  if (!write_all(file.value(), {block.data(), block.size()})) return means_no_space(errno);
  return ::fsync(file.value()) != 0 && means_no_space(errno);
}

bool sync_to_disk(const fs::path& path, int flags) {
  const Descriptor file(path, flags);
  return file.value() >= 0 && ::fsync(file.value()) == 0;
}

}  // namespace

TargetFile::TargetFile(const fs::path& target, bool overwrite) : shown_(target), overwrite_(overwrite) {
  std::error_code error;
  target_ = fs::weakly_canonical(fs::absolute(target, error),
                                 error);  // a link keeps pointing to what it pointed to
  if (error)
    throw Error(ErrorCode::kStorage, "the place cannot be looked at: " + error.message(), shown_.string());
  const fs::path folder = target_.parent_path();
  const fs::file_status there = fs::status(target_, error);
  if (fs::is_directory(there))
    throw Error(ErrorCode::kBadUse, "this is a folder; give the name of a file in it", shown_.string());
  // Renamed over, a device or a pipe would be gone for every program of the machine.
  if (fs::exists(there) && !fs::is_regular_file(there))
    throw Error(
        ErrorCode::kBadUse,
        "this is no plain file but a device, a pipe or a socket, and is never replaced; give the name of "
        "a file",
        shown_.string());
  if (!fs::is_directory(folder, error))
    throw Error(ErrorCode::kBadUse, "the folder " + folder.string() + " is not there; make it first",
                shown_.string());
  if (fs::exists(there)) {
    if (!overwrite)
      throw Error(ErrorCode::kBadUse, "the file exists already; choose another name, or replace it (--force)",
                  shown_.string());
    if (::access(target_.c_str(), W_OK) != 0)
      throw Error(ErrorCode::kReadOnly, "the file is write-protected; choose another name", shown_.string());
  }
  for (const char* ending : kCompanions) {
    // A journal left beside a file that is then replaced would be played into the new one and damage it.
    if (fs::exists(companion(target_, ending), error))
      throw Error(
          ErrorCode::kLocked,
          "another program has this file open, or was stopped while writing it; close that program, and if " +
              companion(target_, ending).filename().string() + " stays, choose another name",
          shown_.string());
  }
  if (::access(folder.c_str(), W_OK | X_OK) != 0)
    throw Error(ErrorCode::kReadOnly, "the folder cannot be written to; choose another folder",
                shown_.string());
  temporary_ = folder / (".brookmark-" + core::random_uuid() + target_.extension().string());
}

TargetFile::~TargetFile() {
  std::error_code ignored;
  fs::remove(temporary_, ignored);
  for (const char* ending : kCompanions) fs::remove(companion(temporary_, ending), ignored);
}

void TargetFile::commit() {
  if (!sync_to_disk(temporary_, O_RDWR)) throw failure(std::strerror(errno));
  std::error_code error;
  const fs::file_status there = fs::status(target_, error);
  if (fs::exists(there) && !fs::is_regular_file(there))
    throw Error(ErrorCode::kBadUse,
                "another program has just made this a device, a pipe or a socket; choose another name",
                shown_.string());
  if (!overwrite_ && fs::exists(there))
    throw Error(ErrorCode::kBadUse, "another program has just made this file; choose another name",
                shown_.string());
  fs::rename(temporary_, target_, error);
  if (error) throw failure(error.message());
  sync_to_disk(target_.parent_path(),
               O_RDONLY | O_DIRECTORY);  // the file is whole either way; some systems refuse this
}

Error TargetFile::failure(const std::string& details) const {
  if (disk_takes_no_more(temporary_))
    return {ErrorCode::kNoSpace,
            "the disk is full; free some space or choose another disk. Nothing was changed", shown_.string()};
  return {ErrorCode::kStorage,
          "the file could not be written, and nothing was changed. The reason given: " + details,
          shown_.string()};
}

void write_whole(const TargetFile& target, std::string_view text) {
  Descriptor file(target.temporary(), O_WRONLY | O_CREAT | O_EXCL);
  if (file.value() < 0 || !write_all(file.value(), text)) throw target.failure(std::strerror(errno));
  if (!file.close()) throw target.failure(std::strerror(errno));
}

}  // namespace brookmark::geodata

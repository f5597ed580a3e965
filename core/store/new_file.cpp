#include "core/store/new_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <string>
#include <system_error>

#include "core/base/error.hpp"
#include "core/base/uuid.hpp"
#include "core/store/file_header.hpp"

namespace brookmark::core {
namespace {

// True when the system says that all of it is on the disk.
bool flush_to_disk(const std::filesystem::path& path) {
  const int handle = open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (handle < 0) return false;
  const bool flushed = fsync(handle) == 0;
  close(handle);
  return flushed;
}

[[noreturn]] void already_there(const std::filesystem::path& target) {
  throw Error(ErrorCode::kBadUse, "something already stands there; choose another name or move it away",
              target.string());
}

}  // namespace

NewFile::NewFile(const std::filesystem::path& target) : target_(std::filesystem::absolute(target)) {
  std::error_code ignored;
  const std::filesystem::path folder = target_.parent_path();
  if (!target_.has_filename()) throw Error(ErrorCode::kBadUse, "a file needs a name", target.string());
  if (std::filesystem::exists(std::filesystem::symlink_status(target_, ignored))) already_there(target);
  if (!std::filesystem::is_directory(folder, ignored)) {
    throw Error(ErrorCode::kBadUse, "the folder does not exist; make it first", folder.string());
  }
  if (!folder_is_writable(target_)) {
    throw Error(ErrorCode::kReadOnly, "nothing can be written into this folder; choose another one",
                folder.string());
  }
  std::string name(1, '.');
  name.append(target_.filename().string()).append(1, '.').append(random_uuid(), 0, 8).append(".part");
  temporary_ = folder / name;
}

NewFile::~NewFile() {
  std::error_code ignored;
  for (const char* suffix : {"", "-journal", "-wal", "-shm"}) {
    std::filesystem::remove(temporary_.string() + suffix, ignored);
  }
}

void NewFile::publish() {
  if (!flush_to_disk(temporary_))
    throw Error(errno == ENOSPC || errno == EDQUOT ? ErrorCode::kNoSpace : ErrorCode::kStorage,
                "the new file could not be brought to the disk; free some space or choose another disk",
                target_.string());
  // A second name for the same file never replaces what appeared at the target meanwhile; a rename would.
  // Cards and sticks without hard links are renamed.
  std::error_code error;
  std::filesystem::create_hard_link(temporary_, target_, error);
  if (error == std::errc::file_exists) already_there(target_);
  if (error) {
    std::filesystem::rename(temporary_, target_, error);
    if (error)
      throw Error(ErrorCode::kStorage, "the file could not be put in its place (" + error.message() + ")",
                  target_.string());
  } else {
    std::filesystem::remove(temporary_, error);
  }
  flush_to_disk(target_.parent_path());  // best effort: some file systems cannot flush a folder
}

}  // namespace brookmark::core

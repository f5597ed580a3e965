// Why: where a file appears, it is whole. It is written under a temporary name beside its place, then
// renamed.
// Use: NewFile file(target);  ...write file.temporary()...  file.publish();
#pragma once

#include <filesystem>

namespace brookmark::core {

class NewFile {
 public:
  // Throws Error: kBadUse when something stands at `target` or its folder is missing, kReadOnly when the
  // folder cannot be written.
  explicit NewFile(const std::filesystem::path& target);
  ~NewFile();  // removes what was not published
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;

  const std::filesystem::path& temporary() const { return temporary_; }
  // Onto the disk, then under its name. Every handle on the file must be closed.
  void publish();

 private:
  std::filesystem::path target_, temporary_;
};

}  // namespace brookmark::core

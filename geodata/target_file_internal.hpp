// Why: whoever opens an export sees a whole file or the one that was there before. Everything is written to a
// temporary file beside the target, brought to disk, and only then renamed.
// Use: TargetFile target(path, overwrite);  write(target.temporary());  target.commit();
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "core/base/error.hpp"

namespace brookmark::geodata {

class TargetFile {
 public:
  // Throws Error: kBadUse (target exists, is a folder or no plain file at all, has no folder), kReadOnly, kLocked (another program
  // has it open).
  TargetFile(const std::filesystem::path& target, bool overwrite);
  ~TargetFile();  // removes what was not committed
  TargetFile(const TargetFile&) = delete;
  TargetFile& operator=(const TargetFile&) = delete;

  // A name in the target's folder, with the target's ending; no file is there yet.
  const std::filesystem::path& temporary() const { return temporary_; }
  // Throws Error(kStorage, kNoSpace).
  void commit();
  // The Error to throw when writing failed: kNoSpace where the disk takes no more, else kStorage. `details`
  // may be empty.
  Error failure(const std::string& details) const;

 private:
  std::filesystem::path shown_, target_, temporary_;
  bool overwrite_ = false;
};

// Throws Error through `target.failure` unless every byte was taken.
void write_whole(const TargetFile& target, std::string_view text);

}  // namespace brookmark::geodata

// Why: some of GDAL's drivers do not look whether a disk took all they wrote. They write to memory, and write_whole to disk.
// Use: const MemoryFile memory(".gpx");  driver->Create(memory.name().c_str(), ...);  write_whole(target, memory.text());
#pragma once

#include <string>
#include <string_view>

namespace brookmark::geodata {

// A file in GDAL's memory, gone with this object.
class MemoryFile {
 public:
  explicit MemoryFile(const std::string& ending);
  ~MemoryFile();
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;

  const std::string& name() const { return name_; }
  std::string_view text() const;  // empty where nothing was written

 private:
  std::string name_;
};

}  // namespace brookmark::geodata

#include "geodata/memory_file_internal.hpp"

#include <cpl_vsi.h>

#include "core/base/uuid.hpp"

namespace brookmark::geodata {

MemoryFile::MemoryFile(const std::string& ending) : name_("/vsimem/" + core::random_uuid() + ending) {}

MemoryFile::~MemoryFile() {
  VSIUnlink(name_.c_str());
}

std::string_view MemoryFile::text() const {
  vsi_l_offset size = 0;
  const GByte* bytes = VSIGetMemFileBuffer(name_.c_str(), &size, FALSE);
  return {reinterpret_cast<const char*>(bytes), bytes == nullptr ? 0 : static_cast<std::size_t>(size)};
}

}  // namespace brookmark::geodata

// Why: shapes of a file that came back are compared by the numbers in the file, and taken over in WGS 84.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "core/base/crs.hpp"
#include "core/intake/changes.hpp"

namespace brookmark::geodata {

class ReturnedShapes {
 public:
  explicit ReturnedShapes(const std::string& crs);
  // GeoPackage binary (OGC 12-128r17, 2.1.3) into place, shape, x and y of the row; empty shapes leave them as they are.
  // Empty when it was read, else why not. A single part stands for a collection of one.
  std::string read(std::span<const std::uint8_t> blob, core::ReturnedRow& row) const;

 private:
  std::unique_ptr<core::CrsConverter> converter_;  // null: WGS 84
};

}  // namespace brookmark::geodata

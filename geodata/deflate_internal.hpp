// Why: an archive and a picture are the same bytes whenever they are written; GDAL's own writers stamp them with the clock.
// Use: const std::string png = png_of(width, height, rgb);
//      ZipText zip("2024-06-01T12:00:00Z");  zip.add("meta.xml", text);  write_whole(target, zip.finish());
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::geodata {

// A PNG of 8-bit RGB, `rgb` row by row from the top: 3 * width * height bytes.
std::string png_of(std::uint32_t width, std::uint32_t height, std::span<const std::uint8_t> rgb);

// A zip archive in memory (PKWARE APPNOTE 6.3, without zip64: files and whole below 4 GiB). Throws Error(kBadUse) beyond.
class ZipText {
 public:
  explicit ZipText(std::string_view utc);  // the time stamped on every file
  void add(const std::string& name, std::string_view content);
  std::string finish();

 private:
  std::string bytes_, directory_;
  std::uint16_t time_ = 0, date_ = 0, files_ = 0;
};

}  // namespace brookmark::geodata

#include <cpl_conv.h>
#include <cpl_vsi.h>

#include <array>

#include "core/base/date.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/deflate_internal.hpp"

namespace brookmark::geodata {

namespace {

// CRC-32 of ISO 3309, as in PNG and zip.
std::uint32_t crc32_of(std::string_view bytes) {
  static const std::array<std::uint32_t, 256> kTable = [] {
    std::array<std::uint32_t, 256> table{};
    for (std::uint32_t n = 0; n < 256; ++n) {
      std::uint32_t c = n;
      for (int bit = 0; bit < 8; ++bit) c = (c & 1) != 0 ? 0xEDB88320U ^ (c >> 1) : c >> 1;
      table[n] = c;
    }
    return table;
  }();
  std::uint32_t crc = 0xFFFFFFFFU;
  for (const char byte : bytes) crc = kTable[(crc ^ static_cast<unsigned char>(byte)) & 0xFFU] ^ (crc >> 8);
  return crc ^ 0xFFFFFFFFU;
}

// A zlib stream (RFC 1950).
std::string deflated(std::string_view bytes) {
  std::size_t size = 0;
  void* stream = CPLZLibDeflate(bytes.data(), bytes.size(), 9, nullptr, 0, &size);
  if (stream == nullptr) throw Error(ErrorCode::kStorage, "there is not enough memory to pack the file");
  std::string packed(static_cast<const char*>(stream), size);
  VSIFree(stream);
  return packed;
}

void put_big(std::string& to, std::uint32_t value) {
  for (int shift = 24; shift >= 0; shift -= 8) to += static_cast<char>(value >> shift & 0xFFU);
}
void put_little(std::string& to, std::uint32_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) to += static_cast<char>(value >> (8 * i) & 0xFFU);
}

void add_chunk(std::string& png, const char* name, const std::string& content) {
  put_big(png, static_cast<std::uint32_t>(content.size()));
  const std::string checked = name + content;
  png += checked;
  put_big(png, crc32_of(checked));
}

}  // namespace

std::string png_of(std::uint32_t width, std::uint32_t height, std::span<const std::uint8_t> rgb) {
  std::string png("\x89PNG\r\n\x1a\n", 8), header, rows;
  put_big(header, width);
  put_big(header, height);
  header += std::string("\x08\x02\0\0\0", 5);  // 8 bits, RGB, deflate, no filter set, not interlaced
  const std::size_t row_bytes = std::size_t{3} * width;
  for (std::uint32_t y = 0; y < height; ++y) {
    rows += '\0';  // filter: none
    rows.append(reinterpret_cast<const char*>(rgb.data()) + y * row_bytes, row_bytes);
  }
  add_chunk(png, "IHDR", header);
  add_chunk(png, "IDAT", deflated(rows));
  add_chunk(png, "IEND", "");
  return png;
}

ZipText::ZipText(std::string_view utc) {
  const auto moment = core::parse_moment(utc);
  const core::YearMonthDay day = core::year_month_day(moment ? moment->date : core::Date{});
  if (day.year >= 1980 && day.year < 2108)
    date_ = static_cast<std::uint16_t>((day.year - 1980) << 9 | day.month << 5 | day.day);
  else
    date_ = 1 << 5 | 1;
  const int minute = moment ? moment->minute_of_day.value_or(0) : 0;
  time_ = static_cast<std::uint16_t>(minute / 60 << 11 | minute % 60 << 5);
}

void ZipText::add(const std::string& name, std::string_view content) {
  const std::string stream = deflated(content);
  // Without the two bytes before and the four behind, a zlib stream is what a zip holds (RFC 1951).
  const std::string_view packed = std::string_view(stream).substr(2, stream.size() - 6);
  constexpr std::size_t kMost = 0xFFFFFFFEU;
  if (content.size() > kMost || bytes_.size() + packed.size() + name.size() + 100 > kMost || files_ == 0xFFFF)
    throw Error(ErrorCode::kBadUse, "the archive would be larger than 4 GB; export a .gpkg instead");
  const auto offset = static_cast<std::uint32_t>(bytes_.size());
  std::string about;  // what local header and directory have in common
  put_little(about, 20, 2);
  put_little(about, 1U << 11, 2);  // names are UTF-8
  put_little(about, 8, 2);         // deflate
  put_little(about, time_, 2);
  put_little(about, date_, 2);
  put_little(about, crc32_of(content), 4);
  put_little(about, static_cast<std::uint32_t>(packed.size()), 4);
  put_little(about, static_cast<std::uint32_t>(content.size()), 4);
  put_little(about, static_cast<std::uint32_t>(name.size()), 2);
  put_little(about, 0, 2);  // no extra field
  put_little(bytes_, 0x04034b50, 4);
  bytes_ += about;
  bytes_ += name;
  bytes_ += packed;
  put_little(directory_, 0x02014b50, 4);
  put_little(directory_, 20, 2);
  directory_ += about;
  put_little(directory_, 0, 2);  // no comment
  put_little(directory_, 0, 2);  // first disk
  put_little(directory_, 0, 2);
  put_little(directory_, 0, 4);
  put_little(directory_, offset, 4);
  directory_ += name;
  ++files_;
}

std::string ZipText::finish() {
  std::string zip = bytes_ + directory_;
  put_little(zip, 0x06054b50, 4);
  put_little(zip, 0, 2);
  put_little(zip, 0, 2);
  put_little(zip, files_, 2);
  put_little(zip, files_, 2);
  put_little(zip, static_cast<std::uint32_t>(directory_.size()), 4);
  put_little(zip, static_cast<std::uint32_t>(bytes_.size()), 4);
  put_little(zip, 0, 2);
  return zip;
}

}  // namespace brookmark::geodata

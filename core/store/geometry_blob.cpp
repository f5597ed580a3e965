#include "core/store/geometry_blob.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <limits>

#include "core/base/error.hpp"

namespace brookmark::core {
namespace {

constexpr std::uint8_t kStart = 0x00, kLittle = 0x01, kBig = 0x00, kBoxEnd = 0x7C, kEntity = 0x69,
                       kEnd = 0xFE;
constexpr std::uint32_t kSrid = 4326, kPointClass = 1, kLineClass = 2, kPolygonClass = 3,
                        kMultiPolygonClass = 6;
constexpr std::size_t kPointBytes = 2 * sizeof(double);

template <class Number>
Number reversed(Number value) {
  std::uint8_t bytes[sizeof(Number)];
  std::memcpy(bytes, &value, sizeof value);
  std::reverse(std::begin(bytes), std::end(bytes));
  std::memcpy(&value, bytes, sizeof value);
  return value;
}

class BlobWriter {
 public:
  BlobWriter(const BoundingBox& box, std::uint32_t geometry_class, std::size_t shape_bytes) {
    blob_.reserve(44 + shape_bytes);
    byte(kStart);
    byte(kLittle);
    number(kSrid);
    for (const double edge : {box.min_lon, box.min_lat, box.max_lon, box.max_lat}) number(edge);
    byte(kBoxEnd);
    number(geometry_class);
  }
  void byte(std::uint8_t value) { blob_.push_back(value); }
  template <class Number>
  void number(Number value) {
    if constexpr (std::endian::native == std::endian::big) value = reversed(value);
    const std::size_t at = blob_.size();
    blob_.resize(at + sizeof value);
    std::memcpy(blob_.data() + at, &value, sizeof value);
  }
  void count(std::size_t value) { number(static_cast<std::uint32_t>(value)); }
  void points(std::span<const LonLat> line) {
    count(line.size());
    for (const LonLat& point : line) {
      number(point.lon);
      number(point.lat);
    }
  }
  std::vector<std::uint8_t> finish() {
    byte(kEnd);
    return std::move(blob_);
  }

 private:
  std::vector<std::uint8_t> blob_;
};

[[noreturn]] void damaged(const char* what) {
  throw Error(ErrorCode::kForeignFile,
              std::string("a shape in the survey file is damaged (") + what + "); open a copy made earlier");
}

class BlobReader {
 public:
  BlobReader(std::span<const std::uint8_t> blob, std::uint32_t geometry_class) : rest_(blob) {
    if (blob.size() < 44 || blob.back() != kEnd) damaged("it is cut short");
    rest_ = blob.first(blob.size() - 1);
    if (byte() != kStart) damaged("it does not start as a shape does");
    const std::uint8_t order = byte();
    if (order != kLittle && order != kBig) damaged("its byte order is unknown");
    swap_ = (order == kLittle) != (std::endian::native == std::endian::little);
    if (number<std::uint32_t>() != kSrid) damaged("it is not in EPSG:4326");
    rest_ = rest_.subspan(4 * sizeof(double));  // the box: the points themselves say it
    if (byte() != kBoxEnd) damaged("the end of its box is missing");
    if (number<std::uint32_t>() != geometry_class) damaged("it is of another kind");
  }

  std::uint8_t byte() {
    need(1);
    const std::uint8_t value = rest_.front();
    rest_ = rest_.subspan(1);
    return value;
  }
  template <class Number>
  Number number() {
    need(sizeof(Number));
    Number value;
    std::memcpy(&value, rest_.data(), sizeof value);
    rest_ = rest_.subspan(sizeof value);
    return swap_ ? reversed(value) : value;
  }
  LonLat point() {
    const double lon = number<double>();
    const double lat = number<double>();
    if (!std::isfinite(lon) || !std::isfinite(lat)) damaged("a coordinate is not a number");
    return {lon, lat};
  }
  // A count of things that take at least `bytes_each` is checked against what is left before anything is
  // allocated.
  std::size_t count(std::size_t bytes_each) {
    const std::size_t value = number<std::uint32_t>();
    if (value > rest_.size() / bytes_each) damaged("it promises more points than it holds");
    return value;
  }
  Line points(std::size_t at_least) {
    const std::size_t size = count(kPointBytes);
    if (size < at_least) damaged("it has too few points");
    Line line(size);
    for (LonLat& p : line) p = point();
    return line;
  }
  void finish() const {
    if (!rest_.empty()) damaged("it goes on after its end");
  }

 private:
  void need(std::size_t bytes) const {
    if (rest_.size() < bytes) damaged("it is cut short");
  }
  std::span<const std::uint8_t> rest_;
  bool swap_ = false;
};

void check_points(std::span<const LonLat> points) {
  for (const LonLat& point : points) {
    if (!std::isfinite(point.lon) || !std::isfinite(point.lat)) {
      throw Error(ErrorCode::kBadInput,
                  "a coordinate is not a finite number; leave the place out or correct it");
    }
  }
}

void widen(BoundingBox& box, std::span<const LonLat> points) {
  for (const LonLat& point : points) {
    box.min_lon = std::min(box.min_lon, point.lon);
    box.max_lon = std::max(box.max_lon, point.lon);
    box.min_lat = std::min(box.min_lat, point.lat);
    box.max_lat = std::max(box.max_lat, point.lat);
  }
}

constexpr double kFar = std::numeric_limits<double>::max();
constexpr BoundingBox kNothing{kFar, kFar, -kFar, -kFar};

}  // namespace

std::vector<std::uint8_t> encode_point(LonLat point) {
  check_points({&point, 1});
  BlobWriter blob({point.lon, point.lat, point.lon, point.lat}, kPointClass, kPointBytes);
  blob.number(point.lon);
  blob.number(point.lat);
  return blob.finish();
}

std::vector<std::uint8_t> encode_line(std::span<const LonLat> line) {
  if (line.size() < 2) {
    throw Error(ErrorCode::kBadInput, "a reach needs at least two points, drawn downstream");
  }
  check_points(line);
  BoundingBox box = kNothing;
  widen(box, line);
  BlobWriter blob(box, kLineClass, 4 + line.size() * kPointBytes);
  blob.points(line);
  return blob.finish();
}

std::vector<std::uint8_t> encode_multi_polygon(const MultiPolygon& shape) {
  if (shape.empty()) throw Error(ErrorCode::kBadInput, "a shape needs at least one polygon");
  BoundingBox box = kNothing;
  std::size_t bytes = 4;
  for (const Polygon& polygon : shape) {
    if (polygon.rings.empty()) throw Error(ErrorCode::kBadInput, "a polygon needs an outer boundary");
    bytes += 9;
    for (const Line& ring : polygon.rings) {
      if (ring.size() < 4 || ring.front() != ring.back()) {
        throw Error(
            ErrorCode::kBadInput,
            "the boundary of a polygon needs at least four points, the last of them equal to the first");
      }
      check_points(ring);
      widen(box, ring);
      bytes += 4 + ring.size() * kPointBytes;
    }
  }
  BlobWriter blob(box, kMultiPolygonClass, bytes);
  blob.count(shape.size());
  for (const Polygon& polygon : shape) {
    blob.byte(kEntity);
    blob.number(kPolygonClass);
    blob.count(polygon.rings.size());
    for (const Line& ring : polygon.rings) blob.points(ring);
  }
  return blob.finish();
}

LonLat decode_point(std::span<const std::uint8_t> blob) {
  BlobReader reader(blob, kPointClass);
  const LonLat point = reader.point();
  reader.finish();
  return point;
}

Line decode_line(std::span<const std::uint8_t> blob) {
  BlobReader reader(blob, kLineClass);
  Line line = reader.points(2);
  reader.finish();
  return line;
}

MultiPolygon decode_multi_polygon(std::span<const std::uint8_t> blob) {
  BlobReader reader(blob, kMultiPolygonClass);
  MultiPolygon shape(reader.count(9));
  if (shape.empty()) damaged("it has no polygon");
  for (Polygon& polygon : shape) {
    if (reader.byte() != kEntity || reader.number<std::uint32_t>() != kPolygonClass)
      damaged("a part is no polygon");
    polygon.rings.resize(reader.count(4 + 4 * kPointBytes));
    if (polygon.rings.empty()) damaged("a polygon has no boundary");
    for (Line& ring : polygon.rings) {
      ring = reader.points(4);
      if (ring.front() != ring.back()) damaged("a boundary is not closed");
    }
  }
  reader.finish();
  return shape;
}

std::variant<LonLat, Line, MultiPolygon> decode_shape(std::span<const std::uint8_t> blob) {
  constexpr std::size_t kClassAt = 39;  // after start, byte order, SRID, box and the end of the box
  if (blob.size() <= kClassAt + 3) damaged("it is cut short");
  const std::uint8_t kind = blob[1] == kLittle ? blob[kClassAt] : blob[kClassAt + 3];
  if (kind == kPointClass) return decode_point(blob);
  if (kind == kLineClass) return decode_line(blob);
  return decode_multi_polygon(blob);
}

}  // namespace brookmark::core

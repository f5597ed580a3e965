// Shapes as SpatiaLite keeps them. What is right is said by SpatiaLite's own functions.
#include "core/store/geometry_blob.hpp"

#include <limits>
#include <random>

#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;
using brookmark::ErrorCode;

namespace {

const Database& spatialite() {
  static const Database database({}, OpenMode::kMemory, 50);
  return database;
}

// The answer of a SpatiaLite function of one shape.
std::string ask(const std::string& expression, const Bytes& blob) {
  Statement statement(spatialite(), "SELECT " + expression);
  statement.bind(1, blob);
  REQUIRE(statement.step());
  return std::string(statement.text(0));
}

Bytes made_by_spatialite(const std::string& text) {
  Statement statement(spatialite(), "SELECT GeomFromText(?1, 4326)");
  statement.bind(1, text);
  REQUIRE(statement.step());
  const auto bytes = statement.bytes(0);
  return {bytes.begin(), bytes.end()};
}

const MultiPolygon kTwoWithHole{
    {{{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}, {{1, 1}, {1, 2}, {2, 2}, {2, 1}, {1, 1}}}},
    {{{{10, -5}, {12, -5}, {11, -3.5}, {10, -5}}}}};
const std::string kTwoWithHoleText =
    "MULTIPOLYGON(((0 0, 4 0, 4 4, 0 4, 0 0), (1 1, 1 2, 2 2, 2 1, 1 1)), ((10 -5, 12 -5, 11 -3.5, 10 -5)))";

template <class Decode>
bool is_refused(Decode decode, const Bytes& blob) {
  try {
    decode(blob);
    return false;
  } catch (const Error& error) {
    return error.code() == ErrorCode::kForeignFile;
  }
}

}  // namespace

TEST_CASE("SpatiaLite reads what is written: point, line and polygons with holes") {
  const Bytes point = encode_point({-3.25, 51.5});
  const Bytes line = encode_line(Line{{10, 60}, {10.5, 59.25}, {11, 61}});
  const Bytes shape = encode_multi_polygon(kTwoWithHole);
  CHECK(ask("AsText(?1)", point) == "POINT(-3.25 51.5)");
  CHECK(ask("AsText(?1)", line) == "LINESTRING(10 60, 10.5 59.25, 11 61)");
  CHECK(ask("AsText(?1)", shape) == kTwoWithHoleText);
  for (const Bytes& blob : {point, line, shape}) {
    CHECK(ask("ST_IsValid(?1)", blob) == "1");
    CHECK(ask("Srid(?1)", blob) == "4326");
  }
  // The box is read from the front of the BLOB, not worked out again.
  CHECK(ask("MbrMinX(?1) || ' ' || MbrMaxX(?1) || ' ' || MbrMinY(?1) || ' ' || MbrMaxY(?1)", line) ==
        "10.0 11.0 59.25 61.0");
  CHECK(ask("MbrMinX(?1) || ' ' || MbrMaxX(?1) || ' ' || MbrMinY(?1) || ' ' || MbrMaxY(?1)", shape) ==
        "0.0 12.0 -5.0 4.0");
}

TEST_CASE("what SpatiaLite writes is the same, byte for byte, and is read") {
  CHECK(encode_point({-3.25, 51.5}) == made_by_spatialite("POINT(-3.25 51.5)"));
  CHECK(encode_line(Line{{10, 60}, {11, 61}}) == made_by_spatialite("LINESTRING(10 60, 11 61)"));
  CHECK(encode_multi_polygon(kTwoWithHole) == made_by_spatialite(kTwoWithHoleText));
  CHECK(decode_point(made_by_spatialite("POINT(0.1 -0.2)")) == LonLat{0.1, -0.2});
  CHECK(decode_line(made_by_spatialite("LINESTRING(1 2, 3 4, 5 6)")) == Line{{1, 2}, {3, 4}, {5, 6}});
  const MultiPolygon shape = decode_multi_polygon(made_by_spatialite(kTwoWithHoleText));
  REQUIRE(shape.size() == 2);
  CHECK(shape[0].rings == kTwoWithHole[0].rings);
  CHECK(shape[1].rings == kTwoWithHole[1].rings);
}

TEST_CASE("random lines come back to the last bit") {
  std::mt19937_64 random(20240503);
  std::uniform_real_distribution<double> lon(-180, 180), lat(-90, 90);
  for (std::size_t size = 2; size < 60; ++size) {
    Line line(size);
    for (LonLat& p : line) p = {lon(random), lat(random)};
    CHECK(decode_line(encode_line(line)) == line);
    CHECK(ask("ST_NumPoints(?1)", encode_line(line)) == std::to_string(size));
  }
}

TEST_CASE("the other byte order is read too") {
  // POINT(1 2), most significant byte first, written out by hand: 1.0 is 3FF0..., 2.0 is 4000..., 4326 is
  // 10E6.
  const Bytes one{0x3F, 0xF0, 0, 0, 0, 0, 0, 0}, two{0x40, 0, 0, 0, 0, 0, 0, 0};
  Bytes blob{0x00, 0x00, 0x00, 0x00, 0x10, 0xE6};
  const auto add = [&blob](const Bytes& more) { blob.insert(blob.end(), more.begin(), more.end()); };
  for (const Bytes& edge : {one, two, one, two}) add(edge);  // the box
  add({0x7C, 0, 0, 0, 1});
  add(one);
  add(two);
  add({0xFE});
  CHECK(decode_point(blob) == LonLat{1, 2});
  CHECK(ask("AsText(?1)", blob) == "POINT(1 2)");
}

TEST_CASE("a shape that is cut short, too long or of another kind is refused") {
  const Bytes point = encode_point({1, 2}), line = encode_line(Line{{1, 2}, {3, 4}}),
              shape = encode_multi_polygon(kTwoWithHole);
  for (std::size_t size = 0; size < shape.size(); ++size) {
    Bytes cut(shape.begin(), shape.begin() + static_cast<std::ptrdiff_t>(size));
    CHECK(is_refused(decode_multi_polygon, cut));
    cut.push_back(0xFE);  // with a proper end
    if (size + 1 < shape.size()) CHECK(is_refused(decode_multi_polygon, cut));
  }
  Bytes longer = line;
  longer.insert(longer.end() - 1, 8, 0);
  CHECK(is_refused(decode_line, longer));
  CHECK(is_refused(decode_point, line));
  CHECK(is_refused(decode_line, point));
  CHECK(is_refused(decode_multi_polygon, line));
  Bytes other_system = point;
  other_system[2] = 0;  // the lowest byte of the SRID
  CHECK(is_refused(decode_point, other_system));
}

TEST_CASE("a count larger than the bytes behind it is refused before anything is allocated") {
  Bytes line = encode_line(Line{{1, 2}, {3, 4}});
  for (std::size_t i = 43; i < 47; ++i) line[i] = 0xFF;  // four thousand million points
  CHECK(is_refused(decode_line, line));
  for (const std::size_t count_at :
       {std::size_t{43}, std::size_t{52}, std::size_t{56}}) {  // polygons, rings, points
    Bytes shape = encode_multi_polygon(kTwoWithHole);
    for (std::size_t i = 0; i < 4; ++i) shape[count_at + i] = 0xFF;
    CHECK(is_refused(decode_multi_polygon, shape));
  }
}

TEST_CASE("random damage gives a shape or an error, never anything else") {
  std::mt19937_64 random(7);
  const Bytes good = encode_multi_polygon(kTwoWithHole);
  for (int i = 0; i < 20000; ++i) {
    Bytes bad = good;
    for (int hit = 0; hit < 3; ++hit) bad[random() % bad.size()] = static_cast<std::uint8_t>(random());
    for (const auto& decode :
         {+[](const Bytes& b) { decode_multi_polygon(b); }, +[](const Bytes& b) { decode_line(b); },
          +[](const Bytes& b) { decode_point(b); }}) {
      try {
        decode(bad);
      } catch (const Error& error) {
        REQUIRE(error.code() == ErrorCode::kForeignFile);
      }
    }
  }
}

TEST_CASE("shapes that are none are refused on the way in") {
  const double nan = std::numeric_limits<double>::quiet_NaN(), far = std::numeric_limits<double>::infinity();
  const auto refused = [](const auto& encode) {
    const auto [code, text] = error_of([&] { encode(); });
    return code == ErrorCode::kBadInput;
  };
  CHECK(refused([&] { encode_point({nan, 1}); }));
  CHECK(refused([&] { encode_point({1, far}); }));
  CHECK(refused([&] { encode_line(Line{{1, 2}}); }));
  CHECK(refused([&] { encode_line(Line{{1, 2}, {nan, 4}}); }));
  CHECK(refused([&] { encode_multi_polygon({}); }));
  CHECK(refused([&] { encode_multi_polygon({Polygon{}}); }));
  CHECK(refused([&] { encode_multi_polygon({{{{{0, 0}, {1, 0}, {0, 0}}}}}); }));          // three points
  CHECK(refused([&] { encode_multi_polygon({{{{{0, 0}, {1, 0}, {1, 1}, {0, 1}}}}}); }));  // not closed
}

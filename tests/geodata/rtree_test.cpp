// The index packed whole must be one that SQLite itself finds nothing wrong with, and answer as a plain look through does.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "core/store/sqlite.hpp"
#include "geodata/rtree_internal.hpp"
#include "tests/support/files.hpp"

using brookmark::core::Database;
using brookmark::core::OpenMode;
using brookmark::core::Statement;
using brookmark::core::Transaction;
using brookmark::geodata::fill_rtree;
using brookmark::geodata::RtreeBox;

namespace {

double chance(std::uint64_t& state) {  // splitmix64, the same every run
  state += 0x9e3779b97f4a7c15U;
  std::uint64_t z = state;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
  return static_cast<double>((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

std::vector<RtreeBox> boxes(std::size_t count, bool points) {
  std::vector<RtreeBox> made;
  std::uint64_t state = count;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = chance(state) * 360 - 180, y = chance(state) * 180 - 90;
    const double w = points ? 0 : chance(state), h = points ? 0 : chance(state);
    made.push_back({static_cast<std::int64_t>(i * 3 + 1), x, x + w, y, y + h});
  }
  return made;
}

}  // namespace

TEST_CASE("an index packed whole passes SQLite's own check and holds what one built row by row holds") {
  for (const std::size_t count : {0, 1, 2, 51, 52, 53, 102, 103, 2601, 2602, 2653, 20000})
    for (const bool points : {true, false}) {
      CAPTURE(count);
      CAPTURE(points);
      const std::vector<RtreeBox> made = boxes(count, points);
      const Database database("", OpenMode::kMemory, 0);
      database.execute(
          "CREATE VIRTUAL TABLE packed USING rtree(id, minx, maxx, miny, maxy);"
          "CREATE VIRTUAL TABLE grown USING rtree(id, minx, maxx, miny, maxy)");
      {
        Transaction transaction(database, Transaction::kWrite);
        fill_rtree(database, "packed", made);
        Statement add(database, "INSERT INTO grown VALUES (?, ?, ?, ?, ?)");
        for (const RtreeBox& box : made) add.run(box.id, box.min_x, box.max_x, box.min_y, box.max_y);
        transaction.commit();
      }
      CHECK(database.query_text("SELECT rtreecheck('packed')") == "ok");
      CHECK(database.query_integer("SELECT count(*) FROM packed") == static_cast<std::int64_t>(count));
      CHECK(database.query_integer(
                "SELECT count(*) FROM (SELECT * FROM packed EXCEPT SELECT * FROM grown)") == 0);
      std::uint64_t state = 99;
      for (int window = 0; window < 50; ++window) {
        const double x = chance(state) * 300 - 150, y = chance(state) * 140 - 70, size = chance(state) * 30;
        Statement found(
            database,
            "SELECT count(*) FROM packed WHERE maxx >= ? AND minx <= ? AND maxy >= ? AND miny <= ?");
        found.bind_all(x, x + size, y, y + size);
        REQUIRE(found.step());
        const auto plain = std::count_if(made.begin(), made.end(), [&](const RtreeBox& b) {
          // Limits are rounded outwards to 32 bits, so that a box may only be found once too often at the very edge.
          return b.max_x >= x && b.min_x <= x + size && b.max_y >= y && b.min_y <= y + size;
        });
        CHECK(found.integer(0) >= plain);
        CHECK(found.integer(0) <= plain + 2);
      }
      // It can be grown and thinned afterwards.
      if (count == 0) continue;
      database.execute(
          "INSERT INTO packed VALUES (1000000, 1, 2, 1, 2); DELETE FROM packed WHERE id % 2 = 0");
      CHECK(database.query_text("SELECT rtreecheck('packed')") == "ok");
    }
}

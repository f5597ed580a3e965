#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

#include "geodata/rtree_internal.hpp"

namespace brookmark::geodata {

namespace {

struct Entry {
  std::int64_t id = 0;  // of a row, or number of a node
  float min_x = 0, max_x = 0, min_y = 0, max_y = 0;
};

constexpr std::size_t kBytesPerEntry = 24, kBytesBefore = 4;

// As SQLite's rtreeValueDown and rtreeValueUp.
constexpr double kTowards = 1.0 - 1.0 / 8388608.0, kAway = 1.0 + 1.0 / 8388608.0;
float down(double value) {
  const auto nearest = static_cast<float>(value);
  return static_cast<double>(nearest) > value ? static_cast<float>(value * (value < 0 ? kAway : kTowards))
                                              : nearest;
}
float up(double value) {
  const auto nearest = static_cast<float>(value);
  return static_cast<double>(nearest) < value ? static_cast<float>(value * (value < 0 ? kTowards : kAway))
                                              : nearest;
}

template <class Unsigned>
std::uint8_t* put(std::uint8_t* at, Unsigned value) {
  for (int shift = static_cast<int>(sizeof value) * 8 - 8; shift >= 0; shift -= 8)
    *at++ = static_cast<std::uint8_t>(value >> shift);
  return at;
}

std::uint8_t* put(std::uint8_t* at, const Entry& entry) {
  at = put(at, static_cast<std::uint64_t>(entry.id));
  for (const float limit : {entry.min_x, entry.max_x, entry.min_y, entry.max_y})
    at = put(at, std::bit_cast<std::uint32_t>(limit));
  return at;
}

Entry around(const Entry* first, const Entry* last) {
  Entry whole = *first;
  for (const Entry* e = first; e != last; ++e) {
    whole.min_x = std::min(whole.min_x, e->min_x);
    whole.max_x = std::max(whole.max_x, e->max_x);
    whole.min_y = std::min(whole.min_y, e->min_y);
    whole.max_y = std::max(whole.max_y, e->max_y);
  }
  return whole;
}

// Sorted into vertical slices by x, each by y, so that runs of `capacity` lie close together.
void tile(std::vector<Entry>& entries, std::size_t capacity) {
  const auto by = [](auto middle) {
    return [middle](const Entry& a, const Entry& b) {
      const float at_a = middle(a), at_b = middle(b);
      return at_a != at_b ? at_a < at_b : a.id < b.id;
    };
  };
  const auto by_x = by([](const Entry& e) { return e.min_x + e.max_x; });
  const auto by_y = by([](const Entry& e) { return e.min_y + e.max_y; });
  std::sort(entries.begin(), entries.end(), by_x);
  const double nodes = std::ceil(static_cast<double>(entries.size()) / static_cast<double>(capacity));
  const std::size_t slice = static_cast<std::size_t>(std::ceil(std::sqrt(nodes))) * capacity;
  for (std::size_t from = 0; from < entries.size(); from += slice)
    std::sort(entries.begin() + static_cast<std::ptrdiff_t>(from),
              entries.begin() + static_cast<std::ptrdiff_t>(std::min(from + slice, entries.size())), by_y);
}

}  // namespace

void fill_rtree(const core::Database& database, const std::string& rtree, std::vector<RtreeBox> boxes) {
  if (boxes.empty()) return;
  const auto node_bytes = static_cast<std::size_t>(
      database.query_integer("SELECT length(data) FROM \"" + rtree + "_node\" WHERE nodeno = 1"));
  const std::size_t capacity = (node_bytes - kBytesBefore) / kBytesPerEntry;
  std::vector<Entry> level(boxes.size());
  std::transform(boxes.begin(), boxes.end(), level.begin(), [](const RtreeBox& box) {
    return Entry{box.id, down(box.min_x), up(box.max_x), down(box.min_y), up(box.max_y)};
  });
  core::Statement add_node(database, "INSERT OR REPLACE INTO \"" + rtree + "_node\" VALUES (?, ?)");
  core::Statement add_parent(database, "INSERT INTO \"" + rtree + "_parent\" VALUES (?, ?)");
  core::Statement add_row(database, "INSERT INTO \"" + rtree + "_rowid\" VALUES (?, ?)");
  core::Bytes node(node_bytes);
  std::int64_t next_node = 2;  // the root is 1
  const auto write_node = [&](std::int64_t number, unsigned depth, const Entry* first, const Entry* last) {
    std::fill(node.begin(), node.end(), std::uint8_t{0});
    std::uint8_t* at = put(node.data(), static_cast<std::uint16_t>(depth));
    at = put(at, static_cast<std::uint16_t>(last - first));
    for (const Entry* e = first; e != last; ++e) at = put(at, *e);
    add_node.run(number, node);
  };
  unsigned depth = 0;
  std::vector<std::pair<std::int64_t, std::int64_t>> row_nodes;  // row, node
  row_nodes.reserve(boxes.size());
  const auto children_of = [&](std::int64_t number, const Entry* first, const Entry* last) {
    for (const Entry* e = first; e != last; ++e) {
      if (depth == 0)
        row_nodes.emplace_back(e->id, number);
      else
        add_parent.run(e->id, number);
    }
  };
  while (level.size() > capacity) {
    tile(level, capacity);
    // Spread evenly, so that no node is thinner than SQLite likes.
    const std::size_t nodes = (level.size() + capacity - 1) / capacity;
    std::vector<Entry> above;
    above.reserve(nodes);
    for (std::size_t n = 0; n < nodes; ++n) {
      const Entry* first = level.data() + n * level.size() / nodes;
      const Entry* last = level.data() + (n + 1) * level.size() / nodes;
      Entry whole = around(first, last);
      whole.id = next_node++;
      write_node(whole.id, 0, first, last);
      children_of(whole.id, first, last);
      above.push_back(whole);
    }
    level = std::move(above);
    ++depth;
  }
  write_node(1, depth, level.data(), level.data() + level.size());
  children_of(1, level.data(), level.data() + level.size());
  std::sort(row_nodes.begin(),
            row_nodes.end());  // in the order of the key: pages are filled one after the other
  for (const auto& [row, number] : row_nodes) add_row.run(row, number);
}

}  // namespace brookmark::geodata

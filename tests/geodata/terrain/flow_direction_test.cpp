// Lines that come from a terrain model are drawn right; the same model must turn back those that are reversed, and no
// others.
#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "core/network/mend.hpp"
#include "geodata/terrain/dem.hpp"
#include "geodata/terrain/flow.hpp"
#include "geodata/terrain/streams.hpp"
#include "tests/support/files.hpp"

using namespace brookmark;
using namespace brookmark::geodata;

namespace {

std::vector<core::Reach> streams_of(DemFile& dem, std::uint32_t threshold) {
  const FlowGrid flow = route_flow(dem.read({}), dem.rows());
  std::vector<core::Reach> reaches;
  for (const StreamReach& stream : trace_streams(flow, threshold)) {
    core::Reach reach;
    for (const CellIndex cell : stream.cells)
      reach.line.push_back(
          *dem.to_lonlat(dem.place().centre(cell / dem.size().cols, cell % dem.size().cols)));
    reaches.push_back(std::move(reach));
  }
  return reaches;
}

struct Count {
  std::size_t reversed = 0, turned_back = 0, wrongly_turned = 0;
  std::size_t level = 0, falling_left = 0, left_untold = 0;  // of the reversed ones
};

Count mended(const std::vector<core::Reach>& right, std::uint32_t one_of, std::uint32_t seed,
             const core::HeightAt& heights) {
  Count count;
  std::mt19937 random(seed);
  std::vector<core::Reach> drawn = right;
  std::vector<bool> wrong(right.size(), false);
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (one_of == 0 || random() % one_of != 0) continue;
    std::reverse(drawn[i].line.begin(), drawn[i].line.end());
    wrong[i] = true;
    ++count.reversed;
  }
  core::MendOptions options;
  options.flow_from = core::FlowFrom::kHeights;
  options.height_at = heights;
  const core::MendResult result = core::mend_lines(drawn, {}, options);
  REQUIRE(result.reaches.size() == right.size());
  for (std::size_t i = 0; i < right.size(); ++i) {
    const bool is_right = result.reaches[i].line.front() == right[i].line.front();
    if (wrong[i] && is_right) ++count.turned_back;
    if (wrong[i]) {
      const double fall_m = *heights(right[i].line.front()) - *heights(right[i].line.back());
      if (fall_m <= options.least_climb_m) ++count.level;
      if (is_right) continue;
      if (fall_m > options.least_climb_m) ++count.falling_left;
      const bool told = std::any_of(result.findings.begin(), result.findings.end(), [&](const auto& f) {
        return f.reach == core::ReachIndex(static_cast<std::uint32_t>(i)) &&
               (f.fault == core::ChannelFault::kAgainstFlow || f.fault == core::ChannelFault::kHeightUnknown);
      });
      if (!told) ++count.left_untold;
    }
    if (!wrong[i] && !is_right) ++count.wrongly_turned;
  }
  return count;
}

}  // namespace

TEST_CASE(
    "of 263 lines from a terrain model none is turned, and of those reversed all that fall and no others") {
  const auto file = test::reference("terrain/fractal_500.tif");
  DemFile dem(file, {});
  const std::vector<core::Reach> right = streams_of(dem, 500);
  REQUIRE(right.size() == 263);
  const core::HeightAt heights = filled_heights(file);
  CHECK(mended(right, 0, 0, heights).wrongly_turned == 0);
  std::size_t reversed = 0, turned_back = 0, level = 0;
  for (std::uint32_t seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    const Count count = mended(right, 7, seed, heights);  // one of seven, some 37
    CHECK(count.wrongly_turned == 0);
    reversed += count.reversed;
    turned_back += count.turned_back;
    level += count.level;
    CHECK(count.falling_left == 0);
    CHECK(count.left_untold == 0);
  }
  // What stays lies level on the filled terrain, where heights tell nothing.
  MESSAGE(turned_back << " of " << reversed << " reversed lines turned back; " << level << " are level");
  CHECK(turned_back + level >= reversed);
}

// The ground below the map: which pieces are wanted and drawn, and how they come from a thread of their own.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <set>
#include <thread>

#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/window/sample_survey.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/map/background.hpp"

namespace brookmark::viewer {
using test::near;
namespace {

const TileExtent kEverywhere{{-1e7, -1e7, 1e7, 1e7}, geodata::kFinestLevel};

PlaneBox box_of(const TileKey& key) {
  const geodata::PlaneSquare s = geodata::tile_square(key);
  return {s.x, s.y, s.x + s.side, s.y + s.side};
}

core::BaseLayer layer_of(const std::filesystem::path& file, core::LayerLook look) {
  core::BaseLayer layer;
  layer.key = "layer-1", layer.title = "Hills", layer.file = file.string(), layer.look = look;
  return layer;
}

}  // namespace

TEST_CASE("the pieces of a view cover it, in pixels about those of the screen") {
  for (const double scale : {0.03, 0.4, 1.0, 7.3, 900.0}) {
    const Viewport view{{10, 20, 800, 600}, {1234.5, -987.6}, scale};
    const std::int32_t level = tile_level(scale, 1, kEverywhere);
    CHECK((geodata::pixel_m(level) / scale <= std::sqrt(2.0) * 1.0001 &&
           geodata::pixel_m(level) / scale >= 0.7070));
    const auto keys = wanted_tiles(view, 1, kEverywhere);
    REQUIRE_FALSE(keys.empty());
    CHECK(keys.size() < 60);
    double covered = 0;
    const PlaneBox shown = view.shown();
    for (const TileKey& key : keys) {
      if (key.level != level) continue;
      const PlaneBox b = box_of(key);
      covered += std::max(0.0, std::min(b.max_x, shown.max_x) - std::max(b.min_x, shown.min_x)) *
                 std::max(0.0, std::min(b.max_y, shown.max_y) - std::max(b.min_y, shown.min_y));
    }
    CAPTURE(scale);
    CHECK(near(covered / ((shown.max_x - shown.min_x) * (shown.max_y - shown.min_y)), 1, 1e-9));
    CHECK(keys.front().level == level + 3);  // what comes first is quick and covers much
  }
  // Nothing finer than the file is asked for, and nothing where it is not.
  CHECK(tile_level(0.1, 1, {{0, 0, 1, 1}, 3}) == 3);
  CHECK(wanted_tiles({{0, 0, 800, 600}, {0, 0}, 1}, 1, {{5000, 5000, 6000, 6000}, 0}).empty());
  CHECK(wanted_tiles({{0, 0, 800, 600}, {std::nan(""), 0}, 1}, 1, kEverywhere).size() < 60);
}

TEST_CASE("until a piece has come, the part of a coarser one that lies there is drawn") {
  const Viewport view{{0, 0, 800, 600}, {0, 0}, 1};
  const TileKey coarse{3, 0, 0};
  const auto draws = tiles_to_draw(view, 1, kEverywhere, [&](const TileKey& key) { return key == coarse; });
  REQUIRE_FALSE(draws.empty());
  for (const TileDraw& draw : draws) {
    CHECK(draw.key == coarse);
    CHECK((draw.box.min_x >= 0 && draw.box.min_y >= 0));  // only where it lies
    // The corner of the place lies where the part of the image says: 2048 m a side.
    CHECK(near(draw.u0 * 2048.0, draw.box.min_x, 1e-3));
    CHECK(near((1 - draw.v0) * 2048.0, draw.box.max_y, 1e-3));
    CHECK(near(draw.u1 - draw.u0, 256.0 / 2048, 1e-6));
  }
  // Its own piece takes the place; what was seen nearer lies over a stand-in.
  const TileKey own{0, 0, 0}, child{-1, 2, 0};
  const auto mixed = tiles_to_draw(
      view, 1, kEverywhere, [&](const TileKey& key) { return key == coarse || key == own || key == child; });
  std::set<TileKey> keys;
  for (std::size_t i = 0; i < mixed.size(); ++i) {
    keys.insert(mixed[i].key);
    if (i > 0) CHECK(mixed[i].key.level <= mixed[i - 1].key.level);
    if (mixed[i].key == own) CHECK((mixed[i].u0 == 0 && mixed[i].u1 == 1));
    if (mixed[i].key == coarse) CHECK_FALSE((mixed[i].box.min_x == 0 && mixed[i].box.min_y == 0));
  }
  CHECK(keys == std::set<TileKey>{coarse, own, child});
  CHECK(tiles_to_draw(view, 1, kEverywhere, [](const TileKey&) { return false; }).empty());
}

TEST_CASE("pieces come from a thread of their own, and the window is woken") {
  std::atomic<int> woken = 0;
  TileStore store([&] { ++woken; });
  CHECK(store.status().what == BackgroundStatus::What::kNone);
  store.open(test::reference("terrain/fractal_500.tif"), {.centre = {9.5, 54.2}, .look = {}});
  REQUIRE(store.wait(20));
  REQUIRE(store.status().what == BackgroundStatus::What::kReady);
  const geodata::BasemapInfo info = store.status().info;
  CHECK(info.look == core::LayerLook::kHillshade);
  const TileExtent extent{{info.min_x, info.min_y, info.max_x, info.max_y}, info.finest_level};
  const Viewport view{{0, 0, 400, 300},
                      {(info.min_x + info.max_x) / 2, (info.min_y + info.max_y) / 2},
                      (info.max_x - info.min_x) / 400};
  const auto keys = wanted_tiles(view, 1, extent);
  store.want(keys);
  REQUIRE(store.wait(20));
  CHECK_FALSE(store.status().busy);
  for (const TileKey& key : keys) CHECK(store.find(key) != nullptr);
  CHECK(woken > static_cast<int>(keys.size()) / 2);
  const std::uint64_t before = store.version();
  store.want({});
  CHECK(store.version() == before);
  store.close();
  CHECK(store.find(keys.front()) == nullptr);
  CHECK(store.status().what == BackgroundStatus::What::kNone);
}

TEST_CASE("however far the map moves, no more pieces are kept than the bound") {
  TileStore store;
  store.open(test::reference("terrain/fractal_500.tif"), {.centre = {9.5, 54.2}, .look = {}});
  for (std::int32_t y = 0; y < 30; ++y) {
    std::vector<TileKey> keys;
    for (std::int32_t x = 0; x < 20; ++x) keys.push_back({2, x, y});  // far from the file: quick and empty
    store.want(keys);
    REQUIRE(store.wait(20));
  }
  CHECK(store.kept() == TileStore::kMostKept);
  CHECK(store.find({2, 0, 0}) == nullptr);
  CHECK(store.find({2, 19, 29}) != nullptr);
}

TEST_CASE("a store ends at once while it reads") {
  const auto begin = std::chrono::steady_clock::now();
  {
    TileStore store;
    store.open(test::reference("terrain/fractal_500.tif"), {.centre = {9.5, 54.2}, .look = {}});
    std::vector<TileKey> keys;
    for (std::int32_t x = -50; x < 50; ++x) keys.push_back({0, x, 0});
    store.want(keys);
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
  }
  CHECK(std::chrono::steady_clock::now() - begin < std::chrono::seconds(10));
}

TEST_CASE("a background that is broken or gone leaves a sentence and a map") {
  const test::TemporaryFolder folder;
  test::write_text(folder / "broken.tif", "II*");
  for (const char* name : {"broken.tif", "vanished.tif"}) {
    core::Snapshot snapshot = test::sample_snapshot();
    snapshot.layers.push_back(layer_of(folder / name, core::LayerLook::kPicture));
    const Model model(make_session(snapshot));
    State state = opening_state(model);
    CHECK(state.map.background == "layer-1");
    place_map(state, model, {0, 0, 800, 600});
    Background ground;
    ground.follow(state, model, 1);
    REQUIRE(ground.store().wait(20));
    ground.follow(state, model, 1);
    CHECK(ground.status().what == BackgroundStatus::What::kFailed);
    CHECK(ground.status().trouble.find(name) != std::string::npos);
    CHECK(ground.tiles().empty());
    CHECK_FALSE(ground.has_news());
  }
}

TEST_CASE("the layer shown follows the state, with its file from the survey's folder") {
  core::Snapshot snapshot = test::sample_snapshot();
  snapshot.layers.push_back(layer_of("hills.tif", core::LayerLook::kHillshade));
  snapshot.layers.back().shown = false;
  const Model model(make_session(snapshot));
  State state = opening_state(model);
  CHECK_FALSE(state.map.background);  // not shown at the start
  apply(ShowBackground{"layer-1"}, state, model);
  CHECK(state.map.background == "layer-1");
  apply(ShowBackground{"another"}, state, model);
  CHECK_FALSE(state.map.background);
  apply(TryBackground{"a.tif"}, state, model);
  CHECK(state.map.trial == "a.tif");
  apply(ShowBackground{}, state, model);
  CHECK_FALSE(state.map.trial);
  CHECK(layer_file(snapshot.layers[0], "/surveys/brook.brook") == "/surveys/hills.tif");
  core::BaseLayer whole = snapshot.layers[0];
  whole.file = "/maps/hills.tif";
  CHECK(layer_file(whole, "/surveys/brook.brook") == "/maps/hills.tif");
  geodata::BasemapInfo info;
  info.title = "Invented ground";
  info.attribution = "Nobody";
  info.look = core::LayerLook::kHillshade;
  const core::EditBatch batch = background_edit("/maps/hills.tif", info, "", "");
  REQUIRE(batch.edits.size() == 1);
  const core::BaseLayer& added = batch.edits[0].as<core::AddLayer>()->layer;
  CHECK(
      (added.title == "Invented ground" && added.attribution == "Nobody" && added.file == "/maps/hills.tif"));
}

}  // namespace brookmark::viewer

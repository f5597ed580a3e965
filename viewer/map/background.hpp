// Why: the ground below the map follows what the state says: which layer, and which part of it is in view.
// Use: background.follow(state, model, 1);  frame.tiles = background.tiles();
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "viewer/map/background_layer.hpp"
#include "viewer/map/tile_store.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

struct PaintTile {
  TileDraw draw;
  TileStore::Image image;  // never empty
};

class Background {
 public:
  TileStore& store() { return store_; }
  // Opens, closes and asks for pieces as the state says; `pixel_ratio`: framebuffer pixels in a logical one.
  void follow(const State& state, const Model& model, double pixel_ratio);
  // Of the newest follow(), coarse ones first.
  std::span<const PaintTile> tiles() const { return tiles_; }
  const BackgroundStatus& status() const { return status_; }
  // Whom to thank for what is drawn: the survey's words, or the file's own; empty while nothing is drawn.
  const std::string& attribution() const { return attribution_; }
  // Something has come since follow().
  bool has_news() const { return store_.version() != version_; }

 private:
  struct Opened {
    std::filesystem::path file;
    std::optional<core::LayerLook> look;
    core::LonLat centre;
    bool operator==(const Opened&) const = default;
  };
  TileStore store_;
  std::optional<Opened> opened_;
  std::vector<PaintTile> tiles_;
  BackgroundStatus status_;
  std::string attribution_;
  std::uint64_t version_ = 0;
};

}  // namespace brookmark::viewer

#include "viewer/map/background.hpp"

#include <algorithm>

namespace brookmark::viewer {

void Background::follow(const State& state, const Model& model, double pixel_ratio) {
  tiles_.clear();
  attribution_.clear();
  std::optional<Opened> wanted;
  std::string thanks;
  if (state.map.trial)
    wanted = Opened{*state.map.trial, std::nullopt, model.frame().centre()};
  else
    for (const core::BaseLayer& layer : model.snapshot().layers)
      if (state.map.background == layer.key) {
        wanted = Opened{layer_file(layer, model.session().path), layer.look, model.frame().centre()};
        thanks = layer.attribution;
      }
  if (opened_ != wanted) {
    opened_ = wanted;
    if (wanted)
      store_.open(wanted->file, {.centre = wanted->centre, .look = wanted->look});
    else
      store_.close();
  }
  version_ = store_.version();
  status_ = store_.status();
  if (status_.what != BackgroundStatus::What::kReady) return;
  attribution_ = thanks.empty() ? status_.info.attribution : thanks;
  const geodata::BasemapInfo& info = status_.info;
  const TileExtent extent{{info.min_x, info.min_y, info.max_x, info.max_y}, info.finest_level};
  store_.want(wanted_tiles(state.view, pixel_ratio, extent));
  const auto has = [&](const TileKey& key) { return store_.find(key) != nullptr; };
  for (const TileDraw& draw : tiles_to_draw(state.view, pixel_ratio, extent, has))
    if (auto image = store_.find(draw.key); image && !image->rgba.empty())
      tiles_.push_back({draw, std::move(image)});
}

}  // namespace brookmark::viewer

#include <GL/gl.h>
#include <GL/glext.h>

#include "viewer/platform/gl_tiles_internal.hpp"

namespace brookmark::viewer {

TileTextures::~TileTextures() {
  while (!textures_.empty()) drop(textures_.begin());
}

void TileTextures::drop(std::map<TileKey, Kept>::iterator at) {
  glDeleteTextures(1, &at->second.name);
  textures_.erase(at);
}

void TileTextures::begin(std::uint64_t generation) {
  ++frame_;
  if (generation != generation_)
    while (!textures_.empty()) drop(textures_.begin());
  generation_ = generation;
  while (textures_.size() > kMostKept) {
    auto oldest = textures_.begin();
    for (auto at = textures_.begin(); at != textures_.end(); ++at)
      if (at->second.frame < oldest->second.frame) oldest = at;
    drop(oldest);
  }
}

unsigned TileTextures::texture(const TileKey& key, const TileStore::Image& image) {
  Kept& kept = textures_[key];
  kept.frame = frame_;
  if (kept.name != 0 && kept.image == image) return kept.name;
  if (kept.name == 0) glGenTextures(1, &kept.name);
  kept.image = image;
  glBindTexture(GL_TEXTURE_2D, kept.name);
  glPixelStorei(GL_UNPACK_ALIGNMENT, 4);
  glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, geodata::kTilePixels, geodata::kTilePixels, 0, GL_RGBA,
               GL_UNSIGNED_BYTE, image->rgba.data());
  return kept.name;
}

}  // namespace brookmark::viewer

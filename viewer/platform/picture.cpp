#include "viewer/platform/picture.hpp"

#include <png.h>

#include "core/base/error.hpp"

namespace brookmark::viewer {

void write_png(const Picture& picture, const std::filesystem::path& file) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(picture.width);
  image.height = static_cast<png_uint_32>(picture.height);
  image.format = PNG_FORMAT_RGB;
  std::filesystem::path part = file;
  part += ".part";
  std::error_code failure;
  if (!png_image_write_to_file(&image, part.c_str(), 0, picture.rgb.data(), 0, nullptr)) {
    const std::string why = image.message;
    std::filesystem::remove(part, failure);
    throw Error(ErrorCode::kStorage,
                "The picture cannot be written (" + why +
                    "). Choose a folder that exists and can be written, with room on the disk.",
                file.string());
  }
  std::filesystem::rename(part, file, failure);
  if (!failure) return;
  const std::string why = failure.message();
  std::filesystem::remove(part, failure);
  throw Error(ErrorCode::kStorage,
              "The picture cannot be put in its place (" + why + "). Choose another name.", file.string());
}

}  // namespace brookmark::viewer

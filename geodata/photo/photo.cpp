#include "geodata/photo/photo.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <system_error>
#include <utility>

#include "core/base/error.hpp"
#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {
namespace {

namespace fs = std::filesystem;

constexpr int kLargestSide = 8192;

// A name with a zero byte in it would end the sentence there.
Error bad_photo(const std::string& message, const std::string& file) {
  return {ErrorCode::kBadInput, message, file.substr(0, file.find('\0'))};
}

// The file inside the survey's folder, also after links were followed.
fs::path place_of(const fs::path& survey, const std::string& file) {
  const fs::path written(file);
  const bool upwards =
      std::any_of(written.begin(), written.end(), [](const fs::path& part) { return part == ".."; });
  if (file.empty() || written.is_absolute() || upwards || file.find('\0') != std::string::npos ||
      file.find('\\') != std::string::npos)
    throw bad_photo("a photo lies in the survey's folder, and is named from there", file);
  std::error_code trouble;
  const fs::path parent = survey.parent_path();
  const fs::path folder = fs::canonical(parent.empty() ? fs::path(".") : parent, trouble);
  if (trouble)
    throw Error(ErrorCode::kNotFound, "the survey's folder is not there any more", survey.string());
  const fs::path found = fs::canonical(folder / written, trouble);
  if (trouble)
    throw Error(ErrorCode::kNotFound, "the photo is not there; put it back beside the survey", file);
  const auto [end, rest] = std::mismatch(folder.begin(), folder.end(), found.begin(), found.end());
  if (end != folder.end() || rest == found.end())
    throw bad_photo("the photo is a link to a place outside the survey's folder", file);
  if (!fs::is_regular_file(found, trouble) || trouble) throw bad_photo("the photo is not a plain file", file);
  return found;
}

// Of GDAL's bands as bytes; palettes and shades of grey become colours.
std::vector<std::uint8_t> decode(GDALDataset& dataset, int width, int height, const std::string& file,
                                 const GdalMessages& messages) {
  const auto pixels = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
  const int bands = dataset.GetRasterCount();
  std::vector<std::uint8_t> rgba(pixels * 4, 255);
  const auto read = [&](int band, std::uint8_t* out, std::size_t step) {
    GDALRasterIOExtraArg how;
    INIT_RASTERIO_EXTRA_ARG(how);
    how.eResampleAlg = GRIORA_Average;
    GDALRasterBand& source = *dataset.GetRasterBand(band);
    const bool palette = source.GetColorTable() != nullptr;
    if (palette) how.eResampleAlg = GRIORA_NearestNeighbour;
    if (source.GetRasterDataType() == GDT_Byte) {
      if (source.RasterIO(GF_Read, 0, 0, dataset.GetRasterXSize(), dataset.GetRasterYSize(), out, width,
                          height, GDT_Byte, static_cast<GSpacing>(step), static_cast<GSpacing>(step) * width,
                          &how) != CE_None)
        throw bad_photo("the photo is damaged" + messages.in_brackets(), file);
      return;
    }
    std::vector<std::uint16_t> wide(pixels);
    if (source.RasterIO(GF_Read, 0, 0, dataset.GetRasterXSize(), dataset.GetRasterYSize(), wide.data(), width,
                        height, GDT_UInt16, 0, 0, &how) != CE_None)
      throw bad_photo("the photo is damaged" + messages.in_brackets(), file);
    for (std::size_t i = 0; i < pixels; ++i) out[i * step] = static_cast<std::uint8_t>(wide[i] >> 8U);
  };
  const GDALColorTable* const palette = dataset.GetRasterBand(1)->GetColorTable();
  if (bands >= 3) {
    for (int b = 0; b < std::min(bands, 4); ++b) read(b + 1, rgba.data() + b, 4);
    return rgba;
  }
  std::vector<std::uint8_t> grey(pixels);
  read(1, grey.data(), 1);
  for (std::size_t i = 0; i < pixels; ++i) {
    std::array<std::uint8_t, 3> colour{grey[i], grey[i], grey[i]};
    if (palette != nullptr && grey[i] < palette->GetColorEntryCount()) {
      const GDALColorEntry& entry = *palette->GetColorEntry(grey[i]);
      colour = {static_cast<std::uint8_t>(entry.c1), static_cast<std::uint8_t>(entry.c2),
                static_cast<std::uint8_t>(entry.c3)};
    }
    std::copy(colour.begin(), colour.end(), rgba.begin() + static_cast<std::ptrdiff_t>(i * 4));
  }
  if (bands == 2) read(2, rgba.data() + 3, 4);
  return rgba;
}

// Turned and mirrored as the tag Orientation of Exif 2.3 (JEITA CP-3451C, 4.6.4; memory) says: 1 is as it lies.
Photo upright(Photo photo, int orientation) {
  if (orientation < 2 || orientation > 8) return photo;
  const bool turned = orientation >= 5;
  Photo out{turned ? photo.height : photo.width, turned ? photo.width : photo.height, {}};
  out.rgba.resize(photo.rgba.size());
  for (int y = 0; y < out.height; ++y)
    for (int x = 0; x < out.width; ++x) {
      int from_x = turned ? y : x, from_y = turned ? x : y;
      if (orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8)
        from_x = photo.width - 1 - from_x;
      if (orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7)
        from_y = photo.height - 1 - from_y;
      const auto from = (static_cast<std::size_t>(from_y) * static_cast<std::size_t>(photo.width) +
                         static_cast<std::size_t>(from_x)) *
                        4;
      const auto to =
          (static_cast<std::size_t>(y) * static_cast<std::size_t>(out.width) + static_cast<std::size_t>(x)) *
          4;
      std::copy_n(photo.rgba.begin() + static_cast<std::ptrdiff_t>(from), 4,
                  out.rgba.begin() + static_cast<std::ptrdiff_t>(to));
    }
  return out;
}

}  // namespace

Photo read_photo(const fs::path& survey, const std::string& file, const PhotoLimits& limits) {
  if (limits.most_side_px < 1 || limits.most_side_px > kLargestSide)
    throw Error(ErrorCode::kBadUse, "the side of a photo must be 1 to 8192 pixels");
  const fs::path place = place_of(survey, file);
  std::error_code trouble;
  if (const std::uintmax_t bytes = fs::file_size(place, trouble); trouble || bytes > limits.most_bytes)
    throw bad_photo("the photo is larger than " + std::to_string(limits.most_bytes >> 20U) +
                        " MiB; make a smaller copy of it",
                    file);
  GdalMessages messages;
  // Only these decoders, and no other file beside it.
  static constexpr const char* kDecoders[] = {"JPEG", "PNG", "WEBP", nullptr};
  const std::string name = place.filename().string();
  const char* const siblings[] = {name.c_str(), nullptr};
  const DatasetPointer dataset(
      GDALDataset::Open(place.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, kDecoders, nullptr, siblings));
  if (!dataset || dataset->GetRasterCount() < 1)
    throw bad_photo("the photo is no JPEG, PNG or WebP" + messages.in_brackets(), file);
  const int width = dataset->GetRasterXSize(), height = dataset->GetRasterYSize();
  if (static_cast<double>(width) * height > limits.most_pixels)
    throw bad_photo("the photo has " + std::to_string(width) + " x " + std::to_string(height) +
                        " pixels, too many to open; make a smaller copy of it",
                    file);
  const double shrink = std::max(1.0, static_cast<double>(std::max(width, height)) / limits.most_side_px);
  Photo photo{std::max(1, static_cast<int>(std::lround(width / shrink))),
              std::max(1, static_cast<int>(std::lround(height / shrink))),
              {}};
  photo.rgba = decode(*dataset, photo.width, photo.height, file, messages);
  const char* const orientation = dataset->GetMetadataItem("EXIF_Orientation");
  return upright(std::move(photo), orientation != nullptr ? std::atoi(orientation) : 1);
}

}  // namespace brookmark::geodata

// Why: a photo of a site lies as a file beside the survey. Whoever handed the survey over may have put anything there: it
// is opened only inside the survey's folder, by three plain decoders, within limits, and made small.
// Use: const Photo photo = read_photo("water.brook", "photos/Q03.jpg", {.most_side_px = 640});
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace brookmark::geodata {

struct PhotoLimits {
  std::uintmax_t most_bytes = 64U << 20U;  // of the file
  double most_pixels = 200e6;              // of the picture in it
  int most_side_px = 1024;                 // of what is given back, 1 to 8192; larger ones are made smaller
};

// The right way up: as the camera's note on its orientation says.
struct Photo {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgba;  // rows from the top, four bytes a pixel
};

// `file` as the survey writes it: from the survey's folder, with forward slashes. JPEG, PNG or WebP. May be called on any
// thread after start_geodata(). Throws Error: kBadInput for a place outside that folder, a file beyond the limits or one
// that is no such picture; kNotFound where there is none.
Photo read_photo(const std::filesystem::path& survey, const std::string& file,
                 const PhotoLimits& limits = {});

}  // namespace brookmark::geodata

// Why: a photo of a site lies as a file beside the survey, and a row of the survey names it. The command line and the window
// add both at once: the file is looked into, copied beside the survey where it lies elsewhere, and named in one edit.
// Use: add_photo(file, "brook.brook", {.file = "IMG_0412.jpg", .site_key = key, .note = "upstream of the ford"});
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "core/store/survey_file.hpp"

namespace brookmark::viewer {

struct PhotoWish {
  std::filesystem::path file;  // JPEG, PNG or WebP
  std::string site_key;
  std::optional<core::Date> taken = {};  // the visit of that day is named with it, where there is one
  std::string note = {};                 // stands below the picture
};

// Says what was added. A file outside the survey's folder is copied into SURVEY-photos there; one of the same name and
// bytes is used as it is, and never replaced by another. Undo takes the row away, the file stays. Throws Error: kNotFound (no
// such file or site), kBadInput (no picture, or beyond the limits of geodata::read_photo), kReadOnly and kNoSpace (the copy),
// and what SurveyFile::apply throws; then no copy stays.
std::string add_photo(core::SurveyFile& survey, const std::filesystem::path& survey_path,
                      const PhotoWish& wish);

}  // namespace brookmark::viewer

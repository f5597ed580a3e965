#include "viewer/photo_work.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <system_error>

#include "core/base/error.hpp"
#include "geodata/photo/photo.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

namespace fs = std::filesystem;

// Where `file` lies below `folder`, with forward slashes; nothing where it lies elsewhere.
std::optional<std::string> below(const fs::path& folder, const fs::path& file) {
  const fs::path way = file.lexically_relative(folder);
  if (way.empty() || *way.begin() == ".." || way.is_absolute()) return std::nullopt;
  return way.generic_string();
}

bool same_bytes(const fs::path& a, const fs::path& b) {
  std::error_code ignored;
  if (fs::file_size(a, ignored) != fs::file_size(b, ignored)) return false;
  std::ifstream left(a, std::ios::binary), right(b, std::ios::binary);
  using Bytes = std::istreambuf_iterator<char>;
  return left && right && std::equal(Bytes(left), Bytes(), Bytes(right), Bytes());
}

struct Copied {
  fs::path file;
  bool fresh = false;  // made now
};

// Under its own name, or with a number behind it where another picture has that name.
Copied copy_beside(const fs::path& photo, const fs::path& folder) {
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed)
    throw Error(ErrorCode::kReadOnly, "the folder for photos cannot be made: " + failed.message(),
                folder.string());
  const std::string stem = photo.stem().string(), ending = photo.extension().string();
  fs::path target = folder / photo.filename();
  for (int n = 2; fs::exists(target, failed); ++n) {
    if (same_bytes(photo, target)) return {target, false};
    target = folder / (stem + "-" + std::to_string(n) + ending);
  }
  fs::path part = target;
  part += ".part";
  if (!fs::copy_file(photo, part, fs::copy_options::overwrite_existing, failed) || failed) {
    const std::string why = failed.message();
    const bool full = failed == std::errc::no_space_on_device;
    fs::remove(part, failed);
    throw Error(full ? ErrorCode::kNoSpace : ErrorCode::kReadOnly,
                "the photo cannot be copied beside the survey: " + why, target.string());
  }
  fs::rename(part, target, failed);
  if (failed) {
    const std::string why = failed.message();
    fs::remove(part, failed);
    throw Error(ErrorCode::kReadOnly, "the photo cannot be copied beside the survey: " + why,
                target.string());
  }
  return {target, true};
}

}  // namespace

std::string add_photo(core::SurveyFile& survey, const fs::path& survey_path, const PhotoWish& wish) {
  std::error_code failed;
  const fs::path photo = fs::canonical(wish.file, failed);
  if (failed) throw Error(ErrorCode::kNotFound, "there is no such photo", wish.file.string());
  const core::Snapshot snapshot = survey.read();
  std::optional<std::size_t> site;
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i)
    if (snapshot.sites.key[i] == wish.site_key) site = i;
  if (!site) throw Error(ErrorCode::kNotFound, "the site of the photo is not in this survey");
  geodata::start_geodata();
  geodata::read_photo(photo.parent_path() / "survey", photo.filename().string());  // that it is one
  const fs::path folder =
      fs::canonical(survey_path.has_parent_path() ? survey_path.parent_path() : fs::path("."), failed);
  if (failed)
    throw Error(ErrorCode::kNotFound, "the survey's folder is not there any more", survey_path.string());
  core::Photo row;
  row.site_key = wish.site_key;
  row.caption = wish.note;
  if (wish.taken) {
    for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
      if (snapshot.visits.site[v].value() == *site && snapshot.visits.start[v].date == *wish.taken)
        row.visit_key = snapshot.visits.key[v];
    if (row.visit_key.empty())  // no visit tells the day
      row.caption += (row.caption.empty() ? "" : ", ") + date_in_words(*wish.taken);
  }
  Copied copied{photo, false};
  if (!below(folder, photo)) copied = copy_beside(photo, folder / (survey_path.stem().string() + "-photos"));
  row.file = below(folder, copied.file).value_or(copied.file.filename().string());
  row.key = survey.new_key();
  const std::string code(snapshot.sites.code[*site]);
  try {
    survey.apply(
        {"photo", "Photo " + copied.file.filename().string() + " of " + code, {core::AddPhoto{row}}});
  } catch (...) {
    if (copied.fresh) fs::remove(copied.file, failed);
    throw;
  }
  return "Added photo " + row.file + " of " + code + ".";
}

}  // namespace brookmark::viewer

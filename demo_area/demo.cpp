#include "demo_area/demo.hpp"

#include <memory>
#include <string>
#include <system_error>
#include <utility>

#include "core/base/error.hpp"
#include "core/intake/import.hpp"
#include "core/store/survey_file.hpp"
#include "demo_area/drawn_photo.hpp"
#include "demo_area/kit_story.hpp"
#include "demo_area/landscape.hpp"
#include "demo_area/story.hpp"

namespace brookmark::demo {
namespace {

constexpr std::uint64_t kKeySeed = 20200422;
constexpr core::YearMonthDay kMadeOn{2026, 1, 5};
constexpr const char* kPhotoFile = "demo-photos/q04-pipe.png";  // from the survey's folder
constexpr const char* kMadeAt = "2026-01-05T12:00:00Z";

// The same way in as a surveyor's own files. A row that is refused is a mistake in this folder.
void import(core::SurveyFile& file, core::ImportKind kind, const core::Table& table) {
  core::ImportOptions options;
  options.latest_day = core::make_date(kMadeOn);
  options.new_key = [&file] { return file.new_key(); };
  // The surveyor looked at one misspelling and decided; the other is still open, as the findings say.
  options.names = {{"Limnefilidae", "Limnephilidae"}};
  const core::ImportReport report = core::plan_import(kind, table, file.read(), options);
  if (!report.ok(false)) {
    std::string first = "no row could be read";
    for (const core::Issue& issue : report.issues)
      if (issue.severity == core::Severity::kError) {
        first = "line " + std::to_string(issue.line) + ", " + issue.column + ": " + issue.text;
        break;
      }
    throw Error(ErrorCode::kBadInput, "the demo's own data was refused: " + first, table.file);
  }
  file.apply(report.batch);
}

void add_kit(core::SurveyFile& file) {
  KitStory story = tell_kit();
  import(file, core::ImportKind::kKit, story.log);
  const core::Snapshot snapshot = file.read();
  const auto key_of_site = [&](const std::string& code) {
    return std::string(snapshot.sites.key[snapshot.find_site(code)->value()]);
  };
  core::EditBatch batch{"invented kit", "what is told of kit and waters", {}};
  for (core::Kit& kit : story.fresh) {
    kit.key = file.new_key();
    batch.edits.push_back(core::AddKit{kit});
  }
  for (core::WaterRisk& risk : story.risks) {
    risk.key = file.new_key();
    risk.site_key = key_of_site(risk.site_key);
    batch.edits.push_back(core::AddWaterRisk{risk});
  }
  for (core::Holding& holding : story.holdings) {
    holding.key = file.new_key();
    holding.site_key = key_of_site(holding.site_key);
    for (const core::Kit& kit : snapshot.kit)
      if (kit.code == holding.kit_key) {
        holding.kit_key = kit.key;
        break;
      }
    batch.edits.push_back(core::AddHolding{holding});
  }
  file.apply(batch);
}

void add_photo_row(core::SurveyFile& file) {
  const core::Snapshot snapshot = file.read();
  core::Photo photo;
  photo.key = file.new_key();
  photo.site_key = snapshot.sites.key[snapshot.find_site("Q04")->value()];
  photo.file = kPhotoFile;
  photo.caption =
      "Drawn by a program, as all of this survey is invented: the bank above Q04 with the pipe of OUT-2";
  file.apply({"invented photo", "a drawn picture of Q04", {core::AddPhoto{photo}}});
}

void fill(core::SurveyFile& file) {
  using core::ImportKind;
  const Landscape land;
  import(file, ImportKind::kWatercourses, land.watercourses());
  import(file, ImportKind::kCatchments, land.catchments());
  import(file, ImportKind::kWaters, land.waters());
  import(file, ImportKind::kOutfalls, land.outfalls());
  import(file, ImportKind::kSites, land.sites());
  const StoryTables story = tell_story();
  import(file, ImportKind::kSamples, story.samples);
  import(file, ImportKind::kRecords, story.counts);
  import(file, ImportKind::kRecords, story.classes);
  import(file, ImportKind::kRecords, story.presences);
  import(file, ImportKind::kMeasurements, story.measurements);
  add_kit(file);
  import(file, ImportKind::kGround, land.ground());
  add_photo_row(file);
}

// Beside the survey; one that is there already is left as it is.
void put_photo_beside(const std::filesystem::path& survey) {
  const std::filesystem::path photo = survey.parent_path() / kPhotoFile;
  std::error_code failed;
  std::filesystem::create_directories(photo.parent_path(), failed);
  if (failed)
    throw Error(ErrorCode::kReadOnly, "the folder for the demo's photo cannot be made: " + failed.message(),
                photo.parent_path().string());
  if (!std::filesystem::exists(photo, failed)) viewer::write_png(draw_photo(), photo);
}

}  // namespace

void make_demo_survey(const std::filesystem::path& target) {
  std::error_code missing;
  if (std::filesystem::exists(std::filesystem::symlink_status(target, missing)))
    throw Error(ErrorCode::kBadUse, "something is already there; choose another name or move it away first",
                target.string());

  core::SurveyInfo info;
  info.title = "Quarrendel Brook (invented)";
  info.description =
      "An invented catchment for trying things out. Nothing in it is real: its coordinates lie in the open "
      "North "
      "Atlantic, its people, samples and outfalls were made up by a program.";
  core::StoreOptions options;
  options.new_key = core::seeded_uuids(kKeySeed);
  options.now = [] { return std::string(kMadeAt); };
  options.device = "demo";

  // Made beside the target and renamed, so that no half-filled survey ever stands there.
  std::filesystem::path unfinished = target;
  unfinished += "." + core::random_uuid().substr(0, 8) + ".unfinished";
  auto file = std::make_unique<core::SurveyFile>(core::SurveyFile::create(unfinished, info, options));
  try {
    fill(*file);
    file.reset();
    put_photo_beside(target);
    std::filesystem::rename(unfinished, target);
  } catch (...) {
    file.reset();
    std::filesystem::remove(unfinished, missing);
    throw;
  }
}

}  // namespace brookmark::demo

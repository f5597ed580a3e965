#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "viewer/cli/kit_words.hpp"
#include "viewer/cli/photo_command_internal.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/photo_work.hpp"

namespace brookmark::viewer {
namespace {

struct PhotoCommand {
  std::string site, taken, note;
  std::filesystem::path file;  // empty: list
};

Rows photos_of(const core::Snapshot& snapshot, const std::string& code) {
  const auto site = snapshot.find_site(code);
  if (!site) throw Error(ErrorCode::kNotFound, "there is no site \"" + code + "\" in this survey");
  Rows rows{{"site", "file", "taken", "note"}, {}};
  for (const core::Photo& photo : snapshot.photos) {
    if (photo.site_key != snapshot.sites.key[site->value()]) continue;
    Cell taken;
    for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
      if (snapshot.visits.key[v] == photo.visit_key)
        taken = text(core::format_date(snapshot.visits.start[v].date));
    rows.add({text(code), text(photo.file), taken, text_or_empty(photo.caption)});
  }
  return rows;
}

int run_photo(const std::filesystem::path& survey, const PhotoCommand& command, const Console& console) {
  if (command.file.empty()) {
    if (!command.taken.empty() || !command.note.empty())
      throw Error(ErrorCode::kBadUse, "--taken and --note go with a photo to be added; name its file");
    const Rows rows = photos_of(core::SurveyFile::open(survey, core::Access::kRead).read(), command.site);
    console.rows(rows);
    if (rows.rows.empty()) console.err << "no photo of " << command.site << " yet\n";
    return rows.rows.empty() ? kAnswerIsNo : kDone;
  }
  PhotoWish wish{command.file, {}, {}, command.note};
  if (!command.taken.empty()) {
    wish.taken = core::parse_date(command.taken);
    if (!wish.taken)
      throw Error(ErrorCode::kBadUse, "\"" + command.taken + "\" is not a date; write --taken 2024-05-03");
  }
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  if (wish.taken)
    if (const std::string why = core::why_not_yet({*wish.taken, {}, {}}, now_here(snapshot)); !why.empty())
      throw Error(ErrorCode::kBadUse, why);
  const auto site = snapshot.find_site(command.site);
  if (!site) throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey");
  wish.site_key = snapshot.sites.key[site->value()];
  console.err << add_photo(file, survey, wish) << '\n';
  return kDone;
}

}  // namespace

void add_photo_verb(Verbs& verbs) {
  const auto command = std::make_shared<PhotoCommand>();
  verbs
      .add_for_survey(
          "photo", "add a photo to a site, or list those it has",
          [command](const auto& survey, const Console& c) { return run_photo(survey, *command, c); })
      .word("SITE", command->site, "the site by its code")
      .required()
      .word("FILE", command->file, "JPEG, PNG or WebP; copied beside the survey where it lies elsewhere")
      .option("--taken", command->taken, "the day, YYYY-MM-DD; the visit of that day is named with it")
      .option("--note", command->note, "words that stand below the picture")
      .with_format();
}

}  // namespace brookmark::viewer

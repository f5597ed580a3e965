#include "viewer/actions/desk_actions.hpp"

#include <algorithm>
#include <filesystem>

#include "core/base/text.hpp"
#include "viewer/actions/actions.hpp"
#include "viewer/state/guide.hpp"

namespace brookmark::viewer {
namespace {

bool ends_with(const std::string& name, const char* ending) {
  return core::to_lower_ascii(name).ends_with(ending);
}

bool can_be_handed_over(const std::string& name) {
  for (const geodata::ExportFormat& format : geodata::export_formats())
    if (ends_with(name, format.ending)) return true;
  return false;
}

bool hands_over(DialogKind kind) {
  return kind == DialogKind::kHandOver || kind == DialogKind::kReport;
}

core::SharingRules rules_of(const Dialog& dialog, const State& state) {
  core::SharingRules rules;
  if (const auto cell = read_cell_size(dialog.cell)) rules.cell_m = *cell;
  rules.people = dialog.people;
  if (const auto period = state.period()) {
    rules.until = period->until;
    rules.from = period->from;
    rules.seasons = period->seasons;
  }
  return rules;
}

// Why there is nothing to hand over; empty where there is, or where it is not known yet.
std::string nothing_there(const Model& model, const State& state) {
  if (holds_nothing(model.snapshot()))
    return "There is nothing to hand over yet: no site, watercourse or outfall.";
  const auto& leaving = state.desk.leaving;
  return leaving == nullptr || leaving->nothing.empty()
             ? ""
             : "Nothing of this survey may leave; below it says why.";
}

// Letters and digits of a title, for a file's name.
std::string name_from(const std::string& title) {
  std::string name;
  for (const char c : core::fold_name(title)) {
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))
      name += c;
    else if (!name.empty() && name.back() != '-')
      name += '-';
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  return name.empty() ? "survey" : name;
}

struct ApplyDesk {
  State& state;
  const Model& model;
  DeskState& desk = state.desk;

  void operator()(const OpenDialog& a) const {
    Dialog next;
    next.kind = a.kind;
    next.folder = desk.dialog.folder;
    const std::filesystem::path& survey = model.session().path;
    std::error_code ignored;
    if (next.folder.empty()) {
      const auto here =
          survey.has_parent_path() ? survey.parent_path() : std::filesystem::current_path(ignored);
      next.folder = std::filesystem::absolute(here, ignored).string();
    }
    next.import_kind = a.import_kind;
    next.site_key = a.site_key;
    if (a.kind == DialogKind::kHandOver)
      next.name =
          (survey.empty() ? name_from(model.snapshot().survey.title) : survey.stem().string()) + ".gpkg";
    if (a.kind == DialogKind::kReport) {
      next.name = (survey.empty() ? name_from(model.snapshot().survey.title) : survey.stem().string()) +
                  "-report.html";
    }
    const std::string stem =
        survey.empty() ? name_from(model.snapshot().survey.title) : survey.stem().string();
    if (a.kind == DialogKind::kSheet && a.round) {
      next.name = stem + "-" + std::string(core::trim(a.round->day)) + ".pdf";
      next.call = a.round->call;
    }
    if (a.kind == DialogKind::kSpots) next.name = stem + "-spots.gpx";
    desk.round = a.round;
    desk.dialog = next;
    desk.preview.reset();
    desk.leaving.reset();
    desk.changes.reset();
    desk.trouble.clear();
    desk.find = {};
    desk.spot = {};
    desk.guide.reset();
    if (hands_over(a.kind)) look_what_stays();
  }

  void operator()(const ChangeDialog& a) const {
    const Dialog before = desk.dialog;
    desk.dialog = a.dialog;
    desk.dialog.kind = before.kind;
    Dialog& now = desk.dialog;
    // The name of a new survey's file follows its title until somebody writes another.
    if (now.kind == DialogKind::kNew && now.title != before.title && now.name == before.name &&
        (before.name.empty() || before.name == name_from(before.title) + ".brook"))
      now.name = name_from(now.title) + ".brook";
    const bool other_file = now.folder != before.folder || now.name != before.name;
    desk.trouble.clear();
    if (hands_over(now.kind) && (now.people != before.people || now.cell != before.cell)) {
      desk.leaving.reset();
      look_what_stays();
    } else if (now.kind == DialogKind::kHandOver && now.crs != before.crs) {
      look_what_stays();
    }
    if (now.kind == DialogKind::kChanges && other_file) {
      desk.changes.reset();
      now.taken.clear();
      look_at_changes();
    }
    if (now.kind != DialogKind::kImport) return;
    if (other_file) now.columns.clear();
    if (other_file || now.import_kind != before.import_kind || now.columns != before.columns ||
        now.crs != before.crs) {
      if (now.import_kind != before.import_kind) now.columns.clear();
      desk.preview.reset();
      look_into();
    }
  }

  void operator()(const CloseDialog&) const {
    const bool was_start = desk.dialog.kind == DialogKind::kStart;
    desk.dialog.kind = nothing_open() && !was_start && desk.dialog.kind != DialogKind::kNone
                           ? DialogKind::kStart
                           : DialogKind::kNone;
    desk.preview.reset();
    desk.leaving.reset();
    desk.changes.reset();
    desk.trouble.clear();
  }

  void operator()(const RunDialog&) const {
    // A preview that has not begun is no longer waited for.
    std::erase_if(desk.errands, [](const Errand& e) { return std::holds_alternative<ShareErrand>(e); });
    if (desk.running || !desk.errands.empty() || !missing_in(state, model).empty()) return;
    desk.trouble.clear();
    const std::string file = file_of(desk.dialog);
    const std::filesystem::path& survey = model.session().path;
    switch (desk.dialog.kind) {
      case DialogKind::kOpen:
        desk.errands.push_back(OpenErrand{file});
        break;
      case DialogKind::kNew:
        desk.errands.push_back(
            CreateErrand{file, desk.dialog.title, std::string(core::trim(desk.dialog.crs))});
        break;
      case DialogKind::kImport:
        desk.errands.push_back(IntakeErrand{survey, desk.preview, desk.dialog.skip_bad});
        break;
      case DialogKind::kHandOver: {
        HandOverWish wish;
        wish.target = file;
        wish.method = std::make_shared<const core::Method>(*model.methods()[state.choice.method]);
        wish.metric = state.choice.metric;
        wish.rules = rules_of(desk.dialog, state);
        wish.replace = desk.dialog.replace;
        wish.layers.assign(desk.dialog.layers.begin(), desk.dialog.layers.end());
        wish.crs = std::string(core::trim(desk.dialog.crs));
        wish.licence = std::string(core::trim(desk.dialog.licence));
        desk.errands.push_back(HandOverErrand{survey, wish});
        break;
      }
      case DialogKind::kReport: {
        ReportWish wish;
        wish.target = file;
        wish.method = std::make_shared<const core::Method>(*model.methods()[state.choice.method]);
        wish.metric = state.choice.metric;
        wish.rules = rules_of(desk.dialog, state);
        wish.site = desk.dialog.about_site;
        wish.catchment = desk.dialog.about_catchment;
        wish.replace = desk.dialog.replace;
        desk.errands.push_back(ReportErrand{survey, wish});
        break;
      }
      case DialogKind::kSheet: {
        SheetWish wish{*desk.round, file, desk.dialog.replace};
        wish.round.call = std::string(core::trim(desk.dialog.call));
        desk.errands.push_back(SheetErrand{survey, wish});
        break;
      }
      case DialogKind::kSpots:
        desk.errands.push_back(SpotsErrand{
            survey,
            {std::make_shared<const core::Suggestions>(state.design.answer), file, desk.dialog.replace}});
        break;
      case DialogKind::kChanges:
        desk.errands.push_back(TakeChangesErrand{
            survey, file, desk.changes, {desk.dialog.taken.begin(), desk.dialog.taken.end()}});
        break;
      case DialogKind::kPhoto:
        desk.errands.push_back(
            PhotoErrand{survey,
                        {file, desk.dialog.site_key, core::parse_date(core::trim(desk.dialog.day)),
                         std::string(core::trim(desk.dialog.note))}});
        break;
      case DialogKind::kStart:
      case DialogKind::kNone:
        break;
    }
  }

  void operator()(const OpenDemo&) const {
    if (!desk.running && desk.errands.empty()) desk.errands.push_back(DemoErrand{});
  }

  void operator()(const DropFile& a) const {
    const std::filesystem::path path(a.path);
    const bool survey = ends_with(a.path, ".brook");
    if (!survey && model.session().path.empty()) {
      state.messages.push_back(
          {Message::Kind::kTrouble, "Open or make a survey first; then drop what goes into it."});
      return;
    }
    (*this)(OpenDialog{survey ? DialogKind::kOpen : DialogKind::kImport});
    desk.dialog.folder = path.parent_path().string();
    desk.dialog.name = path.filename().string();
    if (survey)
      (*this)(RunDialog{});
    else
      look_into();
  }

  void operator()(const StopErrand&) const { desk.stop_errand = true; }
  void operator()(const OpenFind& a) const {
    if (desk.dialog.kind != DialogKind::kNone) return;
    desk.find = {};
    desk.spot = {};
    desk.find.open = true;
    desk.find.text = a.text;
    desk.guide.reset();
  }
  void operator()(const ChangeFind& a) const {
    const bool open = desk.find.open;
    desk.find = a.find;
    desk.find.open = open && a.find.open;
  }
  void operator()(const CloseFind&) const { desk.find = {}; }
  void operator()(const LightSpot& a) const {
    if (!desk.spot.sites.empty()) desk.spot.row = std::min(a.row, desk.spot.sites.size() - 1);
  }
  void operator()(const CloseSpot&) const { desk.spot = {}; }

  void operator()(const StartGuide&) const {
    desk.dialog = {};
    desk.find = {};
    desk.spot = {};
    desk.guide = 0;
    set_the_scene();
  }
  void operator()(const StepGuide& a) const {
    if (!desk.guide) return;
    const auto to = static_cast<std::ptrdiff_t>(*desk.guide) + a.steps;
    if (to < 0) return;
    if (to >= static_cast<std::ptrdiff_t>(guide_steps().size())) {
      (*this)(EndGuide{});
      return;
    }
    desk.guide = static_cast<std::size_t>(to);
    set_the_scene();
  }
  void operator()(const EndGuide&) const {
    desk.guide.reset();
    state.settings.guide_seen = true;
    if (nothing_open()) desk.dialog.kind = DialogKind::kStart;
  }

 private:
  // A name that is still being typed names no file yet, or a folder on the way to it, and that is no trouble. What is a
  // folder and a layer at once has an ending.
  static bool is_there(const std::string& file) {
    std::error_code ignored;
    return !file.empty() && std::filesystem::exists(file, ignored) &&
           (!std::filesystem::is_directory(file, ignored) || std::filesystem::path(file).has_extension());
  }
  // Where no survey is open there is always the way to one.
  bool nothing_open() const { return model.session().path.empty() && model.snapshot().sites.size() == 0; }
  void set_the_scene() const {
    const GuideStep& step = guide_steps()[*desk.guide];
    if (step.page) {
      state.page = *step.page;
      state.panel_open = true;
    }
  }
  // What the rules of the hand-over keep back; only the newest question counts.
  void look_what_stays() const {
    if (model.session().path.empty() || !read_cell_size(desk.dialog.cell)) return;
    std::erase_if(desk.errands, [](const Errand& e) { return std::holds_alternative<ShareErrand>(e); });
    std::string crs;
    if (desk.dialog.kind == DialogKind::kHandOver) crs = core::trim(desk.dialog.crs);
    desk.errands.push_back(ShareErrand{model.session().path, rules_of(desk.dialog, state), crs});
  }
  void look_at_changes() const {
    const std::string file = file_of(desk.dialog);
    std::erase_if(desk.errands, [](const Errand& e) { return std::holds_alternative<ReadChangesErrand>(e); });
    if (!is_there(file) || model.session().path.empty()) return;
    desk.errands.push_back(ReadChangesErrand{model.session().path, file});
  }
  void look_into() const {
    const std::string file = file_of(desk.dialog);
    if (!is_there(file) || model.session().path.empty()) return;
    PreviewErrand errand{model.session().path, {}};
    errand.wish.kind = desk.dialog.import_kind;
    errand.wish.file = file;
    errand.wish.crs = std::string(core::trim(desk.dialog.crs));
    errand.wish.options.columns = desk.dialog.columns;
    // Only the newest question counts.
    std::erase_if(desk.errands, [](const Errand& e) { return std::holds_alternative<PreviewErrand>(e); });
    desk.errands.push_back(errand);
  }
};

}  // namespace

void apply_desk(const DeskAction& action, State& state, const Model& model) {
  std::visit(ApplyDesk{state, model}, action);
}

std::string file_of(const Dialog& dialog) {
  if (core::trim(dialog.name).empty()) return {};
  return (std::filesystem::path(dialog.folder) / dialog.name).string();
}

std::string missing_in(const State& state, const Model& model) {
  const Dialog& d = state.desk.dialog;
  std::error_code ignored;
  const std::string file = file_of(d);
  switch (d.kind) {
    case DialogKind::kNone:
    case DialogKind::kStart:
      return {};
    case DialogKind::kOpen:
      return file.empty() ? "Choose a survey file." : "";
    case DialogKind::kNew:
      if (core::trim(d.title).empty()) return "Give the survey a title.";
      if (file.empty()) return "Give its file a name.";
      if (std::filesystem::exists(file, ignored))
        return "A file of that name is already there; choose another name.";
      return {};
    case DialogKind::kImport:
      if (model.session().path.empty())
        return "This survey is not in a file, so nothing can be imported into it.";
      if (file.empty()) return "Choose the file to import.";
      if (!state.desk.preview)
        return !std::filesystem::exists(file, ignored) ? "No file of this name is in the folder."
               : state.desk.trouble.empty()            ? "Looking into the file."
                                                       : state.desk.trouble;
      if (state.desk.preview->report.good_rows == 0) return "No row of this file can be imported.";
      if (!state.desk.preview->report.ok(d.skip_bad))
        return "Mend the bad rows in the file, or leave them out.";
      if (state.desk.preview->report.batch.edits.empty()) return "Every row would be left out.";
      return {};
    case DialogKind::kHandOver:
      if (model.session().path.empty()) return "This survey is not in a file yet.";
      if (model.methods().empty()) return "This program has no method to score with.";
      if (file.empty()) return "Give the file a name.";
      if (!can_be_handed_over(d.name))
        return "Let the name end in .gpkg, .geojson, .csv, .fgb, .kml, .gpx or .zip.";
      if (!read_cell_size(d.cell)) return "Write the size of a grid cell as 500 m or 1 km, 10 m to 1000 km.";
      if (const std::string nothing = nothing_there(model, state); !nothing.empty()) return nothing;
      if (!d.replace && std::filesystem::exists(file, ignored))
        return "A file of that name is already there; choose another name, or replace it.";
      return {};
    case DialogKind::kReport:
      if (model.session().path.empty()) return "This survey is not in a file yet.";
      if (model.methods().empty()) return "This program has no method to score with.";
      if (model.snapshot().samples.size() == 0)
        return "There is no sample yet, so there is nothing to report.";
      if (file.empty()) return "Give the file a name.";
      if (!is_report_name(d.name)) return "Let the name end in .html or .pdf.";
      if (!read_cell_size(d.cell)) return "Write the size of a grid cell as 500 m or 1 km, 10 m to 1000 km.";
      if (!d.replace && std::filesystem::exists(file, ignored))
        return "A file of that name is already there; choose another name, or replace it.";
      return {};
    case DialogKind::kSheet:
    case DialogKind::kSpots:
      if (model.session().path.empty()) return "This survey is not in a file yet.";
      if (d.kind == DialogKind::kSheet && !state.desk.round) return "Plan a round first.";
      if (d.kind == DialogKind::kSpots && state.design.answer.list.empty()) return "Ask for spots first.";
      if (file.empty()) return "Give the file a name.";
      if (d.kind == DialogKind::kSheet && !is_report_name(d.name))
        return "Let the name end in .pdf or .html.";
      if (d.kind == DialogKind::kSpots && !is_spots_name(d.name))
        return "Let the name end in .gpx, .geojson, .gpkg or .csv.";
      if (!d.replace && std::filesystem::exists(file, ignored))
        return "A file of that name is already there; choose another name, or replace it.";
      return {};
    case DialogKind::kChanges:
      if (model.session().path.empty())
        return "This survey is not in a file, so nothing can be taken into it.";
      if (file.empty()) return "Choose the GeoPackage that came back.";
      if (!state.desk.changes)
        return !std::filesystem::exists(file, ignored) ? "No file of this name is in the folder."
               : state.desk.trouble.empty()            ? "Looking into the file."
                                                       : state.desk.trouble;
      if (state.desk.changes->list.changes.empty()) return "Nothing in this file differs from what left.";
      if (d.taken.empty()) return "Choose the changes to take.";
      return {};
    case DialogKind::kPhoto:
      if (model.session().path.empty())
        return "This survey is not in a file, so no photo can be added to it.";
      if (file.empty()) return "Choose the photo.";
      if (!core::trim(d.day).empty() && !core::parse_date(core::trim(d.day)))
        return "Write the day as 2024-05-03, or leave it empty.";
      return {};
  }
  return {};
}

std::set<std::string> safe_changes(const ChangePlan& plan) {
  std::set<std::string> ids;
  for (const core::Change& change : plan.list.changes)
    if (change.state == core::ChangeState::kTheirs) ids.insert(change.id);
  return ids;
}

bool desk_is_covered(const State& state) {
  const DeskState& desk = state.desk;
  return desk.dialog.kind != DialogKind::kNone || desk.find.open || desk.guide.has_value() ||
         !desk.spot.sites.empty();
}

}  // namespace brookmark::viewer

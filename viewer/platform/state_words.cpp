#include "viewer/platform/state_words.hpp"

#include <imgui.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <system_error>

#include "core/base/date.hpp"
#include "core/base/error.hpp"
#include "viewer/actions/entry_actions.hpp"
#include "viewer/panels/pages_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr std::size_t kMostSites = 300;

void place(std::ostringstream& out, const char* what, const std::string& words, double x, double y) {
  out << "at " << what << ' ' << words << ' ' << std::lround(x) << ' ' << std::lround(y) << '\n';
}

const char* tool_name(EditTool tool) {
  static constexpr const char* kNames[] = {"none", "site", "move", "outfall", "reach", "fix"};
  return kNames[static_cast<std::size_t>(tool)];
}

void sheet_words(std::ostringstream& out, const EntrySheet& e) {
  static constexpr const char* kParts[] = {"visit", "tally", "water"};
  out << "sheet " << e.site_code << "\npart " << kParts[static_cast<std::size_t>(e.part)] << '\n';
  out << "stored " << (e.sample_key.empty() ? "no" : "yes") << '\n';
  if (!e.form_trouble.empty()) out << "trouble " << e.form_trouble << '\n';
  if (e.chosen) out << "chosen " << e.chosen->shown << '\n';
  if (!e.typed.empty()) out << "typed " << e.typed << '\n';
  for (const core::Record& r : e.records)
    out << "tally " << r.verbatim_name << ": " << quantity_in_words(r) << '\n';
  for (const core::Measurement& m : e.measurements)
    out << "reading " << m.quantity << ": " << m.verbatim_value << '\n';
}

}  // namespace

std::string state_in_words(const Stage& stage) {
  const State& state = stage.state();
  const Model& model = stage.model();
  const core::Snapshot& s = model.snapshot();
  std::ostringstream out;
  out << "survey " << s.survey.title << "\nsites " << s.sites.size() << "\nsamples " << s.samples.size()
      << '\n';
  out << "page " << entry_of(state.page).word << "\npanel " << (state.panel_open ? "on" : "off") << '\n';
  if (state.date) out << "date " << core::format_date(*state.date) << '\n';
  if (state.site) out << "site " << s.sites.code[state.site->value()] << '\n';
  if (state.outfall) out << "outfall " << s.outfalls[state.outfall->value()].code << '\n';
  if (state.sample) out << "sample " << s.samples.code[state.sample->value()] << '\n';
  if (state.query.from != Query::From::kNone) out << "query " << state.query.distances.size() << '\n';
  out << "keyboard " << (ImGui::GetIO().WantTextInput ? "field" : "map") << '\n';
  out << "scale " << state.view.metres_per_pixel << '\n';
  std::size_t standing = 0;
  for (const core::EditLogEntry& e : model.session().edits) standing += e.undone ? 0 : 1;
  out << "edits " << standing << "\ntool " << tool_name(state.edit.tool) << "\npoints "
      << state.edit.points.size() << '\n';
  if (state.edit.grabbed) out << "grabbed " << *state.edit.grabbed << '\n';
  if (!state.edit.trouble.empty()) out << "trouble " << state.edit.trouble << '\n';
  for (const Message& m : state.messages)
    out << (m.kind == Message::Kind::kTrouble ? "trouble " : "done ") << m.text << '\n';
  if (!state.desk.trouble.empty()) out << "trouble " << state.desk.trouble << '\n';
  if (state.entry)
    sheet_words(out, *state.entry);
  else
    for (const std::uint32_t i : model.site_grid().inside(state.view.shown())) {
      if (i >= kMostSites) break;
      const Pixel p = state.view.to_pixel(model.site_places()[i]);
      place(out, "site", std::string(s.sites.code[i]), p.x, p.y);
    }
  for (const Target& t : stage.targets())
    place(out, "button", t.words, t.box.left + t.box.width / 2, t.box.top + t.box.height / 2);
  return out.str();
}

bool StateTeller::tell(const Stage& stage) {
  std::string words = state_in_words(stage);
  if (words != seen_) {
    seen_ = std::move(words);
    return true;
  }
  if (words == last_) return false;
  const std::filesystem::path beside = file_.string() + ".new";
  {
    std::ofstream out(beside, std::ios::binary);
    out << words;
    if (!out.flush())
      throw Error(ErrorCode::kStorage, "The state cannot be written there; choose another file.",
                  file_.string());
  }
  std::error_code failed;
  std::filesystem::rename(beside, file_, failed);
  if (failed)
    throw Error(ErrorCode::kStorage, "The state cannot be written there: " + failed.message(),
                file_.string());
  last_ = std::move(words);
  return false;
}

}  // namespace brookmark::viewer

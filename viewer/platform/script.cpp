#include "viewer/platform/script.hpp"

#include <algorithm>
#include <fstream>
#include <optional>
#include <sstream>
#include <utility>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "viewer/panels/pages_internal.hpp"
#include "viewer/platform/script_internal.hpp"

namespace brookmark::viewer {
namespace {

std::vector<std::string> words_of(std::string_view line, const ScriptPlace& at) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < line.size();) {
    if (line[i] == ' ' || line[i] == '\t' || line[i] == '\r') {
      ++i;
      continue;
    }
    if (line[i] == '#') break;
    std::string word;
    if (line[i] == '"') {
      const std::size_t end = line.find('"', i + 1);
      if (end == std::string_view::npos)
        at.refuse("A word begins with a double quote and does not end with one.");
      word = line.substr(i + 1, end - i - 1);
      i = end + 1;
    } else {
      while (i < line.size() && line[i] != ' ' && line[i] != '\t' && line[i] != '\r') word += line[i++];
    }
    words.push_back(std::move(word));
  }
  return words;
}

std::optional<core::Direction> direction_of(const std::string& word) {
  if (word == "up") return core::Direction::kUpstream;
  if (word == "down") return core::Direction::kDownstream;
  if (word == "any") return core::Direction::kAny;
  return std::nullopt;
}

constexpr std::pair<const char*, Layer> kLayers[] = {
    {"sites", Layer::kSites},     {"outfalls", Layer::kOutfalls},     {"channels", Layer::kChannels},
    {"waters", Layer::kWaters},   {"catchments", Layer::kCatchments}, {"labels", Layer::kLabels},
    {"reaches", Layer::kReaches}, {"falls", Layer::kDrops},           {"areas", Layer::kCatchmentClasses}};

class Runner {
 public:
  Runner(const Script& script, Showing& showing) : script_(script), showing_(showing) {}

  void run() {
    for (const ScriptStep& step : script_.steps) run(step, {script_.file, step.line});
  }

 private:
  void run(const ScriptStep& step, const ScriptPlace& at) {
    const std::vector<std::string>& w = step.words;
    const auto n = [&](std::size_t i) { return script_number(w[i], at); };
    Stage& stage = showing_.stage();
    const std::string& command = w.front();
    if (run_entry_step(step, stage, at) || run_edit_step(step, stage, at) ||
        run_hand_step(step, showing_, at))
      return;
    if (command == "size")
      showing_.resize(static_cast<int>(n(1)), static_cast<int>(n(2)));
    else if (command == "fit")
      stage.apply(Fit{});
    else if (command == "pan")
      stage.apply(Pan{n(1), n(2)});
    else if (command == "zoom" && w.size() == 2)
      stage.apply(ZoomCentre{n(1)});
    else if (command == "zoom")
      stage.apply(ZoomAt{n(1), {n(2), n(3)}});
    else if (command == "date")
      stage.apply(SetDate{day(w[1], at)});
    else if (command == "season")
      stage.apply(ChooseSeasons{script_seasons(step, at)});
    else if (command == "window")
      stage.apply(SetWindow{w[1] == "all" ? std::nullopt : std::optional(static_cast<int>(n(1)))});
    else if (command == "play")
      play(w[1], at);
    else if (command == "method")
      choose_method(w, at);
    else if (command == "site")
      stage.apply(SelectSite{script_site(stage, w[1], at)});
    else if (command == "outfall")
      stage.apply(SelectOutfall{outfall(w[1], at)});
    else if (command == "page")
      stage.apply(ShowPage{page(w[1], at)});
    else if (command == "view")
      stage.apply(ShowSiteView{w[1] == "score"  ? SiteView::kScore
                               : w[1] == "time" ? SiteView::kTime
                                                : SiteView::kAround});
    else if (command == "dialog")
      dialog(w[1], at);
    else if (command == "find") {
      // A field that has the keyboard keeps its own letters: the box is opened anew.
      stage.apply(CloseFind{});
      frames(1);
      stage.apply(OpenFind{w[1]});
      if (!stage.state().desk.find.open)
        at.refuse("A dialog lies over the window, so nothing can be looked for. Close it first: dialog none",
                  ErrorCode::kBadUse);
    } else if (command == "panel")
      stage.apply(ShowPanel{script_switch(w[1], at)});
    else if (command == "layer")
      stage.apply(ShowLayer{layer(w[1]), script_switch(w[2], at)});
    else if (command == "query")
      query(w, at);
    else if (command == "frames")
      frames(static_cast<int>(n(1)));
    else if (command == "look" || command == "scale" || command == "touch" || command == "classes")
      stage.apply(ChangeSettings{script_settings(step, stage.state().settings, at)});
    else if (command == "clear") {
      stage.apply(ClearQuery{});
      stage.apply(ClearAll{});
    } else {
      frames(3);
      write_png(showing_.picture(), w[1]);
    }
    if (command == "size") frames(2);  // so that the next step meets the new layout
  }

  void choose_method(const std::vector<std::string>& w, const ScriptPlace& at) {
    const auto choice = find_choice(showing_.stage().model(), w[1], w.size() > 2 ? w[2] : "");
    if (!choice)
      at.refuse("There is no method \"" + w[1] + "\"" +
                    (w.size() > 2 ? " with a metric \"" + w[2] + "\"" : "") +
                    ". `brookmark methods` lists them.",
                ErrorCode::kNotFound);
    showing_.stage().apply(ChooseMetric{*choice});
  }

  // So many seconds of a film, drawn or not; what plays when it ends is stopped.
  void play(const std::string& word, const ScriptPlace& at) {
    Stage& stage = showing_.stage();
    stage.apply(PlayTime{word != "off"});
    if (word == "on" || word == "off") return;
    stage.apply(PlayOn{script_number(word, at)});
    stage.apply(PlayTime{false});
  }

  void dialog(const std::string& word, const ScriptPlace& at) {
    Stage& stage = showing_.stage();
    if (word == "none") {
      stage.apply(CloseDialog{});
      return;
    }
    static constexpr std::pair<const char*, DialogKind> kDialogs[] = {
        {"open", DialogKind::kOpen},          {"new", DialogKind::kNew},
        {"import", DialogKind::kImport},      {"changes", DialogKind::kChanges},
        {"hand-over", DialogKind::kHandOver}, {"report", DialogKind::kReport},
        {"photo", DialogKind::kPhoto}};
    OpenDialog wanted;
    for (const auto& [name, kind] : kDialogs)
      if (word == name) wanted.kind = kind;
    if (wanted.kind == DialogKind::kPhoto) {
      if (!stage.state().site)
        at.refuse("Choose a site first: a photo belongs to one.", ErrorCode::kNotFound);
      wanted.site_key = std::string(stage.model().snapshot().sites.key[stage.state().site->value()]);
    }
    stage.apply(wanted);
    stage.finish_errands();
  }

  core::OutfallIndex outfall(const std::string& code, const ScriptPlace& at) const {
    const auto& all = showing_.stage().model().snapshot().outfalls;
    for (std::size_t i = 0; i < all.size(); ++i)
      if (all[i].code == code) return core::OutfallIndex(i);
    at.refuse("This survey has no outfall \"" + code + "\".", ErrorCode::kNotFound);
  }

  static Page page(const std::string& word, const ScriptPlace& at) {
    std::string known;
    for (const PageEntry& entry : pages()) {
      if (core::to_lower_ascii(entry.word) == core::to_lower_ascii(word)) return entry.page;
      known += (known.empty() ? "" : ", ") + std::string(entry.word);
    }
    at.refuse("There is no page \"" + word + "\". There are: " + known + ".", ErrorCode::kNotFound);
  }

  static Layer layer(const std::string& word) {
    for (const auto& [name, layer] : kLayers)
      if (word == name) return layer;
    return Layer::kSites;  // other words were refused when the script was read
  }

  core::Date day(const std::string& word, const ScriptPlace& at) const {
    const core::Date date = *core::parse_date(word);
    const auto days = showing_.stage().model().sampling_dates();
    if (days.empty())
      at.refuse("This survey has no samples, so there is no day to show.", ErrorCode::kNotFound);
    if (date < days.front() || date > days.back())
      at.refuse("The samples of this survey run from " + core::format_date(days.front()) + " to " +
                    core::format_date(days.back()) + "; " + word + " lies outside. Choose a day between.",
                ErrorCode::kNotFound);
    return date;
  }

  void query(const std::vector<std::string>& w, const ScriptPlace& at) {
    Stage& stage = showing_.stage();
    const bool from_site = w[1] == "site";
    if (const auto direction = direction_of(w.back()); direction && w.size() == (from_site ? 4U : 5U))
      stage.apply(SetDirection{*direction});
    if (from_site)
      stage.apply(QueryFromSite{script_site(stage, w[2], at)});
    else
      stage.apply(QueryFromPoint{{script_number(w[2], at), script_number(w[3], at)}});
  }

  void frames(int count) {
    for (int i = 0; i < count; ++i) showing_.frame(nullptr);
  }

  const Script& script_;
  Showing& showing_;
};

}  // namespace

core::SiteIndex script_site(const Stage& stage, const std::string& code, const ScriptPlace& at) {
  const auto found = stage.model().snapshot().find_site(code);
  if (!found) at.refuse("This survey has no site \"" + code + "\".", ErrorCode::kNotFound);
  return *found;
}

Script parse_script(std::string_view text, const std::string& file) {
  Script script{file, {}};
  std::size_t line_number = 0;
  for (const std::string& line : core::split(text, '\n')) {
    const ScriptPlace at{script.file, ++line_number};
    ScriptStep step{line_number, words_of(line, at)};
    if (step.words.empty()) continue;
    check_script_step(step, at);
    script.steps.push_back(std::move(step));
  }
  return script;
}

Script read_script(const std::filesystem::path& file) {
  if (file.empty())
    throw Error(ErrorCode::kBadUse, "The script has no name. Give the file of commands after --script.");
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  if (!in || !(text << in.rdbuf()))
    throw Error(ErrorCode::kNotFound,
                "The script cannot be read, or it is empty. Check the name and the folder.", file.string());
  return parse_script(text.str(), file.string());
}

bool writes_pictures(const Script& script) {
  return std::any_of(script.steps.begin(), script.steps.end(),
                     [](const ScriptStep& step) { return step.words.front() == "picture"; });
}

void run_script(const Script& script, Showing& showing) {
  Runner(script, showing).run();
}

}  // namespace brookmark::viewer

// The commands of a script: how each is written.
#include <algorithm>

#include "core/base/text.hpp"
#include "viewer/actions/time_actions.hpp"
#include "viewer/platform/script_internal.hpp"
#include "viewer/view.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kLargestSide = 16384;
constexpr double kMostFrames = 10000;

constexpr ScriptForm kForms[] = {
    {"size", 2, 2, "size 1280 800", "the drawing area, pixels"},
    {"look", 1, 1, "look dark", "day, dark or sunlight"},
    {"classes", 1, 1, "classes ordered", "colours of classes: directive or ordered"},
    {"scale", 1, 1, "scale 1.5", "of everything, 0.75 to 3"},
    {"touch", 1, 1, "touch on", "targets for fingers, on or off"},
    {"fit", 0, 0, "fit", "everything in view"},
    {"pan", 2, 2, "pan 100 -40", "move the map's content by so many pixels"},
    {"zoom", 1, 3, "zoom 2 400 300", "above 1 nearer; about a pixel, or the middle of the map"},
    {"date", 1, 1, "date 2021-05-03", "the day the map speaks of"},
    {"season", 1, 4, "season spring autumn", "the seasons whose samples count, or all"},
    {"window", 1, 1, "window 365", "so many days that end on the day shown, or all for everything up to it"},
    {"play", 1, 1, "play 3", "the days go by for so many seconds; or on, off"},
    {"method", 1, 2, "method bmwp-a aspt", "as `brookmark methods` lists them"},
    {"page", 1, 1, "page Edit", "a page of the rail, by its word"},
    {"view", 1, 1, "view around", "of the site's page: score, time or around"},
    {"dialog", 1, 1, "dialog hand-over", "open, new, import, changes, hand-over, report, photo or none"},
    {"find", 1, 1, "find \"black fly\"", "the box to find things, with these words in it"},
    {"panel", 1, 1, "panel off", "the page beside the map, on or off"},
    {"layer", 2, 2, "layer outfalls off",
     "what the map shows: sites, outfalls, channels, waters, catchments, labels, "
     "reaches, falls, areas (catchments filled by class)"},
    {"site", 1, 1, "site S07", "choose a site"},
    {"outfall", 1, 1, "outfall O1", "choose an outfall"},
    {"query", 2, 4, "query site S07 up", "distances from a site or point LON LAT; up, down or any"},
    {"clear", 0, 0, "clear", "take away the query and the choice"},
    {"visit", 2, 4, "visit S07 2024-05-03 09:30 +01:00", "open the sheet of a new visit"},
    {"resume", 1, 1, "resume S07-2024-05", "open the sheet of a sample that is there"},
    {"part", 1, 1, "part tally", "of the sheet: visit (the form), tally or water"},
    {"write", 2, 2, "write weather \"light rain\"",
     "a field of the form: date time offset people weather conditions "
     "note code protocol effort unit mesh share sample-note"},
    {"kind", 1, 1, "kind replicate", "of the sample: routine, replicate or blank"},
    {"another", 0, 0, "another", "a replicate at the same visit"},
    {"way", 1, 2, "way class log-a-e", "of counting: count, class [SCHEME] or present"},
    {"stage", 1, 1, "stage larva", "of what comes next: any, egg, larva, pupa or adult"},
    {"unsure", 1, 1, "unsure on", "of what comes next: on or off"},
    {"tap", 1, 2, "tap Gammaridae 3", "a button of the tally, so many times"},
    {"animal", 1, 2, "animal Gammaridae 12", "a name that is among the lines shown, and its number"},
    {"own", 1, 2, "own \"red wriggler\" 3", "words that are no name of the checklist, kept as they are"},
    {"reading", 2, 2, "reading ph 7.4", "a measurement of the visit"},
    {"close", 0, 0, "close", "the sheet"},
    {"tool", 1, 1, "tool reach", "for the map: site, move, outfall, reach, fix or none"},
    {"place", 2, 2, "place -30.002 45.001", "a point for the tool, longitude and latitude"},
    {"set", 2, 2, "set code S08", "of what is being changed: code, name, kind or two-way"},
    {"turn", 0, 0, "turn", "the reach the other way round"},
    {"store", 0, 0, "store", "what is being changed"},
    {"status", 1, 1, "status retired", "of the chosen site: proposed, active or retired"},
    {"undo", 0, 0, "undo", "take back the newest edit (on the sheet: of the sheet)"},
    {"redo", 0, 0, "redo", "do again the edit that was taken back last (on the sheet: of the sheet)"},
    {"click", 2, 2, "click 400 300", "press and release there: map, buttons, anything"},
    {"drag", 4, 4, "drag 400 300 450 320", "press there, move and release here"},
    {"press", 1, 1, "press \"New visit\"", "a button, by its words"},
    {"type", 1, 1, "type gam", "letters, as on a keyboard"},
    {"key", 1, 1, "key enter", "enter, esc, tab, up, down, left, right, backspace or undo"},
    {"frames", 1, 1, "frames 3", "draw so many frames"},
    {"picture", 1, 1, "picture map.png", "write a picture; relative to the folder one stands in"},
};

bool among(const std::string& word, std::initializer_list<const char*> words) {
  for (const char* w : words)
    if (word == w) return true;
  return false;
}

void one_of(const ScriptStep& step, std::size_t at_word, std::initializer_list<const char*> words,
            const ScriptPlace& at) {
  if (among(step.words[at_word], words)) return;
  std::string list;
  for (const char* w : words) list += (list.empty() ? "" : ", ") + std::string(w);
  at.refuse("\u201C" + step.words[at_word] + "\u201D does not fit here; write one of: " + list + ".");
}

void check_point(const ScriptStep& step, std::size_t first, const ScriptPlace& at) {
  const core::LonLat point{script_number(step.words[first], at), script_number(step.words[first + 1], at)};
  if (!core::is_valid(point))
    at.refuse("This is no longitude (-180 to 180) and latitude (-90 to 90), in that order.");
}

void whole_number(const std::string& word, double most, const char* what, const ScriptPlace& at) {
  if (const double n = script_number(word, at);
      n < 1 || n > most || n != static_cast<double>(static_cast<long long>(n)))
    at.refuse(std::string(what) + " must be a whole number of 1 to " + core::format_number(most) + ".");
}

void check_query(const ScriptStep& step, const ScriptPlace& at, const char* example) {
  const std::size_t given = step.words.size() - 1;
  const std::string& kind = step.words[1];
  const std::size_t needed = kind == "site" ? 2 : kind == "point" ? 3 : 0;
  if (needed == 0) at.refuse("A query starts from \"site\" or \"point\", not from \"" + kind + "\".");
  if (given < needed || given > needed + 1)
    at.refuse("This is not a whole command. Write it like this: " + std::string(example));
  if (kind == "point") check_point(step, 2, at);
  if (given == needed + 1 && !among(step.words.back(), {"up", "down", "any"}))
    at.refuse("\"" + step.words.back() + "\" is not a direction; write up, down or any.");
}

}  // namespace

std::span<const ScriptForm> script_forms() {
  return kForms;
}

std::string script_help() {
  std::string help = "Lines of a script (a word with spaces stands in double quotes, # begins a comment):\n";
  for (const ScriptForm& form : kForms) {
    std::string line = "  " + std::string(form.example);
    line.resize(std::max<std::size_t>(line.size() + 2, 40), ' ');
    help += line + form.what + "\n";
  }
  return help;
}

double script_number(const std::string& word, const ScriptPlace& at) {
  const auto value = core::parse_number(word);
  if (!value) at.refuse("\"" + word + "\" is not a number; write it with a point, as in 12.5.");
  return *value;
}

Settings script_settings(const ScriptStep& step, Settings settings, const ScriptPlace& at) {
  const std::string& command = step.words[0];
  const std::string& word = step.words[1];
  if (command == "look" && !read_look(word, settings.look))
    at.refuse("\"" + word + "\" is not a look; write day, dark or sunlight.");
  if (command == "classes" && !read_class_colours(word, settings.class_colours))
    at.refuse("\"" + word + "\" names no colours of classes; write directive or ordered.");
  if (command == "touch") {
    if (word != "on" && word != "off") at.refuse("Write touch on or touch off.");
    settings.touch = word == "on";
  }
  if (command == "scale") {
    settings.scale = script_number(word, at);
    if (settings.scale < kSmallestUserScale || settings.scale > kLargestUserScale)
      at.refuse("A scale must be between 0.75 and 3; 1 is plain.");
  }
  return settings;
}

core::SeasonSet script_seasons(const ScriptStep& step, const ScriptPlace& at) {
  if (step.words.size() == 2 && step.words[1] == "all") return {};
  std::string list;
  for (std::size_t i = 1; i < step.words.size(); ++i) list += (i > 1 ? "," : "") + step.words[i];
  const auto seasons = core::parse_seasons(list);
  if (!seasons) at.refuse("Write one or more of winter, spring, summer, autumn, or all.");
  return *seasons;
}

bool script_switch(const std::string& word, const ScriptPlace& at) {
  if (word != "on" && word != "off") at.refuse("\u201C" + word + "\u201D is neither on nor off.");
  return word == "on";
}

void check_script_step(const ScriptStep& step, const ScriptPlace& at) {
  const std::vector<std::string>& w = step.words;
  const std::string& command = w.front();
  const std::size_t given = w.size() - 1;
  const ScriptForm* form = nullptr;
  for (const ScriptForm& f : kForms)
    if (command == f.name) form = &f;
  if (!form) {
    std::string known;
    for (const ScriptForm& f : kForms) known += (known.empty() ? "" : ", ") + std::string(f.name);
    at.refuse("\"" + command + "\" is not a command. There are: " + known + ".");
  }
  if (given < form->least || given > form->most || (command == "zoom" && given == 2))
    at.refuse("This is not a whole command. Write it like this: " + std::string(form->example));
  if (among(command, {"size", "pan", "click", "zoom", "drag", "place"}))
    for (std::size_t i = 1; i <= given; ++i) script_number(w[i], at);
  if (command == "size")
    for (std::size_t i = 1; i <= 2; ++i)
      if (const double side = script_number(w[i], at); side < 1 || side > kLargestSide)
        at.refuse("Each side of the window must have 1 to " + std::to_string(kLargestSide) + " pixels.");
  if (command == "zoom" && script_number(w[1], at) <= 0)
    at.refuse("A zoom factor must be greater than 0; 2 is nearer, 0.5 farther.");
  if (among(command, {"look", "scale", "touch", "classes"})) script_settings(step, {}, at);
  if (command == "date" && !core::parse_date(w[1]))
    at.refuse("\"" + w[1] + "\" is not a date; write it as 2021-05-03.");
  if (command == "visit" && !core::parse_date(w[2]))
    at.refuse("\"" + w[2] + "\" is not a date; write it as 2021-05-03.");
  if (command == "season") script_seasons(step, at);
  if (command == "window" && w[1] != "all") whole_number(w[1], kLongestWindow, "The number of days", at);
  if (command == "play" && !among(w[1], {"on", "off"}))
    if (const double seconds = script_number(w[1], at); seconds <= 0 || seconds > 600)
      at.refuse("Write play on, play off, or so many seconds, above 0 and at most 600.");
  if (command == "view") one_of(step, 1, {"score", "time", "around"}, at);
  if (command == "dialog")
    one_of(step, 1, {"open", "new", "import", "changes", "hand-over", "report", "photo", "none"}, at);
  if (among(command, {"panel", "unsure"})) script_switch(w[1], at);
  if (command == "layer") {
    one_of(step, 1,
           {"sites", "outfalls", "channels", "waters", "catchments", "labels", "reaches", "falls", "areas"},
           at);
    script_switch(w[2], at);
  }
  if (command == "part") one_of(step, 1, {"visit", "tally", "water"}, at);
  if (command == "kind" && !core::parse_sample_kind(w[1]))
    one_of(step, 1, {"routine", "replicate", "blank"}, at);
  if (command == "way") one_of(step, 1, {"count", "class", "present"}, at);
  if (command == "stage") one_of(step, 1, {"any", "egg", "larva", "pupa", "adult"}, at);
  if (command == "tool") one_of(step, 1, {"site", "move", "outfall", "reach", "fix", "none"}, at);
  if (command == "set") one_of(step, 1, {"code", "name", "kind", "two-way"}, at);
  if (command == "status" && !core::parse_site_status(w[1]))
    one_of(step, 1, {"proposed", "active", "retired"}, at);
  if (command == "key")
    one_of(step, 1, {"enter", "esc", "tab", "up", "down", "left", "right", "backspace", "undo"}, at);
  if (command == "place") check_point(step, 1, at);
  if (command == "frames") whole_number(w[1], kMostFrames, "The number of frames", at);
  if (command == "tap" && given == 2) whole_number(w[2], kMostFrames, "The number of taps", at);
  if (command == "query") check_query(step, at, form->example);
}

}  // namespace brookmark::viewer

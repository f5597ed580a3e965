#include "viewer/platform/script.hpp"

#include <algorithm>
#include <fstream>
#include <optional>
#include <sstream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {
namespace {

constexpr int kLargestSide = 16384;
constexpr double kMostFrames = 10000;

struct At {
  const std::string& file;
  std::size_t line;
  [[noreturn]] void refuse(const std::string& sentence, ErrorCode code = ErrorCode::kBadInput) const {
    throw Error(code, sentence, file + ", line " + std::to_string(line));
  }
};

std::vector<std::string> words_of(std::string_view line, const At& at) {
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

double number(const std::string& word, const At& at) {
  const auto value = core::parse_number(word);
  if (!value) at.refuse("\"" + word + "\" is not a number; write it with a point, as in 12.5.");
  return *value;
}

std::optional<core::Direction> direction_of(const std::string& word) {
  if (word == "up") return core::Direction::kUpstream;
  if (word == "down") return core::Direction::kDownstream;
  if (word == "any") return core::Direction::kAny;
  return std::nullopt;
}

// How many words may follow, and a line that shows how.
struct Form {
  const char* name;
  std::size_t least, most;
  const char* example;
};
constexpr Form kForms[] = {
    {"size", 2, 2, "size 1280 800"},      {"fit", 0, 0, "fit"},
    {"pan", 2, 2, "pan 100 -40"},         {"zoom", 1, 3, "zoom 2 400 300"},
    {"date", 1, 1, "date 2021-05-03"},    {"method", 1, 2, "method bmwp-a aspt"},
    {"click", 2, 2, "click 400 300"},     {"site", 1, 1, "site S07"},
    {"query", 2, 4, "query site S07 up"}, {"clear", 0, 0, "clear"},
    {"frames", 1, 1, "frames 3"},         {"look", 1, 1, "look dark"},
    {"scale", 1, 1, "scale 1.5"},         {"touch", 1, 1, "touch on"},
    {"classes", 1, 1, "classes ordered"}, {"picture", 1, 1, "picture map.png"},
};

// The settings after a line that changes one of them.
Settings change_setting(const ScriptStep& step, Settings settings, const At& at) {
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
    settings.scale = number(word, at);
    if (settings.scale < kSmallestUserScale || settings.scale > kLargestUserScale)
      at.refuse("A scale must be between 0.75 and 3; 1 is plain.");
  }
  return settings;
}

void check(const ScriptStep& step, const At& at) {
  const std::string& command = step.words.front();
  const std::size_t given = step.words.size() - 1;
  const Form* form = nullptr;
  for (const Form& f : kForms)
    if (command == f.name) form = &f;
  if (!form) {
    std::string known;
    for (const Form& f : kForms) known += (known.empty() ? "" : ", ") + std::string(f.name);
    at.refuse("\"" + command + "\" is not a command. There are: " + known + ".");
  }
  const auto wrong = [&] {
    at.refuse("This is not a whole command. Write it like this: " + std::string(form->example));
  };
  if (given < form->least || given > form->most) wrong();
  if (command == "size" || command == "pan" || command == "click" || command == "zoom")
    for (std::size_t i = 1; i <= given; ++i) number(step.words[i], at);
  if (command == "size")
    for (std::size_t i = 1; i <= 2; ++i)
      if (const double side = number(step.words[i], at); side < 1 || side > kLargestSide)
        at.refuse("Each side of the window must have 1 to " + std::to_string(kLargestSide) + " pixels.");
  if (command == "zoom") {
    if (given == 2) wrong();
    if (number(step.words[1], at) <= 0)
      at.refuse("A zoom factor must be greater than 0; 2 is nearer, 0.5 farther.");
  }
  if (command == "date" && !core::parse_date(step.words[1]))
    at.refuse("\"" + step.words[1] + "\" is not a date; write it as 2021-05-03.");
  if (command == "look" || command == "scale" || command == "touch" || command == "classes")
    change_setting(step, {}, at);
  if (command == "frames")
    if (const double n = number(step.words[1], at); n < 1 || n > kMostFrames || n != static_cast<int>(n))
      at.refuse("The number of frames must be a whole number of 1 to 10000.");
  if (command != "query") return;
  const std::string& kind = step.words[1];
  const std::size_t needed = kind == "site" ? 2 : kind == "point" ? 3 : 0;
  if (needed == 0) at.refuse("A query starts from \"site\" or \"point\", not from \"" + kind + "\".");
  if (given < needed || given > needed + 1) wrong();
  if (kind == "point") {
    const core::LonLat point{number(step.words[2], at), number(step.words[3], at)};
    if (!core::is_valid(point))
      at.refuse("This is no longitude (-180 to 180) and latitude (-90 to 90), in that order.");
  }
  if (given == needed + 1 && !direction_of(step.words.back()))
    at.refuse("\"" + step.words.back() + "\" is not a direction; write up, down or any.");
}

class Runner {
 public:
  Runner(const Script& script, Showing& showing) : script_(script), showing_(showing) {}

  void run() {
    for (const ScriptStep& step : script_.steps) run(step, {script_.file, step.line});
  }

 private:
  void run(const ScriptStep& step, const At& at) {
    const std::vector<std::string>& w = step.words;
    const auto n = [&](std::size_t i) { return number(w[i], at); };
    Stage& stage = showing_.stage();
    const std::string& command = w.front();
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
    else if (command == "method")
      choose_method(w, at);
    else if (command == "click")
      click(n(1), n(2));
    else if (command == "site")
      stage.apply(SelectSite{site(w[1], at)});
    else if (command == "query")
      query(w, at);
    else if (command == "frames")
      frames(static_cast<int>(n(1)));
    else if (command == "look" || command == "scale" || command == "touch" || command == "classes")
      stage.apply(ChangeSettings{change_setting(step, stage.state().settings, at)});
    else if (command == "clear") {
      stage.apply(ClearQuery{});
      stage.apply(ClearAll{});
    } else {
      frames(3);
      write_png(showing_.picture(), w[1]);
    }
    if (command == "size") frames(2);  // so that the next step meets the new layout
  }

  void choose_method(const std::vector<std::string>& w, const At& at) {
    const auto choice = find_choice(showing_.stage().model(), w[1], w.size() > 2 ? w[2] : "");
    if (!choice)
      at.refuse("There is no method \"" + w[1] + "\"" +
                    (w.size() > 2 ? " with a metric \"" + w[2] + "\"" : "") +
                    ". `brookmark methods` lists them.",
                ErrorCode::kNotFound);
    showing_.stage().apply(ChooseMetric{*choice});
  }

  core::SiteIndex site(const std::string& code, const At& at) const {
    const auto found = showing_.stage().model().snapshot().find_site(code);
    if (!found) at.refuse("This survey has no site \"" + code + "\".", ErrorCode::kNotFound);
    return *found;
  }

  core::Date day(const std::string& word, const At& at) const {
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

  void query(const std::vector<std::string>& w, const At& at) {
    Stage& stage = showing_.stage();
    const bool from_site = w[1] == "site";
    if (const auto direction = direction_of(w.back()); direction && w.size() == (from_site ? 4U : 5U))
      stage.apply(SetDirection{*direction});
    if (from_site)
      stage.apply(QueryFromSite{site(w[2], at)});
    else
      stage.apply(QueryFromPoint{{number(w[2], at), number(w[3], at)}});
  }

  void click(double x, double y) {
    for (const bool down : {false, true, true, false, false}) {
      const Pointer pointer{x, y, down};
      showing_.frame(&pointer);
    }
    frames(2);
  }

  void frames(int count) {
    for (int i = 0; i < count; ++i) showing_.frame(nullptr);
  }

  const Script& script_;
  Showing& showing_;
};

}  // namespace

Script parse_script(std::string_view text, const std::string& file) {
  Script script{file, {}};
  std::size_t line_number = 0;
  for (const std::string& line : core::split(text, '\n')) {
    const At at{script.file, ++line_number};
    ScriptStep step{line_number, words_of(line, at)};
    if (step.words.empty()) continue;
    check(step, at);
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

#include "viewer/cli/verbs.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <sstream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {

struct Verbs::Impl {
  CLI::App app{"Brookmark: freshwater surveys in one file, from the field sheet to the map", "brookmark"};
  Action action;
  std::string format;
  std::filesystem::path survey;
};

struct Verb::Impl {
  CLI::App* app = nullptr;
  std::string* format = nullptr;
  CLI::Option* last = nullptr;
};

namespace {

std::size_t terminal_width() {
  winsize size{};
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return 0;
}

// Throws Error(kBadUse) for a first word that is neither a verb nor an option.
void refuse_unknown_verb(const CLI::App& app, const std::string& word) {
  if (word.empty() || word[0] == '-') return;
  std::string nearest;
  std::size_t least = word.size() / 2 + 1;
  for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (sub->get_name() == word) return;
    const std::size_t distance = core::edit_distance(word, sub->get_name());
    if (distance < least) least = distance, nearest = sub->get_name();
  }
  throw Error(ErrorCode::kBadUse, "\"" + word + "\" is not a verb; " +
                                      (nearest.empty() ? "" : "did you mean \"" + nearest + "\"? ") +
                                      "`brookmark --help` lists them");
}

template <class Value>
std::string limits_text(Value least, Value most) {
  std::ostringstream text;
  text << "give a number from " << least << " to " << most;
  return text.str();
}

// A number within limits, read by the project's own reader: no locale, no silent cut.
template <class Store>
CLI::Option* add_number(CLI::App* app, const char* name, double least, double most, bool whole,
                        const std::string& help, Store store) {
  return app->add_option_function<std::string>(
      name,
      [=](const std::string& word) {
        const auto value = core::parse_number(word);
        const auto refuse = [&](const char* why) {
          throw CLI::ValidationError(name, "\"" + word + "\" " + why + "; " +
                                               (whole ? limits_text(static_cast<std::int64_t>(least),
                                                                    static_cast<std::int64_t>(most))
                                                      : limits_text(least, most)));
        };
        if (!value) refuse(whole ? "is no whole number" : "is no number");
        if (!(*value >= least)) refuse("is too small");
        if (!(*value <= most)) refuse("is too large");
        if (whole && *value != static_cast<double>(static_cast<std::int64_t>(*value)))
          refuse("is no whole number");
        store(*value);
      },
      help);
}

}  // namespace

Verb& Verb::word(const char* name, std::string& target, const std::string& help) {
  impl_->last = impl_->app->add_option(name, target, help);
  return *this;
}
Verb& Verb::word(const char* name, std::filesystem::path& target, const std::string& help) {
  impl_->last = impl_->app->add_option(name, target, help);
  return *this;
}
Verb& Verb::word(const char* name, std::vector<std::string>& target, const std::string& help) {
  impl_->last = impl_->app->add_option(name, target, help);
  return *this;
}
Verb& Verb::option(const char* name, std::string& target, const std::string& help) {
  return word(name, target, help);
}
Verb& Verb::option(const char* name, std::filesystem::path& target, const std::string& help) {
  return word(name, target, help);
}
Verb& Verb::option(const char* name, std::vector<std::string>& target, const std::string& help) {
  return word(name, target, help);
}
Verb& Verb::option(const char* name, std::optional<std::string>& target, const std::string& help) {
  impl_->last = impl_->app->add_option(name, target, help);
  return *this;
}
Verb& Verb::whole(const char* name, std::int64_t& target, std::int64_t least, std::int64_t most,
                  const std::string& help) {
  impl_->last = add_number(impl_->app, name, static_cast<double>(least), static_cast<double>(most), true,
                           help, [&target](double value) { target = static_cast<std::int64_t>(value); });
  return *this;
}
Verb& Verb::whole(const char* name, std::optional<std::int64_t>& target, std::int64_t least,
                  std::int64_t most, const std::string& help) {
  impl_->last = add_number(impl_->app, name, static_cast<double>(least), static_cast<double>(most), true,
                           help, [&target](double value) { target = static_cast<std::int64_t>(value); });
  return *this;
}
Verb& Verb::number(const char* name, double& target, double least, double most, const std::string& help) {
  impl_->last =
      add_number(impl_->app, name, least, most, false, help, [&target](double value) { target = value; });
  return *this;
}
Verb& Verb::number(const char* name, std::optional<double>& target, double least, double most,
                   const std::string& help) {
  impl_->last =
      add_number(impl_->app, name, least, most, false, help, [&target](double value) { target = value; });
  return *this;
}
Verb& Verb::flag(const char* name, bool& target, const std::string& help) {
  impl_->last = impl_->app->add_flag(name, target, help);
  return *this;
}

Verb& Verb::required() {
  impl_->last->required();
  return *this;
}
Verb& Verb::choices(const std::vector<std::string>& words) {
  impl_->last->check(CLI::IsMember(words));
  return *this;
}
Verb& Verb::check(const std::function<std::string(const std::string&)>& complaint) {
  impl_->last->check(CLI::Validator([complaint](std::string& value) { return complaint(value); }, ""));
  return *this;
}
Verb& Verb::exactly_one(const std::vector<std::string>& names) {
  auto* group = impl_->app->add_option_group("exactly one of");
  for (const std::string& name : names) group->add_option(impl_->app->get_option(name));
  group->require_option(1);
  return *this;
}

Verb& Verb::with_format() {
  return option("--format", *impl_->format, "table (default on a terminal), csv (default elsewhere) or json")
      .choices({"table", "csv", "json"});
}
Verb& Verb::with_until(ScoreOptions& score) {
  return option("--until", score.until,
                "only samples up to this date, YYYY-MM-DD; default: the newest sample's");
}
Verb& Verb::with_period(ScoreOptions& score) {
  with_until(score);
  option("--from", score.from, "only samples from this date on, YYYY-MM-DD; default: without limit");
  return option(
      "--season", score.season,
      "only samples of winter, spring, summer or autumn (winter begins with December, in the south with "
      "June); several with a comma between; default: all");
}
Verb& Verb::with_method(ScoreOptions& score, const std::string& otherwise) {
  return option("--method", score.method, "a method's name, or your own NAME.method.csv; " + otherwise)
      .option("--metric", score.metric, "one of the method's metrics; default: its first");
}
Verb& Verb::footer(const std::function<std::string()>& text) {
  impl_->app->footer(text);
  return *this;
}

Verbs::Verbs(const std::string& version, const std::string& footer) : impl_(std::make_shared<Impl>()) {
  impl_->app.require_subcommand(1);
  impl_->app.set_version_flag("--version", version);
  impl_->app.footer(footer);
}
Verbs::~Verbs() = default;

Verb Verbs::add(const char* name, const std::string& what, Action action) {
  CLI::App* sub = impl_->app.add_subcommand(name, what);
  sub->callback([impl = impl_.get(), action = std::move(action)] { impl->action = action; });
  const auto verb = std::make_shared<Verb::Impl>();
  verb->app = sub;
  verb->format = &impl_->format;
  return Verb(verb);
}

Verb Verbs::add_for_survey(const char* name, const std::string& what, SurveyAction action) {
  Verb verb = add(name, what, [impl = impl_.get(), action = std::move(action)](const Console& console) {
    return action(impl->survey, console);
  });
  verb.word("SURVEY", impl_->survey, "the survey file (.brook)").required();
  return verb;
}

int Verbs::run(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
  if (argc > 1) refuse_unknown_verb(impl_->app, argv[1]);
  try {
    impl_->app.parse(argc, argv);
  } catch (const CLI::ParseError& problem) {
    return impl_->app.exit(problem, out, err) == 0 ? kDone : kBadUse;
  }
  const bool terminal = &out == &std::cout && isatty(STDOUT_FILENO) != 0;
  Format format = terminal ? Format::kTable : Format::kCsv;
  if (impl_->format == "table") format = Format::kTable;
  if (impl_->format == "csv") format = Format::kCsv;
  if (impl_->format == "json") format = Format::kJson;
  const int code = impl_->action({out, err, format, terminal ? terminal_width() : 0});
  if (!out.flush())
    throw Error(ErrorCode::kNoSpace, "the answer could not be written; is the disk full?", "standard output");
  return code;
}

}  // namespace brookmark::viewer

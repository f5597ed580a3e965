// Why: every verb tells its own words (options, choices, help) beside the function that answers it, without
// knowing how the words of a command line are read. verbs.cpp alone knows the library that reads them.
// Use: void add_trend_verbs(Verbs& verbs) {
//        const auto command = std::make_shared<TrendCommand>();
//        verbs.add_for_survey("trend", "what changed over the years",
//                             [command](const auto& survey, const Console& c) { return run_trend(survey, *command, c); })
//            .option("--of", command->of, "a metric, or measurement:QUANTITY").required()
//            .with_format();
//      }
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <iosfwd>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "viewer/cli/commands.hpp"

namespace brookmark::viewer {

// One verb while it is being told. What an option is read into must live as long as the verb's action: keep it in
// a shared_ptr that the action holds. required(), check() and choices() speak of the word told last.
class Verb {
 public:
  // Words without a dash, in this order.
  Verb& word(const char* name, std::string& target, const std::string& help);
  Verb& word(const char* name, std::filesystem::path& target, const std::string& help);
  Verb& word(const char* name, std::vector<std::string>& target, const std::string& help);

  // "--name VALUE". A number outside its limits is refused with a sentence.
  Verb& option(const char* name, std::string& target, const std::string& help);
  Verb& option(const char* name, std::optional<std::string>& target, const std::string& help);
  Verb& option(const char* name, std::vector<std::string>& target, const std::string& help);
  Verb& option(const char* name, std::filesystem::path& target, const std::string& help);
  Verb& whole(const char* name, std::int64_t& target, std::int64_t least, std::int64_t most,
              const std::string& help);
  Verb& whole(const char* name, std::optional<std::int64_t>& target, std::int64_t least, std::int64_t most,
              const std::string& help);
  Verb& number(const char* name, double& target, double least, double most, const std::string& help);
  Verb& number(const char* name, std::optional<double>& target, double least, double most,
               const std::string& help);
  Verb& flag(const char* name, bool& target, const std::string& help);

  Verb& required();
  Verb& choices(const std::vector<std::string>& words);
  // Empty when the value is good, else the sentence to refuse it with.
  Verb& check(const std::function<std::string(const std::string&)>& complaint);
  // Of these words of the verb exactly one must be given.
  Verb& exactly_one(const std::vector<std::string>& names);

  Verb& with_format();
  Verb& with_until(ScoreOptions& score);
  Verb& with_period(ScoreOptions& score);  // --until, --from, --season: see choose_period
  Verb& with_method(ScoreOptions& score, const std::string& otherwise);
  Verb& footer(const std::function<std::string()>& text);  // at the end of its help

 private:
  friend class Verbs;
  struct Impl;
  explicit Verb(std::shared_ptr<Impl> impl) : impl_(std::move(impl)) {}
  std::shared_ptr<Impl> impl_;
};

class Verbs {
 public:
  using Action = std::function<int(const Console&)>;
  using SurveyAction = std::function<int(const std::filesystem::path& survey, const Console&)>;

  Verbs(const std::string& version, const std::string& footer);
  ~Verbs();
  Verbs(const Verbs&) = delete;
  Verbs& operator=(const Verbs&) = delete;

  Verb add(const char* name, const std::string& what, Action action);
  Verb add_for_survey(const char* name, const std::string& what, SurveyAction action);  // SURVEY comes first

  // Reads the words and runs the verb; an exit code. Throws Error(kBadUse) for an unknown verb, and what the
  // verb throws. Data go to `out`, messages to `err`.
  int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

 private:
  friend class Verb;
  struct Impl;
  std::shared_ptr<Impl> impl_;
};

// One function a topic, in the file that answers it.
void add_survey_verbs(Verbs& verbs);
void add_import_verbs(Verbs& verbs);
void add_names_verbs(Verbs& verbs);
void add_score_verbs(Verbs& verbs);
void add_diversity_verbs(Verbs& verbs);
void add_ratio_verbs(Verbs& verbs);
void add_still_water_verbs(Verbs& verbs);
void add_place_verbs(Verbs& verbs);
void add_reach_verbs(Verbs& verbs);
void add_upstream_verbs(Verbs& verbs);
void add_terrain_verbs(Verbs& verbs);
void add_exposure_verbs(Verbs& verbs);
void add_trend_verbs(Verbs& verbs);
void add_chemistry_verbs(Verbs& verbs);
void add_drop_verbs(Verbs& verbs);
void add_catchment_verbs(Verbs& verbs);
void add_suggest_verbs(Verbs& verbs);
void add_enough_verbs(Verbs& verbs);
void add_kit_verbs(Verbs& verbs);
void add_risk_verbs(Verbs& verbs);
void add_visit_plan_verbs(Verbs& verbs);
void add_background_verbs(Verbs& verbs);
void add_hand_over_verbs(Verbs& verbs);
void add_report_verbs(Verbs& verbs);

}  // namespace brookmark::viewer

// Every rule against the row of its source: tests/reference/methods/12_field_hygiene.csv, collected apart from the
// program's own table. The limits are read here from the source's wording, independently of the table.
#include "core/hygiene/cleaning_rules.hpp"

#include <doctest/doctest.h>

#include <cctype>
#include <map>
#include <optional>
#include <regex>
#include <set>
#include <string>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/cleaning_decision.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;
using core::CleaningRule;
using core::RuleEffect;

namespace {

struct Source {
  core::Table table = core::read_csv_file(reference("methods/12_field_hygiene.csv"));
  const std::string& cell(std::size_t row, const char* column) const {
    return table.rows.at(row - 1).cells.at(*table.find(column));
  }
};

// The rows of the program's table as text: source_row is not kept in CleaningRule.
std::size_t source_row(const CleaningRule& rule) {
  static const core::Table table =
      core::read_csv(core::reference_file("hygiene/cleaning_rules.csv"), "rules");
  const auto& cells = table.rows.at(static_cast<std::size_t>(rule.number) - 1).cells;
  REQUIRE(cells.at(*table.find("rule")) == std::to_string(rule.number));
  return static_cast<std::size_t>(*core::parse_integer(cells.at(*table.find("source_row"))));
}

// "1 mg/mL (0.1 %)" -> 0.1; ">= 3.0 %" -> 3; "20 g/L (2 %)" -> 2. Weight and volume alike: 10 g or 10 mL in a litre
// are 1 %.
std::optional<double> per_cent(const std::string& words) {
  if (words == "1 cup in 2 US gallons (\"3 %\")") return 100.0 / 32;  // a US gallon holds 16 cups
  std::smatch found;
  if (!std::regex_search(words, found, std::regex(R"(([0-9.]+)(?:-[0-9.]+)? *(%|mg/mL|mg/L|mL/L|g/L|ppm))")))
    return {};
  const double value = *core::parse_number(found[1].str());
  const std::map<std::string, double> unit{{"%", 1},      {"mg/mL", 0.1}, {"g/L", 0.1},
                                           {"mL/L", 0.1}, {"mg/L", 1e-4}, {"ppm", 1e-4}};
  return value * unit.at(found[2].str());
}

// The lower end of "46-60 C (120-140 F)", and what stands in brackets of "140 F (60 C)".
std::optional<double> celsius(const std::string& words) {
  std::smatch found;
  if (!std::regex_search(words, found, std::regex(R"((-?[0-9.]+)(?:-[0-9.]+)? C)"))) return {};
  return core::parse_number(found[1].str());
}

// The upper end of "48-72 h"; "48 + 24" is both.
std::optional<double> seconds(const std::string& time, const std::string& unit) {
  if (time.empty()) return {};
  const std::map<std::string, double> of{{"s", 1}, {"min", 60}, {"h", 3600}, {"d", 86400}};
  if (const auto plus = time.find(" + "); plus != std::string::npos)
    return (*core::parse_number(time.substr(0, plus)) + *core::parse_number(time.substr(plus + 3))) *
           of.at(unit);
  const auto dash = time.find('-');
  return *core::parse_number(dash == std::string::npos ? time : time.substr(dash + 1)) * of.at(unit);
}

void same(const std::optional<double>& ours, const std::optional<double>& wanted) {
  REQUIRE(ours.has_value() == wanted.has_value());
  if (ours) CHECK(near(*ours, *wanted, 1e-9));
}

}  // namespace

TEST_CASE("every cleaning rule carries its source's own wording, and every row of the source has a rule") {
  const Source source;
  std::set<std::size_t> rows;
  int number = 0;
  for (const CleaningRule& rule : core::cleaning_rules()) {
    CAPTURE(rule.number);
    CHECK(rule.number == ++number);
    const std::size_t row = source_row(rule);
    rows.insert(row);
    CHECK(rule.organism == source.cell(row, "organism"));
    CHECK(rule.source_agent == source.cell(row, "agent"));
    CHECK(rule.concentration == source.cell(row, "concentration"));
    CHECK(rule.temperature == source.cell(row, "temperature"));
    CHECK(rule.time == source.cell(row, "time"));
    CHECK(rule.time_unit == source.cell(row, "time_unit"));
    CHECK(rule.result == source.cell(row, "result"));
    CHECK(rule.note == source.cell(row, "note"));
    CHECK(core::citation(rule.source_key) == source.cell(row, "source"));
    const std::string confirmed = source.cell(row, "confirmed");
    CHECK(core::confirmed_name(rule.confirmed) == (confirmed == "yes" ? "document" : confirmed));
    CHECK_FALSE(rule.targets.empty());
    CHECK_FALSE(rule.agents.empty());
    CHECK((rule.effect == RuleEffect::kKills) == rule.why.empty());
  }
  CHECK(rows.size() == source.table.rows.size());
}

TEST_CASE("the limits of every rule are those of its source, row by row") {
  const Source source;
  for (const CleaningRule& rule : core::cleaning_rules()) {
    CAPTURE(rule.number);
    CAPTURE(core::rule_words(rule));
    if (rule.effect == RuleEffect::kFails) continue;  // their limits stand in notes: next test
    const std::size_t row = source_row(rule);
    CHECK(rule.strength_on_label == (source.cell(row, "concentration") == "per label"));
    same(rule.min_pct, per_cent(source.cell(row, "concentration")));
    const bool alcohol = rule.source_agent == "ethanol";  // tried at one strength; more is not surer
    same(rule.max_pct, alcohol ? per_cent(source.cell(row, "concentration")) : std::nullopt);
    const bool frost = rule.source_agent == "freezing";
    const auto warmth = celsius(source.cell(row, "temperature"));
    same(frost ? rule.max_c : rule.min_c, warmth);
    CHECK_FALSE((frost ? rule.min_c : rule.max_c).has_value());
    const auto time = seconds(source.cell(row, "time"), source.cell(row, "time_unit"));
    if (rule.agents == std::vector<std::string>{"sun drying"} && row == 59) {
      // Row 59: "five consecutive days after washing, or three days in the sun".
      same(rule.min_s, 3.0 * 86400);
      continue;
    }
    same(rule.min_s, time);
    CHECK_FALSE(rule.max_s.has_value());
  }
}

// From the notes and results of the rows named.
TEST_CASE("what failed in a trial is a rule of its own") {
  struct Failed {
    std::size_t row;
    const char* agent;
    std::optional<double> max_pct, max_c, max_s;
  };
  const std::vector<Failed> wanted{
      {18, "bleach", 1.0, {}, {}},                 // "0.2 and 1.0 % failed"
      {19, "chlorhexidine", 0.25, {}, {}},         // "0.25 % failed"
      {21, "potassium permanganate", {}, {}, {}},  // "NOT effective"
      {22, "drying", {}, {}, {}},                  // "drying alone is not enough for iridoviruses"
      {43, "hot water", {}, 45.0, 900.0},          // 45 C, 15 min: "40 % only"
      {45, "hot pressure spray", {}, {}, 90.0},    // "ineffective on Crassula helmsii even at 90 s"
      {52, "Virkon Aquatic spray", {}, {}, {}},    // "spray not reliable"
  };
  std::size_t seen = 0;
  for (const CleaningRule& rule : core::cleaning_rules()) {
    if (rule.effect != RuleEffect::kFails) continue;
    CAPTURE(rule.number);
    REQUIRE(seen < wanted.size());
    const Failed& failed = wanted[seen++];
    CHECK(source_row(rule) == failed.row);
    CHECK(rule.agents.front() == failed.agent);
    same(rule.max_pct, failed.max_pct);
    same(rule.max_c, failed.max_c);
    same(rule.max_s, failed.max_s);
  }
  CHECK(seen == wanted.size());
}

TEST_CASE("a source that names no contact time, no strength, or boats only decides nothing") {
  for (const CleaningRule& rule : core::cleaning_rules()) {
    CAPTURE(rule.number);
    const bool boats = rule.source_agent == "hull" || rule.source_agent == "trailer" ||
                       rule.source_agent == "gimbal" || rule.source_agent.starts_with("life jackets") ||
                       rule.source_agent.starts_with("ballast");
    CHECK((rule.effect == RuleEffect::kOpen) == (rule.time.empty() || boats));
  }
}

// Names of reference/hygiene/targets.csv; the organisms as the source writes them.
TEST_CASE("each rule is against the organisms that its source names") {
  const std::map<std::string, std::set<std::string>> of{
      {"Batrachochytrium dendrobatidis", {"Batrachochytrium dendrobatidis"}},
      {"Ranavirus", {"Ranavirus"}},
      {"EHNV (fish iridovirus)", {"EHNV (fish iridovirus)", "Ranavirus"}},  // the note speaks of iridoviruses
      {"Bd + ranavirus", {"Batrachochytrium dendrobatidis", "Ranavirus"}},
      {"B. salamandrivorans", {"Batrachochytrium salamandrivorans"}},
      {"amphibian pathogens (general)", {"amphibian pathogens (general)"}},
      {"Didymosphenia geminata", {"Didymosphenia geminata"}},
      {"Aphanomyces astaci (crayfish plague)", {"Aphanomyces astaci (crayfish plague)"}},
      {"Pacifastacus leniusculus", {"Pacifastacus leniusculus"}},
      {"7 aquatic invasive species", {"invasive species (general)"}},
      {"Dreissena polymorpha; Dikerogammarus villosus", {"Dreissena polymorpha", "Dikerogammarus villosus"}},
      {"Crassula helmsii", {"Crassula helmsii"}},
      {"Myriophyllum aquaticum", {"Myriophyllum aquaticum"}},
      {"Crassula helmsii; Myriophyllum aquaticum", {"Crassula helmsii", "Myriophyllum aquaticum"}},
      {"general invasive species", {"invasive species (general)"}},
      {"Dreissena polymorpha / rostriformis", {"Dreissena polymorpha", "Dreissena rostriformis"}},
      {"Potamopyrgus antipodarum", {"Potamopyrgus antipodarum"}},
      {"aquatic nuisance species (general)", {"invasive species (general)"}}};
  for (const CleaningRule& rule : core::cleaning_rules()) {
    CAPTURE(rule.number);
    std::set<std::string> names;
    for (const core::TargetIndex target : rule.targets) names.insert(core::target_at(target).name);
    std::set<std::string> wanted = of.at(rule.organism);
    if (source_row(rule) == 53)  // "kills mudsnail, faucet snail, spiny water flea, bloody-red mysid"
      wanted = {"Potamopyrgus antipodarum", "faucet snail", "spiny water flea", "bloody-red mysid"};
    if (source_row(rule) == 45 && rule.effect == RuleEffect::kFails)
      wanted = {"Crassula helmsii"};  // from its note
    CHECK(names == wanted);
  }
}

TEST_CASE(
    "a cleaning exactly at the limits of a rule that kills is enough, and a little below them is not by it") {
  for (const CleaningRule& rule : core::cleaning_rules()) {
    if (rule.effect != RuleEffect::kKills) continue;
    if (!rule.proves()) continue;
    CAPTURE(rule.number);
    for (const std::string& agent : rule.agents)
      for (const core::TargetIndex target : rule.targets) {
        core::Cleaning cleaning;
        cleaning.agent = agent;
        cleaning.concentration_pct =
            rule.strength_on_label ? core::label_pct(*core::find_agent(agent)) : rule.min_pct;
        cleaning.temperature_c = rule.min_c ? rule.min_c : rule.max_c;
        if (rule.min_s) cleaning.contact_min = *rule.min_s / 60;
        if (rule.strength_on_label &&
            !cleaning.concentration_pct) {  // no row names a strength: it decides nothing
          cleaning.concentration_pct = 100;
          CHECK_FALSE(core::is_enough(cleaning, target));
          continue;
        }
        CHECK(core::is_enough(cleaning, target));
        const core::CleaningVerdict at_limit = core::judge_cleaning(cleaning, target);
        CHECK(at_limit.effect == core::CleaningEffect::kEnough);
        REQUIRE(at_limit.rule != nullptr);
        const auto never_by_this = [&](core::Cleaning weaker) {
          const core::CleaningVerdict verdict = core::judge_cleaning(weaker, target);
          CHECK((verdict.effect == core::CleaningEffect::kEnough) == core::is_enough(weaker, target));
          // Another rule may be met; this one is not.
          if (verdict.effect == core::CleaningEffect::kEnough) CHECK(verdict.rule->number != rule.number);
        };
        if (rule.min_s) {
          core::Cleaning shorter = cleaning;
          shorter.contact_min = *rule.min_s / 60 * 0.9;
          never_by_this(shorter);
          shorter.contact_min.reset();
          never_by_this(shorter);
        }
        if (rule.min_pct || rule.strength_on_label) {
          core::Cleaning unknown = cleaning;
          unknown.concentration_pct.reset();
          never_by_this(unknown);
        }
        if (rule.min_pct || rule.strength_on_label) {
          core::Cleaning weaker = cleaning;
          weaker.concentration_pct = *cleaning.concentration_pct * 0.9;
          never_by_this(weaker);
        }
        if (rule.min_c) {
          core::Cleaning cooler = cleaning;
          cooler.temperature_c = *rule.min_c - 1;
          never_by_this(cooler);
        }
        if (rule.max_c) {
          core::Cleaning warmer = cleaning;
          warmer.temperature_c = *rule.max_c + 1;
          never_by_this(warmer);
        }
      }
  }
}

// The source of crayfish plague names "heat" (5 min) and "steam" (15 min) in rows of their own: one is not the other.
TEST_CASE("a way of heating counts only by a rule whose source names it") {
  const std::map<std::string, std::string> wanted{{"heat", "heat"},
                                                  {"steam", "steam"},
                                                  {"hot water", "hot water"},
                                                  {"hot water soak", "hot water"},
                                                  {"hot pressure spray at 10 cm", "hot pressure spray"}};
  for (const CleaningRule& rule : core::cleaning_rules()) {
    CAPTURE(rule.number);
    for (const std::string& name : rule.agents) {
      if (core::find_agent(name)->kind != core::AgentKind::kHeat || rule.effect == RuleEffect::kOpen)
        continue;
      CHECK(rule.agents.size() == 1);
      REQUIRE(wanted.contains(rule.source_agent));
      CHECK(name == wanted.at(rule.source_agent));
    }
  }
  const auto enough = [](const char* agent, double c, double minutes, const char* target) {
    core::Cleaning cleaning;
    cleaning.agent = agent;
    cleaning.temperature_c = c;
    cleaning.contact_min = minutes;
    return core::is_enough(cleaning, *core::find_target(target));
  };
  CHECK_FALSE(enough("steam", 60, 5, "crayfish plague"));
  CHECK_FALSE(enough("steam", 100, 14.9, "crayfish plague"));
  CHECK(enough("steam", 60, 15, "crayfish plague"));
  CHECK(enough("heat", 60, 5, "crayfish plague"));
  CHECK_FALSE(enough("steam", 100, 600, "Bd"));
  CHECK_FALSE(enough("hot water", 60, 5, "Bd"));
  CHECK_FALSE(enough("heat", 37, 240, "Bd"));  // recalled only
}

// Rows 7 to 10 and 30 of the source stand there as "memory".
TEST_CASE("what is only recalled proves nothing, however far its limits are passed") {
  const Source source;
  std::set<std::size_t> recalled;
  for (const CleaningRule& rule : core::cleaning_rules()) {
    if (rule.effect != RuleEffect::kKills) continue;
    CAPTURE(rule.number);
    CHECK(rule.proves() == (source.cell(source_row(rule), "confirmed") != "memory"));
    if (rule.proves()) continue;
    recalled.insert(source_row(rule));
    for (const std::string& agent : rule.agents)
      for (const core::TargetIndex target : rule.targets) {
        core::Cleaning cleaning;
        cleaning.agent = agent;
        cleaning.temperature_c = rule.min_c ? *rule.min_c + 10 : 20;
        cleaning.contact_min = 100 * *rule.min_s / 60;
        CHECK_FALSE(core::is_enough(cleaning, target));
        CHECK(core::judge_cleaning(cleaning, target).effect == core::CleaningEffect::kNotShown);
      }
  }
  CHECK(recalled == std::set<std::size_t>{7, 8, 9, 10, 30});
}

TEST_CASE("organisms and agents are found under their other names, and no others are") {
  CHECK(core::target_at(*core::find_target("Crayfish plague")).id == "aphanomyces-astaci");
  CHECK(core::target_at(*core::find_target("bd")).id == "batrachochytrium-dendrobatidis");
  CHECK_FALSE(core::find_target("goldfish"));
  CHECK(core::find_agent("household bleach")->name == "bleach");
  CHECK(core::find_agent("VIRKON")->name == "Virkon S");
  CHECK(core::find_agent("vinegar") == nullptr);
}

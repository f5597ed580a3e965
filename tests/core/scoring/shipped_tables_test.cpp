// Every number of the shipped tables against tests/reference/methods, row by row and both ways.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method.hpp"
#include "tests/support/files.hpp"

namespace core = brookmark::core;
using brookmark::test::reference;

namespace {

using Row = std::map<std::string, std::string>;

std::vector<Row> rows_of(const std::string& file) {
  const core::Table table = core::read_csv_file(reference("methods/" + file));
  std::vector<Row> rows;
  for (const core::TableRow& row : table.rows)
    for (std::size_t c = 0; c < table.columns.size(); ++c) {
      if (c == 0) rows.emplace_back();
      rows.back()[table.columns[c]] = row.cells[c];
    }
  return rows;
}

std::string confirmed_in_program(const Row& row) {
  return row.at("confirmed") == "yes" ? "document" : row.at("confirmed");
}

double number(const std::string& text) {
  return core::parse_number(text).value();
}
std::optional<double> limit(const std::string& text) {
  return text.empty() ? std::nullopt : std::optional(number(text));
}

const core::Method& method(const std::string& id) {
  const core::Method* found = core::find_method(id);
  REQUIRE_MESSAGE(found != nullptr, id);
  return *found;
}

const core::ScoreUnit* unit_named(const core::Method& m, const std::string& name) {
  for (const core::ScoreUnit& unit : m.units)
    if (unit.name == name) return &unit;
  return nullptr;
}

void check_scores(const core::Method& m, const std::vector<Row>& rows, const std::string& name_column,
                  const std::string& score_column) {
  std::set<std::string> names;
  for (const Row& row : rows) {
    INFO(m.id, " ", row.at(name_column));
    names.insert(row.at(name_column));
    const core::ScoreUnit* unit = unit_named(m, row.at(name_column));
    REQUIRE(unit != nullptr);
    CHECK(unit->score == number(row.at(score_column)));
    CHECK(core::confirmed_name(unit->confirmed) == confirmed_in_program(row));
  }
  for (const core::ScoreUnit& unit : m.units) CHECK_MESSAGE(names.contains(unit.name), unit.name);
  CHECK(m.units.size() == rows.size());
}

void check_bands(const core::Metric& metric, const std::vector<Row>& rows, const std::string& name_column) {
  REQUIRE(metric.bands.size() == rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    INFO(metric.id, " ", rows[i].at(name_column));
    const core::ClassBand& band = metric.bands[i];
    CHECK(band.name == rows[i].at(name_column));
    CHECK(band.rank == static_cast<int>(i) + 1);
    CHECK(band.lower == limit(rows[i].at("lower")));
    CHECK(band.upper == limit(rows[i].at("upper")));
    CHECK(core::confirmed_name(band.confirmed) == confirmed_in_program(rows[i]));
  }
}

// Families that were split off after the lists were printed, and are counted in the line they left.
std::vector<std::string> split_off(const std::string& list, const std::string& line) {
  static const std::map<std::string, std::map<std::string, std::vector<std::string>>> families = {
      {"bmwp", {{"Siphlonuridae", {"Ameletidae"}}, {"Limnephilidae", {"Apataniidae"}}}},
      {"fbi",
       {{"Siphlonuridae", {"Ameletidae"}},
        {"Oligoneuriidae", {"Isonychiidae"}},
        {"Limnephilidae", {"Apataniidae", "Uenoidae"}},
        {"Gammaridae", {"Crangonyctidae"}}}}};
  const auto found = families.at(list).find(line);
  return found == families.at(list).end() ? std::vector<std::string>{} : found->second;
}

void check_split_off(const core::Method& m, const std::string& list) {
  for (const core::ScoreUnit& unit : m.units)
    for (const std::string& family : split_off(list, unit.name)) {
      INFO(m.id, " ", family);
      CHECK(std::find(unit.members.begin(), unit.members.end(), family) != unit.members.end());
      CHECK(unit.members_confirmed == core::Confirmed::kMemory);
    }
}

// What the printed names of the three groups stand for in the checklist, from scientific_equivalent.
const std::map<std::string, std::string> kEquivalents = {
    {"Corydalidae (Corydalinae)", "Corydalinae"},
    {"Corydalidae (Chauliodinae)", "Chauliodinae"},
    {"Prosobranch/caenogastropod snails", "Prosobranchia"},
    {"Tipulidae s.l.", "Tipuloidea"},
    {"Decapoda (Astacoidea)", "Astacoidea"},
};

}  // namespace

TEST_CASE("the BMWP score list is the reference list, composite families included") {
  const std::vector<Row> rows = rows_of("04_bmwp_scores.csv");
  CHECK(rows.size() == 85);  // "in the original 85-family list"
  for (const char* id : {"bmwp-a", "bmwp-b"}) {
    check_scores(method(id), rows, "taxon", "score");
    for (const Row& row : rows) {
      const core::ScoreUnit& unit = *unit_named(method(id), row.at("taxon"));
      std::string composite = row.at("composite_members");  // "incl. Crangonyctidae and Niphargidae"
      for (const std::string& word : core::split(composite, ' ')) {
        if (word.empty() || word == "incl." || word == "and") continue;
        CHECK_MESSAGE(std::find(unit.members.begin(), unit.members.end(), word) != unit.members.end(), word);
      }
      const std::size_t printed = composite.empty()                              ? 0
                                  : composite.find(" and ") != std::string::npos ? 2
                                                                                 : 1;
      CHECK(unit.members.size() == 1 + printed + split_off("bmwp", unit.name).size());
      // "composite wording from memory": whatever is counted with the line's own name is recalled.
      const bool own_only = unit.members.size() == 1 && unit.name.starts_with(unit.members[0]);
      CHECK(unit.members_confirmed == (own_only ? std::nullopt : std::optional(core::Confirmed::kMemory)));
    }
    check_split_off(method(id), "bmwp");
  }
}

TEST_CASE("BMWP and ASPT have the reference's band sets A and B, and set C is not shipped") {
  std::map<std::string, std::vector<Row>> sets;
  for (const Row& row : rows_of("04_bmwp_class_bands.csv"))
    sets[row.at("scheme") + row.at("metric")].push_back(row);
  check_bands(*method("bmwp-a").find_metric("bmwp"), sets["ABMWP"], "class");
  check_bands(*method("bmwp-a").find_metric("aspt"), sets["AASPT"], "class");
  check_bands(*method("bmwp-b").find_metric("bmwp"), sets["BBMWP"], "class");
  CHECK(method("bmwp-b").find_metric("aspt")->bands.empty());
  CHECK(core::find_method("bmwp-c") == nullptr);
  for (const core::ClassBand& band : method("bmwp-a").metrics[0].bands)
    CHECK(band.confirmed == core::Confirmed::kDocument);
}

TEST_CASE("the family biotic index has the arthropod list and nothing of its extension") {
  std::vector<Row> list;
  std::set<std::string> extension;
  for (const Row& row : rows_of("02_fbi_family_tolerance.csv")) {
    if (row.at("source").find("NOT in Hilsenhoff 1988") == std::string::npos)
      list.push_back(row);
    else
      extension.insert(row.at("taxon"));
  }
  const core::Method& fbi = method("family-biotic-index");
  check_scores(fbi, list, "taxon", "tolerance");
  CHECK(extension.size() == 8);
  for (const core::ScoreUnit& unit : fbi.units) CHECK_FALSE(extension.contains(unit.name));
  check_split_off(fbi, "fbi");
  check_bands(fbi.metrics[0], rows_of("02_fbi_classes.csv"), "class");
}

TEST_CASE("the family biotic index asks for the reference's minimum number of animals") {
  bool seen = false;
  for (const Row& row : rows_of("13_sampling_guidance.csv")) {
    if (row.at("item") != "minimum individuals picked") continue;
    seen = true;
    const core::Method& fbi = method("family-biotic-index");
    CHECK(static_cast<double>(fbi.minimum_count.value()) == number(row.at("value")));
    CHECK(core::confirmed_name(fbi.minimum_count_confirmed) == confirmed_in_program(row));
  }
  CHECK(seen);
}

TEST_CASE("both three-group methods have the reference's groups") {
  for (const char* id : {"three-group-abundance", "three-group-count"}) {
    const core::Method& m = method(id);
    const std::vector<Row> rows = rows_of("01_epa_vsm_groups.csv");
    REQUIRE(m.units.size() == rows.size());
    for (const Row& row : rows) {
      INFO(row.at("taxon"));
      const core::ScoreUnit* unit = unit_named(m, row.at("taxon"));
      REQUIRE(unit != nullptr);
      CHECK(unit->group == row.at("group_name"));
      const std::string& equivalent = row.at("scientific_equivalent");
      const auto mapped = kEquivalents.find(equivalent);
      CHECK(unit->members ==
            std::vector<std::string>{mapped == kEquivalents.end() ? equivalent : mapped->second});
      CHECK(unit->except.empty());  // the nearest line decides: riffle beetles have their own
      CHECK(unit->source_key == "epa-1997");
      CHECK(unit->source_detail == "group " + row.at("group"));
      CHECK(core::confirmed_name(unit->confirmed) == confirmed_in_program(row));
      const std::string name = core::to_lower_ascii(unit->name);
      const bool young = name.find("nymph") != std::string::npos || name.find("larva") != std::string::npos;
      CHECK(unit->stage == (young ? std::optional(core::LifeStage::kLarva) : std::nullopt));
    }
  }
}

TEST_CASE("the three-group rating with abundance has the reference's weights, codes and ratings") {
  const core::Method& m = method("three-group-abundance");
  const std::vector<Row> weights = rows_of("01_epa_vsm_weights.csv");
  REQUIRE(m.weights.size() == weights.size());
  for (std::size_t i = 0; i < weights.size(); ++i) {
    CHECK(m.weights[i].group == weights[i].at("group_name"));
    CHECK(m.weights[i].code == weights[i].at("code"));
    CHECK(m.weights[i].weight == number(weights[i].at("weight")));
    CHECK(m.weights[i].source_key == "epa-1997");
    CHECK(core::confirmed_name(m.weights[i].confirmed) == confirmed_in_program(weights[i]));
  }
  std::vector<core::AbundanceClass> codes;
  for (const core::AbundanceClass& c : core::abundance_classes())
    if (c.scheme == m.abundance_scheme) codes.push_back(c);
  const std::vector<Row> wanted = rows_of("01_epa_vsm_abundance_codes.csv");
  REQUIRE(codes.size() == wanted.size());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    CHECK(codes[i].code == wanted[i].at("code"));
    CHECK(static_cast<double>(codes[i].min_count) == number(wanted[i].at("min_count")));
    CHECK(static_cast<double>(codes[i].max_count) == limit(wanted[i].at("max_count")).value_or(-1));
  }
  const std::vector<Row> ratings = rows_of("01_epa_vsm_ratings.csv");
  check_bands(m.metrics[0], ratings, "rating");
  for (std::size_t i = 0; i < ratings.size(); ++i) {  // "score > 40", "20 <= score <= 40", "score < 20"
    const std::string& rule = ratings[i].at("rule");
    CHECK(m.metrics[0].bands[i].lower_open == (rule.find("score > ") == 0));
    CHECK(m.metrics[0].bands[i].upper_open == (rule.find("score < ") == 0));
  }
  CHECK_FALSE(m.metrics[0].decimals.has_value());
}

TEST_CASE("the three-group count rating has the reference's multipliers and ratings") {
  const core::Method& m = method("three-group-count");
  std::vector<Row> multipliers, ratings;
  for (const Row& row : rows_of("01_sos_three_group_scoring.csv")) {
    if (row.at("item") == "group multiplier") multipliers.push_back(row);
    if (row.at("item") == "rating") ratings.push_back(row);
  }
  REQUIRE(m.weights.size() == multipliers.size());
  for (std::size_t i = 0; i < multipliers.size(); ++i) {
    CHECK(m.weights[i].group == multipliers[i].at("key"));
    CHECK(m.weights[i].code.empty());
    CHECK(m.weights[i].source_key == "three-group-programme-page");
    CHECK(m.weights[i].weight == number(multipliers[i].at("value")));
    CHECK(core::confirmed_name(m.weights[i].confirmed) == confirmed_in_program(multipliers[i]));
  }
  REQUIRE(m.metrics[0].bands.size() == ratings.size());
  for (std::size_t i = 0; i < ratings.size(); ++i) {
    const core::ClassBand& band = m.metrics[0].bands[i];
    const std::string& printed = ratings[i].at("value");
    INFO(printed);
    CHECK(band.name == ratings[i].at("key"));
    CHECK(band.source_key == "three-group-programme-page");
    CHECK(core::confirmed_name(band.confirmed) == confirmed_in_program(ratings[i]));
    if (printed.starts_with("score > ")) {
      CHECK((band.lower == number(printed.substr(8)) && band.lower_open && !band.upper));
    } else if (printed.starts_with("score < ")) {
      CHECK((band.upper == number(printed.substr(8)) && band.upper_open && !band.lower));
    } else {
      const std::size_t dash = printed.find('-');
      CHECK(
          (band.lower == number(printed.substr(0, dash)) && band.upper == number(printed.substr(dash + 1))));
      CHECK_FALSE((band.lower_open || band.upper_open));
    }
  }
}

TEST_CASE("the count rating says that its animals and its numbers come from two sources") {
  const core::Method& m = method("three-group-count");
  CHECK(m.source_key == "three-group-programme-page");
  CHECK(m.source_detail == "group multipliers and ratings");
  CHECK(m.summary.find("EPA manual") != std::string::npos);
  CHECK(m.summary.find("programme") != std::string::npos);
}

TEST_CASE("the formula of ASPT is recalled: no table of the reference quotes it") {
  for (const char* id : {"bmwp-a", "bmwp-b"}) {
    bool seen = false;
    for (const core::MethodStatement& statement : method(id).statements)
      if (statement.key == "aspt.formula") {
        seen = true;
        CHECK(statement.source_key == "armitage-1983");
        CHECK(statement.confirmed == core::Confirmed::kMemory);
      }
    CHECK(seen);
  }
}

TEST_CASE("every shipped method says memory") {
  // Each leans on something recalled, whatever its bands say.
  for (const core::Method& m : core::shipped_methods())
    CHECK_MESSAGE(m.confirmed == core::Confirmed::kMemory, m.id);
}

TEST_CASE("the default method is BMWP with band set A, and every index of running water says so") {
  CHECK(core::shipped_methods().front().id == "bmwp-a");
  for (const core::Method& m : core::shipped_methods()) {
    const bool index = !core::uses_set(m.metrics[0].formula);
    if (index) CHECK_MESSAGE(m.flow == core::Flow::kRunning, m.id);
    if (!index)
      for (const core::Metric& metric : m.metrics) CHECK_MESSAGE(metric.bands.empty(), m.id);
    CHECK_FALSE(m.title.empty());
    CHECK_FALSE(m.summary.empty());
    CHECK_FALSE(core::source_text(m.source_key, m.source_detail).empty());
  }
}

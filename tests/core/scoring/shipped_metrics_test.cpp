// Published metrics that have no bands: which are shipped, which way they point, and where that was read.
#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <set>

#include "core/base/csv.hpp"
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

const core::Method& method(const std::string& id) {
  const core::Method* found = core::find_method(id);
  REQUIRE_MESSAGE(found != nullptr, id);
  return *found;
}

// What a published metric name is called in the program, and how its line of the descriptor reads.
struct Published {
  const char *name, *method, *metric;
};

}  // namespace

// Barbour et al. 1999, ch. 7, Tables 7-1 and 7-2, as 03_rbp_metrics.csv has them.
TEST_CASE("the community metrics and their directions are those of the published list, row by row") {
  const Published known[] = {{"Total number of taxa", "community-metrics", "taxa"},
                             {"Number of EPT taxa", "ept-richness", "ept-richness"},
                             {"Number of Ephemeroptera taxa", "community-metrics", "mayfly-taxa"},
                             {"Number of Plecoptera taxa", "community-metrics", "stonefly-taxa"},
                             {"Number of Trichoptera taxa", "community-metrics", "caddisfly-taxa"},
                             {"% EPT", "community-metrics", "ept-share"},
                             {"% Ephemeroptera", "community-metrics", "mayfly-share"},
                             {"Number of intolerant taxa", "community-metrics", "intolerant-taxa"},
                             {"% tolerant organisms", "community-metrics", "tolerant-share"},
                             {"% dominant taxon", "community-metrics", "dominant-share"},
                             {"Number of Diptera taxa", "community-metrics", "fly-taxa"},
                             {"Number of Chironomidae taxa", "community-metrics", "midge-taxa"},
                             {"% Plecoptera", "community-metrics", "stonefly-share"},
                             {"% Trichoptera", "community-metrics", "caddisfly-share"},
                             {"% Diptera", "community-metrics", "fly-share"},
                             {"% Chironomidae", "community-metrics", "midge-share"},
                             {"% tribe Tanytarsini", "community-metrics", "tanytarsini-share"},
                             {"% Corbicula", "community-metrics", "corbicula-share"},
                             {"% Hydropsychidae to Trichoptera", "community-metrics", "netspinner-share"}};
  // No table of the reference says which animals feed or live how, and a variable response has no better end.
  const std::set<std::string> left_out = {"% filterers",
                                          "% grazers and scrapers",
                                          "Number of clinger taxa",
                                          "% clingers",
                                          "% other Diptera and non-insects",
                                          "% Oligochaeta",
                                          "Hilsenhoff biotic index",
                                          "% omnivores and scavengers",
                                          "% gatherers",
                                          "% predators",
                                          "% shredders",
                                          "% multivoltine",
                                          "% univoltine"};
  std::size_t seen = 0;
  for (const Row& row : rows_of("03_rbp_metrics.csv")) {
    const std::string& name = row.at("metric");
    INFO(name);
    const auto* found =
        std::find_if(std::begin(known), std::end(known), [&](const auto& k) { return k.name == name; });
    CHECK((found == std::end(known)) == left_out.contains(name));
    if (found == std::end(known)) continue;
    ++seen;
    const core::Method& m = method(found->method);
    const core::Metric* metric = m.find_metric(found->metric);
    REQUIRE(metric != nullptr);
    CHECK(metric->higher_is_better == (row.at("expected_response_to_disturbance") == "decrease"));
    const std::string key = std::string(found->metric) + ".formula";
    for (const core::MethodStatement& statement : m.statements)
      if (statement.key == key) {
        CHECK(statement.source_key == "barbour-1999");
        CHECK(statement.source_detail == "Table " + row.at("table"));
        CHECK(core::confirmed_name(*statement.confirmed) == confirmed_in_program(row));
      }
  }
  CHECK(seen == std::size(known));
}

// Biggs et al. 2000 (recalled); Sustainability 2023, 15(14):10950, sec. 2.2 (read), as 07_lentic_metrics.csv has them.
TEST_CASE("the pond and zooplankton metrics have the published direction, source and confirmation") {
  struct Lentic {
    const char *name, *method, *metric, *source;
  };
  const Lentic known[] = {
      {"number of Odonata + Megaloptera families", "pond-families", "odonata-megaloptera-families",
       "biggs-2000"},
      {"number of Coleoptera families", "pond-families", "coleoptera-families", "biggs-2000"},
      {"total taxa, Shannon, Margalef, EOT = Ephemeroptera+Odonata+Trichoptera richness", "pond-families",
       "eot-taxa", "common-practice"},
      {"Cyclopoida / Copepoda (abundance or biomass)", "zooplankton-shares", "cyclopoid-share",
       "sustainability-2023-10950"},
      {"Calanoida / Copepoda", "zooplankton-shares", "calanoid-share", "sustainability-2023-10950"},
      {"Daphnia spp. / Cladocera", "zooplankton-shares", "daphnia-share", "sustainability-2023-10950"}};
  const std::vector<Row> rows = rows_of("07_lentic_metrics.csv");
  for (const Lentic& lentic : known) {
    INFO(lentic.name);
    const auto row =
        std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return r.at("metric") == lentic.name; });
    REQUIRE(row != rows.end());
    const core::Method& m = method(lentic.method);
    CHECK(m.flow == core::Flow::kStill);
    const core::Metric* metric = m.find_metric(lentic.metric);
    REQUIRE(metric != nullptr);
    CHECK(metric->bands.empty());
    if (!row->at("direction").empty())
      CHECK(metric->higher_is_better == (row->at("direction") == "decrease"));
    bool stated = false;
    for (const core::MethodStatement& statement : m.statements)
      if (statement.key == std::string(lentic.metric) + ".formula") {
        stated = true;
        CHECK(statement.source_key == lentic.source);
        CHECK(core::confirmed_name(*statement.confirmed) == confirmed_in_program(*row));
      }
    CHECK(stated);
  }
}

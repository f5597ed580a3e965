// What must hold over all reference tables together, whatever tables there are.
#include <doctest/doctest.h>

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "core/base/csv.hpp"
#include "core/base/embedded.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/taxa/checklist.hpp"

using brookmark::core::checklist;
using brookmark::core::ChecklistEntry;
using brookmark::core::embedded_reference;
using brookmark::core::EmbeddedText;
using brookmark::core::read_csv;
using brookmark::core::reference_file;
using brookmark::core::split;
using brookmark::core::Table;
using brookmark::core::TableRow;

namespace {

struct Cell {
  std::string file, column, value;
  std::size_t line;
};

// Every cell of every table; in a table of keys and values the key stands for the column of its value.
void for_each_cell(const std::function<void(const Cell&)>& use) {
  for (const EmbeddedText& file : embedded_reference()) {
    const Table table = read_csv(file.text, std::string(file.name));
    const bool pairs = table.find("key") == 0 && table.find("value") == 1;
    for (const TableRow& row : table.rows) {
      CAPTURE(file.name);
      CAPTURE(row.line);
      CHECK(row.issue == "");
      for (std::size_t i = 0; i < table.columns.size(); ++i) {
        const std::string column = pairs && i == 1 ? row.cells[0] : table.columns[i];
        use({table.file, column, row.cells[i], row.line});
      }
    }
  }
}

bool is_last_part(const std::string& column, const std::string& word) {
  return column == word || column.ends_with("." + word);
}

std::set<std::string> source_keys() {
  const Table table = read_csv(reference_file("sources.csv"), "sources.csv");
  std::set<std::string> keys;
  for (const TableRow& row : table.rows) {
    CAPTURE(row.line);
    CHECK(keys.insert(row.cells[*table.find("key")]).second);
    CHECK_FALSE(row.cells[*table.find("citation")].empty());
  }
  return keys;
}

}  // namespace

TEST_CASE("every source key of every reference table is in the list of sources") {
  const std::set<std::string> known = source_keys();
  for_each_cell([&](const Cell& cell) {
    if (!cell.column.ends_with("source_key") || cell.value.empty()) return;
    CAPTURE(cell.file);
    CAPTURE(cell.line);
    CAPTURE(cell.value);
    CHECK(known.contains(cell.value));
  });
}

TEST_CASE("every value says how it was confirmed in one of three words") {
  const std::set<std::string> words = {"document", "secondary", "memory"};
  for_each_cell([&](const Cell& cell) {
    if (cell.column != "confirmed" || cell.value.empty()) return;
    CAPTURE(cell.file);
    CAPTURE(cell.line);
    CHECK(words.contains(cell.value));
  });
}

TEST_CASE("every taxon that a method names is an accepted name of the checklist") {
  std::size_t seen = 0;
  for_each_cell([&](const Cell& cell) {
    if (!cell.file.starts_with("methods/")) return;
    const bool taxa = cell.column == "members" || cell.column == "except" || cell.column == "taxon" ||
                      is_last_part(cell.column, "set") || is_last_part(cell.column, "of");
    if (!taxa) return;
    for (const std::string& name : split(cell.value, '|')) {
      if (name.starts_with("trait:")) continue;
      CAPTURE(cell.file);
      CAPTURE(cell.line);
      CAPTURE(name);
      const ChecklistEntry* entry = checklist().find(name);
      REQUIRE(entry != nullptr);
      CHECK(entry->name == name);
      ++seen;
    }
  });
  CHECK(seen > 0);
}

TEST_CASE("every taxon of the checklist has a source, and no name is listed twice") {
  std::set<std::string> names;
  for (const ChecklistEntry& entry : checklist().entries()) {
    CAPTURE(entry.name);
    CHECK_FALSE(entry.source_key.empty());
    CHECK(names.insert(entry.name).second);
  }
  for (const ChecklistEntry& entry : checklist().entries()) {
    CAPTURE(entry.name);
    const bool parent_known = entry.parent.empty() || names.contains(entry.parent);
    CHECK(parent_known);
  }
}

// BMWP 1978 and its composite families; Hilsenhoff 1988 Table 1; groups of the streamside form (EPA
// 841-B-97-003).
TEST_CASE("the checklist holds what the scoring tables need beside their families") {
  for (const char* name :
       {"Ecnomidae",     "Glossosomatidae", "Acroloxidae", "Crangonyctidae", "Niphargidae",
        "Noteridae",     "Hydraenidae",     "Dugesiidae",  "Bithyniidae",    "Blood-red Chironomidae",
        "Prosobranchia", "Pulmonata",       "Tipuloidea",  "Corydalinae",    "Chauliodinae",
        "Hyalellidae",   "Leptohyphidae",   "Cladocera",   "Cyclopoida",     "Calanoida",
        "Harpacticoida", "Ostracoda"}) {
    CAPTURE(name);
    const ChecklistEntry* entry = checklist().find(name);
    REQUIRE(entry != nullptr);
    CHECK(entry->name == name);
  }
}

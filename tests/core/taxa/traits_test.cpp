#include "core/taxa/traits.hpp"

#include <doctest/doctest.h>

#include <map>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/method.hpp"
#include "core/taxa/checklist.hpp"
#include "tests/support/files.hpp"

using namespace brookmark::core;
using brookmark::test::reference;

namespace {

Belongs has(const char* trait, const char* name, LifeStage stage = LifeStage::kUnknown) {
  return traits().of(trait, name, stage).has;
}

std::string refusal(const std::string& rows) {
  try {
    TraitTable::from_csv("taxon,trait,has,life_stage,source_key,source_detail,confirmed\n" + rows, "t.csv");
  } catch (const brookmark::Error& error) {
    return error.what();
  }
  return {};
}

}  // namespace

TEST_CASE("a trait runs down the tree, and the nearest row decides") {
  CHECK(has("surface breather", "Lymnaea") == Belongs::kYes);
  CHECK(has("surface breather", "Ancylus") == Belongs::kNo);  // a limpet, excepted below Pulmonata
  CHECK(has("surface breather", "Asellus") == Belongs::kNo);
  CHECK(has("gill breather", "Asellus") == Belongs::kYes);
  CHECK(has("surface breather", "Notonecta") == Belongs::kYes);
  CHECK(has("surface breather", "Aphelocheirus") == Belongs::kNo);
  CHECK(has("tolerance 7 to 10", "Chironomidae") ==
        Belongs::kNo);  // 6 where midges are not divided by colour
  CHECK(has("tolerance 7 to 10", "Blood-red Chironomidae") == Belongs::kYes);
}

TEST_CASE("a name above those with a trait leaves it open, and so does a name of nowhere") {
  CHECK(has("surface breather", "Coleoptera") == Belongs::kMaybe);
  CHECK(has("surface breather", "Insecta") == Belongs::kMaybe);
  CHECK(has("surface breather", "grey blob") == Belongs::kMaybe);
  CHECK(has("cyclopoid", "Copepoda") == Belongs::kMaybe);
  CHECK(has("no such trait", "Copepoda") == Belongs::kNo);
}

TEST_CASE("a trait of one stage is open where the stage is not said, unless the row says otherwise") {
  CHECK(has("surface breather", "Gyrinus", LifeStage::kAdult) == Belongs::kYes);
  CHECK(has("surface breather", "Gyrinus", LifeStage::kLarva) == Belongs::kNo);
  CHECK(has("surface breather", "Gyrinus") == Belongs::kMaybe);
  CHECK(has("gill breather", "Gyrinus", LifeStage::kLarva) == Belongs::kYes);
  CHECK(has("sensitive", "Cloeon") == Belongs::kYes);
  CHECK(has("sensitive", "Cloeon", LifeStage::kLarva) == Belongs::kYes);
  CHECK(has("sensitive", "Cloeon", LifeStage::kAdult) == Belongs::kNo);
}

TEST_CASE("every trait row has a known source, a confirmation and a trait that something reads") {
  CHECK(traits().names() ==
        std::vector<std::string>{"calanoid", "cyclopoid", "gill breather", "large water flea",
                                 "needs fair oxygen", "pond quality family", "proves little", "sensitive",
                                 "small water flea", "surface breather", "tolerance 0 to 3",
                                 "tolerance 7 to 10", "tolerant", "typical of degraded marshes",
                                 "typical of good marshes"});
  for (const TraitRow& row : traits().rows()) {
    CAPTURE(row.taxon);
    CHECK_FALSE(citation(row.source_key).empty());
    CHECK_FALSE(row.source_detail.empty());
    // What no document says is recalled: only responses read in a paper say "document".
    if (row.source_key == "common-practice") CHECK(row.confirmed == Confirmed::kMemory);
  }
}

// Hilsenhoff 1988, Table 1, and the later extensions, as tests/reference/methods/02_fbi_family_tolerance.csv has them.
TEST_CASE(
    "the tolerance groups are those families whose published tolerance lies within, row by row and both "
    "ways") {
  const Table table = read_csv_file(reference("methods/02_fbi_family_tolerance.csv"));
  const auto cell = [&](const TableRow& row, const char* name) { return row.cells[*table.find(name)]; };
  std::map<std::string, double> printed;
  for (const TableRow& row : table.rows) printed[row.cells[0]] = parse_number(row.cells[3]).value();
  CHECK(cell(table.rows[0], "confirmed") == "memory");
  // Names of the printed table under which the checklist's name stands.
  const std::map<std::string, std::string> printed_as = {
      {"Isonychiidae", "Oligoneuriidae"},
      {"Ameletidae", "Siphlonuridae"},
      {"Tipuloidea", "Tipulidae"},
      {"Talitridae", "Talitridae (= Hyalellidae)"},
      {"Hyalellidae", "Talitridae (= Hyalellidae)"},
      {"Blood-red Chironomidae", "Chironomidae (blood-red)"},
      {"Chironomidae", "Chironomidae (other, incl. pink)"},
      {"Helobdella", "Hirudinea (Helobdella)"}};
  std::set<std::string> low, high;
  for (const TraitRow& row : traits().rows()) {
    if (!row.trait.starts_with("tolerance ")) continue;
    CAPTURE(row.taxon);
    const auto alias = printed_as.find(row.taxon);
    const std::string& name = alias == printed_as.end() ? row.taxon : alias->second;
    REQUIRE(printed.contains(name));
    const bool is_low = row.trait == "tolerance 0 to 3";
    CHECK((is_low ? printed[name] <= 3 : printed[name] >= 7) == row.has);
    if (row.has) (is_low ? low : high).insert(name);
    CHECK(row.confirmed == Confirmed::kMemory);
  }
  for (const auto& [name, tolerance] : printed) {
    CAPTURE(name);
    CHECK(low.contains(name) == (tolerance <= 3));
    CHECK(high.contains(name) == (tolerance >= 7));
  }
}

TEST_CASE("a trait table that would lead astray is refused with its place") {
  const std::string end = ",common-practice,x,memory\n";
  CHECK(refusal("Daphnia,a,yes,larva|unknown" + end).empty());
  CHECK(refusal("Dafnia,a,yes," + end).find("t.csv, line 2, column taxon") != std::string::npos);
  CHECK(refusal("water flea,a,yes," + end).find("not an accepted name") != std::string::npos);
  CHECK(refusal("Daphnia,,yes," + end).find("names no trait") != std::string::npos);
  CHECK(refusal("Daphnia,a,perhaps," + end).find("\"yes\" or \"no\"") != std::string::npos);
  CHECK(refusal("Daphnia,a,yes,old" + end).find("life stage \"old\"") != std::string::npos);
  CHECK(refusal("Daphnia,a,yes,,nobody,x,memory\n").find("no source is known") != std::string::npos);
  CHECK(refusal("Daphnia,a,yes,,common-practice,x,sure\n").find("column confirmed") != std::string::npos);
  CHECK(refusal("Daphnia,a,yes," + end + "Daphnia,a,no,larva" + end).find("line 3") != std::string::npos);
  CHECK(refusal("Daphnia,a,yes,adult" + end + "Daphnia,a,no,larva" + end).empty());
}

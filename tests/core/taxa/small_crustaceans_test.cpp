// Small crustaceans under the names that a surveyor of ponds writes (common zoological knowledge, recalled: taxa.csv).
#include <doctest/doctest.h>

#include "core/taxa/checklist.hpp"

using brookmark::core::checklist;
using brookmark::core::NameResult;

TEST_CASE("small crustaceans match by common and scientific name and stand in their order") {
  const char* const rows[][3] = {// as written, taxon, an ancestor
                                 {"water flea", "Cladocera", "Branchiopoda"},
                                 {"water fleas", "Cladocera", "Branchiopoda"},
                                 {"Daphnia pulex", "Daphnia", "Daphniidae"},
                                 {"Ceriodaphnia", "Ceriodaphnia", "Cladocera"},
                                 {"Simocephalus vetulus", "Simocephalus", "Cladocera"},
                                 {"Bosmina", "Bosmina", "Bosminidae"},
                                 {"Moina", "Moina", "Moinidae"},
                                 {"Chydorus sp.", "Chydorus", "Chydoridae"},
                                 {"Sida", "Sida", "Sididae"},
                                 {"spiny water flea", "Bythotrephes", "Cladocera"},
                                 {"copepod", "Copepoda", "Crustacea"},
                                 {"cyclops", "Cyclops", "Cyclopoida"},
                                 {"Megacyclops viridis", "Megacyclops", "Cyclopoida"},
                                 {"calanoid copepod", "Calanoida", "Copepoda"},
                                 {"Eudiaptomus gracilis", "Eudiaptomus", "Calanoida"},
                                 {"Limnocalanus", "Limnocalanus", "Calanoida"},
                                 {"Bryocamptus", "Bryocamptus", "Harpacticoida"},
                                 {"seed shrimps", "Ostracoda", "Crustacea"},
                                 {"Notodromas monacha", "Notodromas", "Ostracoda"},
                                 {"Cypridopsis vidua", "Cypridopsis", "Ostracoda"},
                                 {"fairy shrimp", "Anostraca", "Branchiopoda"},
                                 {"tadpole shrimp", "Notostraca", "Branchiopoda"},
                                 {"clam shrimp", "Spinicaudata", "Branchiopoda"}};
  for (const auto& [written, taxon, above] : rows) {
    CAPTURE(written);
    const NameResult found = checklist().match(written);
    bool is_taxon = false, is_below = false;
    for (const auto& step : found.lineage) {
      is_taxon = is_taxon || (step.listed && step.name == taxon);
      is_below = is_below || step.name == above;
    }
    CHECK(is_taxon);
    CHECK(is_below);
  }
}

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "core/taxa/checklist.hpp"

using brookmark::core::checklist;
using brookmark::core::ChecklistEntry;
using brookmark::core::NameMatch;
using brookmark::core::NameResult;
using brookmark::core::Rank;
using brookmark::core::Taxon;

namespace {

using Pairs = std::vector<std::pair<const char*, const char*>>;  // as written, accepted name

void check_each(const Pairs& pairs) {
  for (const auto& [written, name] : pairs) {
    CAPTURE(written);
    const NameResult result = checklist().match(written);
    CHECK(result.lineage.at(0).listed);
    CHECK(result.lineage.at(0).name == name);
  }
}

bool lies_within(const char* name, const char* group) {
  for (const Taxon& taxon : checklist().match(name).lineage)
    if (taxon.name == group) return true;
  return false;
}

}  // namespace

TEST_CASE("every name of the shipped checklist leads to its own taxon") {
  for (const ChecklistEntry& entry : checklist().entries()) {
    std::vector<std::pair<std::string, NameMatch>> names = {{entry.name, NameMatch::kAccepted}};
    for (const std::string& synonym : entry.synonyms) names.emplace_back(synonym, NameMatch::kSynonym);
    for (const std::string& common : entry.common_names) names.emplace_back(common, NameMatch::kCommonName);
    for (const auto& [name, how] : names) {
      CAPTURE(name);
      const NameResult result = checklist().match(name);
      CHECK(result.lineage.at(0).key == "checklist:" + entry.name);
      CHECK(result.match == how);
      CHECK(result.qualifier.empty());
      CHECK(checklist().find(name) == &entry);
    }
  }
}

TEST_CASE("every lineage of the shipped checklist ends at the animals, and ranks rise on the way") {
  for (const ChecklistEntry& entry : checklist().entries()) {
    CAPTURE(entry.name);
    const NameResult result = checklist().match(entry.name);
    CHECK(result.lineage.back().name == "Animalia");
    Rank below = Rank::kInformal;
    for (const Taxon& taxon : result.lineage) {
      if (taxon.rank == Rank::kInformal) continue;
      CHECK(below < taxon.rank);
      below = taxon.rank;
    }
  }
}

TEST_CASE("names as they stand on field sheets are understood") {
  check_each({{"Mayflies", "Ephemeroptera"},
              {"stonefly nymphs", "Plecoptera"},
              {"Cased caddis larvae", "Trichoptera"},
              {"water louse", "Asellidae"},
              {"hog-lice", "Asellidae"},
              {"hoglouse", "Asellidae"},
              {"Sowbugs", "Isopoda"},
              {"Scuds", "Amphipoda"},
              {"bloodworms", "Blood-red Chironomidae"},
              {"alderfly larva", "Sialidae"},
              {"Hellgrammites", "Corydalinae"},
              {"dobsonflies", "Corydalinae"},
              {"fishfly larvae", "Chauliodinae"},
              {"riffle beetles", "Elmidae"},
              {"water pennies", "Psephenidae"},
              {"crane-fly larvae", "Tipuloidea"},
              {"black fly larvae", "Simuliidae"},
              {"water fleas", "Cladocera"},
              {"rat-tailed maggot", "Syrphidae"},
              {"lesser water boatmen", "Corixidae"},
              {"backswimmers", "Notonectidae"},
              {"pond skaters", "Gerridae"},
              {"whirligig beetles", "Gyrinidae"},
              {"Ramshorn snails", "Planorbidae"},
              {"pond snail", "Lymnaeidae"},
              {"river limpet", "Ancylidae"},
              {"pea mussels", "Sphaeriidae"},
              {"flatworms", "Turbellaria"},
              {"Leeches", "Hirudinea"},
              {"aquatic worms", "Oligochaeta"},
              {"damselfly nymphs", "Zygoptera"},
              {"dragonfly nymphs", "Anisoptera"},
              {"mosquito larvae", "Culicidae"},
              {"phantom midge larvae", "Chaoboridae"},
              {"biting midges", "Ceratopogonidae"},
              {"non-biting midge", "Chironomidae"},
              {"chironomids", "Chironomidae"},
              {"Chironomidae (blood-red)", "Blood-red Chironomidae"},
              {"Chironomidae (other, incl. pink)", "Chironomidae"}});
}

TEST_CASE("old names lead to the names in use") {
  check_each({{"Agriidae", "Calopterygidae"},
              {"Helodidae", "Scirtidae"},
              {"Elminthidae", "Elmidae"},
              {"Tendipedidae", "Chironomidae"},
              {"Ecdyurus", "Ecdyonurus"},
              {"Coenagriidae", "Coenagrionidae"}});
}

TEST_CASE("a common name with two meanings leads to the group that holds both, or nowhere") {
  check_each({{"shrimp", "Crustacea"},
              {"freshwater shrimps", "Malacostraca"},
              {"mud shrimp", "Malacostraca"},
              {"glass shrimp", "Decapoda"},
              {"midge", "Diptera"},
              {"midge larvae", "Diptera"},
              {"marsh fly", "Diptera"},
              {"water spider", "Araneae"},
              {"fish louse", "Crustacea"},
              {"boatman", "Heteroptera"},
              {"water boatmen", "Heteroptera"},
              {"river snails", "Prosobranchia"},
              {"freshwater limpets", "Pulmonata"}});
  for (const char* midge : {"Chironomidae", "Ceratopogonidae", "Chaoboridae", "Dixidae"})
    CHECK(lies_within(midge, "Diptera"));
  for (const char* shrimp : {"Gammaridae", "Atyidae", "Palaemonidae", "Corophiidae"})
    CHECK(lies_within(shrimp, "Malacostraca"));
  CHECK(lies_within("Corixidae", "Heteroptera"));
  CHECK(lies_within("Notonectidae", "Heteroptera"));
  for (const char* vague : {"worm", "a worm", "worms", "bug", "fly larvae", "limpet", "louse", "grub"}) {
    CAPTURE(vague);
    CHECK(checklist().match(vague).match == NameMatch::kNone);
  }
}

TEST_CASE("families that the scoring tables score apart are apart") {
  CHECK_FALSE(lies_within("Ancylidae", "Planorbidae"));
  CHECK_FALSE(lies_within("Glossosomatidae", "Rhyacophilidae"));
  CHECK_FALSE(lies_within("Tricorythodes", "Tricorythidae"));
  CHECK_FALSE(lies_within("Hyalella", "Talitridae"));
  CHECK(lies_within("Blood-red Chironomidae", "Chironomidae"));
  CHECK_FALSE(lies_within("Chironomus", "Blood-red Chironomidae"));
  CHECK(lies_within("Tipulidae", "Tipuloidea"));
  CHECK(lies_within("Limoniidae", "Tipuloidea"));
}

TEST_CASE("gilled and lunged snails hold the families of each kind") {
  for (const char* gilled : {"Neritidae", "Viviparidae", "Valvatidae", "Hydrobiidae", "Bithyniidae"})
    CHECK(lies_within(gilled, "Prosobranchia"));
  for (const char* lunged : {"Lymnaeidae", "Physidae", "Planorbidae", "Ancylidae", "Acroloxidae"})
    CHECK(lies_within(lunged, "Pulmonata"));
}

// Taxon names as the mayfly data of Pegaz-Maucet 1980 write them (Thioulouse et al. 2004, Ecology
// 85:272-283).
TEST_CASE("an open data set's own spellings are matched or proposed, never silently mended") {
  const Pairs genera = {{"Ephemera_danica", "Ephemera"},
                        {"Baetis_sp", "Baetis"},
                        {"Baetis_rhodani", "Baetis"},
                        {"Baetis_niger", "Baetis"},
                        {"Baetis_muticus", "Baetis"},
                        {"Centroptilum_sp", "Centroptilum"},
                        {"Rhithrogena_sp", "Rhithrogena"},
                        {"Habrophlebia_lauta", "Habrophlebia"},
                        {"Habroleptoides_sp", "Habroleptoides"},
                        {"Paraleptophlebia_sp", "Paraleptophlebia"},
                        {"Caenis_sp", "Caenis"},
                        {"Ephemerella_ignata", "Ephemerella"}};
  for (const auto& [written, genus] : genera) {
    CAPTURE(written);
    CHECK(lies_within(written, genus));
    CHECK(lies_within(written, "Ephemeroptera"));
  }
  const NameResult misspelt = checklist().match("Ecdyonorus_sp");
  CHECK(misspelt.match == NameMatch::kNone);
  REQUIRE_FALSE(misspelt.proposals.empty());
  CHECK(misspelt.proposals[0].name == "Ecdyonurus");
}

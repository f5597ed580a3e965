#include "demo_area/animals.hpp"

namespace brookmark::demo {
namespace {

constexpr std::array<int, 4> kAllYear{100, 100, 100, 100};
constexpr std::array<int, 4> kSpringMost{110, 130, 60, 80};   // stoneflies and spring mayflies
constexpr std::array<int, 4> kSummerMost{50, 100, 160, 110};  // midges, black flies, snails

}  // namespace

std::span<const StreamAnimal> stream_animals() {
  static const std::vector<StreamAnimal> all{
      {"Heptageniidae", {26, 9, 0, 0, 0}, kSpringMost, "nymph", {"Ecdyonurus", "flat-headed mayfly"}},
      {"Ephemerellidae", {18, 0, 0, 0, 0}, kAllYear, "nymph", {"Ephemerella"}},
      {"Leuctridae", {24, 10, 0, 0, 0}, kAllYear, "nymph", {"Leuctra", "needle fly"}},
      {"Perlodidae", {9, 0, 0, 0, 0}, kSpringMost, "nymph", {"Isoperla"}},
      {"Chloroperlidae", {7, 0, 0, 0, 0}, kAllYear, "nymph", {}},
      {"Leptophlebiidae", {10, 0, 0, 0, 0}, kSpringMost, "nymph", {"Paraleptophlebia"}},
      {"Nemouridae", {12, 0, 0, 0, 0}, kSpringMost, "nymph", {"Nemoura"}},
      {"Rhyacophilidae", {9, 8, 2, 0, 0}, kAllYear, "larva", {"Rhyacophila"}},
      {"Sericostomatidae", {9, 0, 0, 0, 0}, kAllYear, "larva", {"Sericostoma"}},
      {"Lepidostomatidae", {7, 0, 0, 0, 0}, kAllYear, "larva", {}},
      {"Limnephilidae", {6, 9, 8, 0, 0}, kSpringMost, "larva", {"Limnephilus"}},
      {"Hydropsychidae",
       {14, 26, 14, 0, 0},
       kAllYear,
       "larva",
       {"Hydropsyche", "common net-spinning caddis"}},
      {"Baetidae", {30, 38, 24, 0, 0}, kSummerMost, "nymph", {"Baetis", "Baetis rhodani"}},
      {"Caenidae", {0, 0, 9, 0, 0}, kAllYear, "nymph", {"Caenis"}},
      {"Elmidae", {16, 18, 7, 0, 0}, kAllYear, "adult", {"Elminthidae", "riffle beetle", "Elmis"}},
      {"Cordulegastridae", {2, 0, 0, 0, 0}, kAllYear, "nymph", {}},
      {"Athericidae", {6, 1, 0, 0, 0}, kAllYear, "larva", {}},
      {"Gammaridae", {22, 46, 34, 5, 0}, kAllYear, "", {"Gammarus pulex", "Gammarus sp.", "Gammarus"}},
      {"Simuliidae", {9, 20, 18, 6, 0}, kSummerMost, "larva", {"black fly", "Simulium"}},
      {"Tipulidae", {5, 6, 6, 0, 0}, kAllYear, "larva", {"crane fly"}},
      {"Scirtidae", {6, 0, 0, 0, 0}, kAllYear, "larva", {"Helodidae"}},
      {"Dytiscidae", {1, 0, 0, 0, 0}, kAllYear, "larva", {"diving beetle"}},
      {"Sialidae", {0, 0, 2, 1, 0}, kAllYear, "larva", {"alderfly"}},
      {"Ancylidae", {6, 3, 0, 0, 0}, kAllYear, "", {"Ancylus fluviatilis"}},
      {"Planariidae", {2, 2, 0, 0, 0}, kAllYear, "", {}},
      {"Sphaeriidae", {5, 6, 0, 8, 2}, kAllYear, "", {"Pisidium", "pea mussel"}},
      {"Hydrobiidae", {0, 8, 12, 0, 0}, kSummerMost, "", {"Potamopyrgus antipodarum"}},
      {"Lymnaeidae", {0, 0, 0, 7, 0}, kSummerMost, "", {"Limnaeidae", "pond snail"}},
      {"Physidae", {0, 0, 0, 6, 0}, kSummerMost, "", {"bladder snail"}},
      {"Glossiphoniidae", {0, 0, 0, 7, 0}, kAllYear, "", {}},
      {"Erpobdellidae", {0, 0, 6, 10, 7}, kAllYear, "", {"Erpobdella octoculata"}},
      {"Asellidae", {0, 0, 16, 60, 44}, kAllYear, "", {"Asellus aquaticus", "water hoglouse"}},
      {"Chironomidae", {14, 18, 30, 70, 130}, kSummerMost, "larva", {"non-biting midge", "Chironomus"}},
      {"Oligochaeta", {5, 8, 14, 64, 210}, kAllYear, "", {"aquatic worm", "Tubificidae"}},
      {"Psychodidae", {0, 0, 0, 2, 12}, kSummerMost, "larva", {"moth fly"}},
      {"Syrphidae", {0, 0, 0, 1, 6}, kSummerMost, "larva", {"rat-tailed maggot"}},
  };
  return all;
}

std::span<const PondAnimal> pond_animals() {
  static const std::vector<PondAnimal> all{
      {"Coenagrionidae", {24, 0, 12}, "nymph"}, {"Aeshnidae", {4, 0, 2}, "nymph"},
      {"Libellulidae", {8, 0, 0}, "nymph"},     {"Baetidae", {40, 12, 20}, "nymph"},
      {"Caenidae", {14, 0, 6}, "nymph"},        {"Leptoceridae", {9, 0, 3}, "larva"},
      {"Limnephilidae", {7, 0, 8}, "larva"},    {"Corixidae", {60, 130, 24}, "adult"},
      {"Notonectidae", {12, 8, 6}, "adult"},    {"pond skater", {9, 6, 7}, "adult"},
      {"Dytiscidae", {14, 5, 6}, "adult"},      {"Haliplidae", {8, 2, 0}, "adult"},
      {"Planorbidae", {30, 0, 9}, ""},          {"Lymnaeidae", {18, 14, 12}, ""},
      {"Sphaeriidae", {9, 0, 11}, ""},          {"water hoglouse", {20, 12, 26}, ""},
      {"Chironomidae", {50, 110, 40}, "larva"}, {"mosquito larva", {2, 40, 0}, "larva"},
      {"aquatic worm", {12, 30, 14}, ""},       {"water flea", {120, 40, 20}, ""},
      {"Glossiphoniidae", {4, 0, 5}, ""},
  };
  return all;
}

}  // namespace brookmark::demo

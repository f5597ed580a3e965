// What people write into a name cell beside names. Nothing of it may become a living animal of the list.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/taxa/authority_internal.hpp"
#include "core/taxa/checklist.hpp"

using brookmark::core::checklist;
using brookmark::core::LifeStage;
using brookmark::core::NameMatch;
using brookmark::core::NameResult;
using brookmark::core::says_nothing_found;

namespace {

// Unlisted, without parents, even where the file's family column could place it.
void check_unlisted(const std::vector<std::string>& names) {
  const std::vector<std::string> higher = {"Baetidae"};
  for (const std::string& written : names) {
    CAPTURE(written);
    const NameResult result = checklist().match(written);
    CHECK(result.match == NameMatch::kNone);
    CHECK_FALSE(result.lineage.at(0).listed);
    CHECK(result.lineage.size() == 1);
    if (!result.absence_word.empty()) CHECK(checklist().match(written, higher).match == NameMatch::kNone);
  }
}

std::string listed_name(const char* written) {
  const NameResult result = checklist().match(written);
  for (const auto& taxon : result.lineage)
    if (taxon.listed) return taxon.name;
  return "";
}

bool authority(const std::string& text, bool needs_year = true) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : text + " ") {
    if (c != ' ') {
      word += c;
    } else {
      words.push_back(word);
      word.clear();
    }
  }
  return brookmark::core::is_authority(words, needs_year);
}

}  // namespace

TEST_CASE("a name that says the animal was absent is no animal of the list") {
  check_unlisted({"Gammarus none",
                  "Leuctra missing",
                  "Baetis not found",
                  "Sialis nil",
                  "Ecdyonurus nymphs absent",
                  "no Baetis",
                  "Baetis: none",
                  "Baetis (none)",
                  "Baetis(none)",
                  "BAETIS ABSENT",
                  "Baetis rhodani absent",
                  "Baetis_none",
                  "mayfly none",
                  "no mayflies",
                  "Gammarus not seen",
                  "Gammarus 0",
                  "Baetis zero",
                  "Baetis rhodani (not found)",
                  "Gammaridae none",
                  "Baetis keine",
                  "Baetis fehlt",
                  "Gammarus aucun",
                  "Perla ausente",
                  "Baetis ingen"});
  CHECK(checklist().match("Gammarus none").absence_word == "none");
  CHECK(checklist().match("Baetis(none)").absence_word == "none");
}

TEST_CASE("a name that speaks of the dead, of shells, skins or eggs is no animal of the list") {
  check_unlisted({"Aeshna exuviae",    "Aeshna exuvia",      "Anodonta shells",      "Anodonta shell",
                  "Perla dead",        "dead Perla",         "Perla (dead)",         "Anodonta empty",
                  "Limnephilus case",  "Limnephilus cases",  "Baetis skin",          "Baetis eggs",
                  "Lymnaea spawn",     "Gammarus tot",       "mayfly skins",         "caddis cases",
                  "empty caddis case", "swan mussel shells", "dead dragonfly nymph", "Sphaeriidae shells",
                  "Gammarus mort"});
}

TEST_CASE("listed names that hold such a word stay listed") {
  CHECK(listed_name("pea shells") == "Sphaeriidae");
  CHECK(listed_name("spire shell") == "Hydrobiidae");
  CHECK(listed_name("snail-case caddis") == "Helicopsychidae");
  CHECK(listed_name("frogspawn") == "Amphibia");
}

TEST_CASE("plain words behind a genus make no species") {
  check_unlisted({"Gammarus shrimp", "Dytiscus beetle", "Baetis mayfly", "Baetis mayflies",
                  "Gammarus freshwater", "Baetis and", "Baetis small", "Baetis male", "Baetis xyz",
                  "Baetis qqq", "Baetis aa", "Baetis 12", "Baetis rhodani small", "Baetis stonefly nymph",
                  "Hydropsyche net", "Asellus water hoglouse"});
  CHECK(listed_name("Tubifex tubifex") == "Tubifex");  // a tubifex worm does not make it a plain word
  CHECK(listed_name("Baetis species") == "Baetis");
}

TEST_CASE("words of another language and nonsense stay unlisted") {
  check_unlisted({"Eintagsfliege",
                  "K\xC3\xB6"
                  "cherfliegenlarve",
                  "trichopt\xC3\xA8re", "efem\xC3\xA9ra", "Bachflohkrebs", "steenvlieg",
                  "\xD0\xBF\xD0\xBE\xD0\xB4\xD1\x91\xD0\xBD\xD0\xBA\xD0\xB0", "asdf", "qwerty uiop", "xx",
                  "1234", "=A1", "<b>", "lorem ipsum", "O'Brien", "';DROP TABLE record;--"});
}

TEST_CASE("only what has an authority's shape is dropped, from scientific names only") {
  check_unlisted({"Mayfly (none seen 2021)",
                  "Stonefly Not Found 2021",
                  "Caenis Hydropsyche 2019",
                  "Baetidae Heptageniidae 2020",
                  "Beetle (not riffle beetle) 2020",
                  "Beetle Leach, 1815",
                  "Mayfly (Smith, 2020)",
                  "Baetis (see photo 2021)",
                  "Baetis 2021",
                  "Baetis Leach 1700",
                  "Baetis Leach, 1757",
                  "Baetis (Caenis, 1815)",
                  "Baetis (Xyzidae, 2019)",
                  "Baetis (Mayfly, 2019)",
                  "Baetis A, B, C, D, 1999",
                  "Baetis Smith, Jones, Brown & Green, 1999",
                  "Baetis (Leach, 1815",
                  "Baetis rhodani (see photo)",
                  "Baetis rhodani Caenis",
                  "Baetis rhodani Pictet, 1643",
                  "Baetis rhodani + Caenis"});
  for (const char* written :
       {"Baetis Leach, 1815", "Baetis Leach 1815", "Baetis (Leach, 1815)", "BAETIS LEACH, 1815",
        "Baetis (O. F. M\xC3\xBCller, 1776)", "Baetis M\xC3\xBCller-Liebenau & Savolainen, 1975",
        "Baetis de Geer, 1773",
        "Baetis rhodani \xC3\x96"
        "dmann, 1900",
        "Baetis rhodani L.", "Baetis rhodani (Pictet, 1843)", "Baetis rhodani Smith et al., 1999"}) {
    CAPTURE(written);
    CHECK(listed_name(written) == "Baetis");
  }
}

TEST_CASE("the shape of an authority") {
  for (const char* good :
       {"Leach, 1815", "(Leach, 1815)", "Pictet 1843", "Smith & Jones, 1999", "Smith and Jones, 1999",
        "Smith et Jones in Brown, 1999", "O. F. M\xC3\xBCller, 1776", "Linnaeus, 1758"}) {
    CAPTURE(good);
    CHECK(authority(good));
  }
  for (const char* bad :
       {"Leach", "1815", "(1815)", "leach, 1815", "Linnaeus, 1757", "Smith, Jones, Brown, Green, 1999",
        "not Leach, 1815", "& Leach, 1815", "Leach &, 1815", "Leach, 18155", "(Leach), 1815x"}) {
    CAPTURE(bad);
    CHECK_FALSE(authority(bad));
  }
  CHECK(authority("Pictet", false));
  CHECK(authority("(L.)", false));
  CHECK_FALSE(authority("(see photo)", false));
}

TEST_CASE("a life stage in the name is read, two of them are not one") {
  struct Case {
    const char* written;
    const char* name;
    LifeStage stage;
  };
  for (const Case& expected : std::vector<Case>{{"adult beetle", "Coleoptera", LifeStage::kAdult},
                                                {"mayfly adults", "Ephemeroptera", LifeStage::kAdult},
                                                {"adult dragonfly", "Anisoptera", LifeStage::kAdult},
                                                {"Crane fly adult", "Tipuloidea", LifeStage::kAdult},
                                                {"caddis larvae", "Trichoptera", LifeStage::kLarva},
                                                {"Baetis nymph", "Baetis", LifeStage::kLarva},
                                                {"black fly (pupae)", "Simuliidae", LifeStage::kPupa},
                                                {"Baetis juv.", "Baetis", LifeStage::kUnknown},
                                                {"Baetis", "Baetis", LifeStage::kUnknown}}) {
    CAPTURE(expected.written);
    CHECK(listed_name(expected.written) == expected.name);
    CHECK(checklist().match(expected.written).stage == expected.stage);
  }
  const NameResult both = checklist().match("Elmidae larvae adults");
  CHECK(both.several_stages);
  CHECK(both.stage == LifeStage::kUnknown);
}

TEST_CASE("doubt in the name is kept as written") {
  struct Case {
    const char* written;
    const char* name;
    const char* qualifier;
  };
  for (const Case& expected : std::vector<Case>{{"cf. Baetidae", "Baetidae", "cf."},
                                                {"Gammaridae?", "Gammaridae", "?"},
                                                {"Gammaridae(?)", "Gammaridae", "?"},
                                                {"stonefly nymph, maybe", "Plecoptera", "maybe"},
                                                {"stonefly, maybe", "Plecoptera", "maybe"},
                                                {"prob. Leuctra", "Leuctra", "prob."},
                                                {"?Sialis", "Sialis", "?"},
                                                {"Baetis cf. rhodani", "Baetis", "cf."},
                                                {"perhaps a Baetis sp.", "Baetis", "perhaps sp."}}) {
    CAPTURE(expected.written);
    CHECK(listed_name(expected.written) == expected.name);
    CHECK(checklist().match(expected.written).qualifier == expected.qualifier);
  }
}

TEST_CASE("a cell that only says that nothing was found is known as such") {
  for (const char* nothing :
       {"absent", "None", "not found", "nil", "none seen", "NONE SEEN", "no animals", "nothing found",
        "no invertebrates present", "n/a", "N.A.", "-", "\xE2\x80\x94", "0", "(none)", "none 2021"}) {
    CAPTURE(nothing);
    CHECK(says_nothing_found(nothing));
  }
  for (const char* something :
       {"Baetis", "Gammarus none", "dead", "shells", "?", "larvae", "worm", "Nais", "no mayflies"}) {
    CAPTURE(something);
    CHECK_FALSE(says_nothing_found(something));
  }
}

TEST_CASE("a taxon contradicts a column only where both are listed and lie apart") {
  const NameResult baetis = checklist().match("Baetis");
  CHECK(checklist().contradicts(baetis, "Heptageniidae"));
  CHECK(checklist().contradicts(baetis, "Plecoptera"));
  CHECK_FALSE(checklist().contradicts(baetis, "Baetidae"));
  CHECK_FALSE(checklist().contradicts(baetis, "Nosuchidae"));
  CHECK_FALSE(checklist().contradicts(checklist().match("Ephemeroptera"), "Baetidae"));
  CHECK_FALSE(checklist().contradicts(checklist().match("Baetis rhodani"), "Baetis"));
  CHECK_FALSE(checklist().contradicts(checklist().match("Xyzzyia"), "Baetidae"));
}

#include <algorithm>
#include <iterator>
#include <string>

#include "core/base/text.hpp"
#include "core/taxa/checklist.hpp"
#include "core/taxa/name_words_internal.hpp"

namespace brookmark::core {

namespace {

// All lists hold folded words.
constexpr std::string_view kArticles[] = {"a", "an", "the", "some"};

struct DoubtWord {
  std::string_view word;
  NameDoubt doubt;
};
constexpr DoubtWord kDoubts[] = {
    {"cf", NameDoubt::kCompare},       {"cfr", NameDoubt::kCompare},       {"conf", NameDoubt::kCompare},
    {"aff", NameDoubt::kAffinity},     {"nr", NameDoubt::kAffinity},       {"?", NameDoubt::kUnsure},
    {"??", NameDoubt::kUnsure},        {"maybe", NameDoubt::kUnsure},      {"perhaps", NameDoubt::kUnsure},
    {"poss", NameDoubt::kUnsure},      {"possible", NameDoubt::kUnsure},   {"possibly", NameDoubt::kUnsure},
    {"prob", NameDoubt::kUnsure},      {"probable", NameDoubt::kUnsure},   {"probably", NameDoubt::kUnsure},
    {"presumed", NameDoubt::kUnsure},  {"presumably", NameDoubt::kUnsure}, {"likely", NameDoubt::kUnsure},
    {"unsure", NameDoubt::kUnsure},    {"uncertain", NameDoubt::kUnsure},  {"doubtful", NameDoubt::kUnsure},
    {"tentative", NameDoubt::kUnsure}, {"tentatively", NameDoubt::kUnsure}};

struct ExtentWord {
  std::string_view word;
  NameExtent extent;
};
constexpr ExtentWord kExtents[] = {{"sp", NameExtent::kOneSpecies},
                                   {"spp", NameExtent::kSeveralSpecies},
                                   {"species", NameExtent::kAsNamed},
                                   {"ssp", NameExtent::kAsNamed},
                                   {"indet", NameExtent::kUndetermined},
                                   {"undet", NameExtent::kUndetermined},
                                   {"unid", NameExtent::kUndetermined},
                                   {"gen", NameExtent::kUndetermined},
                                   {"unidentified", NameExtent::kUndetermined},
                                   {"indeterminate", NameExtent::kUndetermined},
                                   {"undetermined", NameExtent::kUndetermined},
                                   {"unknown", NameExtent::kUndetermined},
                                   {"agg", NameExtent::kSpeciesGroup},
                                   {"gr", NameExtent::kSpeciesGroup},
                                   {"grp", NameExtent::kSpeciesGroup},
                                   {"group", NameExtent::kSpeciesGroup},
                                   {"complex", NameExtent::kSpeciesGroup},
                                   {"s l", NameExtent::kSpeciesGroup},
                                   {"s lat", NameExtent::kSpeciesGroup},
                                   {"s str", NameExtent::kAsNamed},
                                   {"s s", NameExtent::kAsNamed},
                                   {"juv", NameExtent::kAsNamed},
                                   {"imm", NameExtent::kAsNamed},
                                   {"juvenile", NameExtent::kAsNamed},
                                   {"juveniles", NameExtent::kAsNamed},
                                   {"immature", NameExtent::kAsNamed}};

struct StageWord {
  std::string_view word;
  LifeStage stage;
};
constexpr StageWord kStages[] = {
    {"larva", LifeStage::kLarva},  {"larvae", LifeStage::kLarva},  {"larval", LifeStage::kLarva},
    {"nymph", LifeStage::kLarva},  {"nymphs", LifeStage::kLarva},  {"nymphal", LifeStage::kLarva},
    {"naiad", LifeStage::kLarva},  {"naiads", LifeStage::kLarva},  {"pupa", LifeStage::kPupa},
    {"pupae", LifeStage::kPupa},   {"pupal", LifeStage::kPupa},    {"adult", LifeStage::kAdult},
    {"adults", LifeStage::kAdult}, {"imago", LifeStage::kAdult},   {"imagines", LifeStage::kAdult},
    {"imagos", LifeStage::kAdult}, {"subimago", LifeStage::kAdult}};

// English, and the words that German, Dutch, French, Spanish, Italian, Scandinavian and Polish sheets write.
constexpr std::string_view kNegations[] = {
    "no",      "not",     "none",     "nil",      "nothing", "never",   "zero",    "0",
    "absent",  "absence", "missing",  "found",    "seen",    "without", "kein",    "keine",
    "keiner",  "keines",  "nicht",    "nichts",   "ohne",    "fehlt",   "fehlend", "geen",
    "niet",    "absente", "absents",  "absentes", "aucun",   "aucune",  "sans",    "pas",
    "rien",    "ausente", "ausentes", "ninguno",  "ninguna", "nada",    "sin",     "assente",
    "assenti", "nessuno", "nessuna",  "ingen",    "inget",   "ikke",    "inte",    "brak"};

constexpr std::string_view kRemains[] = {
    "dead",   "empty",   "shell",   "shells",    "case",    "cases", "casing", "casings",
    "exuvia", "exuviae", "exuvium", "exuvae",    "skin",    "skins", "cast",   "casts",
    "moult",  "moults",  "molt",    "molts",     "egg",     "eggs",  "spawn",  "husk",
    "husks",  "remains", "carcass", "carcasses", "fossil",  "tot",   "tote",   "leer",
    "leere",  "dood",    "dode",    "leeg",      "mort",    "morte", "morts",  "mortes",
    "vide",   "vides",   "muerto",  "muerta",    "muertos", "vacio", "vacia",  "morto",
    "morta",  "morti",   "vuoto",   "vuota",     "doed",    "doede", "dod"};

constexpr std::string_view kFillers[] = {"animal",
                                         "animals",
                                         "invertebrate",
                                         "invertebrates",
                                         "macroinvertebrate",
                                         "macroinvertebrates",
                                         "taxa",
                                         "taxon",
                                         "species",
                                         "specimen",
                                         "specimens",
                                         "individual",
                                         "individuals",
                                         "life",
                                         "fauna",
                                         "catch",
                                         "bugs",
                                         "insects",
                                         "was",
                                         "were",
                                         "is",
                                         "are",
                                         "any",
                                         "all",
                                         "at",
                                         "here",
                                         "present",
                                         "this",
                                         "time",
                                         "in",
                                         "sample"};

constexpr std::string_view kNoEpithets[] = {
    "and",       "or",      "and/or", "with",    "und",   "oder",  "mit",    "et",       "ou",       "avec",
    "con",       "en",      "og",     "in",      "on",    "ex",    "from",   "for",      "the",      "of",
    "also",      "plus",    "but",    "very",    "too",   "only",  "many",   "few",      "several",  "lots",
    "more",      "some",    "other",  "others",  "small", "large", "big",    "tiny",     "young",    "old",
    "male",      "males",   "female", "females", "live",  "alive", "living", "damaged",  "type",     "form",
    "sample",    "present", "count",  "one",     "two",   "three", "rare",   "abundant", "dominant", "check",
    "confirmed", "same",    "yes",    "todo",    "new",   "het"};

// Whole cells that some programs write for nothing.
constexpr std::string_view kNothing[] = {"-",  "--",  "---", "\xE2\x80\x93", "\xE2\x80\x94", "n/a",
                                         "na", "n a", "nd",  "n d",          "nan",          "null"};

template <std::size_t N>
bool holds(const std::string_view (&list)[N], std::string_view word) {
  const std::string folded = fold_name(bare_word(word));
  return std::find(std::begin(list), std::end(list), folded) != std::end(list);
}

}  // namespace

std::string_view bare_word(std::string_view word) {
  const auto is_mark = [](char c) {
    return c == ',' || c == ';' || c == ':' || c == '!' || c == '(' || c == ')' || c == '[' || c == ']';
  };
  while (!word.empty() && is_mark(word.back())) word.remove_suffix(1);
  while (!word.empty() && is_mark(word.front())) word.remove_prefix(1);
  return word;
}

bool is_article(std::string_view word) {
  const std::string lower = to_lower_ascii(word);
  return std::find(std::begin(kArticles), std::end(kArticles), lower) != std::end(kArticles);
}

bool is_qualifier(std::string_view word) {
  const std::string folded = fold_name(bare_word(word));
  const auto is_it = [&](const auto& known) { return known.word == folded; };
  return std::any_of(std::begin(kDoubts), std::end(kDoubts), is_it) ||
         std::any_of(std::begin(kExtents), std::end(kExtents), is_it);
}

NameDoubt doubt_of_word(std::string_view word) {
  const std::string folded = fold_name(bare_word(word));
  for (const DoubtWord& known : kDoubts)
    if (known.word == folded) return known.doubt;
  return NameDoubt::kNone;
}

NameExtent extent_of_word(std::string_view word) {
  const std::string folded = fold_name(bare_word(word));
  for (const ExtentWord& known : kExtents)
    if (known.word == folded) return known.extent;
  return NameExtent::kAsNamed;
}

const char* name_doubt_name(NameDoubt doubt) {
  switch (doubt) {
    case NameDoubt::kNone:
      return "";
    case NameDoubt::kCompare:
      return "compare with (cf.)";
    case NameDoubt::kAffinity:
      return "near to (aff.)";
    case NameDoubt::kUnsure:
      return "unsure";
  }
  return "";
}

const char* name_extent_name(NameExtent extent) {
  switch (extent) {
    case NameExtent::kAsNamed:
      return "";
    case NameExtent::kOneSpecies:
      return "one species";
    case NameExtent::kSeveralSpecies:
      return "several species";
    case NameExtent::kUndetermined:
      return "not determined further";
    case NameExtent::kSpeciesGroup:
      return "species group";
  }
  return "";
}

const char* proposal_kind_name(ProposalKind kind) {
  switch (kind) {
    case ProposalKind::kSame:
      return "same";
    case ProposalKind::kStart:
      return "start";
    case ProposalKind::kWord:
      return "word";
    case ProposalKind::kSpelling:
      return "spelling";
  }
  return "";
}

LifeStage stage_of_word(std::string_view word) {
  const std::string folded = fold_name(bare_word(word));
  for (const StageWord& known : kStages)
    if (known.word == folded) return known.stage;
  return LifeStage::kUnknown;
}

bool is_negation(std::string_view word) {
  return holds(kNegations, word);
}

bool is_absence_word(std::string_view word) {
  return holds(kNegations, word) || holds(kRemains, word);
}

bool is_filler(std::string_view word) {
  return holds(kFillers, word);
}

bool is_no_epithet(std::string_view word) {
  return holds(kNoEpithets, word);
}

std::vector<std::string> plain_words(std::string_view text) {
  std::string spaced = fold_name(text);
  for (char& c : spaced) {
    const bool letter =
        (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
    if (!letter) c = ' ';
  }
  std::vector<std::string> words = split(spaced, ' ');
  std::erase(words, std::string());
  return words;
}

bool says_nothing_found(std::string_view verbatim) {
  const std::string folded = fold_name(verbatim);
  if (std::find(std::begin(kNothing), std::end(kNothing), folded) != std::end(kNothing)) return true;
  bool negated = false;
  for (const std::string& word : plain_words(verbatim)) {
    const bool number = word.find_first_not_of("0123456789") == std::string::npos;
    if (is_negation(word))
      negated = true;
    else if (!is_filler(word) && !number)
      return false;
  }
  return negated;
}

}  // namespace brookmark::core

// Why: a visit being written down: the form, the tally and the water's readings as plain values. The rows here are
// those the survey file holds already; the map and the pages follow when the sheet is closed, so that a tap costs
// one row and not the reading of a whole survey.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/survey/types.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::viewer {

enum class EntryField : std::uint8_t {
  kDate,
  kTime,
  kOffset,
  kPeople,
  kWeather,
  kConditions,
  kVisitNote,
  kCode,
  kProtocol,
  kEffort,
  kEffortUnit,
  kMesh,
  kShare,
  kSampleNote
};
inline constexpr std::size_t kEntryFieldCount = 14;

// As typed; what it means is read when the form is kept.
struct VisitForm {
  std::array<std::string, kEntryFieldCount> words;
  core::SampleKind kind = core::SampleKind::kRoutine;
  std::string& operator[](EntryField f) { return words[static_cast<std::size_t>(f)]; }
  const std::string& operator[](EntryField f) const { return words[static_cast<std::size_t>(f)]; }
  bool operator==(const VisitForm&) const = default;
};

enum class EntryPart : std::uint8_t { kVisit, kTally, kWater };

// A taxon that can be taken: a button, or a line below the name field.
struct NameChoice {
  std::string shown, detail;  // "Gammaridae", "freshwater shrimp; family"
  std::string verbatim;       // what the record will say was written
  core::NameMatch match = core::NameMatch::kNone;
  std::vector<core::Taxon> lineage;                   // the taxon first, then its parents
  core::LifeStage stage = core::LifeStage::kUnknown;  // where the name says one
  std::string qualifier;                              // "cf." as written
};

struct CommonTaxon {
  NameChoice name;
  std::size_t samples = 0;  // of this survey with it; 0: from the list of common practice
};

// How the next tap or number counts.
enum class TallyWay : std::uint8_t { kCount, kClass, kPresent };

// What the sheet held before one of its edits (or, of one taken back, behind it), so that undo and redo show it again
// without reading the file.
struct TallyStep {
  std::string summary;  // of the edit in the file's log
  VisitForm form;
  std::string visit_key, sample_key;
  std::vector<core::Record> records;
  std::vector<core::Measurement> measurements;
};

struct EntrySheet {
  std::string site_key, site_code, site_name;
  std::string visit_key, sample_key;  // empty until the form was kept
  EntryPart part = EntryPart::kVisit;
  VisitForm form, kept;      // as typed, and as the file has it
  std::string form_trouble;  // why it was not kept
  std::optional<EntryField> trouble_at;

  std::vector<CommonTaxon> common;  // the buttons, in their order; fixed while the sheet is open
  TallyWay way = TallyWay::kCount;
  std::string scheme = "log-a-e";  // of the classes
  core::LifeStage stage = core::LifeStage::kUnknown;
  bool unsure = false;

  std::string typed;                // in the name field
  std::vector<NameChoice> choices;  // for it, best first
  std::size_t lit = 0;              // the one Enter takes
  std::optional<NameChoice> chosen;
  std::string number;          // for the chosen one
  std::string number_trouble;  // why it was not taken
  std::uint32_t focus = 0;     // counts the times that the keyboard is to go to the field in use

  std::vector<core::Record> records;                         // oldest first
  std::map<std::string, std::vector<core::Taxon>> lineages;  // of their taxa by key: itself, then its parents
  std::optional<std::string> touched;                        // key of the record changed last
  std::vector<core::Measurement> measurements;
  std::map<std::string, std::string> readings;          // quantity id -> as typed
  std::map<std::string, std::string> reading_troubles;  // quantity id -> a sentence
  std::vector<TallyStep> steps;                         // its edits since the file was read, oldest first
  std::vector<TallyStep> undone;                        // those taken back since, the next to do again last
  bool edited = false;  // since the file was read: what was taken back before can no longer be done again
};

}  // namespace brookmark::viewer

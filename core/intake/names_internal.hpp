// Why: a name decides what a record scores. Works each name out once, fills the record, adds the taxa that the survey
// does not have yet, and says after the last row what was made of every name that is not plainly a listed one.
// Private to core/intake.
// Use: names.read(record); names.read_stage(record); ... names.keep();   // each row
//      names.report();                                                   // after the last
#pragma once

#include <map>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "core/intake/plan_internal.hpp"
#include "core/taxa/checklist.hpp"

namespace brookmark::core {

class Names {
 public:
  // Throws Error(kBadUse) for a name that was decided in favour of one that is not in the checklist.
  explicit Names(Plan& plan);
  // Fills name, taxon, match and qualifier. What cannot be a name is an error on the row.
  void read(Record& record);
  // Call after read: the stage of its column, or else of the name ("adult beetle").
  void read_stage(Record& record);
  // Call when everything else of the row is good: adds the taxa, parents first.
  void keep();
  // A finding for each name at the first row that has it.
  void report();
  Field field() const { return field_; }  // where the name of the row at hand stands

 private:
  struct KnownName {
    NameResult result;
    Field field = Field::kScientificName;
    std::string written;
    std::vector<std::pair<Field, std::string>> higher;  // genus, family, order as the file gives them
    std::size_t rows = 0;
    std::size_t first_line = 0;
  };

  KnownName& known(const std::string& written);
  void report_match(const KnownName& name);
  void report_contradictions(const KnownName& name);

  Plan& plan_;
  Field field_ = Field::kScientificName;
  KnownName* keeping_ = nullptr;  // of the row at hand; none where its name is no name
  std::unordered_map<std::string, KnownName> names_;
  std::vector<std::string> in_order_;
  std::map<std::string, std::string> chosen_;
  std::unordered_set<std::string> stored_;
};

}  // namespace brookmark::core

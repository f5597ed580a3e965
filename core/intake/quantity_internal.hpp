// Why: a count, a letter, "present", an empty cell and a zero are five different things, and none may turn
// into another. Private to core/intake.
// Use: QuantityReader reader(plan);  reader.read(record);  // errors go to the row at hand
#pragma once

#include <string>
#include <vector>

#include "core/intake/plan_internal.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

class QuantityReader {
 public:
  // Throws Error(kBadUse) for an abundance scheme that is not known.
  explicit QuantityReader(Plan& plan);
  // Fills quantity, limits, class and the quantity as written.
  void read(Record& record);

 private:
  void read_count(Record& record, Field field, const std::string& written);
  bool read_class(Record& record, const std::string& scheme, const std::string& written);
  void read_status(Record& record);
  std::string scheme_of_row();
  bool is_scheme(const std::string& name) const;

  Plan& plan_;
  std::string schemes_;  // "log-abcde, us-rare-common-dominant"
};

}  // namespace brookmark::core
